"""How much weight food gains or loses when it is cooked, by food and method, and by kind of dish.

data/yields.csv: cooked weight as per cent of the raw weight, with what of the change is water and what is fat [g per
100 g raw]. data/dish_moisture.csv: moisture change of whole dishes as per cent of all that went in, medians by kind
of dish. data/fat_drip.csv: fat that leaves meat, by how fat it is.
Every row names its source; rows derived from raw and cooked composition say so (formula: tests/derive/yields.py).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from nutrilab.cooking.kinds import is_raw, kind_of, lineage
from nutrilab.cooking.retention import NEAREST
from nutrilab.datafiles import rows
from nutrilab.foods import Food
from nutrilab.messages import say
from nutrilab.recipe import Method
from nutrilab.text import words

_BESIDE = re.compile(r"[,;:(]|\b(?:with|in|on|from|over|for|served|topped|made|without)\b")  # what a dish comes with

LEAST = 0.05  # share by which a yield may be off at the least, where a table says nothing (common practice, no source)
# All that dry food takes up water by.
IN_WATER = (Method.BOILED, Method.SIMMERED, Method.STEAMED, Method.POACHED, Method.STEWED, Method.BRAISED)
DRY = ("pasta", "rice", "grain", "pulses", "rice-noodle")  # kinds that take up as much by one of them as by another


@dataclass(frozen=True, slots=True)
class Yield:
    """Weight change of a kind of food by a method, per gram of raw food.

    cooked: cooked weight without frying oil [g per g raw], between low and high.
    """

    kind: str
    method: str
    cooked: float
    low: float
    high: float
    source: str

    def change(self, food: Food) -> tuple[float, float]:
        """Change of water and of fat of this food [g per g raw], below 0 is lost; together they make the yield."""
        drip = drip_of(self.kind)
        fat = 0.0
        if drip is not None and self.cooked < 1:
            fat = max(-drip.lost(food.values.get("FAT", 0.0) / 100), self.cooked - 1)
        return self.cooked - 1 - fat, fat


@dataclass(frozen=True, slots=True)
class Drip:
    """Fat that leaves meat: ``slope`` (between low and high) of the fat above ``free`` [g per g raw]."""

    free: float
    slope: float
    low: float
    high: float
    source: str

    def lost(self, fat: float) -> float:
        """Fat lost [g per g raw] by food that holds ``fat`` [g per g]."""
        return self.slope * max(0.0, fat - self.free)


@cache
def drip_of(kind: str) -> Drip | None:
    """How fat drips from a kind of food or its parents; None for food that is no meat."""
    table = {row["kind"]: row for row in rows("fat_drip.csv")}
    row = next((table[k] for k in lineage(kind) if k in table), None)
    if row is None:
        return None
    return Drip(float(row["free"]) / 100, float(row["slope"]), float(row["low"]), float(row["high"]), row["source"])


@dataclass(frozen=True, slots=True)
class DishMoisture:
    """Moisture change of a kind of dish, share of all that went in; ``low`` is the quartile that loses most.

    whole: its foods are beaten or kneaded into one, so that none of them loses what it loses by itself.
    """

    kind: str
    change: float
    low: float
    high: float
    n: int
    source: str
    whole: bool = False


@cache
def _table() -> dict[tuple[str, str], Yield]:
    """One yield for each kind and method: the median of its rows, with the range that spans them all."""
    grouped: dict[tuple[str, str], list[dict[str, str]]] = {}
    for row in rows("yields.csv"):
        for method in _ways(row):
            grouped.setdefault((row["kind"], method), []).append(row)
    return {key: _yield(*key, found) for key, found in grouped.items()}


def _ways(row: Mapping[str, str]) -> tuple[str, ...]:
    """The methods a row speaks for: of dry food all in water, for only the water matters."""
    said = tuple(row["method"].split())
    dry = not {*lineage(row["kind"])}.isdisjoint(DRY)
    return tuple(dict.fromkeys((*said, *IN_WATER))) if dry and not {*said}.isdisjoint(IN_WATER) else said


def _yield(kind: str, method: str, found: list[dict[str, str]]) -> Yield:
    fats = [float(row["fat"]) / 100 for row in found if row["fat"]]
    oil = max((fat for fat in fats if fat > 0), default=0.0)  # oil taken up is the business of uptake.csv
    cooked = _median([float(row["yield"]) / 100 for row in found]) - oil
    sources = "; ".join(row["source"] for row in found)
    return Yield(
        kind,
        method,
        cooked,
        min(float(row["low"]) for row in found) / 100 - oil,
        max(float(row["high"]) for row in found) / 100 - oil,
        sources if len(found) == 1 else say("cooking.by.middle", number=len(found), sources=sources),
    )


def _median(values: list[float]) -> float:
    values = sorted(values)
    middle = len(values) // 2
    return values[middle] if len(values) % 2 else (values[middle - 1] + values[middle]) / 2


@cache
def find(kind: str, method: Method) -> Yield | None:
    """The yield of a kind of food, or of its parents, by this method or the nearest one; None if there is none."""
    for ancestor in lineage(kind):
        for way in (method, *NEAREST.get(method, ())):
            if (ancestor, way) in _table():
                return _table()[ancestor, way]
    return None


def of_food(food: Food, method: Method | None) -> Yield | None:
    """The yield of a food that goes in raw; None for food that is cooked already or that no row speaks for."""
    if method is None or method == Method.RAW or not is_raw(food):
        return None
    of_kind = find(kind_of(food), method)
    return _own(food, of_kind) if of_kind is not None and method in IN_WATER else of_kind


def own_rows() -> tuple[dict[str, str], ...]:
    """Rows of data/own_yields.csv; a check of the yields by kind may leave them out."""
    return rows("own_yields.csv")


@cache
def _owned() -> dict[str, dict[str, str]]:
    return {row["food"]: row for row in own_rows()}


def _own(food: Food, of_kind: Yield) -> Yield:
    """The yield of a food that its table has boiled too, in the range of its kind; else that of its kind."""
    like = food.like
    row = _owned().get(food.food_id) or (_owned().get(like.food_id) if like is not None else None)
    if row is None:
        return of_kind
    cooked = float(row["yield"]) / 100
    low, high = min(of_kind.low, cooked * (1 - LEAST)), max(of_kind.high, cooked * (1 + LEAST))
    return replace(of_kind, cooked=cooked, low=low, high=high, source=row["source"])


def _moisture(row: Mapping[str, str]) -> DishMoisture:
    change, low, high = (float(row[end]) / 100 for end in ("median", "q1", "q3"))
    return DishMoisture(row["dish"], change, low, high, int(row["n"]), row["source"], row["whole"] == "yes")


@dataclass(frozen=True, slots=True)
class _Kind:
    """A kind of dish: its change, the phrases that name it, the methods it is cooked by; wet: see `of_any`."""

    moisture: DishMoisture
    phrases: tuple[tuple[str, ...], ...]
    methods: frozenset[str]
    wet: bool


def dish_rows() -> tuple[dict[str, str], ...]:
    """Rows of data/dish_moisture.csv; a check may put others in their place."""
    return rows("dish_moisture.csv")


@cache
def _kinds() -> tuple[_Kind, ...]:
    return tuple(
        _Kind(
            _moisture(row),
            tuple(words(phrase) for phrase in row["words"].split("|") if phrase),
            frozenset(row["methods"].split()),
            row["wet"] == "yes",
        )
        for row in dish_rows()
    )


@cache
def usual_minutes(kind: str) -> float | None:
    """How long a kind of dish usually is on the hob [min]; None where that tells nothing."""
    return next((float(row["minutes"]) for row in rows("dish_times.csv") if row["dish"] == kind), None)


@cache
def of_any(method: Method | None, wet: bool = False) -> DishMoisture | None:
    """The moisture change of dishes of any kind by a method, for a dish whose name tells nothing.

    wet: much water, stock or milk is in it, of which more boils off than of meat and vegetables.
    """
    fitting = [kind for kind in _kinds() if not kind.phrases and method in kind.methods]
    return next((kind.moisture for kind in sorted(fitting, key=lambda kind: kind.wet != wet)), None)


def of_dish(names: tuple[str, ...], method: Method | None) -> DishMoisture | None:
    """The moisture change of the kind of dish that one of the names calls it, the first name first.

    What a dish is stands last before what it comes with: "lamb and barley stew with dumplings" is a stew. None where
    the kind is not cooked by this method.
    """
    for name in names:
        head = _BESIDE.split(name.lower(), maxsplit=1)[0]
        for part in (head, name) if words(head) else (name,):
            if (kind := _named(words(part))) is not None:
                if method in kind.methods:  # roast beef with a pudding is no pudding
                    return kind.moisture if part is head else replace(kind.moisture, whole=False)
                break
    return None


def _named(said: tuple[str, ...]) -> _Kind | None:
    """The kind of which a phrase ends last, the longest of those, the first in the table."""
    best: tuple[int, int] | None = None
    found = None
    for kind in _kinds():
        for phrase in kind.phrases:
            if not set(phrase) <= set(said):
                continue
            here = (max(len(said) - 1 - said[::-1].index(word) for word in phrase), len(phrase))
            if best is None or here > best:
                best, found = here, kind
    return found
