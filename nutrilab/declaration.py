"""The regulation's part: order, rounding, reference intakes and bands of a nutrition declaration.

References
----------
[1] Regulation (EU) No 1169/2011, Annex XV (order), Annex XIII part B (reference intakes).
[2] European Commission, guidance document on tolerances for nutrient values declared on a label, December
    2012, section 6 (rounding).
[3] UK government, guide to creating a front of pack nutrition label, November 2016 (bands).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from typing import Literal

from nutrilab.datafiles import rows

# [1] Annex XV, with the names people know; fibre is optional there and always given here.
ORDER: dict[str, str] = {
    "energy_kj": "Energy",
    "energy_kcal": "Energy",
    "fat": "Fat",
    "saturates": "of which saturates",
    "carbohydrate": "Carbohydrate",
    "sugars": "of which sugars",
    "fibre": "Fibre",
    "protein": "Protein",
    "salt": "Salt",
}
UNKNOWN = "not known"
Band = Literal["low", "medium", "high"]


@dataclass(frozen=True, slots=True)
class _Rounding:
    """Rounding of one component [2]: coarse step from ``coarse_from`` on, fine step above ``floor``."""

    unit: str
    coarse_from: Decimal
    coarse: Decimal
    floor: Decimal | None
    fine: Decimal
    negligible: str


@cache
def _roundings() -> dict[str, _Rounding]:
    found: dict[str, list[dict[str, str]]] = {}
    for row in rows("rounding.csv"):
        found.setdefault(row["component"], []).append(row)
    return {component: _rounding(steps) for component, steps in found.items()}


def _rounding(steps: list[dict[str, str]]) -> _Rounding:
    coarse, fine = steps[0], steps[-1]
    floor = Decimal(fine["above"]) if fine["above"] else None
    return _Rounding(
        coarse["unit"],
        Decimal(coarse["at_least"]),
        Decimal(coarse["step"]),
        floor,
        Decimal(fine["step"]),
        fine["negligible"],
    )


def declared(component: str, value: float | None) -> str:
    """A value as it may stand in the declaration, such as "620 kJ", "9.4 g", "<0.5 g".

    component: key of `ORDER`; value: [kJ], [kcal] or [g], unrounded; None reads "not known".
    Halves round up (the guidance's examples; 0.25 -> 0.3). Raises ValueError for a value below zero.
    """
    if value is None:
        return UNKNOWN
    if value < 0:
        raise ValueError(f"{component} below zero: {value}")
    rule = _roundings()[component]
    exact = Decimal(repr(float(value)))
    if rule.floor is not None and exact <= rule.floor:
        return f"0 {rule.unit}" if exact == 0 else rule.negligible
    rounded = exact.quantize(rule.coarse if exact >= rule.coarse_from else rule.fine, ROUND_HALF_UP)
    if rounded >= rule.coarse_from:  # 9.96 g is 10 g, not 10.0 g
        rounded = rounded.quantize(rule.coarse)
    return f"{rounded} {rule.unit}"


def declaration(values: Mapping[str, float | None]) -> dict[str, str]:
    """All components in the Regulation's order [1], rounded [2]."""
    return {component: declared(component, values.get(component)) for component in ORDER}


@cache
def reference_intakes() -> dict[str, float]:
    """Reference intake a day [kJ, kcal, g] by component [1]; fibre has none."""
    return {row["component"]: float(row["amount"]) for row in rows("reference_intakes.csv")}


def share_of_intake(component: str, value: float | None) -> float | None:
    """Share of an adult's reference intake [1 = all of it]; None where either is not known."""
    intake = reference_intakes().get(component)
    return None if value is None or intake is None else value / intake


def band(component: str, per_100: float | None, portion_weight: float | None, drink: bool = False) -> Band | None:
    """Low, medium or high [3]: by the amount per 100 g [g], and high if a large portion holds too much.

    None for a component without bands or a value that is not known. portion_weight: [g].
    """
    kind = "drink" if drink else "food"
    row = next((r for r in rows("bands.csv") if r["kind"] == kind and r["component"] == component), None)
    if row is None or per_100 is None:
        return None
    large = portion_weight is not None and portion_weight > float(row["portion_over"])
    if per_100 > float(row["high_above"]) or (
        large and per_100 * (portion_weight or 0) / 100 > float(row["portion_high"])
    ):
        return "high"
    return "low" if per_100 <= float(row["low_to"]) else "medium"
