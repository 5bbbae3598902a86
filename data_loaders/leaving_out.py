"""What no food can hold is not taken over from any table: the value is left out, and a word says so.

A value above what 100 g can hold (protein of 101 g) or below zero becomes missing, never zero; so do macronutrients
that are far more than the whole together, as nobody knows which of them is wrong. A household measure that no hand
could lift goes. The rest of the table stands, unless most of a column cannot be: then its unit is wrong, and the table
is refused. The limits are possible.csv, each with its source.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from data_loaders.schema import FOOD_COLUMNS, TableData, TableError, components
from nutrilab.messages import say

if TYPE_CHECKING:
    import pandas as pd

MOSTLY, ENOUGH = 0.5, 20  # share of a column's values that cannot be, of at least so many, from which its unit is wrong
_PARTS = ("FAT", "PROCNT", "FIBTG", "CHOAVL", "CHOCDF")


@cache
def limits() -> dict[str, float]:
    """The rows of possible.csv: unit, tagname or other thing -> the most of it."""
    return {row["what"]: float(row["most"]) for row in _rows("possible.csv")}


def _rows(name: str) -> list[dict[str, str]]:
    with (Path(__file__).parent / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def most(tagname: str) -> float:
    """The most of a component that 100 g can hold, in its unit. Raises KeyError for an unknown component or unit."""
    found = limits()
    return found[tagname] if tagname in found else found[components()[tagname].unit]


def macronutrients(foods: pd.DataFrame) -> pd.Series:
    """Fat, available carbohydrate, fibre and protein together [g in 100 g]; what is not known counts nothing."""
    import pandas as pd

    nothing = pd.Series(float("nan"), index=foods.index, dtype="float64")
    fat, protein, fibre, available, whole = (
        foods[tag].astype("float64") if tag in foods else nothing for tag in _PARTS
    )
    carbohydrate = available.fillna((whole - fibre.fillna(0.0)).clip(lower=0))
    return fat.fillna(0.0) + protein.fillna(0.0) + fibre.fillna(0.0) + carbohydrate.fillna(0.0)


def leave_out(table: TableData, file: object) -> TableData:
    """The table without what cannot be, with a sentence for each thing that was left out (``left_out``).

    Raises TableError when most of a column cannot be.
    """
    foods, wrong, said = _values(table.foods, file)
    measures, strange = _measures(table.measures)
    notes, variation = _without(table.notes, wrong), _without(table.variation, wrong)
    said += strange
    if not said:
        return table
    return replace(
        table, foods=foods, measures=measures, notes=notes, variation=variation, left_out=(*table.left_out, *said)
    )


def _without(rows: pd.DataFrame | None, wrong: set[tuple[str, str]]) -> pd.DataFrame | None:
    """What is told of values, but not of those that were left out."""
    if rows is None:
        return None
    kept = [(food_id, tagname) not in wrong for food_id, tagname in zip(rows["food_id"], rows["tagname"], strict=True)]
    return rows[kept].reset_index(drop=True)


def _values(foods: pd.DataFrame, file: object) -> tuple[pd.DataFrame, set[tuple[str, str]], list[str]]:
    """The foods without values that cannot be; which these are, and what is said of them."""
    said: list[str] = []
    gone: set[tuple[str, str]] = set()
    kept = foods.copy()
    ids = foods["food_id"]
    for tagname in foods.columns[len(FOOD_COLUMNS) :]:
        values = foods[tagname].astype("float64")
        wrong = values.notna() & ~values.between(0, most(tagname))
        _refuse_unit(tagname, int(wrong.sum()), int(values.notna().sum()), file)
        for food_id, value in zip(ids[wrong], values[wrong], strict=True):
            gone.add((food_id, tagname))
            said.append(say("load.100-g-cannot-was-left", food=food_id, value=_named(tagname, value)))
        kept.loc[wrong, tagname] = float("nan")
    total = macronutrients(kept)
    there = [tag for tag in _PARTS if tag in kept]
    for i in total.index[total > limits()["macronutrients"]]:
        words = say("load.fat-carbohydrate-fibre-protein-g", weight=f"{total[i]:.0f}")
        said.append(f"{ids[i]}: {words}")
        gone |= {(ids[i], tag) for tag in there}
        kept.loc[i, there] = float("nan")
    return kept, gone, said


def _refuse_unit(tagname: str, wrong: int, there: int, file: object) -> None:
    if wrong >= ENOUGH and wrong > MOSTLY * there:
        name, unit = components()[tagname].name, components()[tagname].unit
        message = say(
            "load.values-cannot-column-may-another", wrong=f"{wrong:,}", there=f"{there:,}", name=name, unit=unit
        )
        raise TableError(message, file)


def _named(tagname: str, value: float) -> str:
    component = components()[tagname]
    return say("load.amount", name=component.name, value=f"{value:.6g}", unit=component.unit)


def _measures(measures: pd.DataFrame) -> tuple[pd.DataFrame, list[str]]:
    """Household measures without those of a weight that nothing has, together or one of them."""
    low, high = limits()["least measure"], limits()["measure"]
    grams, amount = measures["grams"].astype("float64"), measures["amount"].astype("float64")
    possible = grams.between(low, high) & amount.between(low, 1 / low) & (grams / amount).between(low, high)
    density = grams / amount / _millilitres(measures["words"])
    possible &= density.isna() | density.between(limits()["least density"], limits()["density"])
    wrong = measures[~possible & (grams > 0) & (amount > 0)]  # the layout refuses what has no weight or no amount
    return measures.drop(wrong.index).reset_index(drop=True), list(_of_measures(wrong))


def _millilitres(measures: pd.Series) -> pd.Series:
    """What the volume that a household measure begins with holds [ml]; NaN where it is no volume."""
    import pandas as pd

    found = pd.Series(float("nan"), index=measures.index, dtype="float64")
    for row in _rows("volumes.csv"):
        found[measures.astype(str).str.match(rf"(?:{row['words']})s?\b", case=False)] = float(row["ml"])
    return found


def _of_measures(wrong: pd.DataFrame) -> Iterator[str]:
    columns = (wrong[name] for name in ("food_id", "amount", "words", "grams"))
    for food_id, amount, words, grams in zip(*columns, strict=True):
        said = say("load.measure-of", amount=f"{amount:.6g}", measure=str(words)[:40], grams=f"{grams:.6g}")
        yield say("load.household-measure-cannot-was-left", food=food_id, measure=said)
