"""The questions of ``nutrilab lines --ask``: what a doubtful name may stand for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from nutrilab.energy import salt
from nutrilab.kitchen import Kitchen, LineRecord
from nutrilab.text import words


@dataclass(frozen=True, slots=True)
class Choice:
    """One food a name may stand for, with what decides between them, per 100 g."""

    food_id: str
    food_name: str
    kcal: float | None
    salt: float | None  # [g]


@dataclass(frozen=True, slots=True)
class Question:
    """A name the tool is not sure of, the line it stands in, and three to five foods it may be."""

    name: str
    text: str
    choices: tuple[Choice, ...]


def questions(records: Iterable[LineRecord], kitchen: Kitchen) -> Iterator[Question]:
    """One question for each doubtful or unknown name, in the order met."""
    asked: set[tuple[str, ...]] = set()
    for record in records:
        for food in record.foods:
            key = words(food.name)
            if food.link.sureness not in ("doubtful", "none") or key in asked:
                continue
            asked.add(key)
            ids = [food.link.food.food_id] if food.link.food else []
            ids += [candidate.food_id for candidate in food.link.alternatives]
            if len(ids) < 3:
                ids += [candidate.food_id for candidate in kitchen.search(food.name, 5)]
            choices = tuple(_choice(kitchen, food_id) for food_id in dict.fromkeys(ids))[:5]
            yield Question(food.name, record.parsed.text, choices)


def _choice(kitchen: Kitchen, food_id: str) -> Choice:
    food = kitchen.linker.food(food_id)
    sodium = food.values.get("NA")
    return Choice(food_id, food.name, food.values.get("ENERC_KCAL"), None if sodium is None else salt(sodium))
