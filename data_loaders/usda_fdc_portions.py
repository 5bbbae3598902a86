"""Household measures as FoodData Central writes them, each type in its own way, as amount and words."""

from __future__ import annotations

from data_loaders.keyed import leading
from data_loaders.usda_fdc_parts import SURVEY

_NOTHING = frozenset(("", "undetermined"))  # measure unit 9999 of the Standard Reference's measures
# Starts of survey portions that are no measure of the food: a default for interviews, or what goes with another food
# (portions of FNDDS 2015-2016).
_NO_MEASURE = ("quantity not specified", "guideline amount")
# Weights with the part that is thrown away, or of that part alone; values are of the edible part (food_portion.csv of
# the Foundation download of 2022 has them for the samples bought).
_WASTE = frozenset(("peel", "unpeeled", "whole in shell"))


def measure(kind: str, amount: float | None, unit: str, description: str, modifier: str) -> tuple[float, str] | None:
    """Amount and words of a portion, such as 2 and "cup, chopped"; None when it is no measure of the food.

    unit: name of the measure unit ("cup", "undetermined"); description: "1 cup, chopped" in survey foods, which
    give neither amount nor unit; modifier: the Standard Reference's words, a code in survey foods.
    """
    parts = [unit.strip(), description.strip(), "" if kind == SURVEY else modifier.strip()]
    parts = [part for part in parts if part.lower() not in _NOTHING]
    if not parts or parts[-1].lower() in _WASTE or parts[0].lower().startswith(_NO_MEASURE):
        return None
    words = ", ".join(parts)
    return (amount, words) if amount and kind != SURVEY else leading(words)
