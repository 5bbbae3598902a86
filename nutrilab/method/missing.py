"""Foods that the steps of a method name and no line of the list is: "stir in the capers" where nobody bought any."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from functools import cache

from nutrilab.lexicon import is_name, stated
from nutrilab.method import words as known
from nutrilab.method.naming import Lines
from nutrilab.method.values import Named, Step
from nutrilab.method.words import role, verb_at
from nutrilab.text import words

PART_OF_WORD = 6  # letters from which the end of a listed word names it
LONGEST = 4  # words of a name
# What only looks like a food ("the size of a walnut", "like breadcrumbs"), may be left out, or stands for an example.
_NO_FOOD = re.compile(
    r"\b(?:like|resembl\w{1,4}|as if|until|till|unless|if|without|instead of|rather than|such as|or|"
    r"(?:consistency|texture|thickness|size|colour|color|shape) of)\b[^.;]{0,60}",
    re.IGNORECASE,
)
_BRACKETS = re.compile(r"\([^)]{0,200}\)")
_DOES = ("add", "mix", "top", "cook", "brown", "wilt", "toast", "marinate", "flame", "serve", "boil up", "reduce")
_GREASING = role("greasing")


def missing(steps: Iterable[Step], lines: Sequence[Named], names: Iterable[str]) -> tuple[tuple[str, Step], ...]:
    """Each food that is named and not listed, with the first step that names it; names: of the dish and its parts."""
    book = Lines(lines)
    listed = {word for line in lines for word in words(line.text)} | {word for name in names for word in words(name)}
    made = set()
    found: dict[str, Step] = {}
    for step in steps:
        made |= {*words(step.label)}
        if step.does not in _DOES:
            continue
        for name in _names(step):
            if (
                name[-1] in listed | made
                or (len(name[-1]) >= PART_OF_WORD and any(word.endswith(name[-1]) for word in listed))  # blackcurrants
                or _needs_none(name, listed)
                or book.spoken(name).foods
                or _other_name(name, listed)
            ):
                continue
            found.setdefault(" ".join(name), step)
    return tuple(found.items())


def _names(step: Step) -> Iterator[tuple[str, ...]]:
    """The names of foods in the words of a step, the longest first, without its verb."""
    said = words(_NO_FOOD.sub(" ", _BRACKETS.sub(" ", step.text)))
    if _GREASING & {*said[:1]} or {"grease", "greased"} & {*said}:
        return
    at = 0
    while at < len(said):
        if (verb := verb_at(said, at)) is not None and (at == 0 or not verb[0].noun or _object(said, at + verb[1])):
            at += verb[1]
            continue
        for length in range(min(LONGEST, len(said) - at), 0, -1):
            if is_name(said[at : at + length]):
                yield tuple(said[at : at + length])
                at += length
                break
        else:
            at += 1


def _object(said: Sequence[str], at: int) -> bool:
    """Whether "the", "it" or the like comes next: "in one pan, brown the mince"."""
    return at < len(said) and said[at] in ("the", "it", "them", "your")


@cache
def _no_line() -> frozenset[tuple[str, ...]]:
    return frozenset(known.names("no line"))


def _needs_none(name: tuple[str, ...], listed: set[str]) -> bool:
    """Water, salt, a class of food, a thing of the kitchen, or what was made before: nobody lists them.

    "Chicken stock" may be made of the chicken that is listed; "soy sauce" is made of nothing there.
    """
    made = len(name) > 1 and name[-1:] in _no_line() and name[0] in listed
    return made or name[-1] == "water" or name in _no_line() or name in known.names("pronoun")


def _other_name(name: tuple[str, ...], listed: set[str]) -> bool:
    """Whether a line has the food by another of its names."""
    return any(set(words(other)) <= listed for other in stated(" ".join(name)))
