"""What one food table lacks, borrowed from another that the cook named for it."""

from __future__ import annotations

from dataclasses import replace

from nutrilab.foods import Food
from nutrilab.law.energy import available_carbohydrate

# Components that a declaration or a cooking step needs, with the words a cook knows them by.
BORROWED = {
    "FAT": "fat", "FASAT": "saturates", "SUGAR": "sugars", "FIBTG": "fibre", "PROCNT": "protein", "NA": "sodium",
    "WATER": "water",
}  # fmt: skip
CARBOHYDRATE = "carbohydrate"
# [g dry matter per 100 g] within which a food and its like are in one state, so that they hold about as much water
# (own choice, no source)
SAME_STATE = 15.0
_DRY = ("PROCNT", "FAT", "FIBTG")


def lacks(food: Food) -> bool:
    """Whether a component is missing that another table might lend."""
    return any(tagname not in food.values for tagname in BORROWED) or available_carbohydrate(food.values) is None


def lent(food: Food, twin: Food) -> tuple[Food, tuple[str, ...]]:
    """The food with what it lacked taken from its twin, and the words for what was borrowed.

    Nothing is borrowed that the food has, not even a trace, and no part that would be more than its whole in the food
    (saturates of a fatter twin than all its fat); what neither has stays missing.
    """
    taken = {t: twin.values[t] for t in BORROWED if t not in food.values and t in twin.values}
    carbohydrate = available_carbohydrate(twin.values)
    if available_carbohydrate(food.values) is None and carbohydrate is not None:
        taken["CHOAVL"] = carbohydrate
    values = {**food.values, **taken}
    for part, whole in (("FASAT", values.get("FAT")), ("SUGAR", available_carbohydrate(values))):
        if part in taken and whole is not None and taken[part] > whole:
            del taken[part], values[part]
    if not taken:
        return food, ()
    bounds = {**food.bounds, **{t: ends for t, ends in twin.bounds.items() if t in taken}}
    borrowed = {**food.borrowed, **dict.fromkeys(taken, twin)}
    said = tuple(BORROWED.get(tagname, CARBOHYDRATE) for tagname in taken)
    return replace(food, values=values, bounds=bounds, borrowed=borrowed), said


def watered(food: Food) -> Food | None:
    """The food with the water of its like in the embedded table, where its own table gives none; None where it does, or
    where the two are not in one state by the dry matter that both tables give."""
    like = food.like
    if like is None or "WATER" in food.values or "WATER" not in like.values:
        return None
    pairs = [(food.values.get(t), like.values.get(t)) for t in _DRY]
    pairs.append((available_carbohydrate(food.values), available_carbohydrate(like.values)))
    if abs(sum(a - b for a, b in pairs if a is not None and b is not None)) > SAME_STATE:
        return None
    values = {**food.values, "WATER": like.values["WATER"]}
    return replace(food, values=values, borrowed={**food.borrowed, "WATER": like})
