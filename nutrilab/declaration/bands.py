"""Low, medium or high.

References
----------
[1] UK government, guide to creating a front of pack nutrition label, November 2016, tables 2 and 3.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Literal

from nutrilab.datafiles import rows
from nutrilab.declaration.exact import exact

Band = Literal["low", "medium", "high"]


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits of the bands of a component [1]: [g] per 100 g or 100 ml; portion_over: [g] or [ml]."""

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


def band(component: str, per_100: float | None, portion_weight: float | None, drink: bool = False) -> Band | None:
    """Low, medium or high [1]: by the amount per 100 g [g], and high if a large portion holds too much.

    Of a drink per_100 is per 100 ml and portion_weight its volume [ml], else [g]. Unrounded values count: "0.30 g" of
    salt that is 0.304 g is medium. None for a component without bands or a value that is not known.
    Raises ValueError for NaN, an infinite value and a value below zero.
    """
    rule = limits(component, drink)
    if rule is None or per_100 is None:
        return None
    amount = exact(per_100, component)
    if amount > rule.high_above:
        return "high"
    if portion_weight is not None and exact(portion_weight, "the portion") > rule.portion_over:
        held = exact(per_100 * portion_weight / 100, component)
        if held > rule.portion_high:
            return "high"
    return "low" if amount <= rule.low_to else "medium"
