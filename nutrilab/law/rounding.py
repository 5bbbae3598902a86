"""The order of a nutrition declaration and the rounding of its values, vitamins and minerals too.

All values come unrounded and are rounded here, once. A limit is met by the decimal a number stands for: values are read
to 12 significant digits, so that the noise of binary arithmetic (0.1 + 0.2, 1.005) moves no figure over a limit.

References
----------
[1] Regulation (EU) No 1169/2011, Annex XV; Annex XIII part A point 1 for vitamins and minerals.
[2] European Commission, guidance document on tolerances for nutrient values declared on a label, December 2012,
    section 6, table 4.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from functools import cache
from math import isfinite

from nutrilab.datafiles import rows
from nutrilab.law.energy import factors
from nutrilab.messages import say

# [1] Annex XV, with the names people know; fibre is optional there and always given here.
_KEYS = ("energy_kj", "energy_kcal", "fat", "saturates", "carbohydrate", "sugars", "fibre", "protein", "salt")
ORDER: dict[str, str] = {key: say(f"declare.name.{key}") for key in _KEYS}
PARTS = {"saturates": say("declare.part.saturates"), "sugars": say("declare.part.sugars")}  # what a figure above holds
UNKNOWN = say("declare.not-known")
FIGURES_KEPT = 12
WIDE = Context(prec=400, rounding=ROUND_HALF_UP)  # any float fits; the default context refuses 1e30


def short_name(key: str) -> str:
    """A figure in the middle of a sentence: "fat", "saturates". Raises KeyError for none of `ORDER`."""
    return PARTS.get(key) or ORDER[key].lower()


def decimal_of(value: float, what: str) -> Decimal:
    """The decimal a value stands for. Raises ValueError for NaN, an infinite value and one below zero."""
    if not isfinite(value):
        raise ValueError(f"{what} is not a number: {value}")
    if value < 0:
        raise ValueError(f"{what} below zero: {value}")
    return Decimal(f"{abs(value):.{FIGURES_KEPT}g}")  # abs: -0.0 would read "-0 kJ"


def half_up(value: Decimal, step: Decimal) -> Decimal:
    """A value to the nearest multiple of a step, halves up, with the decimals of the step."""
    return WIDE.multiply(WIDE.divide(value, step).quantize(Decimal(1), context=WIDE), step)


# -- vitamins and minerals


@dataclass(frozen=True, slots=True)
class Way:
    """One way to count a vitamin or mineral: (tagname, factor to its unit) summed, and what that counts, in words."""

    terms: tuple[tuple[str, float], ...]
    words: str

    def amount(self, values: Mapping[str, float]) -> float | None:
        """The sum; None unless every term has a value. Raises ValueError for NaN, inf and below zero."""
        if any(tagname not in values for tagname, _ in self.terms):
            return None
        return sum(float(decimal_of(values[tagname], tagname)) * factor for tagname, factor in self.terms)

    def coverage(self, known: Mapping[str, float]) -> float:
        """Share of the ingredients' mass [0 to 1] that has a value for every term."""
        return min(known.get(tagname, 0.0) for tagname, _ in self.terms)


@dataclass(frozen=True, slots=True)
class Nrv:
    """A vitamin or mineral that may be declared: its reference intake a day [unit] [1] and significant figures [2]."""

    name: str
    unit: str
    amount: float
    figures: int
    ways: tuple[Way, ...]


_TERM = re.compile(r"([A-Z][A-Z0-9_]*-?)(?:\*(\d+))?(?:/(\d+))?")


def _way(text: str, words: str) -> Way:
    """Read "NIA + TRP_G*1000/60"."""
    terms = []
    for term in text.split(" + "):
        match = _TERM.fullmatch(term)
        if match is None:
            raise ValueError(f'nrv.csv: "{term}" is no tagname with *n or /n or neither')
        terms.append((match[1], int(match[2] or 1) / int(match[3] or 1)))
    return Way(tuple(terms), words)


@cache
def nrvs() -> dict[str, Nrv]:
    """Vitamins and minerals with their nutrient reference values [1], in the order of Annex XIII part A point 1."""
    ways: dict[str, list[Way]] = {}
    for row in rows("nrv.csv"):
        ways.setdefault(row["component"], []).append(_way(row["counted"], row["counts_as"]))
    return {
        row["component"]: Nrv(
            row["name"], row["unit"], float(row["nrv"]), int(row["figures"]), tuple(ways[row["component"]])
        )
        for row in rows("nrv.csv")
        if row["name"]
    }


# -- steps


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
    amount = decimal_of(value, component)
    if component in nrvs():
        nrv = nrvs()[component]
        return f"{_to_figures(amount, nrv.figures):f} {nrv.unit}"
    rule = _roundings()[component]
    if amount == 0:
        return f"0 {rule.unit}"
    if rule.floor is not None and amount <= rule.floor:
        return rule.negligible
    return f"{_to_step(amount, rule):f} {rule.unit}"


def stated(component: str, value: float | None) -> float | None:
    """The number that `declared` states [its unit]; what may be declared as "<0.5 g" states nothing of it, 0.

    Raises ValueError as `declared`.
    """
    if value is None:
        return None
    amount, rule = decimal_of(value, component), _roundings()[component]
    return 0.0 if amount == 0 or (rule.floor is not None and amount <= rule.floor) else float(_to_step(amount, rule))


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


def declared_all(values: Mapping[str, float | None]) -> dict[str, str]:
    """All components in the Regulation's order [1], rounded [2]."""
    return {component: declared(component, values.get(component)) for component in ORDER}
