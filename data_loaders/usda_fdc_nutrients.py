"""Which component a nutrient of FoodData Central is, and by what factor its unit turns into ours.

A nutrient has an id (1004) and a number (204); the numbers are those of the Standard Reference, so components.csv
knows most of them. ``usda_fdc_nutrients.csv`` adds those that SR does not have, and for some components several
nutrients in order of preference: a food that lacks the first may have the second.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from data_loaders.keyed import factor
from data_loaders.schema import components
from nutrilab.messages import say

# What 100 g can hold of a component at most, by unit; a hundredth more for rounding and analysis. Fat and alcohol have
# 9 and 7 kcal/g, 37 and 29 kJ/g (Regulation (EU) No 1169/2011, Annex XIV); SR28 goes up to 902 kcal and 3774 kJ.
_MOST = {"g": 101.0, "mg": 101e3, "ug": 101e6, "kcal": 911.0, "kJ": 3812.0, "IU": 1e12}


@dataclass(frozen=True, slots=True)
class Way:
    """A nutrient that can stand for a component. words: what is to be known of it, "" for the usual one."""

    tagname: str
    number: str
    nutrient_id: int | None
    words: str

    @property
    def most(self) -> float:
        """What 100 g can hold at most, in the component's unit."""
        return _MOST[components()[self.tagname].unit]


@cache
def ways() -> tuple[Way, ...]:
    """All nutrients that are read; those of one component in order of preference."""
    with (Path(__file__).parent / "usda_fdc_nutrients.csv").open(encoding="utf-8", newline="") as file:
        found = [Way(r["tagname"], r["number"], int(r["nutrient_id"]), r["words"]) for r in csv.DictReader(file)]
    known = {way.number for way in found}
    others = (c for c in components().values() if c.sr_number and c.sr_number not in known)
    return (*found, *(Way(c.tagname, c.sr_number, None, "") for c in others))


class Nutrients:
    """The nutrients of one download, told one by one, each with its place in `ways` and its factor."""

    def __init__(self) -> None:
        self._by_number = {way.number: place for place, way in enumerate(ways())}
        self._by_id = {way.nutrient_id: place for place, way in enumerate(ways()) if way.nutrient_id}
        self._told: dict[int, tuple[int, str, float]] = {}  # place -> id, unit, factor

    def tell(self, nutrient_id: int, number: str, unit: str) -> tuple[int, float] | None:
        """The place in `ways` and the factor to the component's unit; None for a nutrient that is not read.

        Raises ValueError: an id and a number that do not belong together, a unit that is none of the component,
        a second id for one number.
        """
        number, unit = " ".join(number.split()).removesuffix(".0")[:20], " ".join(unit.split())[:20]
        place = self._by_id.get(nutrient_id, self._by_number.get(number))
        if place is None:
            return None
        way = ways()[place]
        if (number and number != way.number) or nutrient_id != (way.nutrient_id or nutrient_id):
            if not way.nutrient_id:
                raise ValueError(say("load.fdc-number", nutrient=nutrient_id, number=number, wanted=way.number))
            words = {"nutrient": nutrient_id, "number": number, "wanted": way.nutrient_id, "own": way.number}
            raise ValueError(say("load.fdc-nutrient", **words))
        told = self._told.get(place)
        if told is None:
            told = self._told[place] = (nutrient_id, unit, _factor(unit, components()[way.tagname].unit, nutrient_id))
        elif told[:2] != (nutrient_id, unit):
            raise ValueError(say("load.nutrient-number-stands-second-time", number=way.number))
        return place, told[2]


def _factor(unit: str, wanted: str, nutrient_id: int) -> float:
    try:
        return factor(unit, wanted)
    except ValueError:
        raise ValueError(say("load.nutrient-given-belongs", nutrient=nutrient_id, unit=unit, wanted=wanted)) from None
