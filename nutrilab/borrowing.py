"""What one food table lacks, borrowed from another that the cook named for it."""

from __future__ import annotations

from dataclasses import replace

from nutrilab.energy import available_carbohydrate
from nutrilab.foods import Food

# Components that a declaration or a cooking step needs, with the words a cook knows them by.
BORROWED = {
    "FAT": "fat", "FASAT": "saturates", "SUGAR": "sugars", "FIBTG": "fibre", "PROCNT": "protein", "NA": "sodium",
    "WATER": "water",
}  # fmt: skip
CARBOHYDRATE = "carbohydrate"


def lacks(food: Food) -> bool:
    """Whether a component is missing that another table might lend."""
    return any(tagname not in food.values for tagname in BORROWED) or available_carbohydrate(food.values) is None


def lent(food: Food, twin: Food) -> tuple[Food, tuple[str, ...]]:
    """The food with what it lacked taken from its twin, and the words for what was borrowed.

    Nothing is borrowed that the food has, not even a trace; what neither has stays missing.
    """
    taken = {tagname: twin.values[tagname] for tagname in BORROWED if _missing(tagname, food, twin)}
    said = [BORROWED[tagname] for tagname in taken]
    carbohydrate = available_carbohydrate(twin.values)
    if available_carbohydrate(food.values) is None and carbohydrate is not None:
        taken["CHOAVL"] = carbohydrate
        said.append(CARBOHYDRATE)
    if not taken:
        return food, ()
    bounds = {t: ends for t, ends in twin.bounds.items() if t in taken}
    return replace(food, values={**food.values, **taken}, bounds={**food.bounds, **bounds}), tuple(said)


def _missing(tagname: str, food: Food, twin: Food) -> bool:
    return tagname not in food.values and tagname in twin.values
