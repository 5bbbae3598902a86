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
from math import sqrt
from typing import NamedTuple

import numpy as np

ENERGY_KJ, ENERGY_KCAL, MASS = "energy_kj", "energy_kcal", "mass"
RANGED = ("FAT", "FASAT", "CHOAVL", "SUGAR", "FIBTG", "PROCNT", "NA", "ALC", "WATER")
# What a source may change, the columns of a spread: first what is declared.
NAMES = (*RANGED[: RANGED.index("ALC")], ENERGY_KJ, ENERGY_KCAL, "ALC", "WATER", MASS)
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


_BITS = {cause: 1 << place for place, cause in enumerate(Cause)}
MANY = 100_000  # more than the lines of any stage
HERE = "\0"  # the stage of what is still in the pot: a line is known in many dishes, whatever their stages are called

Effects = Mapping[str, tuple[float, float]]  # name -> change at the low end of the source, change at the high end


class Spread(Mapping[Source, Effects]):
    """The effects of each source: a row a source in ``ends``, sources x (low end, high end) x `NAMES`."""

    __slots__ = ("_causes", "_kept", "_parts", "_sources", "_stage", "ends", "food", "spot")

    def __init__(
        self,
        sources: tuple[Source, ...],
        ends: np.ndarray,
        parts: Sequence[Spread] = (),
        kept: Sequence[int] | None = None,
        stage: str | None = None,
    ) -> None:
        """parts: spreads whose sources these are, those of the rows ``kept``; stage: what `HERE` is called by now."""
        self._sources, self.ends, self._parts, self._kept, self._stage = sources, ends, parts, kept, stage
        self.spot: int | None = None  # of one food in the pot: where it stands, and which it is
        self.food = ""
        self._causes: int = 0
        for source in sources:
            self._causes |= _BITS[source[0]]
        for part in parts:
            self._causes |= part._causes

    @property
    def sources(self) -> tuple[Source, ...]:
        """The sources, in the order of the rows; named when somebody asks: figures go by the rows alone."""
        found = self._unplaced
        if self._stage is not None:
            found = tuple([Source(s[0], s[1], self._stage, s[3]) if s[2] == HERE else s for s in found])
            self._sources, self._stage = found, None
        return found

    @property
    def _unplaced(self) -> tuple[Source, ...]:
        waiting = [self] if self._parts else []
        while waiting:  # those of stages before first, however many they are
            spread = waiting[-1]
            if before := [part for part in spread._parts if part._parts]:
                waiting += before
                continue
            if spread._parts:
                flat = [source for part in spread._parts for source in part.sources]
                spread._sources = tuple(flat if spread._kept is None else [flat[row] for row in spread._kept])
                spread._parts = ()
            waiting.pop()
        return self._sources

    def _with(self, ends: np.ndarray) -> Spread:
        """The same sources with other effects."""
        found = Spread(self._sources, ends, self._parts, self._kept, self._stage)
        found.spot, found.food = self.spot, self.food
        return found

    def __getitem__(self, source: Source) -> Effects:
        """What changes at all, by name."""
        low, high = self.ends[self.sources.index(source)].tolist() if source in self.sources else _missing(source)
        return {name: (a, b) for name, a, b in zip(NAMES, low, high, strict=True) if a or b}

    def __iter__(self) -> Iterator[Source]:
        return iter(self.sources)

    def __len__(self) -> int:
        return len(self.ends)

    def scaled(self, share: float) -> Spread:
        """The effects on ``share`` times as much."""
        return self._with(self.ends * share)

    def retained(self, factors: np.ndarray) -> Spread:
        """The effects where a share [0 to 1] of each of `NAMES` stays."""
        return self._with(self.ends * factors)

    def at(self, line: int, place: int, food: str) -> Spread:
        """That of a food with the amounts that hang on no line hanging on this one of the stage in the pot."""
        sources = [Source(s[0], s[1], HERE, line) if s[0] is _AMOUNT else s for s in self.sources]
        found = Spread(tuple(sources), self.ends)
        found.spot, found.food = place * MANY + line, food
        return found

    def in_stage(self, stage: str) -> Spread:
        """The same with what hangs on lines in the pot hanging on those of a stage."""
        if self._stage is not None:  # it comes as it is from the stage before, and hangs on the lines of that
            return self
        return Spread(self._sources, self.ends, self._parts, self._kept, stage)

    def and_of(self, source: Source, effects: Iterable[tuple[str, float, float]]) -> Spread:
        """With what one more source changes: (name, low end, high end); what has no column is in no figure."""
        ends = _row(effects)
        more = Spread((source,), ends)
        if self._causes & more._causes and source in self.sources:
            return together((self, more))
        return Spread((), np.concatenate((self.ends, ends)), (self, more))


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
    some = [spread for spread in spreads if spread is not NO_SPREAD]
    if len(some) < 2:
        return some[0] if some else NO_SPREAD
    ends = np.concatenate([spread.ends for spread in some])
    again = _again(some)
    if not again:
        return Spread((), ends, some)
    for first, row in again:
        ends[first] += ends[row]
    gone = {row for _, row in again}
    kept = [row for row in range(len(ends)) if row not in gone]
    return Spread((), ends.take(kept, axis=0), some, kept)


def _again(some: Sequence[Spread]) -> list[tuple[int, int]]:
    """The rows of sources that one before has: the first row of the source, and the row.

    Foods of different lines have a source in common where they are the same food, else none: only those are looked at.
    """
    spots, foods = {spread.spot for spread in some}, [spread.food for spread in some]
    apart = len(spots) == len(foods) and None not in spots
    if apart and len(set(foods)) == len(foods):
        return []
    found: list[tuple[int, int]] = []
    first: dict[Source, int] = {}
    start = 0
    for spread in some:
        if not apart or foods.count(spread.food) > 1:
            for row, source in enumerate(spread.sources, start):
                if (before := first.setdefault(source, row)) != row:
                    found.append((before, row))
        start += len(spread.ends)
    return found


def ends(effects: Effects, name: str) -> tuple[float, float]:
    """By how much less and by how much more a figure may be for one source, both at least 0."""
    low, high = effects.get(name, (0.0, 0.0))
    return max(0.0, -low, -high), max(0.0, low, high)


def deviation(spread: Spread, name: str) -> tuple[float, float]:
    """By how much less and by how much more a figure may be for all sources: the roots of their summed squares."""
    changes = spread.ends[:, :, COLUMN[name]]
    down, up = np.maximum(0.0, -changes.min(axis=1, initial=0.0)), np.maximum(0.0, changes.max(axis=1, initial=0.0))
    return sqrt(float(down @ down)), sqrt(float(up @ up))
