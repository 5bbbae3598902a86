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
from dataclasses import dataclass, field, replace
from math import fsum

from nutrilab.cooking.errors import Cause, Source, Spread, retained, scaled, together
from nutrilab.foods import Food
from nutrilab.law.energy import KJ_PER_KCAL, energy_regulation, factors, reconciled

ENERGY_KJ, ENERGY_KCAL, MASS = "energy_kj", "energy_kcal", "mass"
RANGED = ("FAT", "FASAT", "CHOAVL", "SUGAR", "FIBTG", "PROCNT", "NA", "ALC", "WATER")
KCAL_FAT = 9.02  # [kcal/g] [2]
KCAL_ALCOHOL = 6.93  # [kcal/g] [2]
_OF_FAT = ("FASAT", "FAMS", "FAPU", "FATRN", "FATRNM", "FATRNP", "SR665", "SR666", "SR856")


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


@dataclass(frozen=True, slots=True)
class Batch:
    """A mass of food and what it holds.

    mass: what it weighs now [g]. amounts: tagname -> total, in the component's unit, over the ingredients whose
    value is known. known: tagname -> mass of ingredients as they went in [g] that have a value; a value that is
    missing is never zero. raw: mass of ingredients as they went in [g], of which ``linked`` [g] have a food.
    alcohol_in: alcohol before any heat [g]. spread: what each source of doubt may change of components, of ``mass``
    and of the Regulation's energy (`errors`).
    """

    mass: float
    amounts: Mapping[str, float] = field(default_factory=dict)
    known: Mapping[str, float] = field(default_factory=dict)
    raw: float = 0.0
    linked: float = 0.0
    alcohol_in: float = 0.0
    spread: Spread = field(default_factory=dict)

    def get(self, tagname: str) -> float:
        """Total of a component over what is known [its unit]; 0 if nothing is."""
        return self.amounts.get(tagname, 0.0)

    def coverage(self, tagname: str) -> float:
        """Share of the ingredients' mass [0 to 1] that has a value for a component."""
        return min(1.0, self.known.get(tagname, 0.0) / self.raw) if self.raw > 0 else 0.0

    @property
    def flow(self) -> Flow:
        """The batch as something that crosses a border."""
        return Flow(self.mass, self.get("WATER"), self.get("FAT"), self.get("NA"), self.get("ENERC_KCAL"))

    def __add__(self, other: Batch) -> Batch:
        return mix((self, other))

    def scaled(self, share: float) -> Batch:
        """The same food, ``share`` times as much: its share of everything."""
        return Batch(
            self.mass * share,
            {t: v * share for t, v in self.amounts.items()},
            {t: v * share for t, v in self.known.items()},
            self.raw * share,
            self.linked * share,
            self.alcohol_in * share,
            scaled(self.spread, share),
        )

    def widened(self, source: Source, deviations: Iterable[tuple[str, float, float]]) -> Batch:
        """With what a source of doubt changes: (name, down, up), less at its low end and more at its high end."""
        effects = {name: (-down, up) for name, down, up in deviations}
        return replace(self, spread=together((self.spread, {source: effects}))) if effects else self


NOTHING = Batch(0.0)


def mix(batches: Iterable[Batch]) -> Batch:
    """Several batches as one: sums of everything; what hangs on one source of doubt moves together."""
    parts = tuple(batches)
    return Batch(
        fsum(b.mass for b in parts),
        _sums(b.amounts for b in parts),
        _sums(b.known for b in parts),
        fsum(b.raw for b in parts),
        fsum(b.linked for b in parts),
        fsum(b.alcohol_in for b in parts),
        together(b.spread for b in parts),
    )


def _sums(maps: Iterable[Mapping[str, float]]) -> dict[str, float]:
    total: dict[str, float] = {}
    for values in maps:
        for t, v in values.items():
            total[t] = total.get(t, 0.0) + v
    return total


UNNAMED = Source(Cause.AMOUNT, "")


def of_food(
    food: Food, grams: float, low: float | None = None, high: float | None = None, source: Source = UNNAMED
) -> Batch:
    """``grams`` of one food [g], values per 100 g edible portion; low and high: between which the weight lies [g].

    source: what the weight hangs on, the line it stands in.

    Available carbohydrate is derived here, food by food, where the table lacks it, and a whole below its part is the
    part (`energy.reconciled`).
    """
    values = reconciled(food.values)
    share = grams / 100
    batch = Batch(
        grams,
        {t: v * share for t, v in values.items()},
        dict.fromkeys(values, grams),
        grams,
        grams,
        values.get("ALC", 0.0) * share,
    )
    if food.bounds:
        for tagname, effects in _of_bounds(food, values, share):
            batch = batch.widened(Source(Cause.FOOD, f"{food.food_id} {tagname}"), effects)
    down, up = _ends(grams, low, high)
    if not down and not up:
        return batch
    kj, kcal = energy_regulation(values)
    rates = [(t, values[t]) for t in RANGED if t in values] + [(ENERGY_KJ, kj), (ENERGY_KCAL, kcal), (MASS, 100.0)]
    return batch.widened(source, ((t, v * down / 100, v * up / 100) for t, v in rates))


def _of_bounds(
    food: Food, values: Mapping[str, float], share: float
) -> Iterator[tuple[str, list[tuple[str, float, float]]]]:
    """What traces, "less than" and conversions leave open: by component (name, down, up) of it and of its energy."""
    for tagname, (low, high) in food.bounds.items():
        value = values.get(tagname)
        if value is None or tagname not in RANGED:
            continue
        down, up = max(0.0, value - low) * share, max(0.0, high - value) * share
        kj, kcal = factors().get(tagname, (0.0, 0.0))
        energy = [(ENERGY_KJ, kj * down, kj * up), (ENERGY_KCAL, kcal * down, kcal * up)]
        yield tagname, [(tagname, down, up), *energy]


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
    return Batch(grams, {"WATER": grams, "NA": sodium})


def lose_water(batch: Batch, grams: float) -> tuple[Batch, Flow]:
    """Water boiled or dried off [g]: mass and WATER go down, nothing else. Formula: [1].

    Raises ValueError when there is less water than that, to a thousandth of a gram.
    """
    water = batch.get("WATER")
    if grams > water + 1e-3:
        raise ValueError(f"{grams:.1f} g of water cannot leave a batch that holds {water:.1f} g")
    grams = min(grams, water)
    changed = replace(batch, mass=batch.mass - grams, amounts={**batch.amounts, "WATER": water - grams})
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
    left = 1 - grams / fat
    amounts = {t: v * left if _is_fatty_acid(t) else v for t, v in batch.amounts.items()}
    amounts["FAT"] = fat - grams
    kcal = _take_energy(amounts, grams * KCAL_FAT)
    return replace(batch, mass=batch.mass - grams, amounts=amounts), Flow(mass=grams, fat=grams, energy=kcal)


def _is_fatty_acid(tagname: str) -> bool:
    return tagname in _OF_FAT or (tagname[0] == "F" and tagname[1:2].isdigit())


def _take_energy(amounts: dict[str, float], kcal: float) -> float:
    """Take energy out of the table's own energy values, as far as there is any; returns the kcal taken."""
    taken = min(kcal, amounts.get("ENERC_KCAL", 0.0))
    for tagname, amount in (("ENERC_KCAL", taken), ("ENERC_KJ", kcal * KJ_PER_KCAL)):
        if tagname in amounts:
            amounts[tagname] = max(0.0, amounts[tagname] - amount)
    return taken


def retain(batch: Batch, factors: Mapping[str, float]) -> tuple[Batch, Flow]:
    """Keep a share [0 to 1] of each component named; the rest is destroyed, leached out or evaporated. Formula: [1].

    Leached minerals and vitamins weigh next to nothing and leave the mass as it is; alcohol takes its mass and
    6.93 kcal a gram [2] with it.
    """
    amounts = {t: v * factors.get(t, 1.0) for t, v in batch.amounts.items()}
    sodium = batch.get("NA") - amounts.get("NA", 0.0)
    alcohol = batch.get("ALC") - amounts.get("ALC", 0.0)
    kcal = _take_energy(amounts, alcohol * KCAL_ALCOHOL) if alcohol else 0.0
    changed = replace(batch, mass=batch.mass - alcohol, amounts=amounts, spread=retained(batch.spread, factors))
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
