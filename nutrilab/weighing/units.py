"""Kitchen units: grams, millilitres and centimetres of one, from data/kitchen_units.txt by pint (unit_factors.csv).

British definitions stand first: a pint is 568.26 ml and a fluid ounce 28.41 ml whatever the recipe. Spoons
are metric (5, 10, 15 ml) even where cups are American: the two differ by 1.4 %, well inside what a spoon
holds. Only the cup, the quart and the gallon follow the recipe's ``cup``: "us" or "metric".
"""

from __future__ import annotations

from functools import cache
from typing import Literal

from nutrilab.datafiles import FOLDER, rows

Dimension = Literal["mass", "volume", "length"]

_MASS = {"g": "gram", "kg": "kilogram", "mg": "milligram", "oz": "ounce", "lb": "pound", "stone": "stone"}
_LENGTH = {"cm": "centimetre", "mm": "millimetre", "inch": "inch"}
_VOLUME = {
    "ml": "millilitre", "cl": "centilitre", "dl": "decilitre", "l": "litre",
    "tsp": "teaspoon", "dsp": "dessertspoon", "tbsp": "tablespoon", "spoon": "tablespoon", "spoonful": "tablespoon",
    "fl oz": "uk_fluid_ounce", "pint": "uk_pint", "gill": "uk_gill",
    "mug": "mug", "glass": "wine_glass", "shot": "shot", "tot": "shot",
}  # fmt: skip
_BY_CUP = {
    "us": {"cup": "us_cup", "quart": "us_quart", "gallon": "us_gallon"},
    "metric": {"cup": "metric_cup", "quart": "uk_quart", "gallon": "uk_gallon"},
}
# Units of the food tables' own household measures: American ones.
_TABLE = {
    "cup": "us_cup", "tbsp": "us_tablespoon", "tsp": "us_teaspoon", "fl oz": "us_fluid_ounce",
    "pint": "us_pint", "quart": "us_quart", "ml": "millilitre", "l": "litre",
}  # fmt: skip
# How far a vessel of no fixed size may be from the definition, as factors.
VESSELS = {"mug": (0.8, 1.2), "glass": (0.7, 1.45), "shot": (0.95, 2.0), "tot": (0.95, 2.0), "spoon": (0.4, 1.5)}


def dimension(unit: str | None) -> Dimension | None:
    """What a canonical unit of units.csv measures; None for pieces, packs and vague measures."""
    if unit in _MASS:
        return "mass"
    if unit in _VOLUME or unit in _BY_CUP["us"]:
        return "volume"
    return "length" if unit in _LENGTH else None


@cache
def _factor(name: str) -> float:
    """A unit of the definition file in its base unit [g, ml or cm]: as worked out before, else by pint now."""
    if name in (known := _worked_out()):
        return known[name]
    return float(_registry().Quantity(1, name).to_base_units().magnitude)


@cache
def _worked_out() -> dict[str, float]:
    return {row["unit"]: float(row["factor"]) for row in rows("unit_factors.csv")}


@cache
def _registry():  # type: ignore[no-untyped-def]
    """Our own small registry, for a unit that is defined and not worked out yet; importing pint takes 0.13 s."""
    import pint

    return pint.UnitRegistry(str(FOLDER / "kitchen_units.txt"), cache_folder=None)


@cache
def grams(unit: str) -> float:
    """Grams [g] of one unit of mass. Raises KeyError for any other unit."""
    return 1.0 if unit == "g" else _factor(_MASS[unit])


@cache
def millilitres(unit: str, cup: str = "us") -> float:
    """Millilitres [ml] of one unit of volume. Raises KeyError for any other unit or cup."""
    if unit == "ml":
        return 1.0
    return _factor(_VOLUME[unit] if unit in _VOLUME else _BY_CUP[cup][unit])


@cache
def table_millilitres(unit: str) -> float:
    """Millilitres [ml] of a unit of the food tables' household measures. Raises KeyError."""
    return _factor(_TABLE[unit])


@cache
def centimetres(unit: str) -> float:
    """Centimetres [cm] of one unit of length. Raises KeyError for any other unit."""
    return 1.0 if unit == "cm" else _factor(_LENGTH[unit])
