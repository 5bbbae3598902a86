"""What linking gives back: the food, how sure, the runners-up and why."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from nutrilab.foods import Food
from nutrilab.lexicon.sureness import Sureness
from nutrilab.messages import say
from nutrilab.once import once
from nutrilab.remarks import Code, Remark


@dataclass(frozen=True, slots=True)
class Candidate:
    """A food that may be meant; score: 0 to 1, the better the higher."""

    food_id: str
    food_name: str
    score: float


RunnersUp = Callable[[], tuple[Candidate, ...]]


@dataclass(frozen=True, slots=True)
class Link:
    """A food and how sure it is the one meant; food is None exactly when sureness is NONE.

    runners_up: finds what else it may be, when that is asked for. decided: by the cook, who may have said that the
    name stands for no food. place: file and line of the row that says so; "" when none does. word: the words of the
    row by which it was taken; "" where it is by no row. weighed_as: the food whose measures and kind tell what a
    spoon, a cup or a piece weighs; heard: the foods whose names are witness to the allergens, where that is not the
    food itself. Both go by the name, not by which table came first: the embedded table's where it knows the name, else
    what all tables know of it.
    """

    food: Food | None
    sureness: Sureness
    runners_up: RunnersUp = field(compare=False, repr=False)
    why: str
    remarks: tuple[Remark, ...] = ()
    decided: bool = False
    place: str = ""
    word: str = ""
    weighed_as: Food | None = None
    heard: tuple[Food, ...] = ()
    worked: dict[object, Any] = field(init=False, default_factory=dict, compare=False, repr=False)

    @property
    @once
    def alternatives(self) -> tuple[Candidate, ...]:
        """What else it may be, the best first."""
        return self.runners_up()

    @property
    def understood(self) -> bool:
        """Whether the food may be taken at its word, for its allergens too: sure or likely, by no guess, in English."""
        return self.sureness.stands and all(r.code not in (Code.READ_AS, Code.NOT_ENGLISH) for r in self.remarks)

    @property
    def foreign(self) -> bool:
        """Whether the food would be understood if words of another language had not led to it."""
        return self.sureness.stands and any(remark.code == Code.NOT_ENGLISH for remark in self.remarks)


@dataclass(frozen=True, slots=True)
class Finding:
    """What a step settled: a food id or None, how sure, why; rivals: other foods the lists name,
    of which the table may lack some.

    place, word: as of Link. met: words and states of the name that the row of the word lists speaks of; may be empty.
    """

    food_id: str | None
    sureness: Sureness
    why: str
    remarks: tuple[Remark, ...] = ()
    rivals: tuple[str, ...] = ()
    place: str = ""
    word: str = ""
    met: frozenset[str] = frozenset()


@cache
def nothing() -> Finding:
    """That no food was found."""
    return Finding(None, Sureness.NONE, say("link.nothing-like-it"))
