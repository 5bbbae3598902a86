"""What happens to a mass of food in the kitchen: one function a physical step.

A `Batch` is an amount of food and what it holds. Every step takes a batch and returns a new one, with the
`Flow` that crossed its border, so that what went in equals what came out, what was lost and what stayed behind.

The formulas are those of the published "mixed" recipe procedure [1]: weight change at the level of the stage,
retention at the level of the ingredient. Water that leaves takes nothing with it; fat that drips takes its fatty
acids and its energy with it; alcohol that evaporates takes its mass and its energy with it.

References
----------
[1] H. Greenfield, D.A.T. Southgate, Food composition data, FAO 2003, chapter 9; EuroFIR recipe calculation.
[2] A.L. Merrill, B.K. Watt, Energy value of foods, USDA Agriculture Handbook 74, 1973, table 13: 9.02 kcal a
    gram of fat of meat and fish, 6.93 kcal a gram of alcohol; the factors behind the energy of USDA SR28.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from math import fsum
from typing import Any

import numpy as np

from nutrilab.cooking import contents
from nutrilab.cooking.contents import KNOWN, THERE, TOTAL, Held, food_rows
from nutrilab.cooking.errors import (
    COLUMN,
    ENERGY_KCAL,
    ENERGY_KJ,
    MASS,
    NAMES,
    NO_SPREAD,
    RANGED,
    Cause,
    Source,
    Spread,
    factors_of,
    together,
)  # fmt: skip
from nutrilab.foods import Food
from nutrilab.law.energy import KJ_PER_KCAL, factors
from nutrilab.once import once

__all__ = ["ENERGY_KCAL", "ENERGY_KJ", "MASS", "NOTHING", "RANGED", "Batch", "Flow", "mix", "of_food", "of_unknown"]

KCAL_FAT = 9.02  # [kcal/g] [2]
KCAL_ALCOHOL = 6.93  # [kcal/g] [2]


@dataclass(frozen=True, slots=True)
class Flow:
    """What crosses the border of a batch: mass [g], water [g], fat [g], sodium [mg], energy [kcal]."""

    mass: float = 0.0
    water: float = 0.0
    fat: float = 0.0
    sodium: float = 0.0
    energy: float = 0.0

    def __add__(self, other: Flow) -> Flow:
        return Flow(
            self.mass + other.mass,
            self.water + other.water,
            self.fat + other.fat,
            self.sodium + other.sodium,
            self.energy + other.energy,
        )


@dataclass(frozen=True, slots=True, eq=False)
class Batch:
    """A mass of food and what it holds.

    mass: what it weighs now [g]. held: by component the total, in its unit, over the ingredients whose value is known,
    and the mass of these as they went in [g] (`contents`); a value that is missing is never zero. raw: mass of
    ingredients as they went in [g], of which ``linked`` [g] have a food. alcohol_in: alcohol before any heat [g].
    spread: what each source of doubt may change of components, of ``mass`` and of the Regulation's energy (`errors`).
    worked: what was worked out once of what it holds, and of that alone.
    """

    mass: float
    held: Held = field(default_factory=lambda: contents.NOTHING_HELD)
    raw: float = 0.0
    linked: float = 0.0
    alcohol_in: float = 0.0
    spread: Spread = field(default_factory=lambda: NO_SPREAD)
    worked: dict[object, Any] = field(default_factory=dict, repr=False)

    @property
    def amounts(self) -> dict[str, float]:
        """Tagname -> total, of what is known."""
        return self.held.mapped(TOTAL)

    @property
    @once
    def core(self) -> dict[str, float]:
        """The amounts of what cooking and the declaration ask for; no vitamins and minerals but sodium."""
        return self.held.core_totals()

    @property
    def known(self) -> dict[str, float]:
        """Tagname -> mass of ingredients as they went in [g] that have a value."""
        return self.held.mapped(KNOWN)

    def get(self, tagname: str) -> float:
        """Total of a component over what is known [its unit]; 0 if nothing is."""
        return self.core.get(tagname, 0.0) if tagname in contents.CORE else self.held.at(TOTAL, tagname)

    def has(self, tagname: str) -> bool:
        """Whether any ingredient has a value for a component."""
        return self.held.at(THERE, tagname) > 0

    def coverage(self, tagname: str) -> float:
        """Share of the ingredients' mass [0 to 1] that has a value for a component."""
        return min(1.0, self.held.at(KNOWN, tagname) / self.raw) if self.raw > 0 else 0.0

    @property
    def flow(self) -> Flow:
        """The batch as something that crosses a border."""
        return Flow(self.mass, self.get("WATER"), self.get("FAT"), self.get("NA"), self.get("ENERC_KCAL"))

    def __add__(self, other: Batch) -> Batch:
        return self if other is NOTHING else mix((self, other))

    def scaled(self, share: float) -> Batch:
        """The same food, ``share`` times as much: its share of everything."""
        return Batch(
            self.mass * share,
            self.held.times(share),
            self.raw * share,
            self.linked * share,
            self.alcohol_in * share,
            self.spread.scaled(share),
        )

    def holding(self, mass: float, totals: Mapping[str, float]) -> Batch:
        """The same with another mass [g] and other totals of some components."""
        return self.of(mass, self.held.holding(totals))

    def of(self, mass: float, held: Held) -> Batch:
        """The same ingredients with another mass [g] and other contents."""
        return Batch(mass, held, self.raw, self.linked, self.alcohol_in, self.spread)

    def widened(self, source: Source, deviations: Iterable[tuple[str, float, float]]) -> Batch:
        """With what a source of doubt changes: (name, down, up), less at its low end and more at its high end."""
        effects = [(name, -down, up) for name, down, up in deviations]
        return self.with_spread(self.spread.and_of(source, effects)) if effects else self

    def in_stage(self, stage: str) -> Batch:
        """The same with what hangs on lines in the pot hanging on those of a stage."""
        return self.with_spread(self.spread.in_stage(stage)) if self.spread else self

    def with_spread(self, spread: Spread) -> Batch:
        """The same with another spread."""
        return Batch(self.mass, self.held, self.raw, self.linked, self.alcohol_in, spread, self.worked)


NOTHING = Batch(0.0)


def mix(batches: Iterable[Batch]) -> Batch:
    """Several batches as one: sums of everything; what hangs on one source of doubt moves together."""
    parts = [batch for batch in batches if batch is not NOTHING]
    if len(parts) < 2:
        return parts[0] if parts else NOTHING
    mass, raw, linked, alcohol = map(fsum, zip(*[(b.mass, b.raw, b.linked, b.alcohol_in) for b in parts], strict=True))
    held, spread = contents.summed([b.held for b in parts]), together([b.spread for b in parts])
    return Batch(mass, held, raw, linked, alcohol, spread)


UNNAMED = Source(Cause.AMOUNT, "")


def of_food(
    food: Food,
    grams: float,
    low: float | None = None,
    high: float | None = None,
    source: Source = UNNAMED,
    apart: Iterable[tuple[Source, np.ndarray]] = (),
) -> Batch:
    """``grams`` of one food [g], values per 100 g edible portion; low and high: between which the weight lies [g].

    source: what the weight hangs on, the line it stands in; apart: what 100 g of it may hold less and more, by source.

    Available carbohydrate is derived here, food by food, where the table lacks it, and a whole below its part is the
    part (`energy.reconciled`).
    """
    rows, share = food_rows(food), grams / 100
    sources, ends = [], []
    for tagname, effects in _of_bounds(food, share) if food.bounds else ():
        sources.append(Source(Cause.FOOD, f"{food.food_id} {tagname}"))
        ends.append(effects)
    down, up = _ends(grams, low, high)
    if down or up:
        sources.append(source)
        ends.append(np.array((rows.rates * (-down / 100), rows.rates * (up / 100))))
    for of, changes in apart:
        sources.append(of)
        ends.append(changes * share)
    spread = Spread(tuple(sources), np.array(ends)) if sources else NO_SPREAD
    return Batch(grams, rows.held(grams), grams, grams, rows.alcohol * share, spread)


def _of_bounds(food: Food, share: float) -> Iterator[tuple[str, np.ndarray]]:
    """What traces, "less than" and conversions leave open: by component the ends of it and of its energy."""
    rows = food_rows(food)
    for tagname, (low, high) in food.bounds.items():
        if tagname not in RANGED or not rows.values.at(THERE, tagname):
            continue
        value = rows.values.at(TOTAL, tagname)
        down, up = max(0.0, value - low) * share, max(0.0, high - value) * share
        kj, kcal = factors().get(tagname, (0.0, 0.0))
        ends = np.zeros((2, len(NAMES)))
        for name, times in ((tagname, 1.0), (ENERGY_KJ, kj), (ENERGY_KCAL, kcal)):
            ends[:, COLUMN[name]] = -times * down, times * up
        yield tagname, ends


def of_unknown(grams: float, low: float | None = None, high: float | None = None, source: Source = UNNAMED) -> Batch:
    """``grams`` of something no food table row stands for: it has mass, and every value of it is missing."""
    down, up = _ends(grams, low, high)
    return Batch(grams, raw=grams).widened(source, [(MASS, down, up)] if down or up else [])


def _ends(grams: float, low: float | None, high: float | None) -> tuple[float, float]:
    down = grams - low if low is not None else 0.0
    up = high - grams if high is not None else 0.0
    return max(0.0, down), max(0.0, up)


def of_water(grams: float, sodium: float = 0.0) -> Batch:
    """Water from outside the recipe [g] with its sodium [mg]. It is no ingredient, so coverage leaves it out."""
    return Batch(grams, contents.of_values({"WATER": grams, "NA": sodium}))


def lose_water(batch: Batch, grams: float) -> tuple[Batch, Flow]:
    """Water boiled or dried off [g]: mass and WATER go down, nothing else. Formula: [1].

    Raises ValueError when there is less water than that, to a thousandth of a gram.
    """
    water = batch.get("WATER")
    if grams > water + 1e-3:
        raise ValueError(f"{grams:.1f} g of water cannot leave a batch that holds {water:.1f} g")
    grams = min(grams, water)
    changed = batch.holding(batch.mass - grams, {"WATER": water - grams})
    return changed, Flow(mass=grams, water=grams)


def lose_fat(batch: Batch, grams: float) -> tuple[Batch, Flow]:
    """Fat dripped, skimmed or poured off [g]: FAT, its fatty acids in proportion, and 9.02 kcal a gram [2].

    Cholesterol and fat-soluble vitamins stay as they are: the retention factors speak for them.
    Raises ValueError when there is less fat than that.
    """
    fat = batch.get("FAT")
    if grams > fat + 1e-3:
        raise ValueError(f"{grams:.1f} g of fat cannot leave a batch that holds {fat:.1f} g")
    grams = min(grams, fat)
    if grams <= 0:
        return batch, Flow()
    held, kcal = _less_energy(batch.held.less_fat(1 - grams / fat, fat - grams), grams * KCAL_FAT)
    return batch.of(batch.mass - grams, held), Flow(mass=grams, fat=grams, energy=kcal)


def _less_energy(held: Held, kcal: float) -> tuple[Held, float]:
    """Take energy out of the table's own energy values, as far as there is any; with the kcal taken."""
    taken = min(kcal, held.at(TOTAL, "ENERC_KCAL"))
    return held.less_energy(taken, kcal * KJ_PER_KCAL), taken


def retain(batch: Batch, factors: Mapping[str, float]) -> tuple[Batch, Flow]:
    """Keep a share [0 to 1] of each component named; the rest is destroyed, leached out or evaporated. Formula: [1].

    Leached minerals and vitamins weigh next to nothing and leave the mass as it is; alcohol takes its mass and
    6.93 kcal a gram [2] with it.
    """
    row = tuple(factors.items())
    held, kcal = batch.held.retained(row), 0.0
    sodium = batch.get("NA") - held.at(TOTAL, "NA")
    alcohol = batch.get("ALC") - held.at(TOTAL, "ALC")
    if alcohol:
        held, kcal = _less_energy(held, alcohol * KCAL_ALCOHOL)
    changed = batch.of(batch.mass - alcohol, held).with_spread(batch.spread.retained(factors_of(row)))
    return changed, Flow(mass=alcohol, sodium=sodium, energy=kcal)


def take_up(medium: Batch, grams: float) -> tuple[Batch, Batch]:
    """Part a medium (frying oil, cooking liquid, marinade, coating) into what food takes up and what is left.

    No more can be taken up than was poured.
    """
    if medium.mass <= 0:
        return NOTHING, medium
    share = min(1.0, max(0.0, grams / medium.mass))
    return medium.scaled(share), medium.scaled(1 - share)


def solids(batch: Batch) -> float:
    """Water, protein, fat, carbohydrate, ash and alcohol [g]: near the mass of the batch in a sound table."""
    carbohydrate = batch.get("CHOCDF") or batch.get("CHOAVL") + batch.get("FIBTG")
    return carbohydrate + fsum(batch.get(t) for t in ("WATER", "PROCNT", "FAT", "ASH", "ALC"))
