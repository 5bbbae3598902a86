"""What food is cooked in but not eaten with whole (oil, water, marinade, coating), and what is added when it is done.

Sorts the lines of a stage into food and media by the method, the kind of food and the cook's own words.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any, NamedTuple

import numpy as np

from nutrilab.cooking.errors import Cause, Source
from nutrilab.cooking.kinds import is_raw, kind_of, lineage
from nutrilab.cooking.steps import Batch, of_food, of_unknown
from nutrilab.foods import Food
from nutrilab.lines import Purpose, Reading
from nutrilab.once import once
from nutrilab.recipe import Cooking, Method

FRIED = (Method.DEEP_FRIED, Method.PAN_FRIED, Method.STIR_FRIED)
IN_WATER = (
    Method.BOILED, Method.SIMMERED, Method.POACHED, Method.STEWED, Method.BRAISED, Method.STEAMED, Method.MICROWAVED
)  # fmt: skip
SOLID = ("meat", "poultry", "fish", "shellfish", "offal", "tofu", "vegetable", "potato", "cheese", "egg", "sausage")
COATED_BATH = (
    50.0  # [g] of oil that nobody eats whole with coated food: it is lifted out of it (common practice, no source)
)
BATH, FRYING_SHARE = 150.0, 0.2  # [g] of one oil, and its share of the rest, from which a frying pan holds a bath of it
GARNISH = ("garnish", "garnishing", "decorate", "decoration", "decorating")
COOKED_IN_WATER = ("pasta", "rice", "grain", "pulses", "potato", "vegetable", "rice-noodle", "shellfish", "egg")


@dataclass(frozen=True, slots=True)
class Put:
    """One ingredient of a stage as it goes in: edible mass between low and high [g], the food or None.

    name: the words for it; reading: of the whole line; retention_code: a published code instead of the one the kind of
    food and the method would choose; line: its place in the stage's list, from 1;
    unmeasured: its weight is common practice for oil to fry in, of which a fried stage knows better;
    place: of the food among those of its line, from 0;
    varies: what 100 g of it may hold less and more from batch to batch (`errors.ends_of`); which: were it another food
    that its name may mean; worked: what was worked out of it once, wherever it goes in.
    """

    food: Food | None
    grams: float
    low: float
    high: float
    name: str
    reading: Reading
    retention_code: str | None = None
    line: int = 0
    unmeasured: bool = False
    place: int = 0
    varies: np.ndarray | None = field(default=None, compare=False)
    which: np.ndarray | None = field(default=None, compare=False)
    worked: dict[object, Any] = field(default_factory=dict, compare=False, repr=False)

    def at(self, line: int) -> Put:
        """The same in another place: what was worked out of it holds there too."""
        return replace(self, line=line)


class Item(NamedTuple):
    """A put with its batch and its kind; raw: cooking changes its weight as the tables say.

    open: how much of it there is, is for the stage to say; its batch is empty.
    """

    put: Put
    batch: Batch
    kind: str
    raw: bool
    open: bool = False

    @property
    def said(self) -> frozenset[str]:
        """The words of its line."""
        return _said(self.put)

    def says(self, *any_of: str) -> bool:
        """Whether the line has one of these words."""
        return not self.said.isdisjoint(any_of)

    def is_any(self, *ancestors: str) -> bool:
        """Whether it is of one of these kinds."""
        return not _kinds(self.kind).isdisjoint(ancestors)


@once
def _said(put: Put) -> frozenset[str]:
    return put.reading.wording.said


@cache
def _kinds(kind: str) -> frozenset[str]:
    return frozenset(lineage(kind))


def item(put: Put) -> Item:
    """A put, weighed and told its kind."""
    batch, food = _batch(put), put.food
    spread = batch.spread.at(put.line, put.place, food.food_id if food else "")
    return Item(put, batch.with_spread(spread), *_kind(food))


def _kind(food: Food | None) -> tuple[str, bool]:
    return ("", False) if food is None else (kind_of(food), is_raw(food))


@once
def _batch(put: Put) -> Batch:
    """What a put holds, wherever it goes in."""
    source = Source(Cause.AMOUNT, str(put.place))
    if put.food is None:
        return of_unknown(put.grams, put.low, put.high, source)
    apart = ((Source(Cause.VARIATION, put.food.food_id), put.varies), (Source(Cause.FOOD, put.food.food_id), put.which))
    return of_food(put.food, put.grams, put.low, put.high, source, [(s, ends) for s, ends in apart if ends is not None])


@dataclass(frozen=True, slots=True)
class Pot:
    """The lines of a stage by what they do there: food, one of the media, added after cooking and weighing, thrown away
    when it is cooked.
    """

    foods: tuple[Item, ...]
    oil: tuple[Item, ...] = ()
    liquid: tuple[Item, ...] = ()
    marinade: tuple[Item, ...] = ()
    coating: tuple[Item, ...] = ()
    after: tuple[Item, ...] = ()
    thrown: tuple[Item, ...] = ()
    parts: tuple[Batch, ...] = field(default=())

    @property
    def food_mass(self) -> float:
        """Food and parts of other stages, without media [g]."""
        return sum(i.batch.mass for i in self.foods) + sum(b.mass for b in self.parts)


def sort(items: Sequence[Item], parts: Sequence[Batch], cooking: Cooking | None) -> Pot:
    """Sort the lines of a stage.

    * Frying oil: fats and oils when the stage is deep-fried, when the cook says what was left, when a line says "for
      deep frying", when one of a pan-fried stage says "for frying" or, where the cooking was read from the method, is
      a bath by its volume (common practice, no source); so much of it, too, as the method leaves behind. Other oil in
      the pan is eaten.
    * Cooking water: water, stock and brine of a stage that is drained, and salt that can only be in that water.
    * Marinade: whatever is not meat, fish, vegetables, tofu, cheese or egg in a stage that is not heated but drained;
      and the lines that the method leaves behind as one.
    * Coating: flour or crumbs "for dusting", "to coat" in a fried or baked stage.
      And the lines that the method coats food in.
    * Thrown: the lines that the method throws away: bones, a bay leaf, vegetables of a stock.
    * After: what is "to serve", "to garnish" or, unless it is flour, "for dusting" in a stage that is not raw and has
      other food.
    """
    pot = Pot(tuple(items), parts=tuple(parts))
    if cooking is None:
        return pot
    if cooking.drained and cooking.method in (None, Method.RAW):
        return _part(pot, "marinade", _marinade(items) if cooking.method == Method.RAW else ())
    if cooking.thrown:
        pot = _part(pot, "thrown", _texts(pot, cooking.thrown))
    if cooking.marinade:
        left = _texts(pot, cooking.marinade)
        pot = _part(pot, "marinade", [i for i in left if not i.is_any("oil") or i.batch.mass < BATH])
    if cooking.method != Method.RAW:
        added = [i for i in pot.foods if _is_added(i)]
        pot = _part(pot, "after", added if len(added) < len(pot.foods) or pot.parts else ())
    if cooking.coating:
        coating = _texts(pot, cooking.coating)
        pot = _part(pot, "coating", coating if len(coating) < len(pot.foods) or pot.parts else ())
    pot = _part(pot, "oil", _oil(pot.foods, cooking))
    if cooking.method in FRIED:
        pot = replace(pot, oil=tuple(map(_opened, pot.oil)))
    pot = _part(pot, "liquid", _liquid(pot, cooking))
    return pot if cooking.coating else _part(pot, "coating", _coating(pot.foods, cooking))


def _part(pot: Pot, name: str, chosen: Sequence[Item]) -> Pot:
    ids = {id(i) for i in chosen}
    rest = tuple(i for i in pot.foods if id(i) not in ids)
    return replace(pot, foods=rest, **{name: tuple(chosen)})  # type: ignore[arg-type]


def _texts(pot: Pot, texts: Collection[str]) -> list[Item]:
    """Foods of the lines with these texts."""
    return [i for i in pot.foods if i.put.reading.text.strip() in texts]


def _is_added(one: Item) -> bool:
    """Whether it goes on the dish when it is done. "For the top" is to garnish too, and goes into the oven."""
    purpose = one.put.reading.purpose
    if purpose == Purpose.DUSTING:
        return not one.is_any("flour", "grain")
    return purpose == Purpose.TO_SERVE or (purpose == Purpose.TO_GARNISH and one.says(*GARNISH))


def _oil(items: Sequence[Item], cooking: Cooking) -> list[Item]:
    fats = [i for i in items if i.is_any("oil")]
    said = [i for i in fats if i.says("fry", "frying", "deep", "shallow", "deep-frying", "griddling")]
    if cooking.method == Method.DEEP_FRIED or cooking.oil_left is not None:
        return said or fats
    bath = [i for i in fats if i.put.reading.purpose == Purpose.DEEP_FRYING]
    left = [i for i in fats if i.batch.mass >= BATH and i.put.reading.text.strip() in cooking.marinade]
    if cooking.method not in FRIED:
        return bath or left or [i for i in said if i.batch.mass == 0]
    rest = sum(i.batch.mass for i in items if not i.is_any("oil"))
    least = COATED_BATH if cooking.coating else max(BATH, FRYING_SHARE * rest)
    least = least if cooking.read else float("inf")
    return (
        said or bath or left or [i for i in fats if i.kind == "oil" and (i.batch.mass >= least or _fries(i, cooking))]
    )


def _fries(one: Item, cooking: Cooking) -> bool:
    """Whether oil that nobody measured is what the method fries in."""
    return cooking.read and one.put.unmeasured


def _opened(one: Item) -> Item:
    """Oil nobody measured, with nothing of it poured yet."""
    return one._replace(batch=one.batch.scaled(0.0), open=True) if one.put.unmeasured else one


def _liquid(pot: Pot, cooking: Cooking) -> list[Item]:
    if not cooking.drained or cooking.method not in IN_WATER:
        return []
    poached = ("milk", "wine") if cooking.method == Method.POACHED else ("wine",) if cooking.read else ()
    liquid = [i for i in pot.foods if i.is_any("water", "stock", "brine", *poached)]
    salt = [i for i in pot.foods if i.kind == "salt"]
    others = [i for i in pot.foods if i not in liquid and i not in salt]
    plain = all(i.is_any(*COOKED_IN_WATER) for i in others) and not pot.parts and others
    return liquid + [i for i in salt if plain or i.says("water", "boiling", "blanching", "brine")]


def _marinade(items: Sequence[Item]) -> list[Item]:
    solid = [i for i in items if i.is_any(*SOLID) and not i.says("marinade")]
    return [i for i in items if i not in solid] if solid else []


def _coating(items: Sequence[Item], cooking: Cooking) -> list[Item]:
    if cooking.method not in (*FRIED, Method.BAKED, Method.ROASTED, Method.GRILLED):
        return []
    return [
        i for i in items if i.is_any("flour") and i.says("dust", "dusting", "coat", "coating", "dredging", "dredge")
    ]
