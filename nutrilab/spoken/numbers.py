"""Numbers as they are spoken: "two hundred and fifty", "two fifty", "one and a half", "half a dozen", "a couple of"."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

_ONES = dict(
    zip(
        "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
        "eighteen nineteen".split(),
        range(1, 20),
        strict=True,
    )
)
_TENS = dict(zip("twenty thirty forty fifty sixty seventy eighty ninety".split(), range(20, 100, 10), strict=True))
_SIGNS = {"½": 0.5, "¼": 0.25, "¾": 0.75, "⅓": 1 / 3, "⅔": 2 / 3, "⅛": 0.125}
_NUMBERS = frozenset((*_ONES, *_TENS, "hundred", "thousand", "half", "quarter", "dozen"))
_TOKEN = re.compile(
    r"\d{1,6}(?:[.,]\d{1,3})?|[½¼¾⅓⅔⅛]|[^\W\d_]+(?:['’][^\W\d_]+)*(?:-[^\W\d_]+(?:['’][^\W\d_]+)*)*|[.,;:?!…()–—]"
)
SIGNS = frozenset(".,;:?!…()–—")
# Shares of one thing, before "a", "of a" or a unit.
_PARTS = (
    (("three", "quarters"), 0.75), (("three", "quarter"), 0.75), (("two", "thirds"), 2 / 3), (("a", "quarter"), 0.25),
    (("a", "third"), 1 / 3), (("one", "third"), 1 / 3), (("a", "half"), 0.5), (("half",), 0.5), (("quarter",), 0.25),
)  # fmt: skip
AND_A_PART = {
    ("and", "a", "half"): 0.5, ("and", "a", "quarter"): 0.25, ("and", "three", "quarters"): 0.75,
    ("and", "a", "third"): 1 / 3, ("and", "half"): 0.5,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Token:
    """A word or sign as said, in small letters; number: what it counts, None for a word; share: of one thing ("half
    a"); start: where it begins in the text.
    """

    word: str
    said: str
    number: float | None = None
    share: bool = False
    start: int = 0


def tokens(text: str) -> tuple[Token, ...]:
    """The words of a text with its numbers read."""
    raw: list[str] = []
    starts: list[int] = []
    for found in _TOKEN.finditer(text):
        parts = found[0].split("-")
        # "four-hundred-gram tins" are spoken numbers, "self-raising" is a word.
        pieces = parts if len(parts) > 1 and _NUMBERS & {p.lower() for p in parts} else [found[0]]
        raw += pieces
        starts += [found.start()] * len(pieces)
    return tuple(_folded(raw, starts))


def _folded(raw: Sequence[str], starts: Sequence[int]) -> Iterator[Token]:
    low = [word.lower().replace("’", "'") for word in raw]
    at = 0
    while at < len(low):
        number, length, share = _number(low, at)
        if number is None:
            yield Token(low[at], raw[at], start=starts[at])
            at += 1
        else:
            yield Token("#", " ".join(raw[at : at + length]), number, share, starts[at])
            at += length


def _number(low: Sequence[str], at: int) -> tuple[float | None, int, bool]:
    """A number that begins here, the words it takes, and whether it is a share of one thing."""
    part, length = _part(low, at)
    if part is not None:
        return part, length, True
    if low[at] == "a" and low[at + 1 : at + 2] in (["couple"], ["hundred"], ["thousand"], ["dozen"]):
        if low[at + 1] == "couple":
            return 2.0, 3 if low[at + 2 : at + 3] == ["of"] else 2, False
        value, length = _whole(["one", *low[at + 1 :]], 0)
        return value, length, False
    if low[at] == "couple" and low[at + 1 : at + 2] == ["of"]:
        return 2.0, 2, False
    value, length = _whole(low, at)
    if value is None:
        return None, 0, False
    for words, more in AND_A_PART.items():
        if tuple(low[at + length : at + length + len(words)]) == words:
            return value + more, length + len(words), False
    return value, length, False


def _part(low: Sequence[str], at: int) -> tuple[float | None, int]:
    for words, value in _PARTS:
        end = at + len(words)
        if tuple(low[at:end]) != words:
            continue
        if low[end : end + 1] == ["dozen"]:
            return value * 12, len(words) + 1
        if low[end : end + 2] == ["a", "dozen"]:
            return value * 12, len(words) + 2
        if low[end : end + 2] in (["of", "a"], ["of", "an"]):
            return value, len(words) + 2
        if low[end : end + 1] in (["a"], ["an"]):
            return value, len(words) + 1
        return (None, 0) if low[end : end + 1] in (["of"], ["the"], ["an"]) else (value, len(words))
    return None, 0


def _whole(low: Sequence[str], at: int) -> tuple[float | None, int]:
    """A whole number in figures or words."""
    word = low[at]
    if word in _SIGNS:
        return _SIGNS[word], 1
    if word[0].isdigit():
        digits = word.replace(",", "") if re.fullmatch(r"\d{1,3},\d{3}", word) else word.replace(",", ".")
        value = float(digits)
        if at + 1 < len(low) and low[at + 1] in _SIGNS:
            return value + _SIGNS[low[at + 1]], 2
        return value, 1
    first, length = _below_hundred(low, at)
    if first is None:
        return None, 0
    follows = low[at + length : at + length + 1]
    if follows == ["dozen"]:
        return first * 12.0, length + 1
    if follows == ["thousand"]:
        return first * 1000.0, length + 1
    if follows == ["hundred"]:
        more, taken = _after_hundred(low, at + length + 1)
        return first * 100.0 + more, length + 1 + taken
    if first < 10 and length == 1 and follows and follows[0] in _TENS:  # "two fifty", "one seventy five"
        tens, taken = _below_hundred(low, at + 1)
        return first * 100.0 + (tens or 0), 1 + taken
    return float(first), length


def _after_hundred(low: Sequence[str], at: int) -> tuple[int, int]:
    skip = 1 if low[at : at + 1] == ["and"] else 0
    value, length = _below_hundred(low, at + skip)
    return (value, skip + length) if value is not None else (0, 0)


def _below_hundred(low: Sequence[str], at: int) -> tuple[int | None, int]:
    word = low[at] if at < len(low) else ""
    if word in _TENS:
        ones = _ONES.get(low[at + 1], 0) if low[at + 1 : at + 2] and low[at + 2 : at + 3] != ["hundred"] else 0
        return (_TENS[word] + ones, 2) if 0 < ones < 10 else (_TENS[word], 1)
    return (_ONES[word], 1) if word in _ONES else (None, 0)
