"""Numbers as cooks write them: "1 1/2", "1½", "1-1/2", "1,5", "1,000", "half a dozen", "2-3", "between 2 and 3"."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import NamedTuple

from nutrilab.lines.clean import VULGAR
from nutrilab.lines.words import ABOUT, NOT_NUMBERS, NUMBER_PHRASES, NUMBERS

_VALUES = {c: round(unicodedata.numeric(c), 6) for c in VULGAR}
_NUMBER = re.compile(
    rf"""(?P<w1>\d{{1,5}}+)(?:\s|\s?(?:-|&|\+|and\s)\s?)(?P<n1>\d{{1,3}})\s?/\s?(?P<d1>\d{{1,3}})(?!\d)
    |(?:(?P<w2>\d{{1,5}}+)\s?(?:(?:-|&|and\s)\s?)?)?(?P<v>[{VULGAR}])
    |(?P<n3>\d{{1,3}}+)\s?/\s?(?P<d3>\d{{1,3}})(?!\d)
    |(?P<plain>\d[\d.,]*+|\.\d+)""",
    re.VERBOSE | re.ASCII,
)
_NOT_AFTER = re.compile(r"\s?(?:-\s?[\d.,]{1,5}\s?)?(?:vol\s?)?%|\s?per\s?cent|(?:st|nd|rd|th|up)\b|\s?°|-(?:in|to)-")
_SPOILS = frozenset("-v%psnrtu°")  # how that begins, after its space
_AND_A = re.compile(r"\s(?:and|&)\s(?:an?\s|one\s)?(half|quarter|third|three\squarters)\b(?!-)")
_NOT_NUMBERS = re.compile(rf"(?:{'|'.join(map(re.escape, NOT_NUMBERS))})(?![^\W\d_])")
_SUM = re.compile(rf"\s?\+\s?(?=[\d{VULGAR}])")  # "1/4 + 1/8 teaspoon"
_OR_MORE = re.compile(r"\s(?:or|and)\s(?:more|so|less|fewer)\b")
_GOES_ON = frozenset("a&doit")  # how what goes on with a number begins, after its space
_DOZEN = re.compile(r"\sdozen\b")
_OF_A = re.compile(r"\s(?:of\s)?(?:an?|one|the)\s")
_TO = re.compile(r"\s?(?:-\sto\s|-{1,2}|to\s|or\s|and\s)\s?")
_OR_IN_BRACKETS = re.compile(r"\s?\(or\s(\d{1,2})\)")  # "1 (or 2) tins"
_SUM_OR_RANGE = frozenset("+-toa(")  # how the signs and words between two numbers begin
_ABOUT = re.compile(
    rf"(?:(?:{'|'.join(sorted(map(re.escape, ABOUT), key=len, reverse=True))})(?:\.|\b),?\s?|~\s?)+", re.ASCII
)


class Number(NamedTuple):
    """A number or a range, and where the text goes on. low None: a word such as "a few" that gives none."""

    low: float | None
    high: float | None
    end: int
    word: str = ""


def _plain(digits: str) -> float | None:
    """ "1,000" -> 1000, "1,5" -> 1.5, "1.5" -> 1.5; None for what is no amount ("1.2.3", "00", "0")."""
    digits = digits.rstrip(".,")
    if len(digits) > 12 or (digits[:1] == "0" and digits[1:2].isdigit()):
        return None
    if "," in digits:
        groups = digits.split(".")[0].split(",")
        if digits[0] != "0" and all(len(g) == 3 for g in groups[1:]):
            digits = digits.replace(",", "")
        else:
            digits = digits.replace(",", ".")
    try:
        value = float(digits)
    except ValueError:
        return None
    return value or None


@lru_cache(maxsize=2048)
def _value(written: str) -> float | None:
    """Value of what the number pattern found: cooks write few different numbers."""
    found = _NUMBER.fullmatch(written)
    if not found:
        return None
    if plain := found["plain"]:
        return _plain(plain)
    if vulgar := found["v"]:
        return int(found["w2"] or 0) + _VALUES[vulgar]
    whole, top, bottom = (found["w1"], found["n1"], found["d1"]) if found["w1"] else (0, found["n3"], found["d3"])
    return int(whole) + int(top) / int(bottom) or None if int(bottom) else None


def _digits(low: str, pos: int) -> tuple[float, int] | None:
    """A number in digits at ``pos``: value and end."""
    found = _NUMBER.match(low, pos)
    if not found:
        return None
    value, end = _value(found[0]), found.end()
    if value is None or (low[end : end + 2].lstrip(" ")[:1] in _SPOILS and _NOT_AFTER.match(low, end)):
        return None
    while low[end - 1] in ".,":
        end -= 1
    return value, end


def _words(low: str, pos: int) -> tuple[float | None, int, str] | None:
    """A number in words at ``pos``: value (None for "a few"), end, the words."""
    first = low[pos : pos + 16].split(" ", 1)[0]
    for phrase in NUMBER_PHRASES.get(first, ()):
        end = pos + len(phrase)
        if low.startswith(phrase, pos) and low[end : end + 1] in ("", " ", ","):
            if _NOT_NUMBERS.match(low, pos):
                return None
            return NUMBERS[phrase], end, phrase
    return None


def one_number(low: str, pos: int) -> Number | None:
    """One number at ``pos`` of lower-case text, in digits or words, without a range."""
    if pos >= len(low):
        return None
    word = ""
    if low[pos].isalpha():
        spoken = _words(low, pos)
        if not spoken:
            return None
        value, end, word = spoken
        if value is None:
            return Number(None, None, end, word)
    else:
        written = _digits(low, pos)
        if not written:
            return None
        value, end = written
    if low[end : end + 1] == " " and low[end + 1 : end + 2] in _GOES_ON:
        value, end = _more(low, end, value)
    return Number(value, None, end, word)


def _more(low: str, end: int, value: float) -> tuple[float, int]:
    """What may follow a number: "and a half", "dozen", and the "of a" of "½ of a lemon"."""
    if found := _AND_A.match(low, end):
        half = NUMBERS[found[1]]
        return value + (half or 0), found.end()
    if found := _DOZEN.match(low, end):
        return value * 12, found.end()
    if found := _OR_MORE.match(low, end):
        return value, found.end()
    if value < 1 and (found := _OF_A.match(low, end)):
        return value, found.end() - 1
    return value, end


def _summed(low: str, first: Number) -> Number:
    """ "1/4 + 1/8": two fractions as one number."""
    plus = _SUM.match(low, first.end) if first.low is not None and first.low < 1 else None
    more = one_number(low, plus.end()) if plus else None
    if first.low is None or more is None or more.low is None or more.low >= 1:
        return first
    return Number(first.low + more.low, None, more.end, first.word)


def number(low: str, pos: int) -> Number | None:
    """A number or a range at ``pos`` of lower-case text; "about" and the like before it are passed over.

    "2-3", "2 to 3", "2 or 3" and "between 2 and 3" are ranges; "1-1/2" is one and a half.
    """
    start = pos
    if low[pos : pos + 1] > "9" and (found := _ABOUT.match(low, pos)):  # letters, and ~
        start = found.end()
    first = one_number(low, start) or (one_number(low, pos) if start > pos else None)
    if not first or first.low is None:
        return first
    if low[first.end : first.end + 2].lstrip(" ")[:1] not in _SUM_OR_RANGE:
        return first
    if (other := _OR_IN_BRACKETS.match(low, first.end)) and float(other[1]) > first.low:
        return Number(first.low, float(other[1]), other.end(), first.word)
    first = _summed(low, first)
    to = _TO.match(low, first.end)
    if not to or ("and" in to[0] and "between" not in low[pos:start]):
        return first
    second = one_number(low, to.end())
    if not second or second.low is None or second.word in ("a", "an") or second.low <= (first.low or 0):
        return first
    return Number(first.low, second.low, second.end, first.word)
