"""The weight of a stage after cooking, and the water that makes the difference."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from nutrilab.cooking import uptake, weight
from nutrilab.cooking.balance import SURE, Step, Way
from nutrilab.cooking.errors import deviation
from nutrilab.cooking.happening import Happening
from nutrilab.cooking.media import FRIED, IN_WATER
from nutrilab.cooking.steps import (
    ENERGY_KCAL,
    ENERGY_KJ,
    MASS,
    Batch,
    Flow,
    lose_fat,
    lose_water,
    mix,
    of_water,
    take_up,
)
from nutrilab.cooking.weight import Change, WeightFrom
from nutrilab.cooking.work import Work
from nutrilab.law.energy import SODIUM_PER_SALT, factors
from nutrilab.messages import as_grams, as_percent, say
from nutrilab.plausible import limit, macronutrients, refuse_salted_water
from nutrilab.recipe import Cooking
from nutrilab.remarks import Code, InputError

SCALE = 0.05  # share by which scales and lines may differ before it is said
LINES = 0.02  # share by which a weighing may exceed lines that are estimates themselves
SLACK = 1e-6  # share of the weight that rounding may be off
# Shares by which "salted water" of 8.3 g a litre may be weaker or stronger (common practice, no source: 4 to 12 g).
UNSAID_SALT = (0.52, 0.45)


def settle(work: Work, raw: Batch, cooking: Cooking | None, names: tuple[str, ...]) -> WeightFrom:
    """Bring the batch to its cooked weight; returns the ground of it. Raises InputError for what cannot be."""
    pool = _Pool(work)
    after, ground = _weighed_after(work)
    if after is not None:
        _unexplained(work)
        _to_weight(work, pool, after, raw, ground)
    else:
        change = weight.published(work.pot, cooking, names)
        ground = change.ground
        _by_table(work, pool, change)
    pool.salt_food()
    pool.leave()
    return ground


def _weighed_after(work: Work) -> tuple[float | None, WeightFrom]:
    """Cooked weight [g] by the cook's weighing or stated loss, and which."""
    cooking = work.cooking
    if cooking.weight_after is not None:
        before = cooking.weight_before
        if before is not None and cooking.weight_after > before and not weight.may_gain(work.pot, cooking):
            words = say("cooking.gained-weight", after=as_grams(cooking.weight_after), before=as_grams(before))
            raise InputError(words)
        return cooking.weight_after, WeightFrom.WEIGHED
    if cooking.loss is not None:
        start = cooking.weight_before or work.pot.food_mass
        taken = work.batch.mass - sum(i.batch.mass for i in work.pot.foods) - sum(b.mass for b in work.pot.parts)
        return start * (1 - cooking.loss) + max(0.0, taken), WeightFrom.STATED
    return None, WeightFrom.NONE


def _unexplained(work: Work) -> None:
    """Scales before cooking that disagree with the lines: mass of which nothing is known came in, or left."""
    before, pot = work.cooking.weight_before, work.pot
    if before is None or pot.oil or pot.liquid or pot.marinade or pot.coating:
        return
    lines = pot.food_mass
    _adjust(work, before - lines)
    if abs(before - lines) > SCALE * max(lines, 1e-9):
        if before > lines:
            work.batch = replace(work.batch, raw=work.batch.raw + before - lines)
        words = say("cooking.scales-and-lines", before=as_grams(before), lines=as_grams(lines))
        work.say(Code.SCALES_AND_LINES, words)


def _adjust(work: Work, grams: float) -> None:
    """Mass [g] that scales found and lines did not, or the other way round; nothing else is known of it."""
    work.batch = replace(work.batch, mass=work.batch.mass + grams)
    words = say("cooking.scales-differ", weight=as_grams(abs(grams)))
    way: Way = "taken up" if grams > 0 else "lost"
    work.step(Happening.SCALES_AND_LINES, way, Flow(mass=abs(grams)), words, source=say("cooking.by.cook"))


def _to_weight(work: Work, pool: _Pool, after: float, raw: Batch, ground: WeightFrom) -> None:
    change = after - work.batch.mass
    start = work.pot.food_mass
    known = {
        "factor": after / start if start else None,
        "source": say("cooking.by.cook" if ground == WeightFrom.WEIGHED else "cooking.by.loss"),
    }
    if change >= 0:
        _gain(work, pool, change, after, raw)
        return
    lost = -change
    if (
        not work.cooking.fat_drained
        and not work.cooking.fat_poured
        and (share := weight.fat_share(work.pot, work.cooking))
    ):
        drip(
            work,
            min(share * lost, work.batch.get("FAT")),
            known["source"],
        )
    _lose(work, work.batch.mass - _at_least(work, after), known)


def _at_least(work: Work, after: float) -> float:
    """The weighing [g], or what is dry in the food where scales or lines are a little off: no food weighs less.

    Raises InputError where they are more than a little off.
    """
    batch, water = work.batch, work.batch.get("WATER")
    told = batch.coverage("WATER") >= SURE
    dry = min(batch.mass, batch.mass - water if told else macronutrients(batch.core))
    if after >= dry - SLACK * batch.mass:
        return after
    if dry - after <= max(LINES * after, deviation(batch.spread, MASS)[0]):
        words = say("cooking.lighter-than-dry", after=as_grams(after), dry=as_grams(dry))
        work.say(Code.SCALES_AND_LINES, words)
        return dry
    lost = batch.mass - after
    if told:
        words = say("cooking.more-water-lost-than-held", lost=as_grams(lost), water=as_grams(water))
    else:
        words = say("cooking.macros-too-heavy", dry=as_grams(dry), weight=as_grams(after))
    raise InputError(words)


def _lose(work: Work, lost: float, known: Mapping[str, Any]) -> None:
    """Water that leaves [g], and what is more than the water that is known of."""
    water = work.batch.get("WATER")
    if lost > water + SLACK * work.batch.mass:
        work.say(Code.WATER_UNKNOWN, say("cooking.water-unknown", lost=as_grams(lost), water=as_grams(water)))
        _adjust(work, water - lost)
    _boil_off(work, min(lost, water), known)


def _boil_off(work: Work, grams: float, known: Mapping[str, Any]) -> None:
    """Water that leaves; a factor above 1 is the gain of something else in the pot, and not told of a loss."""
    if (known["factor"] or 0) > 1:
        known = {}
    held = work.batch.get("WATER")
    work.batch, flow = lose_water(work.batch, grams)
    words = say("cooking.water-lost", water=as_grams(grams), share=as_percent(grams / held if held else 0.0))
    work.step(Happening.WATER_LOST, "lost", flow, words, **known)


def drip(work: Work, grams: float, source: object, poured: bool = False) -> None:
    """Fat that drips from meat; it may be half as much again, or all of it may have been spooned back.

    poured: the method pours it off.
    """
    fat = work.batch.get("FAT")
    if grams <= 0 or fat <= 0:
        return
    saturates = work.batch.get("FASAT") * grams / fat
    work.batch, flow = lose_fat(work.batch, grams)
    kj, kcal = factors()["FAT"]
    ends = {"FAT": grams, "FASAT": saturates, ENERGY_KJ: kj * grams, ENERGY_KCAL: kcal * grams, MASS: grams}
    doubt = work.source(Happening.FAT_THAT_DRIPS)
    work.batch = work.batch.widened(doubt, ((name, v / 2, v) for name, v in ends.items()))
    words = say("cooking.fat-poured-unweighed" if poured else "cooking.fat-drips", fat=as_grams(grams))
    work.step(Happening.FAT_DRIPPED, "lost", flow, words, source=source)
    if grams >= 0.01 * work.batch.mass:
        words = say("cooking.fat-dripped", fat=as_grams(grams))
        work.say(Code.FAT_DRIPPED, words)


def _gain(work: Work, pool: _Pool, grams: float, after: float, raw: Batch) -> None:
    """Food came out heavier than it went in: it took up water (none in a frying pan), or the lines are a little off."""
    cooking, food = work.cooking, work.pot.food_mass
    taking_up = weight.may_gain(work.pot, cooking) and cooking.method not in FRIED
    from_tap = taking_up and cooking.method in IN_WATER and not pool.wet  # no line names the water: there is enough
    most = max(raw.mass + deviation(raw.spread, MASS)[1], raw.mass * (1 + LINES))
    if cooking.weight_before is not None:
        most = max(most, cooking.weight_before + raw.mass - food)
    if after > most and not from_tap:
        words = say("cooking.line-missing", after=as_grams(after), listed=as_grams(raw.mass))
        raise InputError(words)
    if not taking_up:
        _adjust(work, grams)
        return
    if after > limit("gain in water") * food:
        work.say(Code.IMPROBABLE, say("cooking.swollen", food=as_grams(food), after=as_grams(after)))
    pool.absorb(grams, say("cooking.by.cook"))


def _by_table(work: Work, pool: _Pool, change: Change) -> None:
    if work.cooking.read and pool.wet and change.absorbed > pool.listed.get("WATER"):
        short = change.absorbed - pool.listed.get("WATER")  # no more than the water that the method gives
        change = replace(change, absorbed=change.absorbed - short, water=change.water - short)
    work.later(change.remarks)
    if change.fat:
        drip(work, min(change.fat, work.batch.get("FAT")), change.source)
    if change.absorbed:
        pool.absorb(change.absorbed, change.source)
    if change.drawn:  # stays inside the pot: the factor is the dry food's gain, not the loss of what boils away
        words = say("cooking.water-drawn-up", water=as_grams(change.drawn))
        ends = (change.factor, change.low, change.high)
        work.steps.append(Step(Happening.WEIGHT_GAINED, "taken up", Flow(), words, *ends, source=change.source))
    lost = change.absorbed - change.water
    if work.cooking.boiled_off is not None:  # "by half" speaks of all that leaves, alcohol among it
        lost -= sum(step.flow.mass for step in work.steps if step.name == Happening.ALCOHOL_DRIVEN_OFF)
    if lost > 0:
        there = work.batch.get("WATER")
        if lost > there:
            words = say("cooking.water-short", lost=as_grams(lost), water=as_grams(there))
            work.say(Code.WATER_UNKNOWN, words)
        known = {"factor": change.factor, "low": change.low, "high": change.high, "source": change.source}
        _boil_off(work, min(lost, there), known)
    if change.down or change.up:
        deviations = (change.down, change.up)
        work.batch = work.batch.widened(work.source(Happening.WEIGHT), [(MASS, *deviations), ("WATER", *deviations)])


class _Pool:
    """The cooking water: what of it is listed, what is not, and the salt in it."""

    def __init__(self, work: Work) -> None:
        self.work = work
        cooking, pot = work.cooking, work.pot
        self.listed = mix([i.batch for i in pot.liquid])
        self.wet = bool(pot.liquid) and any(i.kind != "salt" for i in pot.liquid)
        self.tap = 0.0 if self.wet or not pot.liquid else self._assumed()
        salty = cooking.salted_water or 0.0
        if self.wet:  # a litre of water, whatever else is in it
            water = self.listed.get("WATER") / 1000
            salty += self.listed.get("NA") / SODIUM_PER_SALT / water if water > 0 else 0.0
        refuse_salted_water(salty)
        self.brine = (cooking.salted_water or 0.0) * SODIUM_PER_SALT / 1000  # [mg sodium per g water]

    def _assumed(self) -> float:
        """Water the recipe does not name, for the salt that is in it [g]."""
        foods = [(i.batch.mass, uptake.find("cooking water", i.kind)) for i in self.work.pot.foods]
        grams = sum(mass * row.value for mass, row in foods if row is not None)
        words = say("cooking.salt-in-water", litres=f"{grams / 1000:.1f}")
        self.work.say(Code.SALT_IN_COOKING_WATER, words)
        return grams

    @property
    def strength(self) -> float:
        """Sodium in the water [mg per g]."""
        total = self.listed.mass + self.tap
        return self.brine + (self.listed.get("NA") / total if total else 0.0)

    def absorb(self, grams: float, source: str) -> None:
        """Food takes up water [g], with the salt and whatever else is in it."""
        work = self.work
        total = self.listed.mass + self.tap
        share = min(1.0, grams / total) if total else 0.0
        taken, self.listed = take_up(self.listed, self.listed.mass * share)
        work.add(taken, Happening.WATER_TAKEN_UP)
        plain = grams - taken.mass
        self.tap = max(0.0, self.tap - plain)
        water = of_water(plain, (grams if self.brine else 0.0) * self.brine)
        work.add(water, Happening.WATER_TAKEN_UP)
        self._unsure(grams * self.brine)
        words = say("cooking.water-taken-up", water=as_grams(grams))
        start = work.pot.food_mass
        factor = 1 + grams / start if start else None
        work.step(Happening.WATER_TAKEN_UP, "taken up", water.flow, words, factor=factor, source=source)

    def salt_food(self) -> None:
        """Salt that enters food which takes up no water: potatoes, vegetables."""
        work = self.work
        if not work.cooking.drained or work.cooking.method not in IN_WATER or not self.strength:
            return
        strength, sodium, down, up = self.strength, 0.0, 0.0, 0.0
        sources: list[str] = []
        for one in work.pot.foods:
            row = None if one.is_any(*weight.THIRSTY) else uptake.find("salted water", one.kind)
            if row is not None:
                amount = strength * one.batch.mass
                sodium, down, up = (
                    sodium + amount * row.value,
                    down + amount * (row.value - row.low),
                    up + amount * (row.high - row.value),
                )
                sources.append(row.source)
        if sodium:
            self._unsure(sodium * self.brine / strength)
            self._salt(sodium, down, up, "; ".join(dict.fromkeys(sources)))

    def _unsure(self, sodium: float) -> None:
        """Sodium from water that the method only calls salted [mg]: nobody said how much salt is in it."""
        if self.work.cooking.read and sodium:
            weaker, stronger = (sodium * share for share in UNSAID_SALT)
            source = self.work.source(Happening.SALT_IN_WATER)
            self.work.batch = self.work.batch.widened(source, [("NA", weaker, stronger)])

    def _salt(self, sodium: float, down: float, up: float, source: str) -> None:
        work = self.work
        listed = self.listed.get("NA")
        sodium = min(sodium, listed) if not self.brine else sodium
        salted = work.batch.holding(work.batch.mass, {"NA": work.batch.get("NA") + sodium})
        work.batch = salted.widened(work.source(Happening.SALT_TAKEN_UP), [("NA", down, up)])
        from_list = min(sodium, listed)
        self.listed = self.listed.holding(self.listed.mass, {"NA": listed - from_list})
        words = say("cooking.salt-taken-up", salt=as_grams(sodium / SODIUM_PER_SALT))
        work.step(Happening.SALT_TAKEN_UP, "taken up", Flow(sodium=sodium - from_list), words, source=source)

    def leave(self) -> None:
        """Cooking water that is poured away, as far as it is listed."""
        liquid = self.work.pot.liquid
        if not liquid:
            return
        poured, salted = sum(i.batch.mass for i in liquid), sum(i.batch.get("NA") for i in liquid)
        for one in liquid:
            taken = 1 - self.listed.mass / poured if poured else 0.0
            if one.kind == "salt" and salted:  # of salt as much goes into the food as of the sodium in the water
                taken = 1 - self.listed.get("NA") / salted
            self.work.eat([one], one.batch.mass * taken)
        self.work.leave(
            Happening.COOKING_WATER, self.listed, say("cooking.water-poured-away", weight=as_grams(self.listed.mass))
        )
