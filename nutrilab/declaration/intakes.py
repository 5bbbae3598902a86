"""Values in per cent of what an adult is reckoned to need in a day.

References
----------
[1] Regulation (EU) No 1169/2011, Annex XIII part B; Article 32(4) and (5).
"""

from __future__ import annotations

from decimal import Decimal
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.declaration.exact import exact, half_up
from nutrilab.declaration.rounding import UNKNOWN

# [1] Article 32(5): must stand close to any percentage of the reference intakes.
REFERENCE_STATEMENT = "Reference intake of an average adult (8400 kJ/2000 kcal)"


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
    exact(value, component)
    return value / intake


def percent(share: float | None) -> str:
    """A share [1 = all of it] in whole per cent, halves up: "12%", "<1%" for a trace, "not known" for None.

    `REFERENCE_STATEMENT` must stand close to it [1]. "<1%": common practice, no source.
    Raises ValueError for NaN, an infinite share and one below zero.
    """
    if share is None:
        return UNKNOWN
    per_cent = exact(share, "a share").scaleb(2)
    return "<1%" if 0 < per_cent < 1 else f"{half_up(per_cent, Decimal(1)):f}%"


def percent_of_intake(component: str, value: float | None) -> str:
    """A value in per cent of an adult's reference intake; empty for a component that has none (fibre)."""
    return percent(share_of_intake(component, value)) if component in reference_intakes() else ""
