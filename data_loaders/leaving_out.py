"""What no food can hold is not taken over from any table: the value is left out, and a word says so.

A value above what its unit allows in 100 g (protein of 101 g) or below zero becomes missing, never zero; a household
measure of more than a man can carry goes. The rest of the table stands.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from data_loaders.schema import FOOD_COLUMNS, TableData, components

if TYPE_CHECKING:
    import pandas as pd

# Most of anything in 100 g of food, by unit: the whole of it, with rounding; energy: pure fat (USDA SR28: 902 kcal).
MOST = {"g": 100.5, "mg": 100_500.0, "µg": 100_500_000.0, "ug": 100_500_000.0, "kcal": 905.0, "kJ": 3790.0}
MOST_SODIUM = 39_400.0  # [mg] sodium chloride is 22.99 / 58.44 sodium (atomic weights)
MOST_MEASURE = 25_000.0  # [g] of one household measure: common practice, no source
LEAST_MEASURE = 1e-4  # [g]: common practice, no source


def most(tagname: str) -> float:
    """The most of a component that 100 g can hold, in its unit; without end where its unit is none of weight."""
    return MOST_SODIUM if tagname == "NA" else MOST.get(components()[tagname].unit, float("inf"))


def leave_out(table: TableData) -> tuple[TableData, tuple[str, ...]]:
    """The table without what cannot be, and a sentence for each thing that was left out."""
    foods, said = _foods(table.foods)
    measures = table.measures
    possible = measures["grams"].between(LEAST_MEASURE, MOST_MEASURE) & (measures["amount"] < float("inf"))
    wrong = measures[~possible & (measures["grams"] > 0)]
    for food_id, grams in zip(wrong["food_id"], wrong["grams"], strict=True):
        said.append(f"{food_id}: a household measure of {grams:g} g cannot be and was left out")
    if not said:
        return table, ()
    return replace(table, foods=foods, measures=measures.drop(wrong.index).reset_index(drop=True)), tuple(said)


def _foods(foods: pd.DataFrame) -> tuple[pd.DataFrame, list[str]]:
    said: list[str] = []
    kept = foods
    for tagname in foods.columns[len(FOOD_COLUMNS) :]:
        values = foods[tagname]
        wrong = values.notna() & ~values.between(0, most(tagname))
        if not wrong.any():
            continue
        kept = kept.copy() if kept is foods else kept
        kept.loc[wrong, tagname] = float("nan")
        name, unit = components()[tagname].name, components()[tagname].unit
        for food_id, value in zip(foods.loc[wrong, "food_id"], values[wrong], strict=True):
            said.append(f"{food_id}: {name} of {value:g} {unit} in 100 g cannot be and was left out")
    return kept, said
