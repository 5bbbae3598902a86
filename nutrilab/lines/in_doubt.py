"""Numbers that can be read in two ways, or that no kitchen writes: asked about, never read in silence.

"1.500 g" is 1,500 g to one cook and 1½ g to another; "½½ cup" is a slip. Only numbers that could be the amount are
looked at: one that begins the line, or that a unit follows ("omega 3,6,9 oil" has none).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from nutrilab.lines.clean import VULGAR
from nutrilab.lines.units import unit_at
from nutrilab.lines.words import KINDS
from nutrilab.messages import say
from nutrilab.plain import quoted
from nutrilab.remarks import Code

MOST_DIGITS = 6  # a million of anything is no amount of a recipe
LONGEST_WORD = 16  # characters of what may stand before an amount: "approximately"
_SMALL = ("g", "ml", "mg")  # units of which a thousand is an everyday amount
_LARGE = ("kg", "l", "lb", "stone", "pint", "quart", "gallon")  # and those of which it never is one
# What a number may be written with: figures and fractions, and between them signs, an exponent, or a space before
# three figures, a fraction or a stroke. No two of these begin alike, and none gives back what it took: one way to read.
_FIGURES = rf"[\d{VULGAR}]++"
_BETWEEN = (
    rf"[.,'/]++(?:(?<=/)\s)?|\s/++\s?|(?<=\d)e[+-]?|\s(?=[{VULGAR}]|\d{{1,3}}\s?/\s?\d)|(?<=\d)\s(?=\d{{3}}(?!\d))"
)
_NUMBER = re.compile(
    rf"[.,\d{VULGAR}](?<![a-wyz_\d.,{VULGAR}'].)(?:(?<![.,])[\d{VULGAR}]*+|(?=\d){_FIGURES})"
    rf"(?:(?:{_BETWEEN}){_FIGURES})*",
    re.ASCII,
)
# What no doubtful number is without: a sign, an exponent or a space between figures, a fraction by another, too many.
_MAYBE = re.compile(
    rf"[\d{VULGAR}](?:\s?[.,'/]++\s?[\d{VULGAR}]|\s[\d{VULGAR}]|[{VULGAR}]"
    rf"|(?<=\d)(?:e[+-]?[\d{VULGAR}]|\d{{{MOST_DIGITS}}})|(?<=\D)\d)"
)
_RUN = re.compile(rf"[{VULGAR}](?:\d|\s?[{VULGAR}])|/\s?\d{{1,3}}\s?[{VULGAR}]|[{VULGAR}/]\s?\d{{0,3}}\s\d{{1,3}}\s?/")
_SLASHES = re.compile(r"/\s?\d*\s?/")
_POINTS = re.compile(r"\d{1,3}(?:\.\d{3})+")  # 1.500, 1.234.567
_COMMAS = re.compile(r"\d{1,3}(?:,\d{3})+")
_MIXED = re.compile(r"\d{1,3}(?:\.\d{3})+,\d+")  # 1.234,5
_ODD = re.compile(r"[.,]{2}|,\d{1,2},|,\d+,\d{1,2}\b|\.\d+\.|'|e|,\d+\.\d+,")
_GLUED = re.compile(r"\d(\d)/([2348])")  # 21/2: two and a half, or ten and a half
_SPACED = re.compile(r"(\d{1,3}) (\d{3})")  # 1 500
_TWO_WAYS = (_MIXED, _POINTS, _COMMAS, _GLUED, _SPACED)
_WHOLE = re.compile(r"[./]")  # what ends the whole part of a number
_PLURAL = re.compile(r"[a-z]{3,}s\b")


@dataclass(frozen=True, slots=True)
class InDoubt:
    """Where a doubtful number stands in a line, as written, and what is to be said of it."""

    start: int
    end: int
    code: Code
    message: str


def in_doubt(low: str) -> InDoubt | None:
    """The first doubtful number of a lower-case line; None if there is none. Time grows with the line."""
    if not _MAYBE.search(low):
        return None
    return first_in_doubt(low)


def first_in_doubt(low: str) -> InDoubt | None:
    """The same, looked for at every number."""
    for found in _NUMBER.finditer(low):
        written = found[0].rstrip(".,/'")
        end = found.start() + len(written)
        if not written or _is_clear(written):
            continue
        if not (found.start() == 0 or unit_at(low, end) or _begins(low, found.start())):
            continue
        if said := _said(written, low, end):
            return InDoubt(found.start(), end, *said)
    return None


@lru_cache(maxsize=1024)
def _is_clear(written: str) -> bool:
    """Whether there is nothing to ask about a number, whatever follows it: most are so, and few are different."""
    doubtful = _is_absurd(written) or _SLASHES.search(written) or _ODD.search(written) or _RUN.search(written)
    return not doubtful and not any(shape.fullmatch(written) for shape in _TWO_WAYS)


def _is_absurd(written: str) -> bool:
    return sum(map(str.isdigit, _WHOLE.split(written)[0])) > MOST_DIGITS


def _said(written: str, low: str, end: int) -> tuple[Code, str] | None:
    """The code of a remark on a number, and the remark; None where it is clear."""
    number = quoted(written[:20])
    if _is_absurd(written):
        return Code.AMOUNT_ABSURD, say("line.number-absurd", number=number)
    if _SLASHES.search(written) or (_ODD.search(written) and not _MIXED.fullmatch(written)):
        return Code.AMOUNT_NOT_UNDERSTOOD, say("line.number-not-one", number=number)
    if _RUN.search(written) and low[end : end + 1] != "-":  # "1/2 1/4-inch slices" are a count and a size
        return Code.AMOUNT_AMBIGUOUS, say("line.number-two-fractions", number=number)
    if ways := _ways(written, low, end):
        return Code.AMOUNT_AMBIGUOUS, say("line.number-two-ways", number=number, one=ways[0], other=ways[1])
    return None


def _begins(low: str, at: int) -> bool:
    """Whether at most a sign or a word such as "about" stands before a number."""
    return at <= LONGEST_WORD and len(low[:at].split()) <= 1 and not any(c.isdigit() for c in low[:at])


def _ways(written: str, low: str, end: int) -> tuple[str, str] | None:
    """The two things a number may mean; None where it is clear."""
    unit = unit_at(low, end)
    name = unit[0].name if unit else ""
    if _MIXED.fullmatch(written):
        return written.replace(".", "").replace(",", "."), written.replace(",", "")
    if written[0] == "0":
        return None  # 0.500 and 0,500 are a half
    if _POINTS.fullmatch(written) and name in ("", *_SMALL):
        return written.replace(".", ","), f"{float(written):g}"
    if _COMMAS.fullmatch(written) and name in _LARGE:
        return written, f"{float(written.replace(',', '.')):g}"
    glued = _GLUED.fullmatch(written)
    if glued and int(glued[1]) < int(glued[2]):
        return f"{written[0]} {written[1:]}", written
    spaced = _SPACED.fullmatch(written)
    if spaced and unit and name in _SMALL and low[end : end + 1] == " " and not _counted(low, unit[1]):
        return f"{spaced[1]},{spaced[2]} {name}", f"{spaced[1]} of {spaced[2]} {name}"
    return None


def _counted(low: str, end: int) -> bool:
    """Whether what follows a weight is counted: "1 400 g tin", "2 250 g steaks"."""
    holder = unit_at(low, end)
    return bool(holder and KINDS.get(holder[0].name) in ("container", "piece")) or _PLURAL.search(low, end) is not None
