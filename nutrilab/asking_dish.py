"""The questions about a recipe, in the order in which an answer is worth most.

First what was not understood and may hold an allergen, then by what share the calories or the salt of a portion may
move: by another food of those offered, or by what one of a counted thing weighs (its part in the range, nutrition.py).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import sqrt
from statistics import median

from nutrilab.allergens import find
from nutrilab.asking import Choice, Question, choices_for
from nutrilab.cooking.errors import Cause
from nutrilab.decisions import key_of
from nutrilab.doubt import KEYS, LEAST
from nutrilab.kitchen import Kitchen
from nutrilab.law.levels import reference_intakes
from nutrilab.lexicon.sureness import Sureness
from nutrilab.messages import say
from nutrilab.nutrition import squares
from nutrilab.results import DishResult, LineFood
from nutrilab.tracing import Used, used
from nutrilab.weighing.asked import Span, in_grams
from nutrilab.weighing.units import dimension

_ONE = ("", "piece", "whole")  # units that count whole things
ALL = 1.0  # [1] what a food moves of which nobody knows how much there is
# Shares are of the portion's figure, or of this share of an adult's day where the portion holds less: twice next to
# nothing is nothing (common practice, no source).
LITTLE = 0.05

Shares = Mapping[str, Mapping[tuple[str, int], float]]


@dataclass(frozen=True, slots=True)
class _Ranked:
    """A question, and whether it comes before all others."""

    question: Question
    first: bool


def of_dish(result: DishResult, kitchen: Kitchen) -> list[Question]:
    """What is worth asking about a dish, what matters most first; each name once for its food and once for its weight.

    kitchen: with alternatives, the one that cooked it.
    """
    found: dict[tuple[str, ...], _Ranked] = {}
    shares = {key: _by_line(result, key) for key in KEYS}
    for one in used(result):
        for ranked in (*_food(result, one, kitchen), *_weight(one, kitchen, shares)):
            kind = "weight" if ranked.question.of_weight else "food"
            key = (kind, *key_of(ranked.question.name))
            found[key] = _both(found[key], ranked) if key in found else ranked
    return [ranked.question for ranked in sorted(found.values(), key=_order)]


def _order(one: _Ranked) -> tuple[bool, float]:
    return not one.first, -(ALL if one.question.moves is None else one.question.moves)


def _both(one: _Ranked, other: _Ranked) -> _Ranked:
    """A name that stands in two lines is asked about once, and what both move counts."""
    moves = (one.question.moves, other.question.moves)
    together = None if None in moves else sum(move or 0.0 for move in moves)
    return _Ranked(replace(one.question, moves=together), one.first or other.first)


def _food(result: DishResult, one: Used, kitchen: Kitchen) -> Iterator[_Ranked]:
    """The question which food a name stands for, unless that is sure or decided."""
    food = one.food
    if food.link.decided or food.product is not None or food.link.sureness == Sureness.SURE:
        return
    choices = choices_for(food, kitchen)
    unsettled = not food.link.understood
    question = Question(food.name, one.record.parsed.text.strip(), choices, moves=_other_food(result, one, choices))
    yield _Ranked(question, unsettled and _may_hold_allergens(one, choices, kitchen))


def _may_hold_allergens(one: Used, choices: Sequence[Choice], kitchen: Kitchen) -> bool:
    """Whether the line, or a food that may be meant, points to an allergen; of what is like nothing nobody knows."""
    said = one.record.findings
    if said.contains or said.check or not choices:
        return True
    foods = (kitchen.linker.food(choice.food_id) for choice in choices if choice.food_id in kitchen.linker)
    return any(found.contains or found.check for food in foods if (found := find(food.name, food)))


def _other_food(result: DishResult, one: Used, choices: Sequence[Choice]) -> float | None:
    """By what share of a portion's calories or salt the dish moves if another of the choices is meant [1].

    The median of the choices: one that nobody means ("soy sauce" for a vegetable stock) says nothing.
    """
    if one.grams is None:
        return None
    per_portion = one.grams / 100 / result.portions
    now = one.food.link.food
    counted = next((choice for choice in choices if now is not None and choice.food_id == now.food_id), None)
    others = [choice for choice in choices if choice is not counted]
    moves = [0.0]
    for key in KEYS if others else ():
        whole = max(result.per_portion[key] or 0.0, LITTLE * reference_intakes()[key])
        held = _held(counted, key) if counted else 0.0
        moves.append(median(abs(_held(choice, key) - held) for choice in others) * per_portion / whole)
    return max(moves)


def _held(choice: Choice, key: str) -> float:
    return (choice.kcal if key == "energy_kcal" else choice.salt) or 0.0


def _by_line(result: DishResult, key: str) -> dict[tuple[str, int], float]:
    """By what share the weight of a line alone may move a figure [1], by stage and line; of those worth a word."""
    found = squares(result.batch, key)
    least = LEAST * sum(found.values())
    much = min(1.0, (result.per_portion[key] or 0.0) / (LITTLE * reference_intakes()[key]))
    of_lines = ((source, square) for source, square in found.items() if source.cause == Cause.AMOUNT)
    return {(source.stage, source.line): sqrt(square) * much for source, square in of_lines if square >= least}


def _weight(one: Used, kitchen: Kitchen, shares: Shares) -> Iterator[_Ranked]:
    """The question what one weighs, where that is the doubt, or nobody knows it at all."""
    line, food = one.record.parsed, one.food
    question = of_piece(one)
    if question is None or kitchen.decided.piece(food.name, line.unit, line.size) is not None:
        return
    place = (one.stage.stage.name, one.number)
    doubted = [of[place] for of in shares.values() if place in of]
    if food.weight.grams is not None and not doubted:
        return
    moves = max(doubted) if food.weight.grams is not None else None
    yield _Ranked(replace(question, moves=moves), False)


def of_piece(one: Used) -> Question | None:
    """The question what one of a line's things weighs; None of a line that counts none."""
    if not _is_counted(one):
        return None
    line, food = one.record.parsed, one.food
    unit = line.unit or ""
    thing = food.name if unit in _ONE else f"{unit} of {food.name}"
    name = f"{line.size} {thing}" if line.size else thing
    counted = _one(food, line.quantity, line.quantity_max)
    return Question(name, line.text.strip(), (), counted, None, food.name, "" if unit in _ONE else unit)


def _is_counted(one: Used) -> bool:
    """Whether a line counts one thing by number, and says no weight, volume or length of it, nor a part of it."""
    line = one.record.parsed
    if len(one.record.foods) != 1 or one.food.no_food or line.quantity is None or line.in_doubt or line.part:
        return False
    said = (line.pack, line.other)
    return dimension(line.unit) is None and not any(amount and dimension(amount.unit) for amount in said)


def _one(food: LineFood, quantity: float | None, most: float | None) -> str:
    """What one weighs as it is counted now."""
    weight, least = food.weight, quantity or 0.0
    number = (least + (least if most is None else most)) / 2
    if weight.grams is None or not number:
        return say("ask.one-unknown")
    low, high = (weight.grams if end is None else end for end in (weight.low, weight.high))
    return say("ask.one", grams=in_grams(Span(weight.grams / number, low / number, high / number)))
