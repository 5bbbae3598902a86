"""The order of a nutrition declaration and the rounding of its values.

References
----------
[1] Regulation (EU) No 1169/2011, Annex XV.
[2] European Commission, guidance document on tolerances for nutrient values declared on a label, December 2012,
    section 6, table 4.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from data_loaders.energy import factors
from nutrilab.datafiles import rows
from nutrilab.declaration.exact import exact, half_up
from nutrilab.declaration.nrv import nrvs

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
        Decimal(coarse["at_least"] or 0),
        Decimal(coarse["step"]),
        floor,
        Decimal(fine["step"]),
        fine["negligible"],
    )


def declared(component: str, value: float | None) -> str:
    """A value as it may stand in the declaration, such as "620 kJ", "9.4 g", "<0.5 g", "1.4 mg".

    component: key of `ORDER` or of `nrvs`; value: [kJ], [kcal], [g] or the unit of `nrvs`, unrounded; None reads
    "not known". Halves round up (common practice): salt of 1.25 g is 1.3 g. Salt of 0.0125 g and less is "<0.01 g",
    as the guidance has it [2].
    Raises ValueError for an unknown component, NaN, an infinite value and a value below zero.
    """
    if component not in nrvs() and component not in _roundings():
        raise ValueError(f'"{component}" is no component of the declaration')
    if value is None:
        return UNKNOWN
    amount = exact(value, component)
    if component in nrvs():
        nrv = nrvs()[component]
        return f"{_to_figures(amount, nrv.figures):f} {nrv.unit}"
    rule = _roundings()[component]
    if amount == 0:
        return f"0 {rule.unit}"
    if rule.floor is not None and amount <= rule.floor:
        return rule.negligible
    return f"{_to_step(amount, rule):f} {rule.unit}"


def _to_step(amount: Decimal, rule: _Rounding) -> Decimal:
    rounded = half_up(amount, rule.coarse if amount >= rule.coarse_from else rule.fine)
    return half_up(rounded, rule.coarse) if rounded >= rule.coarse_from else rounded  # 9.96 g is 10 g, not 10.0 g


def _to_figures(amount: Decimal, figures: int) -> Decimal:
    """To so many significant figures [2]: 0.123, 12.3, 1230; 0 for nothing at all."""
    if amount == 0:
        return Decimal(0)
    rounded = half_up(amount, _last_figure(amount, figures))
    return half_up(rounded, _last_figure(rounded, figures))  # 9.96 is 10, not 10.0


def _last_figure(amount: Decimal, figures: int) -> Decimal:
    return Decimal(1).scaleb(amount.adjusted() - figures + 1)


def unmoved(component: str, value: float, unknown: float) -> bool:
    """Whether a declared value stays as it is even if food of which nothing is known were nothing but this component.

    component: key of `ORDER`; value as for `declared`; unknown: mass of such food [g], of pure fat where energy counts.
    """
    kj, kcal = factors()["FAT"]
    most = unknown * {"energy_kj": kj, "energy_kcal": kcal}.get(component, 1.0)
    return declared(component, value) == declared(component, value + most)


def declaration(values: Mapping[str, float | None]) -> dict[str, str]:
    """All components in the Regulation's order [1], rounded [2]."""
    return {component: declared(component, values.get(component)) for component in ORDER}
