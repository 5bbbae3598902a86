"""What the embedded table leaves out of a food, where it can be known: from another row, or from its own other figures.

Three sources, the first that applies:

* ``data/lent_values.csv``: the same component of the same food, or of the nearest of its kind, in another row or table;
* nothing holds more of a part than of the whole: with no carbohydrate there are no sugars and no fibre, with no fat no
  saturates;
* where the whole is so small that its part is known within the tolerance of a label whatever it is, the middle
  stands, with both ends as bounds: sugars up to 2 g available carbohydrate, saturates up to 1.6 g fat.

The tolerances are those of the European Commission's guidance document of December 2012, section 2: sugars below
10 g/100 g +-2 g, saturates below 4 g/100 g +-0.8 g. All else stays missing; ``Food.borrowed`` says where a value is
from. Other tables are left as they are: for them the cook's own settings name a table that lends.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType
from typing import Final

from nutrilab.datafiles import rows
from nutrilab.foods import Food
from nutrilab.law.energy import available_carbohydrate, salt
from nutrilab.messages import say
from nutrilab.once import once

OF: Final = "sr:"  # ids of the table whose foods are completed
PARTS: Final = (  # component, the whole it is part of, up to what whole [g/100 g] the middle stands
    ("FIBTG", "CHOCDF", 0.0),
    ("SUGAR", "CHOAVL", 2.0),
    ("FASAT", "FAT", 1.6),
)
A_FIFTH, ROUNDED = 0.2, 0.1  # [1] and [g] by which printed salt and sodium may differ


@dataclass(frozen=True, slots=True)
class Lent:
    """A value [component's unit per 100 g] that a food lacks, and the food that lends it."""

    tagname: str
    value: float
    lender: Food


@cache
def lent_values() -> dict[str, tuple[Lent, ...]]:
    """Food id -> the values lent to it, from the data file."""
    found: dict[str, list[Lent]] = {}
    for row in rows("lent_values.csv"):
        value = float(row["value"])
        lender = Food(row["lender"], row["name"], "", row["ground"], None, MappingProxyType({row["component"]: value}))
        found.setdefault(row["food"], []).append(Lent(row["component"], value, lender))
    return {food_id: tuple(some) for food_id, some in found.items()}


def completed(food: Food) -> Food:
    """The food with what it lacks, as far as that can be known; the food itself where nothing can be added."""
    if (salts := two_salts(food)) is not None:
        food = replace(food, values={**food.values, "NA": salts[0] / salt(1.0)})
    if not food.food_id.startswith(OF):
        return food
    for lent in lent_values().get(food.food_id, ()):
        if lent.tagname not in food.values:
            food = _with(food, lent.tagname, lent.value, lent.lender)
    for part, whole, most in PARTS:
        if part not in food.values:
            food = _part_of(food, part, whole, most)
    return food


@once
def two_salts(food: Food) -> tuple[float, float] | None:
    """Salt as the table prints it and as its sodium has it [g/100 g], where the two differ by more than a fifth.

    The printed salt then counts, and the bounds of the sodium hold both. A tenth of a gram is what two digits round
    away. Sodium as salt: Regulation (EU) No 1169/2011, Annex I, 11. None where only one is printed or they agree.
    """
    printed, sodium = food.values.get("NACL"), food.values.get("NA")
    if printed is None or sodium is None:
        return None
    of_sodium = salt(sodium)
    apart = abs(printed - of_sodium) > max(A_FIFTH * max(printed, of_sodium), ROUNDED)
    return (printed, of_sodium) if apart else None


def _part_of(food: Food, part: str, whole: str, most: float) -> Food:
    """The food with a part that is known from the whole, or the food itself."""
    grams = available_carbohydrate(food.values) if whole == "CHOAVL" else food.values.get(whole)
    if grams is None or grams > most:
        return food
    source = say("own.at-most", table=food.source, whole=say(f"own.whole.{whole.lower()}"), weight=f"{grams:g} g")
    lender = Food(food.food_id, food.name, food.group, source, food.refuse, MappingProxyType({part: grams / 2}))
    filled = _with(food, part, grams / 2, lender)
    return replace(filled, bounds={**filled.bounds, part: (0.0, grams)}) if grams else filled


def _with(food: Food, tagname: str, value: float, lender: Food) -> Food:
    return replace(food, values={**food.values, tagname: value}, borrowed={**food.borrowed, tagname: lender})
