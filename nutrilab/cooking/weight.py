"""How a stage's weight changes: the order of trust.

The cook's own weighing, then the cook's stated loss, then a published yield of this food by this method, then the
median of this kind of dish, then nothing, said aloud.

Source of the order: H. Greenfield, D.A.T. Southgate, Food composition data, FAO 2003, chapter 9.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import partial
from math import sqrt

from nutrilab.cooking import uncooked, yields
from nutrilab.cooking.media import FRIED, IN_WATER, Item, Pot
from nutrilab.cooking.yields import DishMoisture, Yield
from nutrilab.messages import listed, say
from nutrilab.recipe import Cooking, Method
from nutrilab.remarks import Code, Remark


class WeightFrom(StrEnum):
    """What the weight of a cooked stage stands on, in the order of trust."""

    WEIGHED = "weighed"
    STATED = "stated loss"
    PUBLISHED = "published yield"
    MEDIAN = "median for this kind of dish"
    READ = "read from the method"
    NONE = "none"

    @property
    def words(self) -> str:
        """As the cook reads it."""
        return say(f"cooking.from.{self.name.lower()}")


_WET = tuple(method for method in IN_WATER if method not in (Method.STEAMED, Method.MICROWAVED))
_TIMED = (*_WET, Method.BAKED, Method.ROASTED)
DRY = (Method.BAKED, Method.ROASTED, Method.GRILLED, Method.TOASTED)
MOSTLY = 0.7  # share of the food that must be the meat that drips; else what lies beside it soaks the fat up
WET = 0.2  # share of the food from which liquid that stays in the pot tells its weight
ALONE = 0.9  # share of the food from which one kind of it is cooked by itself
ENOUGH = 0.5  # share of the food that published yields must speak for
SPREAD = 0.5
LEAST_TIME, MOST_TIME = 0.4, 2.0  # what more or fewer minutes may make of a loss (common practice, no source)
TOSSED = 3  # raw foods from which what is stir-fried is a stir-fry: together they lose less than each by itself
# Whose median stands in where FNDDS has none of the method; steam and microwaves keep as much in as a lid does.
INSTEAD = {Method.STEAMED: Method.SIMMERED, Method.MICROWAVED: Method.SIMMERED, Method.TOASTED: Method.BAKED}
LIQUIDS = ("water", "stock", "brine", "milk", "wine", "tomato-product")
DOUGH_WAYS = (Method.BOILED, Method.SIMMERED, Method.POACHED)
DOUGH, DOUGH_WET, SHORT = 0.25, 0.25, 0.15  # shares: flour of the pot; egg and water by flour; fat by flour in pastry
FATTY = 50.0  # [g in 100 g] of suet, butter, lard
FILLED = 1.6  # what boiled filled pasta gains at the least a gram of dough: FNDDS 2015-2016 58131110, 30 % of the whole
MEAL = ("oats", "polenta")
THIRSTY = ("pasta", "rice", "grain", "pulses", "rice-noodle", "dried-fruit")


@dataclass(frozen=True, slots=True)
class Change:
    """What leaves or enters food by a published factor, before it is held against what there is.

    water [g], below 0 lost; absorbed [g] of it by dry food; drawn [g]: what dry food draws from water that counts as
    food with it; fat lost [g]; down, up: how much lighter or heavier the cooked food may be [g]; factor: cooked by raw
    weight [1] with its range; remarks: what is to be said of it, when it is asked for.
    """

    ground: WeightFrom
    water: float = 0.0
    absorbed: float = 0.0
    drawn: float = 0.0
    fat: float = 0.0
    down: float = 0.0
    up: float = 0.0
    factor: float | None = None
    low: float | None = None
    high: float | None = None
    source: str = ""
    remarks: Callable[[], tuple[Remark, ...]] = tuple


def published(pot: Pot, cooking: Cooking | None, names: tuple[str, ...]) -> Change:
    """The change that tables give a stage that was not weighed; what was read of a reduction stands before them."""
    change = _by_tables(pot, cooking, names)
    if cooking is not None and cooking.boiled_off is not None:
        change = _reduced(pot, change, cooking.boiled_off)
    return replace(change, ground=WeightFrom.READ) if _is_read(cooking, change) else change


def _is_read(cooking: Cooking | None, change: Change) -> bool:
    return cooking is not None and cooking.read and change.ground != WeightFrom.NONE


def _reduced(pot: Pot, change: Change, said: tuple[float, float, float]) -> Change:
    """The change with the water that the method says was reduced away [g], where the tables take less."""
    off, low, high = said
    if change.absorbed - change.water >= off or not pot.food_mass:
        return change
    down, up = max(change.down, high - off), max(change.up, off - low)
    after = 1 + (change.absorbed - off) / pot.food_mass
    ends = (after - down / pot.food_mass, after + up / pot.food_mass)
    return replace(
        change,
        ground=WeightFrom.READ,
        water=change.absorbed - off,
        down=down,
        up=up,
        factor=after,
        low=ends[0],
        high=ends[1],
        source=say("cooking.by.reduced"),
        remarks=lambda: tuple(r for r in change.remarks() if r.code != Code.NO_MOISTURE_LOSS),
    )


def _by_tables(pot: Pot, cooking: Cooking | None, names: tuple[str, ...]) -> Change:
    if cooking is None or cooking.method is None:
        said = partial(uncooked.remarks, pot, names) if cooking is None else partial(_unweighed, pot)
        return Change(WeightFrom.NONE, remarks=said)
    if cooking.method == Method.RAW:
        return Change(WeightFrom.NONE)
    spoken = _spoken(pot, cooking.method)
    names = (*names, *_porridge(pot))
    if grain := _boiled_dry(pot, spoken, cooking, names):
        return grain
    if dough := _boiled_dough(pot, cooking):
        return dough
    share = sum(s.item.put.grams for s in spoken) / pot.food_mass if pot.food_mass else 0.0
    moist = cooking.method in _WET and not cooking.drained
    dish = yields.of_dish(names, cooking.method)
    if dish is None and cooking.read and not (cooking.drained and cooking.method in IN_WATER):
        wet = _liquid_share(pot) > WET
        dish = yields.of_any(cooking.method, wet) or yields.of_any(INSTEAD.get(cooking.method), wet)
    if tossed := _tossed(pot, spoken, cooking):
        return tossed
    stays = moist or _liquid_share(pot) > WET
    if dish is not None and dish.whole and not cooking.drained:
        return _by_dish(pot, dish, cooking)
    if spoken and not stays and (share >= ENOUGH or dish is None):
        return _by_food(pot, spoken, cooking, share)
    if spoken and moist and share >= ENOUGH and _in_unlisted_water(pot, spoken, cooking):
        return _by_food(pot, spoken, cooking, share)
    if dish is not None:
        return _by_dish(pot, dish, cooking)
    return Change(WeightFrom.NONE, remarks=partial(_unweighed, pot))


def _porridge(pot: Pot) -> tuple[str, ...]:
    """What meal in water or milk becomes, whatever it is called: it keeps the liquid that it is given."""
    dry = [i for i in pot.foods if not i.is_any(*LIQUIDS)]
    meal = sum(i.put.grams for i in dry if i.raw and i.is_any(*MEAL))
    mass = sum(i.put.grams for i in dry) + sum(b.mass for b in pot.parts)
    return ("porridge",) if meal >= MOSTLY * mass > 0 and _liquid_share(pot) > WET else ()


def _tossed(pot: Pot, spoken: Sequence[_Spoken], cooking: Cooking) -> Change | None:
    """A stir-fry as read: the median of such dishes; each food fried by itself is the most that it loses."""
    raw = [i for i in pot.foods if i.raw]
    dish = yields.of_dish(("stir fry",), cooking.method)
    if not cooking.read or cooking.method != Method.STIR_FRIED or len(raw) < TOSSED or dish is None:
        return None
    change = _by_dish(pot, dish, cooking)
    alone = -sum(s.water + s.fat for s in spoken)
    return replace(change, down=max(change.down, alone + change.water))


def _in_unlisted_water(pot: Pot, spoken: Sequence[_Spoken], cooking: Cooking) -> bool:
    """Boiled or poached with no liquid in the list: nobody boils in nothing, the water is not in the recipe.

    The same of what is stewed or braised by itself; of several foods the juices stay in the pot.
    """
    thirsty = all(s.item.is_any(*THIRSTY) for s in spoken)
    alone = sum(i.put.grams for i in pot.foods if i.kind == spoken[0].item.kind) >= ALONE * pot.food_mass
    boiled = cooking.method in (Method.BOILED, Method.POACHED)
    return not _liquid_share(pot) and not pot.parts and (thirsty or alone or boiled)


@dataclass(frozen=True, slots=True)
class _Spoken:
    """A line that a yield speaks for, with the change of its water and fat [g]."""

    item: Item
    of: Yield
    water: float
    fat: float

    def cooked(self, end: str) -> float:
        """Cooked weight without oil [g], the middle ("cooked") or an end ("low", "high")."""
        return float(getattr(self.of, end)) * self.item.put.grams


def _spoken(pot: Pot, method: Method | None) -> list[_Spoken]:
    found = []
    for item in pot.foods:
        food, grams = item.put.food, item.put.grams
        if food is not None and grams > 0 and (of := yields.of_food(food, method)) is not None:
            water, fat = of.change(food)
            found.append(_Spoken(item, of, water * grams, fat * grams))
    return found


def _liquid_share(pot: Pot) -> float:
    """Share of the food that is liquid poured in and not poured away."""
    wet = sum(i.put.grams for i in pot.foods if i.is_any(*LIQUIDS))
    return wet / pot.food_mass if pot.food_mass else 0.0


def _by_food(pot: Pot, spoken: Sequence[_Spoken], cooking: Cooking, share: float) -> Change:
    # What is fried by itself is lifted out of its fat; where a recipe file says no more, it may be eaten with it.
    drips = cooking.method in DRY or cooking.drained or (cooking.read and cooking.method in FRIED)
    meat = sum(s.item.put.grams for s in spoken if s.fat < 0)
    drips = drips and meat >= MOSTLY * pot.food_mass and cooking.fat_drained is None and not cooking.fat_poured
    before = sum(s.item.put.grams for s in spoken)
    low, middle, high = (sum(s.cooked(end) for s in spoken) / before for end in ("low", "cooked", "high"))
    remarks = partial(_unspoken, pot, spoken) if share < 1 - 0.1 else tuple
    return Change(
        WeightFrom.PUBLISHED,
        water=sum(s.water for s in spoken),
        absorbed=sum(s.water for s in spoken if s.water > 0),
        fat=-sum(s.fat for s in spoken) if drips else 0.0,
        down=sqrt(sum((s.cooked("cooked") - s.cooked("low")) ** 2 for s in spoken)),
        up=sqrt(sum((s.cooked("high") - s.cooked("cooked")) ** 2 for s in spoken)),
        factor=middle,
        low=low,
        high=high,
        source="; ".join(dict.fromkeys(s.of.source for s in spoken)),
        remarks=remarks,
    )


def _unspoken(pot: Pot, spoken: Sequence[_Spoken]) -> tuple[Remark, ...]:
    """What counts with its raw weight because no yield speaks for it, the heaviest first."""
    heard = {id(s.item) for s in spoken}
    silent = sorted((i for i in pot.foods if id(i) not in heard), key=lambda i: -i.put.grams)
    named = [i.put.name for i in silent if i.put.grams > 0.05 * pot.food_mass] or [i.put.name for i in silent[:1]]
    named += [say("cooking.stages-before")] if pot.parts else []
    if not named:
        return ()
    words = say("cooking.no-loss-known", foods=listed(named))
    return (Remark(Code.NO_MOISTURE_LOSS, words),)


def _boiled_dry(pot: Pot, spoken: Sequence[_Spoken], cooking: Cooking, names: tuple[str, ...]) -> Change | None:
    """Rice and other grain cooked in water that it takes up whole: what is more than its yield has boiled off."""
    if cooking.drained or cooking.method not in IN_WATER or not _liquid_share(pot):
        return None
    grain = [s for s in spoken if s.item.is_any("rice", "grain")]
    liquid = sum(i.put.grams for i in pot.foods if i.is_any("water", "stock"))
    dry = sum(s.item.put.grams for s in grain)
    if not grain or dry < 0.8 * (pot.food_mass - liquid) or yields.of_dish(names, cooking.method) is not None:
        return None
    change = _by_food(pot, grain, cooking, 1.0)
    surplus = max(0.0, liquid - change.water)
    drawn = min(change.water, liquid)
    return replace(change, water=-surplus, absorbed=0.0, drawn=drawn, down=min(change.down, liquid), up=surplus)


def _boiled_dough(pot: Pot, cooking: Cooking) -> Change | None:
    """Fresh pasta, filled or not: a dough of flour with egg or water that is boiled takes up water as fresh pasta does.

    What it is filled with weighs as before. Little flour, as in gnocchi, makes no such dough, nor does pastry with fat.
    """
    if cooking.method not in DOUGH_WAYS or not cooking.drained:
        return None
    flour = sum(i.put.grams for i in pot.foods if i.is_any("flour"))
    wet = sum(i.put.grams for i in pot.foods if i.is_any("egg", "water"))
    of = yields.find("pasta-fresh", Method.BOILED)
    if of is None or not flour or flour < DOUGH * pot.food_mass or not DOUGH_WET * flour <= wet <= flour:
        return None
    if sum(i.put.grams for i in pot.foods if i.put.food and i.put.food.values.get("FAT", 0.0) > FATTY) > SHORT * flour:
        return None
    dough = flour + wet
    gained = (of.cooked - 1) * dough
    ends = ((of.cooked - max(1.0, FILLED)) * dough, (of.high - of.cooked) * dough)
    factor = 1 + gained / pot.food_mass
    low, high = factor - ends[0] / pot.food_mass, factor + ends[1] / pot.food_mass
    known = {"factor": factor, "low": low, "high": high, "source": of.source}
    return Change(WeightFrom.PUBLISHED, water=gained, absorbed=gained, down=ends[0], up=ends[1], **known)  # type: ignore[arg-type]


def _by_dish(pot: Pot, dish: DishMoisture, cooking: Cooking) -> Change:
    """The median of the kind of dish; in a covered pot the quartile that loses least.

    FNDDS gives many dishes of a kind the very same change, so that its quartiles promise too much: the range is at
    least `SPREAD` of the median to either side (common practice, no source).
    """
    times = _times(dish, cooking)
    lidded = cooking.covered or cooking.method in (Method.STEAMED, Method.MICROWAVED)
    middle = times * (dish.high if lidded else dish.change)
    low, high = min(dish.low, dish.change * (1 + SPREAD)), max(dish.high, dish.change * (1 - SPREAD))
    low, high = min(low, low * times, middle), max(high, high * times, middle)
    mass = pot.food_mass
    return Change(
        WeightFrom.MEDIAN,
        water=middle * mass,
        down=max(0.0, middle - low) * mass,
        up=max(0.0, high - middle) * mass,
        factor=1 + middle,
        low=1 + low,
        high=1 + high,
        source=_source(dish, times),
    )


def _times(dish: DishMoisture, cooking: Cooking) -> float:
    """What the minutes that a method says make of the loss of such a dish: more for hours, less for a few."""
    usual = yields.usual_minutes(dish.kind)
    if not cooking.read or cooking.minutes is None or usual is None or cooking.method not in _TIMED:
        return 1.0
    return min(MOST_TIME, max(LEAST_TIME, sqrt(cooking.minutes / usual)))


def _source(dish: DishMoisture, times: float) -> str:
    said = say("cooking.by.dishes", source=dish.source, kind=dish.kind, number=dish.n)
    return said if times == 1 else say("cooking.by.minutes", source=said, times=f"{times:.2g}")


def fat_share(pot: Pot, cooking: Cooking) -> float:
    """Of the weight that leaves in the oven or under the grill, the share that is fat, by the yield table [0 to 1]."""
    spoken = _spoken(pot, cooking.method)
    meat = sum(s.item.put.grams for s in spoken if s.fat < 0)
    if (cooking.method not in DRY and not cooking.drained) or meat < MOSTLY * pot.food_mass:
        return 0.0
    fat = -sum(s.fat for s in spoken)
    water = -sum(min(0.0, s.water) for s in spoken)
    return fat / (fat + water) if fat > 0 else 0.0


def may_gain(pot: Pot, cooking: Cooking) -> bool:
    """Whether food can end up heavier than what the list says went in."""
    if pot.marinade or pot.oil or pot.coating:
        return True
    thirsty = any(i.is_any(*THIRSTY) and i.raw for i in pot.foods)
    return cooking.method in IN_WATER and (thirsty or cooking.drained or bool(pot.liquid))


def _unweighed(pot: Pot) -> tuple[Remark, ...]:
    if not pot.food_mass:
        return ()
    words = say("cooking.no-loss-counted")
    return (Remark(Code.NO_MOISTURE_LOSS, words),)
