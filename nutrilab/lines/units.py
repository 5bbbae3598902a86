"""Units and sizes where they stand in a text, and what they measure."""

from __future__ import annotations

import re

from nutrilab.lines.clean import VULGAR
from nutrilab.lines.words import (
    FACTORS,
    FIRST_OF_TWO,
    NOT_UNITS,
    SHORT_SIZES,
    SHORTEST_SLIP,
    UNIT_SIZE,
    UNITS,
    Unit,
    misspelt,
)

_SIZE_ENDS = ("-sized", "-size", "-length", "-thick")
_WORD = re.compile(r"[ -]?([a-z]++)(?![^\W\d_])(?!(?<=\bt)-[a-z])")  # a T-bone is no teaspoon
_ONE_OR_LESS = re.compile(rf"1|[{VULGAR}]|[1-9]/[1-9]|an?|half a|one")
_SECOND_WORD = re.compile(r"\.?\s?([a-z]++)")
_SIZE_WORD = re.compile(r"[ -]?([a-z]+(?:-[a-z]+)*)\.?(?=[ ,])")
_DIMENSIONS = {unit: factor.dimension for unit, factor in FACTORS.items()}
# What stands before the last word of a thing that is named like a measure: the cup of "cup mushrooms".
_LIKE_A_MEASURE = frozenset(phrase.rpartition(" ")[0] for phrase in NOT_UNITS)
LENGTHS = "piece knob stick chunk length thick long slice dice cube thumb round square nub strip wide".split()
_INCH_AFTER = re.compile(rf"\s?/|\)|[\s-](?:{'|'.join(LENGTHS)})|$")


def unit_at(low: str, pos: int) -> tuple[Unit, int] | None:
    """A unit word at ``pos`` (a space or hyphen may stand before it): unit and where the text goes on."""
    found = _WORD.match(low, pos)
    if not found:
        return None
    word, end = found[1], found.end()
    if word in FIRST_OF_TWO and (second := _SECOND_WORD.match(low, end)) and f"{word} {second[1]}" in UNITS:
        word, end = f"{word} {second[1]}", second.end()
    unit = UNITS.get(word) or (misspelt(word) if len(word) >= SHORTEST_SLIP else None)
    if unit is None or (word == "in" and not low[found.start(1) - 1].isnumeric() and not _INCH_AFTER.match(low, end)):
        return None
    if word in _LIKE_A_MEASURE and unit.kind not in ("mass", "spoon"):
        following = _SECOND_WORD.match(low, end)
        if following and f"{word} {following[1]}" in NOT_UNITS and not _one_cup(low, found.start(), following[1]):
            return None
    return unit, end


def _one_cup(low: str, pos: int, food: str) -> bool:
    """ "1 cup mushrooms" is a measure of several; "2 cup mushrooms" are mushrooms of that kind."""
    return food.endswith("s") and _ONE_OR_LESS.fullmatch(low[:pos].strip()) is not None


def sizes_at(low: str, pos: int) -> tuple[list[str], int]:
    """Size words before a unit ("lightly heaped", "large"), and where the text goes on."""
    words: list[str] = []
    while (found := _SIZE_WORD.match(low, pos)) and (found[1] in UNIT_SIZE or found[1].endswith(_SIZE_ENDS)):
        words.append(SHORT_SIZES.get(found[1], found[1]))
        pos = found.end()
    return words, pos


def dimension(unit: str) -> str | None:
    """mass, volume or length of a measured unit; None for counted ones."""
    return _DIMENSIONS.get(unit)


def ratio(unit: str, to: str) -> float:
    """How many ``to`` one ``unit`` is (both British); both must be of one dimension."""
    return FACTORS[unit].uk / FACTORS[to].uk


def metric(unit: str) -> bool:
    """Whether a unit belongs to the metric system."""
    return unit in ("g", "kg", "mg", "ml", "cl", "dl", "l", "cm", "mm")
