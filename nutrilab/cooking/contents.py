"""What food holds as arrays: each component has a column, so that foods x components are one matrix.

A column is given to a tagname when it is first met and is kept for the life of the process; those that cooking and the
declaration ask for (`CORE`) stand first. What a batch holds (`Held`) is three rows over these columns: the total of
each component over what is known, the mass of the ingredients that have a value, and whether any has one. Of the core
it is worked out at once; vitamins, minerals and all else when somebody asks, by the same steps.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache, partial

import numpy as np

from nutrilab.cooking.errors import ENERGY_KCAL, ENERGY_KJ, MASS, NAMES, RANGED
from nutrilab.foods import Food
from nutrilab.law.energy import energy_regulation, reconciled
from nutrilab.once import once

_CORE = (
    *RANGED, "ENERC_KCAL", "ENERC_KJ", "ENERC_KCAL_OWN", "CHOCDF", "ASH", "POLYL", "OA", "CHOAVLM", "STARCHM",
)  # fmt: skip
CORE = dict.fromkeys(_CORE)  # in order, and quick to look into
COUNT = len(CORE)
TOTAL, KNOWN, THERE = range(3)  # the rows
_OF_FAT = ("FASAT", "FAMS", "FAPU", "FATRN", "FATRNM", "FATRNP", "SR665", "SR666", "SR856")
_STEP = 64  # columns by which arrays grow
_columns: dict[str, int] = {name: column for column, name in enumerate(CORE)}


def column(tagname: str) -> int:
    """The column of a component."""
    return _columns.setdefault(tagname, len(_columns))


Step = Callable[..., np.ndarray]  # rows of some -> rows of one, over the columns of the core or over all


class Held:
    """What a batch holds, by component: made by a step of what others hold."""

    __slots__ = ("_all", "_of", "_plain", "_step", "core")

    def __init__(self, core: np.ndarray, step: Step, of: tuple[Held, ...] = ()) -> None:
        self.core, self._step, self._of = core, step, of
        self._all: np.ndarray | None = None
        self._plain: list[list[float]] | None = None

    @property
    def plain(self) -> list[list[float]]:
        """The rows over the columns of the core as plain numbers, for who asks for them one by one."""
        if self._plain is None:
            self._plain = self.core.tolist()
        return self._plain

    @property
    def all(self) -> np.ndarray:
        """The rows over all columns: the steps that led here taken again, the first ones first."""
        waiting = [self]
        while waiting:
            held = waiting[-1]
            if held._all is None:
                if before := [one for one in held._of if one._all is None]:
                    waiting += before
                    continue
                held._all, held._of = held._step(*(one.all for one in held._of)), ()
            waiting.pop()
        assert self._all is not None
        return self._all

    def by(self, step: Step) -> Held:
        """What a step makes of it."""
        return Held(step(self.core), step, (self,))

    def times(self, share: float) -> Held:
        """``share`` times as much."""
        return self.by(partial(_times, share=share))

    def retained(self, row: tuple[tuple[str, float], ...]) -> Held:
        """A share [0 to 1] of each component named."""
        return self.by(lambda rows: _with(rows, rows[TOTAL] * _factors(row, rows.shape[1])))

    def holding(self, totals: Mapping[str, float]) -> Held:
        """With other totals of some components of the core."""
        return self.by(partial(_holding, totals=totals))

    def less_fat(self, left: float, fat: float) -> Held:
        """With so much fat left [g], and as large a share [1] of its fatty acids."""
        return self.by(lambda rows: _holding(_less_fatty(rows, left), {"FAT": fat}))

    def less_energy(self, kcal: float, kj: float) -> Held:
        """With less of the table's own energy [kcal], [kJ], as far as there is any."""
        return self.by(partial(_less_energy, kcal=kcal, kj=kj))

    def at(self, row: int, tagname: str) -> float:
        """A row at a component; 0 where nothing has one."""
        place = _columns.get(tagname)
        if place is not None and place < COUNT:
            return self.plain[row][place]
        return 0.0 if place is None or place >= self.all.shape[1] else float(self.all[row, place])

    def mapped(self, row: int) -> dict[str, float]:
        """A row by tagname, of what is there."""
        values, there = self.all[row].tolist(), self.all[THERE].tolist()
        return {tagname: values[at] for tagname, at in _columns.items() if at < len(there) and there[at]}

    def core_totals(self) -> dict[str, float]:
        """The totals of the core, of what is there."""
        rows = self.plain
        return {tagname: value for tagname, value, there in zip(CORE, rows[TOTAL], rows[THERE], strict=True) if there}


def of_values(values: Mapping[str, float]) -> Held:
    """Totals of what is no ingredient."""
    rows = _rows(values)
    return Held(rows[:, :COUNT], lambda: rows)


def summed(some: Iterable[Held]) -> Held:
    """Several together."""
    parts = [held for held in some if held is not NOTHING_HELD]
    if len(parts) < 2:
        return parts[0] if parts else NOTHING_HELD
    total = parts[0].core + parts[1].core
    for held in parts[2:]:  # a few small arrays: to stack them first takes longer
        total += held.core
    return Held(total, _summed, tuple(parts))


def _summed(*some: np.ndarray) -> np.ndarray:
    width = max(rows.shape[1] for rows in some)
    return np.add.reduce([_wide(rows, width) for rows in some])  # type: ignore[no-any-return]


def _rows(values: Mapping[str, float]) -> np.ndarray:
    places = [column(tagname) for tagname in values]
    rows = np.zeros((3, -(-(len(_columns) + 1) // _STEP) * _STEP))
    rows[TOTAL, places] = list(values.values())
    rows[THERE, places] = 1.0
    return rows


def _wide(rows: np.ndarray, width: int) -> np.ndarray:
    if rows.shape[1] == width:
        return rows
    wider = np.zeros((3, width))
    wider[:, : rows.shape[1]] = rows
    return wider


def _times(rows: np.ndarray, share: float) -> np.ndarray:
    found = rows * share
    found[THERE] = rows[THERE]
    return found


def _with(rows: np.ndarray, totals: np.ndarray) -> np.ndarray:
    found = rows.copy()
    found[TOTAL] = totals
    return found


def _holding(rows: np.ndarray, totals: Mapping[str, float]) -> np.ndarray:
    found = rows.copy()
    for tagname, value in totals.items():
        place = _columns[tagname]
        found[TOTAL, place], found[THERE, place] = value, max(1.0, found[THERE, place])
    return found


def _less_fatty(rows: np.ndarray, left: float) -> np.ndarray:
    return _with(rows, np.where(_fatty(rows.shape[1], len(_columns)), left, 1.0) * rows[TOTAL])


def _less_energy(rows: np.ndarray, kcal: float, kj: float) -> np.ndarray:
    found = rows.copy()
    for tagname, amount in (("ENERC_KCAL", kcal), ("ENERC_KJ", kj)):
        at = _columns[tagname]
        found[TOTAL, at] = max(0.0, found[TOTAL, at] - amount) if found[THERE, at] else 0.0
    return found


@cache
def _fatty(width: int, count: int) -> np.ndarray:
    """Which of the first columns are fatty acids; count: of the columns there are."""
    found = np.zeros(width, dtype=bool)
    for tagname, at in list(_columns.items())[:count]:
        if at < width and (tagname in _OF_FAT or (tagname[0] == "F" and tagname[1:2].isdigit())):
            found[at] = True
    return found


def _factors(row: tuple[tuple[str, float], ...], width: int) -> np.ndarray:
    """Shares that stay, by column; 1 of all others."""
    found = np.ones(width)
    for tagname, share in row:
        if (at := _columns.get(tagname, width)) < width:
            found[at] = share
    return found


NOTHING_HELD = of_values({})


class FoodRows:
    """A food by columns: its reconciled values per 100 g, what changes with its weight, its alcohol."""

    __slots__ = ("alcohol", "rates", "values")

    def __init__(self, food: Food) -> None:
        values = reconciled(food.values)
        self.values = of_values(values)
        kj, kcal = energy_regulation(values)
        changing = {**values, ENERGY_KJ: kj, ENERGY_KCAL: kcal, MASS: 100.0}
        self.rates = np.array([changing.get(name, 0.0) for name in NAMES])
        self.alcohol = values.get("ALC", 0.0)

    def held(self, grams: float) -> Held:
        """What so much of it holds [g]."""
        return self.values.by(partial(_weighed, grams=grams))


def _weighed(rows: np.ndarray, grams: float) -> np.ndarray:
    found = rows * (grams / 100)
    found[KNOWN], found[THERE] = rows[THERE] * grams, rows[THERE]
    return found


@once
def food_rows(food: Food) -> FoodRows:
    """A food by columns, worked out once."""
    return FoodRows(food)
