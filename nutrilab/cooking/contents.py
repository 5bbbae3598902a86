"""What food holds as arrays: each component has a column, so that foods x components are one matrix.

A column is given to a tagname when it is first met and is kept for the life of the process; those that cooking and the
declaration ask for stand first. What a batch holds is three rows over these columns: the total of each component over
what is known, the mass of the ingredients that have a value, and whether any has one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache

import numpy as np

from nutrilab.cooking.errors import RANGED
from nutrilab.foods import Food
from nutrilab.law.energy import energy_regulation, reconciled
from nutrilab.once import once

_CORE = (
    *RANGED, "ENERC_KCAL", "ENERC_KJ", "ENERC_KCAL_OWN", "CHOCDF", "ASH", "POLYL", "OA", "CHOAVLM", "STARCHM",
)  # fmt: skip
CORE = dict.fromkeys(_CORE)  # in order, and quick to look into
TOTAL, KNOWN, THERE = range(3)  # the rows
_OF_FAT = ("FASAT", "FAMS", "FAPU", "FATRN", "FATRNM", "FATRNP", "SR665", "SR666", "SR856")
_STEP = 64  # columns by which arrays grow
_columns: dict[str, int] = {name: column for column, name in enumerate(CORE)}


def column(tagname: str) -> int:
    """The column of a component."""
    return _columns.setdefault(tagname, len(_columns))


def known_columns() -> Mapping[str, int]:
    """Tagname -> column, of all components met so far."""
    return _columns


def _width() -> int:
    return -(-(len(_columns) + 1) // _STEP) * _STEP


def rows_of(values: Mapping[str, float], grams: float = 0.0) -> np.ndarray:
    """Totals as rows; grams: mass of the ingredients behind them [g]."""
    places = [column(tagname) for tagname in values]
    rows = np.zeros((3, _width()))
    rows[TOTAL, places] = list(values.values())
    rows[KNOWN, places] = grams
    rows[THERE, places] = 1.0
    return rows


NOTHING_HELD = np.zeros((3, _STEP))


def wide(rows: np.ndarray, width: int) -> np.ndarray:
    """The rows with as many columns."""
    if rows.shape[1] == width:
        return rows
    wider = np.zeros((rows.shape[0], width))
    wider[:, : rows.shape[1]] = rows
    return wider


def summed(some: Iterable[np.ndarray]) -> np.ndarray:
    """The rows of several together."""
    parts = [rows for rows in some if rows is not NOTHING_HELD]
    if len(parts) < 2:
        return parts[0] if parts else NOTHING_HELD
    width = max(rows.shape[1] for rows in parts)
    return np.add.reduce([wide(rows, width) for rows in parts])  # type: ignore[no-any-return]


def times(rows: np.ndarray, share: float) -> np.ndarray:
    """The rows of ``share`` times as much."""
    found = rows * share
    found[THERE] = rows[THERE]
    return found


def with_total(rows: np.ndarray, totals: Mapping[str, float]) -> np.ndarray:
    """The rows with other totals of some components."""
    found = wide(rows, max(rows.shape[1], _width())).copy()
    for tagname, value in totals.items():
        place = column(tagname)
        found[TOTAL, place], found[THERE, place] = value, max(1.0, found[THERE, place])
    return found


def mapped(rows: np.ndarray, row: int) -> dict[str, float]:
    """A row by tagname, of what is there."""
    values, there = rows[row].tolist(), rows[THERE].tolist()
    return {tagname: values[at] for tagname, at in _columns.items() if at < len(there) and there[at]}


def core(rows: np.ndarray) -> dict[str, float]:
    """The totals that cooking and the declaration ask for, of what is there."""
    count = len(CORE)
    there = rows[THERE, :count].tolist()
    return {tagname: value for tagname, value, known in zip(CORE, rows[TOTAL, :count].tolist(), there) if known}  # noqa: B905


def fatty(width: int) -> np.ndarray:
    """The columns of fatty acids."""
    return _fatty(width, len(_columns))


@cache
def _fatty(width: int, count: int) -> np.ndarray:
    found = np.zeros(width, dtype=bool)
    for tagname, at in list(_columns.items())[:count]:
        if at < width and (tagname in _OF_FAT or (tagname[0] == "F" and tagname[1:2].isdigit())):
            found[at] = True
    return found


def factors_of(row: tuple[tuple[str, float], ...], width: int) -> np.ndarray:
    """Shares that stay, by column; 1 of all others."""
    found = np.ones(width)
    for tagname, share in row:
        if (at := _columns.get(tagname, width)) < width:
            found[at] = share
    return found


class FoodRows:
    """A food by columns: its reconciled values per 100 g, what changes with its weight, its energy."""

    __slots__ = ("alcohol", "rates", "values")

    def __init__(self, food: Food) -> None:
        values = reconciled(food.values)
        self.values = rows_of(values)
        kj, kcal = energy_regulation(values)
        self.rates = np.array([*(values.get(t, 0.0) for t in RANGED), kj, kcal, 100.0])
        self.alcohol = values.get("ALC", 0.0)

    def held(self, grams: float) -> np.ndarray:
        """What so much of it holds [g]."""
        found = self.values * (grams / 100)
        there = self.values[THERE]
        found[KNOWN], found[THERE] = there * grams, there
        return found


@once
def food_rows(food: Food) -> FoodRows:
    """A food by columns, worked out once."""
    return FoodRows(food)
