"""Figures that cannot be: no answer may show one without a word about it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import isfinite
from typing import Any

from data_loaders.schema import FOOD_COLUMNS, TableData
from nutrilab.measures import MOST
from nutrilab.results import DishResult, LineRecord

HEAVY, MOST_PORTION, MOST_KCAL = MOST, MOST, 9 * MOST  # [g] a line, [g] and [kcal] a portion
WHOLE = 100.5  # [g] of macronutrients in 100 g
SLACK = 0.05  # [g] a part may be above its whole, by the rounding of the tables


def of_line(record: LineRecord) -> Iterator[str]:
    """What cannot be of a line."""
    grams, low, high = record.grams, record.low, record.high
    if grams is None:
        return
    if not all(end is not None and isfinite(end) and end >= 0 for end in (grams, low, high)):
        yield f"grams that are no weight: {grams}, {low} to {high}"
    elif not (low or 0) - 1e-6 <= grams <= (high or 0) + 1e-6:
        yield f"grams outside their range: {grams}, {low} to {high}"
    elif grams > HEAVY and not record.remarks:
        yield f"{grams:.0f} g without a word"


def of_dish(result: DishResult, record: Mapping[str, Any]) -> Iterator[str]:
    """What cannot be of a dish, where nothing is said about it."""
    for stage in result.stages:
        for line in stage.records:
            yield from of_line(line)
    portion, hundred = record["per_portion"], record["per_100g"]
    known = {key: value for key, value in portion.items() if value is not None}
    if any(not isfinite(value) or value < -1e-9 for value in known.values()):
        yield f"figures that are none: {known}"
    said = {remark.code for remark in result.remarks}
    if not said:
        yield from _improbable(record, hundred)


def _improbable(record: Mapping[str, Any], hundred: Mapping[str, float | None]) -> Iterator[str]:
    if (record["portion_weight_g"] or 0) > MOST_PORTION or (record["per_portion"]["energy_kcal"] or 0) > MOST_KCAL:
        yield "a portion for a giant without a word"
    macros = [hundred[key] or 0.0 for key in ("fat", "carbohydrate", "protein", "fibre")]
    if sum(macros) > WHOLE:
        yield f"more than 100 g in 100 g without a word: {macros}"
    for part, whole in (("sugars", "carbohydrate"), ("saturates", "fat")):
        if hundred[part] is not None and hundred[whole] is not None and hundred[part] > hundred[whole] + SLACK:  # type: ignore[operator]
            yield f"more {part} than {whole} without a word"


def of_table(table: TableData) -> Iterator[str]:
    """What cannot be of a table that was taken."""
    values = table.foods[list(table.foods.columns[len(FOOD_COLUMNS) :])]
    if bool((values < 0).any().any()) or bool((values == float("inf")).any().any()):
        yield "a value below zero or without end was taken"
    if bool((table.measures["grams"] <= 0).any()):
        yield "a measure without weight was taken"
