"""Where each figure comes from, laid out stage by stage: lines as written, their grams, their foods, the weights."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from nutrilab.cooking import WeightFrom
from nutrilab.cooking.balance import Step
from nutrilab.law.rounding import UNKNOWN, declared
from nutrilab.lexicon.sureness import Sureness
from nutrilab.measures import Ground, Weight
from nutrilab.messages import say
from nutrilab.plain import quoted
from nutrilab.recipe import Cooking, Part
from nutrilab.results import CookedStage, DishResult, LineFood, LineRecord
from nutrilab.tracing import all_stages, amounts, in_dish, knows, puts_of


@dataclass(frozen=True, slots=True)
class FoodRow:
    """One food of a line: grams with range, how they were found, the food it is linked to, how sure and why."""

    grams: str
    ground: str
    food: str
    food_id: str
    sureness: Sureness
    why: str


@dataclass(frozen=True, slots=True)
class LineRow:
    """A line of a stage.

    brought: what it brings to a portion [text, as declared], by key; empty where it is in no portion.
    """

    number: int
    text: str
    foods: tuple[FoodRow, ...]
    brought: Mapping[str, str]
    note: str = ""


@dataclass(frozen=True, slots=True)
class StageRows:
    """A stage: how it was cooked, its weights with their ground, what happened with factor and source, its lines.

    parts: what it takes of stages made before; part: how much of it is in the dish, where it is not all.
    """

    name: str
    cooking: str
    parts: tuple[str, ...]
    weights: str
    part: str
    steps: tuple[str, ...]
    rows: tuple[LineRow, ...]


def ground_of(weight_from: WeightFrom) -> str:
    """How a cooked weight is known, as a sentence has it."""
    return say(f"trace.weight-{weight_from.name.lower()}")


def stages(result: DishResult, keys: tuple[str, ...]) -> tuple[StageRows, ...]:
    """All stages of a dish in the order of cooking, those of other recipes first; keys: the figures to follow."""
    known = [key for key in keys if result.whole.per_portion[key] is not None]
    brought: dict[str, dict[tuple[int, int], str]] = {key: {} for key in keys} | {
        key: {place: declared(key, max(0.0, amount)) for place, (_, amount) in amounts(result, key).items()}
        for key in known
    }
    shares = {id(stage): share for stage, share in in_dish(result)}
    return tuple(_stage(stage, _part(result, stage, shares), brought) for stage in all_stages(result))


def _part(result: DishResult, stage: CookedStage, shares: Mapping[int, float]) -> str:
    """How much of a stage is in the dish, where it is not all of it."""
    if result.recipe.serve_with and stage is result.stages[-1]:
        return say("trace.beside", times=f"{result.portions:g}")
    share = shares.get(id(stage))
    if share is None:
        return say("trace.left-over")
    return say("trace.share", share=f"{100 * share:.3g}%") if share < 1 - 1e-9 else ""


def _stage(stage: CookedStage, part: str, brought: Mapping[str, Mapping[tuple[int, int], str]]) -> StageRows:
    result = stage.result
    before, after = (f"{batch.mass:.0f} g" for batch in (result.raw, result.cooked))
    weights = say("trace.weights", before=before, after=after, how=ground_of(result.weight_from))
    records = dict(stage.lines)
    taken, puts = iter(stage.taken), puts_of([stage])
    rows, parts = [], []
    for number, entry in enumerate(stage.stage.entries, 1):
        if isinstance(entry, Part):
            parts.append(f"{number}. {entry.text} ({next(taken):.0f} g)")
        else:
            place = (id(stage), number)
            told = {
                key: found[place] if found and knows(puts.get(place, ()), records[number], key) else UNKNOWN
                for key, found in brought.items()
                if place in found or not found
            }
            rows.append(_line(stage, number, records[number], told))
    steps = tuple(_step(step.words, step.factor, step.source) for step in result.steps if _matters(step))
    cooking = _cooking(stage.stage.cooking)
    return StageRows(stage.stage.name, cooking, tuple(parts), weights, part, steps, tuple(rows))


def _matters(step: Step) -> bool:
    """A step without a factor that moved less than a gram ("scales and lines differ by 0 g") says nothing."""
    return step.factor is not None or abs(step.flow.mass) >= 0.5


def _step(words: str, factor: float | None, source: str) -> str:
    known = ", ".join(
        part for part in (say("sheet.factor", factor=f"{factor:.3g}") if factor is not None else "", source) if part
    )
    return f"{words} ({known})" if known else words


def _cooking(cooking: Cooking | None) -> str:
    if cooking is None:
        return ""
    said = [cooking.method or ""]
    said.append(f"{cooking.minutes:g} min" if cooking.minutes is not None else "")
    said.append(say("trace.drained") if cooking.drained else "")
    said.append(say("trace.covered") if cooking.covered else "")
    return ", ".join(word for word in said if word)


def _line(stage: CookedStage, number: int, record: LineRecord, brought: Mapping[str, str]) -> LineRow:
    foods = tuple(_food(food, stage.weight(number, food)) for food in record.foods)
    note = say("trace.heading") if record.parsed.heading else "" if foods else say("trace.no-food")
    return LineRow(number, record.parsed.text.strip(), foods, brought, note)


def _food(food: LineFood, weight: Weight) -> FoodRow:
    link = food.link
    ground = "" if weight.ground == Ground.NONE else weight.ground
    if link.food is None:
        return FoodRow(
            _grams(weight), ground, say("trace.no-food-found", food=quoted(food.name)), "", Sureness.NONE, link.why
        )
    return FoodRow(_grams(weight), ground, link.food.name, link.food.food_id, link.sureness, link.why)


def _grams(weight: Weight) -> str:
    """Grams and, where they differ, between what they likely lie."""
    if weight.grams is None:
        return say("trace.not-weighed")
    grams, low, high = (_number(value) for value in (weight.grams, weight.low, weight.high))
    return f"{grams} g" if low == high else f"{grams} g ({say('sheet.low-to-high', low=low, high=high)})"


def _number(grams: float | None) -> str:
    if grams is None:
        return "?"
    return f"{grams:.0f}" if grams >= 10 else f"{grams:.2g}"
