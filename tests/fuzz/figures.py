"""Figures that cannot be: no answer may show one without a word about it. The limits are data/plausible.csv."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import isfinite
from typing import Any

from data_loaders.schema import FOOD_COLUMNS, TableData
from nutrilab.measures import MOST
from nutrilab.plausible import CODE, limit
from nutrilab.results import DishResult, LineRecord

SLACK = 0.05  # [g] a part may be above its whole by the rounding of the tables


def of_line(record: LineRecord) -> Iterator[str]:
    """What cannot be of a line."""
    grams, low, high = record.grams, record.low, record.high
    if grams is None:
        return
    if not all(end is not None and isfinite(end) and end >= 0 for end in (grams, low, high)):
        yield f"grams that are no weight: {grams}, {low} to {high}"
    elif not (low or 0) - 1e-6 <= grams <= (high or 0) + 1e-6:
        yield f"grams outside their range: {grams}, {low} to {high}"
    elif grams > MOST * max(1, len(record.foods)):
        yield f"{grams:.0f} g, more than a tonne"
    elif grams > limit("line weight") and CODE not in _codes(record):
        yield f"{grams:.0f} g without a word"


def _codes(record: LineRecord) -> set[str]:
    return {remark.code for remark in record.remarks}


def of_dish(result: DishResult, record: Mapping[str, Any]) -> Iterator[str]:
    """What cannot be of a dish, and what hardly can where nothing is said about it."""
    for stage in result.stages:
        for line in stage.records:
            yield from of_line(line)
    portion, hundred = record["per_portion"], record["per_100g"]
    known = [value for value in (*portion.values(), *hundred.values()) if value is not None]
    if any(not isfinite(value) or value < -1e-9 for value in known):
        yield f"figures that are none: {portion}"
    said = {remark.code for remark in result.remarks}
    if CODE not in said:
        if (record["portion_weight_g"] or 0) > limit("portion weight"):
            yield f"a portion of {record['portion_weight_g']} g without a word"
        if (portion["energy_kcal"] or 0) > limit("portion energy"):
            yield f"a portion of {portion['energy_kcal']} kcal without a word"
    if record["complete"] and any(line.grams is None and line.foods and not line.no_food for line in _lines(result)):
        yield "complete, though a line was not weighed"
    yield from _of_100_g(hundred, bool(said))


def _lines(result: DishResult) -> Iterator[LineRecord]:
    for stage in result.stages:
        yield from stage.records


def _of_100_g(hundred: Mapping[str, float | None], said: bool) -> Iterator[str]:
    macros = [hundred[key] or 0.0 for key in ("fat", "carbohydrate", "protein", "fibre")]
    if sum(macros) > limit("macronutrients") and not said:
        yield f"more than 100 g in 100 g without a word: {macros}"
    for part, whole in (("sugars", "carbohydrate"), ("saturates", "fat")):
        one, other = hundred[part], hundred[whole]
        if one is not None and other is not None and one > other + SLACK and not said:
            yield f"more {part} than {whole} without a word"


def of_table(table: TableData) -> Iterator[str]:
    """What cannot be of a table that was taken."""
    values = table.foods[list(table.foods.columns[len(FOOD_COLUMNS) :])]
    if bool((values < 0).any().any()) or bool((values == float("inf")).any().any()):
        yield "a value below zero or without end was taken"
    if bool((table.measures["grams"] <= 0).any()) or bool((table.measures["grams"] > MOST).any()):
        yield "a measure that weighs nothing, or more than a tonne, was taken"
