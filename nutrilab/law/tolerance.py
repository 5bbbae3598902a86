"""Whether a declared value holds: how far what is in the food may lie from it (Commission guidance, December 2012).

The rows are those of ``data/tolerances.csv``, of 100 g. Energy has none of its own: it follows from the others.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import inf, isfinite

from nutrilab.datafiles import rows
from nutrilab.law.rounding import ORDER

HOLDS = "the label would hold"
NO_TOLERANCE = "the guidance gives it no tolerance of its own"
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
    """What is said of a figure: its declared value, between what it may lie, and whether its range fits into that.

    holds: None where there is no tolerance, or the figure is not known. All [g] of 100 g; of energy [kJ] or [kcal].
    """

    key: str
    declared: float | None
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


def held(component: str, declared: float | None, span: tuple[float, float] | None, weigh: str | None = None) -> Held:
    """Whether the range of a figure fits inside the tolerance around its declared value.

    declared, span: of 100 g, low end first; weigh: what narrows the range most, such as "the tray", where it is known.
    """
    if declared is None or span is None:
        return Held(component, declared, None, None, "not known")
    around = limits(component, declared)
    if around is None:
        return Held(component, declared, None, None, NO_TOLERANCE)
    room = ROOM * max(1.0, around[1])
    holds = around[0] - room <= span[0] and span[1] <= around[1] + room
    return Held(component, declared, around, holds, HOLDS if holds else _first(weigh))


def _first(weigh: str | None) -> str:
    return f"weigh {weigh} first" if weigh else "the label may not hold; what is in doubt has to be weighed first"


def held_all(
    declared: Mapping[str, float | None],
    spans: Mapping[str, tuple[float, float] | None],
    weigh: Mapping[str, str] | None = None,
) -> tuple[Held, ...]:
    """Every figure of the declaration, in its order; weigh: by figure, as for `held`."""
    first = weigh or {}
    return tuple(held(key, declared.get(key), spans.get(key), first.get(key)) for key in ORDER)
