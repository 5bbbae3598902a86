"""A dish looked over for what hardly can be: its portion, its stages, its lines. Limits and words: `plausible`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from nutrilab import plausible
from nutrilab.cooking.kinds import is_a, kind_of
from nutrilab.cooking.media import FRIED
from nutrilab.law.energy import salt
from nutrilab.lines import Purpose
from nutrilab.remarks import Remark
from nutrilab.results import CookedStage, DishResult
from nutrilab.tracing import Used, in_dish, used

_FRYING = (Purpose.FRYING, Purpose.DEEP_FRYING)

_ALL = 0.98  # share of a brine's weight that is salt by its sodium and water; table salt is not all sodium chloride


def of_dish(result: DishResult) -> tuple[Remark, ...]:
    """What hardly can be of a dish, the widest first."""
    whole, portions = result.whole, result.portions
    found = [*plausible.portion(whole.mass / portions, whole.per_portion["energy_kcal"])]
    found += plausible.salt(whole.per_100g["salt"], result.recipe.dish)
    lines: dict[int, list[Used]] = {}
    for one in used(result):
        lines.setdefault(id(one.stage), []).append(one)
    for stage, share in in_dish(result):
        there = lines.get(id(stage), ())
        found += _brine(stage)
        if stage is not result.stages[len(result.recipe.stages) - 1]:  # that one is the dish
            found += _salt(stage, share / portions, result.recipe.dish)
        found += _frying(stage, there, portions)
        found += _weights(stage, there, portions)
    return tuple(found)


def _salt(stage: CookedStage, times: float, dish: str) -> Iterator[Remark]:
    """A stage that is too salty, and of which so much comes into a portion that it matters.

    Soy sauce, seasoned flour and the like are salty on their way into a dish, and should be. times: portions of it.
    """
    cooked = stage.result.cooked
    amount = salt(cooked.get("NA"))
    if cooked.mass > 0 and amount * times > plausible.limit("salt of a stage a portion"):
        for remark in plausible.salt(100 * amount / cooked.mass, stage.stage.name, dish):
            yield remark.at(stage.stage.name)


def _brine(stage: CookedStage) -> Iterator[Remark]:
    """Nothing but salt and water, and more salt than that water dissolves."""
    raw = stage.result.raw
    amount, water = salt(raw.get("NA")), raw.get("WATER")
    if amount + water >= _ALL * raw.mass:
        for remark in plausible.undissolved(amount, water):
            yield remark.at(stage.stage.name)


def _weights(stage: CookedStage, lines: Sequence[Used], portions: float) -> Iterator[Remark]:
    """Lines of which hardly so much can be in a portion, or in any pot."""
    eaten: dict[int, float] = {}
    for one in lines:
        eaten[one.number] = eaten.get(one.number, 0.0) + (one.grams or 0.0)
    for number, record in stage.lines:
        for remark in plausible.line(record.parsed.text, eaten.get(number), portions):
            yield remark.at(stage.stage.name, number)


def _frying(stage: CookedStage, lines: Sequence[Used], portions: float) -> Iterator[Remark]:
    """Fat that a stage was fried in, as far as it is eaten."""
    fried = stage.stage.cooking is not None and stage.stage.cooking.method in FRIED
    fats = [one for one in lines if one.record.parsed.purpose in _FRYING or (fried and _is_fat(one))]
    numbers = {one.number for one in fats}
    number = next(iter(numbers)) if len(numbers) == 1 else None
    for remark in plausible.frying(sum(one.grams or 0.0 for one in fats), portions):
        yield remark.at(stage.stage.name, number)


def _is_fat(one: Used) -> bool:
    food = one.food.link.food
    return food is not None and is_a(kind_of(food), "oil")
