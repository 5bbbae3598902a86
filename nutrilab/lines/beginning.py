"""The beginning of a line that settles its amount: there are few, and what stands behind is no part of it."""

from __future__ import annotations

import re
from functools import lru_cache

from nutrilab.lines.units import LENGTHS
from nutrilab.lines.words import (
    ABOUT,
    FIRST_OF_TWO,
    NOT_NUMBERS,
    NOT_UNITS,
    NUMBERS,
    SHORT_SIZES,
    SHORTEST_SLIP,
    UNIT_SIZE,
    UNITS,
    misspelt,
)

_LONGEST = 12  # words of an amount that are looked at
_FOOD = "food"  # stands for any word that ends an amount
_BEFORE_INCHES = (*LENGTHS, "cent", "percent")  # so may longer words begin that are looked at behind a number
# The last word of a thing that is named like a measure, "cup mushrooms", and what stands before it, there too with the
# number glued to it.
_LIKE_A_MEASURE: dict[str, tuple[str, ...]] = {}
for _measure, _, _last in (phrase.rpartition(" ") for phrase in NOT_UNITS):
    _LIKE_A_MEASURE[_last] = (*_LIKE_A_MEASURE.get(_last, ()), _measure)
# All words that the patterns of amounts.py, units.py and numbers.py know, and those of the lists they look into.
AMOUNT_WORDS = frozenset(
    "a about an and approx approximately cent each fewer for half in is less more my no nos number numbers of one or "
    "per plus quarter quarters size sized so some st nd rd th the third three to two up vol x your dozen".split()
) | {
    word
    for known in (UNITS, FIRST_OF_TWO, UNIT_SIZE, SHORT_SIZES, NUMBERS, NOT_NUMBERS, ABOUT)
    for phrase in known
    for word in re.findall(r"[^\W\d_]+", phrase.lower())
}


def beginning(low: str) -> str:
    """Lower-case text up to the first word that no amount has, for which one such word stands."""
    at, before = 0, ""
    for word in low.split(" ", _LONGEST)[:_LONGEST]:
        if ends_amount(word) and not before.endswith(_LIKE_A_MEASURE.get(word.removesuffix(","), ())):
            return f"{low[:at]}{_FOOD}"
        at, before = at + len(word) + 1, word.rstrip(".")
    return low


@lru_cache(maxsize=8192)
def ends_amount(word: str) -> bool:
    """Whether a word of a lower-case line is no part of any amount before it, so that none goes on behind it."""
    word = word.removesuffix(",")
    if word in AMOUNT_WORDS or word.startswith(_BEFORE_INCHES) or (len(word) >= SHORTEST_SLIP and misspelt(word)):
        return False
    return word.isascii() and word.isalpha()
