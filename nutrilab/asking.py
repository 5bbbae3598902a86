"""The questions of ``nutrilab lines --ask``: what a doubtful name may stand for."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from nutrilab.decisions import NONE
from nutrilab.foods import Food
from nutrilab.kitchen import Kitchen, LineRecord
from nutrilab.law.energy import salt
from nutrilab.plain import brief, quoted
from nutrilab.remarks import InputError
from nutrilab.text import words

FEW, SHOWN = 3, 5  # foods below which more are searched for; foods offered at once
_FOOD_ID = re.compile(r"[a-z][a-z-]{0,20}:\S{1,80}")


@dataclass(frozen=True, slots=True)
class Choice:
    """One food a name may stand for, with what decides between them, per 100 g."""

    food_id: str
    food_name: str
    kcal: float | None
    salt: float | None  # [g]


@dataclass(frozen=True, slots=True)
class Question:
    """A name the tool is not sure of, the line it stands in, and at most five foods it may be."""

    name: str
    text: str
    choices: tuple[Choice, ...]


def questions(records: Iterable[LineRecord], kitchen: Kitchen) -> Iterator[Question]:
    """One question for each doubtful or unknown name that is not decided yet, in the order met."""
    asked: set[tuple[str, ...]] = set()
    for record in records:
        for food in record.foods:
            key = words(food.name)
            if food.link.sureness.stands or food.no_food or key in asked:
                continue
            asked.add(key)
            ids = [food.link.food.food_id] if food.link.food else []
            ids += [candidate.food_id for candidate in food.link.alternatives]
            if len(ids) < FEW:
                ids += [candidate.food_id for candidate in kitchen.search(food.name, SHOWN)]
            yield Question(food.name, record.parsed.text, _choices(ids, kitchen))


def answer(said: str, choices: Sequence[Choice], kitchen: Kitchen) -> str | tuple[Choice, ...]:
    """What a cook's answer to a question comes to: a food id or "none"; or the choices of a new question.

    said: the number of a choice, "none", a food id, or other words to search for. Raises InputError for a number or
    an id that is not there, and for words that find nothing.
    """
    text = said.strip()
    if text.lower() == NONE:
        return NONE
    if text.isdecimal():
        if not 1 <= int(text) <= len(choices):
            raise InputError(f"there is no {brief(text)} in the list")
        return choices[int(text) - 1].food_id
    if _FOOD_ID.fullmatch(text):
        if not kitchen.has_food(text):
            raise InputError(f"no food has the id {quoted(text)}")
        return text
    found = _choices((candidate.food_id for candidate in kitchen.search(text, SHOWN)), kitchen)
    if not found:
        raise InputError(f"nothing in the food tables is near {quoted(text)}")
    return found


def choice_of(food: Food) -> Choice:
    """A food as a choice."""
    sodium = food.values.get("NA")
    return Choice(food.food_id, food.name, food.values.get("ENERC_KCAL"), None if sodium is None else salt(sodium))


def _choices(food_ids: Iterable[str], kitchen: Kitchen) -> tuple[Choice, ...]:
    return tuple(choice_of(kitchen.linker.food(food_id)) for food_id in dict.fromkeys(food_ids))[:SHOWN]
