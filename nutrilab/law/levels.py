"""How much a value is: in per cent of what an adult is reckoned to need in a day, and low, medium or high.

References
----------
[1] Regulation (EU) No 1169/2011, Annex XIII part B; Article 32(4) and (5).
[2] UK government, guide to creating a front of pack nutrition label, November 2016, tables 2 and 3.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Literal

from nutrilab.datafiles import rows
from nutrilab.law.rounding import UNKNOWN, decimal_of, half_up
from nutrilab.messages import say

# [1] Article 32(5): must stand close to any percentage of the reference intakes.
REFERENCE_STATEMENT = say("declare.reference")
Band = Literal["low", "medium", "high"]


@cache
def reference_intakes() -> dict[str, float]:
    """Reference intake a day [kJ, kcal, g] by component [1]; fibre has none."""
    return {row["component"]: float(row["amount"]) for row in rows("reference_intakes.csv")}


def share_of_intake(component: str, value: float | None) -> float | None:
    """Share of an adult's reference intake [1 = all of it]; None where either is not known.

    Raises ValueError for NaN, an infinite value and a value below zero.
    """
    intake = reference_intakes().get(component)
    if value is None or intake is None:
        return None
    decimal_of(value, component)
    return value / intake


def percent(share: float | None) -> str:
    """A share [1 = all of it] in whole per cent, halves up: "12%", "<1%" for a trace, "not known" for None.

    `REFERENCE_STATEMENT` must stand close to it [1]. "<1%": common practice, no source.
    Raises ValueError for NaN, an infinite share and one below zero.
    """
    if share is None:
        return UNKNOWN
    per_cent = decimal_of(share, "a share").scaleb(2)
    return "<1%" if 0 < per_cent < 1 else f"{half_up(per_cent, Decimal(1)):f}%"


def percent_of_intake(component: str, value: float | None) -> str:
    """A value in per cent of an adult's reference intake; empty for a component that has none (fibre)."""
    return percent(share_of_intake(component, value)) if component in reference_intakes() else ""


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits of the bands of a component [2]: [g] per 100 g or 100 ml; portion_over: [g] or [ml]."""

    low_to: Decimal
    high_above: Decimal
    portion_over: Decimal
    portion_high: Decimal


@cache
def _limits() -> dict[tuple[str, str], Limits]:
    columns = ("low_to", "high_above", "portion_over", "portion_high")
    return {(r["kind"], r["component"]): Limits(*(Decimal(r[c]) for c in columns)) for r in rows("bands.csv")}


def limits(component: str, drink: bool = False) -> Limits | None:
    """Limits of the bands of a component; None where it has none (energy, carbohydrate, fibre, protein)."""
    return _limits().get(("drink" if drink else "food", component))


def band(
    component: str,
    per_100: float | None,
    portion_weight: float | None,
    drink: bool = False,
    per_portion: float | None = None,
) -> Band | None:
    """Low, medium or high [2]: by the amount per 100 g [g], and high if a large portion holds too much.

    Of a drink per_100 is per 100 ml and portion_weight its volume [ml], else [g]. per_portion: what a portion holds
    [g], where that is more than its weight's share of per_100, because more is served with it. Unrounded values count:
    "0.30 g" of salt that is 0.304 g is medium. None for a component without bands or a value that is not known.
    Raises ValueError for NaN, an infinite value and a value below zero.
    """
    rule = limits(component, drink)
    if rule is None or per_100 is None:
        return None
    amount = decimal_of(per_100, component)
    if amount > rule.high_above:
        return "high"
    if portion_weight is not None and decimal_of(portion_weight, "the portion") > rule.portion_over:
        held = decimal_of(per_100 * portion_weight / 100 if per_portion is None else per_portion, component)
        if held > rule.portion_high:
            return "high"
    return "low" if amount <= rule.low_to else "medium"
