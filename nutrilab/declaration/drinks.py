"""Drinks are declared per 100 ml.

References
----------
[1] Regulation (EU) No 1169/2011, Article 32(2).
[2] Y. Choi, M.R. Okos, Effects of temperature and composition on the thermal properties of foods, in Food Engineering
    and Process Applications, vol. 1, 1986 (densities of the parts of food; from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.declaration.exact import exact

# Stands with figures per 100 ml of a drink whose density is not known; source: USDA SR28, the 264 foods of the group
# Beverages with a weight of 1 fl oz (29.57 ml) between 0.9 and 1.3 g/ml: median 1.01, one in ten above 1.08 g/ml.
DRINK_REMARK = (
    "100 ml of this drink are taken to weigh 100 g; most drinks weigh up to 8 g more, and then hold that much more: "
    "weigh a litre."
)
_UNACCOUNTED = 5.0  # [g/100 g] common practice, no source


def per_100_words(drink: bool = False) -> str:
    """Head of the column: "per 100 ml" of a drink, "per 100 g" of all else [1] Article 32(2)."""
    return "per 100 ml" if drink else "per 100 g"


@cache
def _densities() -> dict[str, float]:
    return {row["component"]: float(row["density"]) for row in rows("component_density.csv")}


def density(values: Mapping[str, float]) -> float | None:
    """Density of a drink [g/ml] from what 100 g of it hold, by INFOODS tagname [g].

        density = sum m_i / sum (m_i / density_i)        (volumes of the parts add up) [2]

    Bubbles are left out. None where the parts known do not make up 100 g, to 5 g: then a weighed litre must tell, or
    `DRINK_REMARK` stands with the figures.
    Raises ValueError for NaN, an infinite value and a value below zero.
    """
    parts = {t: float(exact(values[t], t)) for t in _densities() if t in values}
    mass = sum(parts.values())
    if "WATER" not in parts or abs(mass - 100) > _UNACCOUNTED:
        return None
    return mass / sum(grams / _densities()[t] for t, grams in parts.items())


def per_100ml(values: Mapping[str, float | None], density: float) -> dict[str, float | None]:
    """Values of 100 g of a drink as values of 100 ml; density: [g/ml], above 0. What is not known stays so."""
    if exact(density, "the density") == 0:
        raise ValueError("the density is 0")
    return {key: None if value is None else value * density for key, value in values.items()}
