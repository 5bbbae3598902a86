"""Whether a declared value holds: how far what is in the food may lie from it (Commission guidance, December 2012).

The rows are those of ``data/tolerances.csv``, of 100 g. Energy has none of its own: it follows from the others.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import inf, isfinite

from nutrilab.datafiles import rows
from nutrilab.law.rounding import ORDER
from nutrilab.messages import say

ROOM = 1e-9  # of a limit, for the last digit of what was added up


@dataclass(frozen=True, slots=True)
class Step:
    """A row: from a declared value on and below another [g], so much either side [g], or a share of it [1]."""

    start: float
    end: float
    grams: float | None
    share: float | None


@dataclass(frozen=True, slots=True)
class Held:
    """What is said of a figure: its declared value, its range, between what it may lie, and whether the range fits in.

    holds: None where there is no tolerance, or the figure is not known. All [g] of 100 g; of energy [kJ] or [kcal].
    """

    key: str
    declared: float | None
    span: tuple[float, float] | None
    limits: tuple[float, float] | None
    holds: bool | None
    words: str


@cache
def _steps() -> dict[str, tuple[Step, ...]]:
    found: dict[str, list[Step]] = {}
    for row in rows("tolerances.csv"):
        within = float(row["within"])
        by_share = row["unit"] == "%"
        step = Step(
            float(row["from"]),
            float(row["below"]) if row["below"] else inf,
            None if by_share else within,
            within / 100 if by_share else None,
        )
        found.setdefault(row["component"], []).append(step)
    return {component: tuple(steps) for component, steps in found.items()}


def limits(component: str, declared: float) -> tuple[float, float] | None:
    """Between what a food may hold that declares so much of 100 g [g]; None where the guidance gives no tolerance.

    Raises ValueError: an unknown component, a value below zero or no number.
    """
    if component not in ORDER:
        raise ValueError(f'"{component}" is no component of the declaration')
    if not isfinite(declared) or declared < 0:
        raise ValueError(f"{component} of {declared} cannot be declared")
    for step in _steps().get(component, ()):
        if step.start <= declared < step.end:
            within = step.grams if step.grams is not None else declared * (step.share or 0.0)
            return max(0.0, declared - within), declared + within
    return None


def held(component: str, declared: float | None, span: tuple[float, float] | None, advice: str | None = None) -> Held:
    """Whether the range of a figure fits inside the tolerance around its declared value.

    declared, span: of 100 g, low end first; advice: what narrows the range most, such as "weigh the tray", if anything.
    """
    if declared is None or span is None:
        return Held(component, declared, span, None, None, say("declare.not-known"))
    around = limits(component, declared)
    if around is None:
        return Held(component, declared, span, None, None, say("tolerance.none"))
    room = ROOM * max(1.0, around[1])
    holds = around[0] - room <= span[0] and span[1] <= around[1] + room
    return Held(component, declared, span, around, holds, say("tolerance.holds") if holds else _first(advice))


def _first(advice: str | None) -> str:
    return say("tolerance.first", advice=advice) if advice else say("tolerance.may-not")
