"""Figures that cannot be: no answer may show one without a word about it, said first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from math import isfinite
from typing import Any

from data_loaders.leaving_out import leave_out, limits, most
from data_loaders.schema import FOOD_COLUMNS, TableData
from nutrilab.plausible import FIRST, limit, too_salty
from nutrilab.remarks import Code, Remark
from nutrilab.results import DishResult, LineRecord

NOISE = 1e-6  # share or grams by which arithmetic may be off


def of_line(record: LineRecord) -> Iterator[str]:
    """What cannot be of a line."""
    grams, low, high = record.grams, record.low, record.high
    if grams is None:
        return
    if not all(end is not None and isfinite(end) and end >= 0 for end in (grams, low, high)):
        yield f"grams that are no weight: {grams}, {low} to {high}"
    elif not (low or 0) - 1e-6 <= grams <= (high or 0) + 1e-6:
        yield f"grams outside their range: {grams}, {low} to {high}"
    elif grams > limit("line weight at all") * max(1, len(record.foods)):
        yield f"{grams:.0f} g, more than a tonne"
    elif grams > limit("line weight") and not _said(record.remarks, Code.IMPROBABLE):
        yield f"{grams:.0f} g without a word"
    yield from _order(record.remarks)


def of_dish(result: DishResult, record: Mapping[str, Any]) -> Iterator[str]:
    """What cannot be of a dish, where nothing is said about it."""
    for stage in result.stages:
        for line in stage.records:
            yield from of_line(line)
    figures = (*record["per_portion"].values(), *record["per_100g"].values())
    if any(value is not None and (not isfinite(value) or value < -1e-9) for value in figures):
        yield f"figures that are none: {record['per_portion']}"
    yield from _improbable(result, record, record["per_100g"])
    yield from _incomplete(record)
    yield from _order(result.remarks)


def _improbable(result: DishResult, record: Mapping[str, Any], hundred: Mapping[str, float | None]) -> Iterator[str]:
    said = _said(result.remarks, Code.IMPROBABLE)
    kcal = record["per_portion"]["energy_kcal"] or 0
    if not said and (record["portion_weight_g"] > limit("portion weight") or kcal > limit("portion energy")):
        yield "a portion for a giant without a word"
    if not said and too_salty(hundred["salt"], result.recipe.dish):
        yield f"{hundred['salt']:.0f} g of salt in 100 g without a word"
    macros = [hundred[key] or 0.0 for key in ("fat", "carbohydrate", "protein", "fibre")]
    if (
        sum(macros) > limit("macronutrients") + NOISE
        and not said
        and not _said(result.remarks, Code.TABLE_CONTRADICTS_ITSELF)
    ):
        yield f"more than 100 g in 100 g without a word: {macros}"
    for part, whole in (("sugars", "carbohydrate"), ("saturates", "fat")):
        inner, outer = hundred[part], hundred[whole]
        if inner is not None and outer is not None and inner > outer + NOISE:
            yield f"more {part} than {whole}"


def _incomplete(record: Mapping[str, Any]) -> Iterator[str]:
    if record["unweighed"] and record["complete"]:
        yield "a dish that lacks a line is called complete"
    if record["unweighed"] and not record["coverage"]["mass_linked"] < 1:
        yield "a dish that lacks a line is covered whole"


def _said(remarks: Iterable[Remark], code: str) -> bool:
    return any(remark.code == code for remark in remarks)


def _order(remarks: Iterable[Remark]) -> Iterator[str]:
    first = [remark.code in FIRST for remark in remarks]
    if first != sorted(first, reverse=True):
        yield "the improbable is not said first"


def of_table(table: TableData) -> Iterator[str]:
    """What cannot be of a table that was taken."""
    taken = leave_out(table, "the table")
    for tagname in taken.foods.columns[len(FOOD_COLUMNS) :]:
        values = taken.foods[tagname].dropna()
        if not values.between(0, most(tagname)).all():
            yield f"{tagname} that cannot be was taken"
    grams = taken.measures["grams"]
    if not grams.between(limits()["least measure"], limits()["measure"]).all():
        yield "a measure that cannot be was taken"
