"""How much one food varies from batch to batch: what the next packet, fish or cabbage may hold, nine times in ten.

Not how well its mean is known, nor which food it is. A pure function of a food and a component, `variation`, takes the
best ground there is:

1. one substance (salt, sugar): its standard of purity (variation_defined.csv);
2. the samples its table publishes, with those of its group as one sample more (`scale.reach_of`);
3. the spread of its group (variation.csv, a row for each group of SR28 and component, made by
   ``python -m tests.derive.variation``), where its value was calculated, imputed, or nobody tells of samples;
4. the spread of all foods, for a food of no known group. What is sold by its fat (mince, milk, cream) varies in fat no
   more than a statement may lie off (variation_stated.csv).

A value of nothing without samples (fibre in meat) is none at all in any batch, and does not vary. What follows from
other values varies with them: saturates with fat and with their share of it; carbohydrate, by difference, with water,
fat and protein; energy with fat and with what it displaces; a composed food with its parts.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import hypot, log
from typing import Literal

from nutrilab.datafiles import rows
from nutrilab.foods import Food, Samples
from nutrilab.linking.mixes import PREFIX, mixes
from nutrilab.messages import say
from nutrilab.variation.scale import measured, reach_of, scales, values_of

__all__ = ["DECLARED", "Ground", "Variation", "brands", "variation"]

Ground = Literal["defined", "samples", "group", "general", "derived", "parts", "brands", "stated", "none"]
DECLARED = ("FAT", "FASAT", "CHOAVL", "SUGAR", "FIBTG", "PROCNT", "NA", "WATER", "ALC", "ENERC_KCAL")
ANY = "any"  # the group of the rows of all foods
OF_FAT = "FASAT/FAT"  # how far the share of saturates in fat lies apart
MOST = 2.0  # times the reach of its group: an error of which nothing tells how it was reckoned is taken for no more
NEAR = log(2)  # on y; a food of the same words in another table that is no further off tells how this one varies
BY_DIFFERENCE = 5.0  # [g] carbohydrate from which its own errors are smaller than itself, and difference says something
_SR_GROUND = "USDA SR28"


@dataclass(frozen=True, slots=True)
class Variation:
    """Between what a component of a food lies, nine batches in ten [its unit per 100 g], and by what it is known."""

    value: float
    low: float
    high: float
    ground: Ground
    source: str
    samples: int = 0

    @property
    def factors(self) -> tuple[float, float]:
        """Low and high as shares of the value; 1 and 1 of a value of nothing, whose range is an amount."""
        return (self.low / self.value, self.high / self.value) if self.value > 0 else (1.0, 1.0)

    @property
    def half(self) -> float:
        """Half of the range [the component's unit]."""
        return (self.high - self.low) / 2


@dataclass(frozen=True, slots=True)
class GroupSpread:
    """A row of variation.csv: the reach of a food of the group about which nothing else is known."""

    reach: float
    source: str


@cache
def group_spreads() -> dict[tuple[str, str], GroupSpread]:
    """(Group of SR28 or ANY, component) -> how far its foods vary."""
    return {
        (row["group"], row["component"]): GroupSpread(float(row["reach"]), row["source"])
        for row in rows("variation.csv")
    }


@cache
def _defined() -> dict[tuple[str, str], tuple[float, str]]:
    return {
        (row["food"], row["component"]): (float(row["percent"]) / 100, row["source"])
        for row in rows("variation_defined.csv")
    }


def variation(food: Food, tagname: str) -> Variation | None:
    """How much a component of DECLARED varies in a food; None where the food has no value of it.

    ENERC_KCAL is the declared energy, by the Regulation's factors; that of kJ has the same shares.
    """
    known: dict[str, Variation | None] = food.worked.setdefault(variation, {})
    if tagname not in known:
        known[tagname] = _variation(food, tagname)
    return known[tagname]


def _variation(food: Food, tagname: str) -> Variation | None:
    value = values_of(food).get(tagname)
    if value is None:
        return None
    of = food.borrowed.get(tagname, food)
    if (of.food_id, tagname) in _defined():
        share, source = _defined()[of.food_id, tagname]
        most = scales()[tagname].whole
        return Variation(value, value * (1 - share), max(value, min(most, value * (1 + share))), "defined", source)
    if food.parts:
        return _of_parts(food, tagname, value)
    derive = {"ENERC_KCAL": _energy, "CHOAVL": _carbohydrate, "FASAT": _saturates}.get(tagname)
    return derive(food, value) if derive else _of_value(of, tagname, value)


def _of_value(food: Food, tagname: str, value: float) -> Variation:
    """By samples, the group, or all foods."""
    spread, ground = _spread_of_group(food, tagname)
    scale = scales()[tagname]
    samples = _samples(food, tagname, value)
    own = measured(samples, tagname) if samples else None
    if own:
        reach = reach_of(own, spread.reach)
        if samples and samples.freedom is None and samples.lowest is None:
            reach = min(reach, MOST * spread.reach)
        low, high = scale.around(value, reach)
        return Variation(
            value, low, high, "samples", say("variation.samples", table=_SR_GROUND, samples=own.words), own.count
        )
    if value <= 0:
        return Variation(0.0, 0.0, 0.0, "none", say("variation.assumed"))
    low, high = scale.around(value, spread.reach)
    stated = _stated(food, tagname, value)
    if stated and value - stated[0] > low:
        return Variation(value, value - stated[0], min(value + stated[0], scale.whole), "stated", stated[1])
    return Variation(value, low, high, ground, spread.source)


@cache
def _sold_by() -> dict[str, str]:
    """Food -> the component it is sold by, of the rungs of the ladders of fat."""
    return {
        part.food: "FAT" for mix in mixes().values() if (mix.kind, mix.of) == ("ladder", "fat") for part in mix.parts
    }


def _stated(food: Food, tagname: str, value: float) -> tuple[float, str] | None:
    """How far what is stated of a food may lie off [g], and by what; None for a food that is not sold by it."""
    if _sold_by().get(food.food_id) != tagname:
        return None
    row = next(one for one in rows("variation_stated.csv") if value < float(one["below"]))
    return (float(row["grams"]) if row["grams"] else value * float(row["percent"]) / 100), row["source"]


def _samples(food: Food, tagname: str, value: float) -> Samples | None:
    """The samples of a food, or of its like in the embedded table where that is about the same."""
    own = food.samples().get(tagname)
    if own or not food.like:
        return own
    theirs = food.like.samples().get(tagname)
    scale = scales()[tagname]
    return theirs if theirs and abs(scale.odds(theirs.mean) - scale.odds(value)) < NEAR else None


def _spread_of_group(food: Food, tagname: str) -> tuple[GroupSpread, Ground]:
    for one in (food, food.like):
        found = group_spreads().get((one.group, tagname)) if one else None
        if found:
            return found, "group"
    return group_spreads()[ANY, tagname], "general"


def _saturates(food: Food, value: float) -> Variation:
    """By samples; else as fat does, and as the share of saturates in fat does, independently."""
    of = food.borrowed.get("FASAT", food)
    share, fat = group_spreads()[ANY, OF_FAT], variation(food, "FAT")
    floor, scale = scales()["FAT"].floor, scales()["FASAT"]
    ends = (fat.value, fat.low, fat.high) if fat else (value,) * 3
    down, up = (hypot(log((ends[0] + floor) / (end + floor)), share.reach) for end in ends[1:])
    samples = _samples(of, "FASAT", value)
    own = measured(samples, "FASAT") if samples else None
    if own:
        low, high = scale.around(value, reach_of(own, max(down, up)))
        return Variation(
            value, low, high, "samples", say("variation.samples", table=_SR_GROUND, samples=own.words), own.count
        )
    if value <= 0:
        return Variation(0.0, 0.0, 0.0, "none", say("variation.assumed"))
    low, high = scale.around(value, down)[0], scale.around(value, up)[1]
    source = say("variation.as-fat", fat=fat.source if fat else say("declare.not-known"), source=share.source)
    return Variation(value, low, high, "derived", source)


def _carbohydrate(food: Food, value: float) -> Variation:
    """By difference: what water, fat and protein take, carbohydrate does not have.

    Water dilutes it, by its share of the dry matter; fat and protein stand in its place. Below BY_DIFFERENCE the
    errors of the three would swamp it (cheese), and it varies as sugars do.
    """
    water, fat, protein = (variation(food, tagname) for tagname in ("WATER", "FAT", "PROCNT"))
    if value < BY_DIFFERENCE or water is None or fat is None or protein is None:
        return _of_value(food.borrowed.get("CHOAVL", food), "SUGAR", value)
    dry = max(100 - water.value, value)
    half = hypot(value / dry * water.half, fat.half, protein.half)
    scale = scales()["CHOAVL"]
    low, high = scale.around(value, half * scale.slope(value))
    return Variation(value, low, high, "derived", say("variation.by-difference", water=water.source))


def _energy(food: Food, value: float) -> Variation:
    """With carbohydrate by difference, a gram of fat takes the place of one of carbohydrate (9 - 4 kcal), one of water
    that of dry matter (4 kcal); without, fat, protein and alcohol vary for themselves.
    """
    found = {tagname: variation(food, tagname) for tagname in ("FAT", "WATER", "PROCNT", "ALC", "CHOAVL")}
    half = {tagname: one.half if one else 0.0 for tagname, one in found.items()}
    carbohydrate = found["CHOAVL"]
    if carbohydrate and carbohydrate.value >= BY_DIFFERENCE and found["WATER"]:
        wide = hypot(5 * half["FAT"], 4 * half["WATER"], 3 * half["ALC"])
        words = say("variation.by-fat-and-water")
    else:
        wide = hypot(9 * half["FAT"], 4 * half["PROCNT"], 4 * half["CHOAVL"], 7 * half["ALC"])
        words = say("variation.by-its-parts")
    scale = scales()["ENERC_KCAL"]
    low, high = scale.around(value, wide * scale.slope(value))
    return Variation(value, low, high, "derived" if wide else "none", words)


def _of_parts(food: Food, tagname: str, value: float) -> Variation:
    """Of a composed food: its parts are bought apart and vary apart, so their squares add."""
    halves = [(share, variation(part, tagname)) for part, share in food.parts]
    down = hypot(*(share * (one.value - one.low) for share, one in halves if one))
    up = hypot(*(share * (one.high - one.value) for share, one in halves if one))
    ground: Ground = "parts" if down or up else "none"
    return Variation(value, max(0.0, value - down), value + up, ground, say("variation.of-parts"))


@cache
def _brands() -> dict[tuple[str, str], tuple[float, float, str]]:
    """(Mix, component) -> between what it lies, and by what; mix_bounds.csv, judged by hand, stands first."""
    return {
        (PREFIX + row["mix"], row["component"]): (float(row["low"]), float(row["high"]), row["ground"])
        for name in ("mix_brands.csv", "mix_bounds.csv")
        for row in rows(name)
    }


def brands(food: Food, tagname: str) -> Variation | None:
    """Between what the published brands or kinds of a composed food lie, its own value too; None where none are told.

    It stands for not knowing which of them is meant, beside `variation`, how one of them varies. `Food.bounds` holds
    the ends of mix_bounds.csv already, not those of mix_brands.csv.
    """
    told = _brands().get((food.food_id, tagname))
    value = food.values.get(tagname)
    if told is None or value is None:
        return None
    low, high, ground = told
    return Variation(value, min(low, value), max(high, value), "brands", ground)
