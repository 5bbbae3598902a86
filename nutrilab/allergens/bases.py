"""A named base ends the guessing: "vegan oat cream" is of oats, "100 % buckwheat noodles" have no wheat in them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from nutrilab.allergens.values import Hit
from nutrilab.datafiles import role_words

_BETWEEN = 4  # words between the base and the food


def _words(role: str) -> frozenset[str]:
    return role_words("allergens/bases.csv", role)


@cache
def _sayings() -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(words.split()) for words in _words("saying"))


def has_base(tokens: Sequence[str], hit: Hit) -> bool:
    """Whether what it is made of stands right before a stand-in, or in a bracket right behind it."""
    behind = tokens[hit.end : hit.end + 2]
    bracketed = behind[:1] == ["("] and behind[1:] and behind[1] in _words("plant")
    return bool(bracketed) or _base(tokens, hit, "plant") >= 0


def is_pure(tokens: Sequence[str], hit: Hit) -> bool:
    """Whether the one thing a food is made of is named with "100 %" or "pure": then what is usual is not in it."""
    if hit.rule.kind != "check" or hit.rule.allergen != "gluten":
        return False
    place = _base(tokens, hit, "pure")
    inside = next((i for i in range(hit.start, hit.end) if tokens[i] in _words("pure")), -1)
    return any(
        spot >= len(said) and tuple(tokens[spot - len(said) : spot]) == said
        for spot in (place, inside)
        for said in _sayings()
        if spot >= 0
    )


def _base(tokens: Sequence[str], hit: Hit, role: str) -> int:
    """Where the base stands before the food, with nothing but words of its kind between; or -1."""
    for place in range(hit.start - 1, max(-1, hit.start - 2 - _BETWEEN), -1):
        if tokens[place] in _words(role):
            return place
        if tokens[place] not in _words("between"):
            return -1
    return -1
