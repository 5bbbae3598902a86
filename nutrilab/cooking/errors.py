"""What may be otherwise than counted, each source of doubt by itself.

A `Source` is one thing nobody knows exactly: the weight of a line, how much water a stage lost. All that hangs on one
source moves together: the fat and the energy of a line, two halves of one stage that meet again. Different sources are
independent of one another. The effects of a source are what changes when it stands at its low and at its high end, the
range of nine in ten; to first order, as in the propagation of uncertainty of the GUM [1], they add within a source.

References
----------
[1] JCGM 100:2008, Evaluation of measurement data - Guide to the expression of uncertainty in measurement, 5.1 and 5.2.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import StrEnum
from math import sqrt
from typing import NamedTuple


class Cause(StrEnum):
    """Why a figure may be otherwise."""

    AMOUNT = "amount"
    FOOD = "food"
    VARIATION = "variation"
    COOKING = "cooking"
    PORTIONS = "portions"


class Source(NamedTuple):
    """One thing nobody knows exactly: its cause, what it is of, the stage and the line it stands in (0: no line)."""

    cause: Cause
    what: str
    stage: str = ""
    line: int = 0


Effects = Mapping[str, tuple[float, float]]  # name -> change at the low end of the source, change at the high end
Spread = Mapping[Source, Effects]


def scaled(spread: Spread, share: float) -> dict[Source, dict[str, tuple[float, float]]]:
    """The effects on ``share`` times as much."""
    return {
        source: {name: (low * share, high * share) for name, (low, high) in effects.items()}
        for source, effects in spread.items()
    }


def retained(spread: Spread, factors: Mapping[str, float]) -> dict[Source, dict[str, tuple[float, float]]]:
    """The effects where a share [0 to 1] of each component named stays."""
    return {
        source: {
            name: (low * factors.get(name, 1.0), high * factors.get(name, 1.0)) for name, (low, high) in effects.items()
        }
        for source, effects in spread.items()
    }


def together(spreads: Iterable[Spread]) -> dict[Source, dict[str, tuple[float, float]]]:
    """The effects on the sum: those of one source add, others stay apart."""
    total: dict[Source, dict[str, tuple[float, float]]] = {}
    for spread in spreads:
        for source, effects in spread.items():
            into = total.setdefault(source, {})
            for name, (low, high) in effects.items():
                a, b = into.get(name, (0.0, 0.0))
                into[name] = (a + low, b + high)
    return total


def ends(effects: Effects, name: str) -> tuple[float, float]:
    """By how much less and by how much more a figure may be for one source, both at least 0."""
    low, high = effects.get(name, (0.0, 0.0))
    return max(0.0, -low, -high), max(0.0, low, high)


def deviation(spread: Spread, name: str) -> tuple[float, float]:
    """By how much less and by how much more a figure may be for all sources: the roots of their summed squares."""
    down = up = 0.0
    for effects in spread.values():
        if name in effects:
            less, more = ends(effects, name)
            down += less * less
            up += more * more
    return sqrt(down), sqrt(up)
