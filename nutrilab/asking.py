"""The questions of ``nutrilab lines --ask``: what a doubtful name may stand for, and what one of a thing weighs.

Of a list of lines each doubtful name is asked about in the order met. Of a recipe, likely ones and the weights of
counted things too, what moves its figures most first (asking_dish.py).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from nutrilab.decided import sure_words
from nutrilab.decisions import NONE, is_id, key_of, weight_of
from nutrilab.foods import Food
from nutrilab.kitchen import Kitchen, LineRecord
from nutrilab.law.energy import salt
from nutrilab.messages import as_grams, say
from nutrilab.plain import brief, quoted
from nutrilab.remarks import InputError
from nutrilab.results import LineFood

FEW, SHOWN = 3, 5  # foods below which more are searched for; foods offered at once


@dataclass(frozen=True, slots=True)
class Choice:
    """One food a name may stand for, with what decides between them, per 100 g.

    written: what is written beside the name when it is chosen: the food's id, or the cook's own words. now: whether the
    name is counted as it now.
    """

    food_id: str
    food_name: str
    kcal: float | None
    salt: float | None  # [g]
    written: str
    now: bool = False

    @property
    def told(self) -> str:
        """The food with what decides between it and others, in words."""
        kcal = say("ask.no-kcal") if self.kcal is None else f"{self.kcal:.0f} kcal"
        of_salt = say("ask.no-salt") if self.salt is None else say("ask.salt", salt=as_grams(self.salt))
        return say("ask.choice", food=self.food_name, kcal=kcal, salt=of_salt)


@dataclass(frozen=True, slots=True)
class Question:
    """A name the tool is not sure of, the line it stands in, and at most five foods it may be.

    thing: the name of the food alone, where ``name`` says a unit and a size too. one: of a question for a weight: what
    one weighs as it is counted now, in words; then there are no choices. unit: what it is one of, "" of whole things.
    moves: by what share it may move the calories or the salt of a portion [1], None where nobody knows.
    """

    name: str
    text: str
    choices: tuple[Choice, ...] = ()
    one: str | None = None
    moves: float | None = None
    thing: str = ""
    unit: str = ""

    @property
    def of(self) -> str:
        """The name of the food alone."""
        return self.thing or self.name

    @property
    def of_weight(self) -> bool:
        """Whether it asks what one weighs."""
        return self.one is not None


def questions(records: Iterable[LineRecord], kitchen: Kitchen) -> Iterator[Question]:
    """One question for each doubtful or unknown name that is not decided yet, in the order met."""
    asked: set[tuple[str, ...]] = set()
    for record in records:
        for food in record.foods:
            key = key_of(food.name)
            if food.link.sureness.stands or food.link.decided or key in asked:
                continue
            asked.add(key)
            yield Question(food.name, record.parsed.text, choices_for(food, kitchen))


def choices_for(food: LineFood, kitchen: Kitchen) -> tuple[Choice, ...]:
    """The foods a name may stand for, what it is counted as now first."""
    ids = [food.link.food.food_id] if food.link.food else []
    ids += [candidate.food_id for candidate in food.link.alternatives]
    if len(ids) < FEW:
        ids += [candidate.food_id for candidate in kitchen.search(food.name, SHOWN)]
    return _first((*_now(food, kitchen), *_choices(ids, kitchen)))


def _now(food: LineFood, kitchen: Kitchen) -> Iterator[Choice]:
    """What a name is counted as now; one between two foods of a table ("12% mince") by its words, for it has no id."""
    now = food.link.food
    if now is not None and kitchen.has_food(now.food_id):
        yield replace(choice_of(now), now=True)
    elif now is not None and sure_words(food.name, kitchen.linker):
        yield replace(choice_of(now, food.name), now=True)


def answer(said: str, choices: Sequence[Choice], kitchen: Kitchen, name: str = "") -> str | tuple[Choice, ...]:
    """What a cook's answer to a question comes to: a food id, "none" or plain words; or the choices of a new question.

    said: the number of a choice, "none", a food id, or other words to search for; name: what is asked about. Raises
    InputError for a number or an id that is not there, for a weight, and for words that find nothing.
    """
    text = said.strip()
    if text.lower() == NONE:
        return NONE
    if text.isdecimal():
        if not 1 <= int(text) <= len(choices):
            raise InputError(say("ask.not-in-list", number=brief(text)))
        return choices[int(text) - 1].written
    if is_id(text):
        if not kitchen.has_food(text):
            raise InputError(say("ask.no-such-id", food=quoted(text)))
        return text
    if _is_weight(text):
        raise InputError(say("ask.food-not-weight", text=quoted(text)))
    spoken = sure_words(text, kitchen.linker, name)
    own = (choice_of(spoken.food, text),) if spoken and spoken.food else ()
    found = _first((*own, *_choices((candidate.food_id for candidate in kitchen.search(text, SHOWN)), kitchen)))
    if not found:
        raise InputError(say("cli.nothing-near", words=quoted(text)))
    return found


def answer_weight(said: str) -> str:
    """What a cook's answer to a question for a weight comes to: "180 g". Raises InputError for anything else."""
    text = said.strip()
    try:
        if weight_of(text) is not None:
            return text
    except ValueError as error:
        raise InputError(str(error)) from None
    raise InputError(say("ask.no-weight", text=quoted(text)))


def _is_weight(text: str) -> bool:
    try:
        return weight_of(text) is not None
    except ValueError:
        return True


def choice_of(food: Food, written: str | None = None) -> Choice:
    """A food as a choice; written: what stands for it beside the name, its id when None."""
    sodium = food.values.get("NA")
    of_salt = None if sodium is None else salt(sodium)
    return Choice(food.food_id, food.name, food.values.get("ENERC_KCAL"), of_salt, written or food.food_id)


def _choices(food_ids: Iterable[str], kitchen: Kitchen) -> tuple[Choice, ...]:
    there = (food_id for food_id in dict.fromkeys(food_ids) if food_id in kitchen.linker)
    return tuple(choice_of(kitchen.linker.food(food_id)) for food_id in there)


def _first(choices: Iterable[Choice]) -> tuple[Choice, ...]:
    """As many choices as are offered at once, each food once."""
    found: dict[str, Choice] = {}
    for choice in choices:
        found.setdefault(choice.food_id, choice)
    return tuple(found.values())[:SHOWN]
