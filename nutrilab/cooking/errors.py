"""What may be otherwise than counted, each source of doubt by itself.

A `Source` is one thing nobody knows exactly: the weight of a line, how much water a stage lost. All that hangs on one
source moves together: the fat and the energy of a line, two halves of one stage that meet again. Different sources are
independent of one another. The effects of a source are what changes when it stands at its low and at its high end, the
range of nine in ten; to first order, as in the propagation of uncertainty of the GUM [1], they add within a source.

A `Spread` holds the effects of many sources as one array, so that a step of the kitchen is one product.

References
----------
[1] JCGM 100:2008, Evaluation of measurement data - Guide to the expression of uncertainty in measurement, 5.1 and 5.2.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import StrEnum
from functools import cache
from itertools import chain
from math import sqrt
from typing import NamedTuple

import numpy as np

ENERGY_KJ, ENERGY_KCAL, MASS = "energy_kj", "energy_kcal", "mass"
RANGED = ("FAT", "FASAT", "CHOAVL", "SUGAR", "FIBTG", "PROCNT", "NA", "ALC", "WATER")
NAMES = (*RANGED, ENERGY_KJ, ENERGY_KCAL, MASS)  # what a source may change: the columns of a spread
COLUMN = {name: column for column, name in enumerate(NAMES)}


class Cause(StrEnum):
    """Why a figure may be otherwise."""

    AMOUNT = "amount"
    FOOD = "food"
    VARIATION = "variation"
    COOKING = "cooking"
    PORTIONS = "portions"

    __hash__ = str.__hash__


_AMOUNT = Cause.AMOUNT  # a member is slow to look up, and each line asks


class Source(NamedTuple):
    """One thing nobody knows exactly: its cause, what it is of, the stage and the line it stands in (0: no line)."""

    cause: Cause
    what: str
    stage: str = ""
    line: int = 0


HERE = (
    "\0"  # the stage of what is still in the pot: its lines are known in many dishes, whatever their stages are called
)

Effects = Mapping[str, tuple[float, float]]  # name -> change at the low end of the source, change at the high end


class Spread(Mapping[Source, Effects]):
    """The effects of each source: a row a source in ``ends``, sources x (low end, high end) x `NAMES`."""

    __slots__ = ("_sources", "_stage", "ends")

    def __init__(self, sources: tuple[Source, ...], ends: np.ndarray, stage: str | None = None) -> None:
        """stage: what `HERE` is called by now."""
        self._sources, self.ends, self._stage = sources, ends, stage

    @property
    def sources(self) -> tuple[Source, ...]:
        """The sources, in the order of the rows; named when somebody asks: the figures go by the rows alone."""
        if self._stage is not None:
            stage = self._stage
            self._sources = tuple([Source(s[0], s[1], stage, s[3]) if s[2] == HERE else s for s in self._sources])
            self._stage = None
        return self._sources

    def __getitem__(self, source: Source) -> Effects:
        """What changes at all, by name."""
        low, high = self.ends[self.sources.index(source)].tolist() if source in self.sources else _missing(source)
        return {name: (a, b) for name, a, b in zip(NAMES, low, high, strict=True) if a or b}

    def __iter__(self) -> Iterator[Source]:
        return iter(self.sources)

    def __len__(self) -> int:
        return len(self._sources)

    def scaled(self, share: float) -> Spread:
        """The effects on ``share`` times as much."""
        return Spread(self._sources, self.ends * share, self._stage)

    def retained(self, factors: np.ndarray) -> Spread:
        """The effects where a share [0 to 1] of each of `NAMES` stays."""
        return Spread(self._sources, self.ends * factors, self._stage)

    def at(self, line: int) -> Spread:
        """The same with the amounts that hang on no line hanging on this one of the stage in the pot."""
        sources = [Source(s[0], s[1], HERE, line) if s[0] is _AMOUNT else s for s in self.sources]
        return Spread(tuple(sources), self.ends)

    def in_stage(self, stage: str) -> Spread:
        """The same with what hangs on lines in the pot hanging on those of a stage."""
        return Spread(self.sources, self.ends, stage)

    def and_of(self, source: Source, effects: Iterable[tuple[str, float, float]]) -> Spread:
        """With what one more source changes: (name, low end, high end); what has no column is in no figure."""
        ends = _row(effects)
        if source in (self.sources if source[0] is _AMOUNT else self._sources):
            return together((self, Spread((source,), ends)))
        return Spread((*self._sources, source), np.concatenate((self.ends, ends)), self._stage)


def _row(effects: Iterable[tuple[str, float, float]]) -> np.ndarray:
    lows, highs = [0.0] * len(NAMES), [0.0] * len(NAMES)
    for name, low, high in effects:
        if (column := COLUMN.get(name)) is not None:
            lows[column] += low
            highs[column] += high
    return np.array([(lows, highs)])


def ends_of(changes: Mapping[str, tuple[float, float]]) -> np.ndarray | None:
    """How much less and more there may be by name, as a row of a spread; None where nothing changes."""
    return _row((name, -down, up) for name, (down, up) in changes.items())[0] if changes else None


def _missing(source: Source) -> Sequence[list[float]]:
    raise KeyError(source)


NO_SPREAD = Spread((), np.zeros((0, 2, len(NAMES))))


def spread_of(effects: Mapping[Source, Effects]) -> Spread:
    """The effects of some sources as a spread."""
    found = NO_SPREAD
    for source, changes in effects.items():
        found = found.and_of(source, ((name, low, high) for name, (low, high) in changes.items()))
    return found


@cache
def factors_of(row: tuple[tuple[str, float], ...]) -> np.ndarray:
    """Shares that stay, by name, as `Spread.retained` takes them."""
    found = np.ones(len(NAMES))
    for name, share in row:
        if name in COLUMN:
            found[COLUMN[name]] = share
    return found


def together(spreads: Iterable[Spread]) -> Spread:
    """The effects on the sum: those of one source add, others stay apart."""
    some = [spread for spread in spreads if spread]
    if len(some) < 2:
        return some[0] if some else NO_SPREAD
    sources = tuple(chain.from_iterable([spread.sources for spread in some]))
    ends = np.concatenate([spread.ends for spread in some])
    if len(set(sources)) == len(sources):
        return Spread(sources, ends)
    places: dict[Source, int] = {}
    first: list[int] = []  # rows of sources that have none before them
    again: list[tuple[int, int]] = []  # of all others, which are few: the place they are added to, the row
    for row, source in enumerate(sources):
        if (place := places.setdefault(source, len(places))) == len(first):
            first.append(row)
        else:
            again.append((place, row))
    total = ends.take(first, axis=0)
    for place, row in again:
        total[place] += ends[row]
    return Spread(tuple(places), total)


def ends(effects: Effects, name: str) -> tuple[float, float]:
    """By how much less and by how much more a figure may be for one source, both at least 0."""
    low, high = effects.get(name, (0.0, 0.0))
    return max(0.0, -low, -high), max(0.0, low, high)


def deviation(spread: Spread, name: str) -> tuple[float, float]:
    """By how much less and by how much more a figure may be for all sources: the roots of their summed squares."""
    changes = spread.ends[:, :, COLUMN[name]]
    down, up = np.maximum(0.0, -changes.min(axis=1, initial=0.0)), np.maximum(0.0, changes.max(axis=1, initial=0.0))
    return sqrt(float(down @ down)), sqrt(float(up @ up))
