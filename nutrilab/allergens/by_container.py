"""Drinks named by what they come in: "1 pint bitter" is beer, "1 glass of red" wine, "1 tin mild chilli" neither."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from nutrilab.allergens.values import Hit, Rule
from nutrilab.datafiles import rows

_BETWEEN = 5  # words between the vessel and the drink
_BEHIND = frozenset("for to at or and if".split())  # words after which the drink's name has ended


@dataclass(frozen=True, slots=True)
class _Drink:
    containers: frozenset[str]
    before: frozenset[str]
    names: frozenset[str]
    cells: tuple[str, str, str]  # allergen, part, ground


@cache
def _drinks() -> tuple[_Drink, ...]:
    return tuple(
        _Drink(
            frozenset(row["container"].split("|")),
            frozenset(row["before"].split("|")),
            frozenset(row["name"].split("|")),
            (row["allergen"], row["part"], row["ground"]),
        )
        for row in rows("allergens/by_container.csv")
    )


def by_container(tokens: Sequence[str]) -> list[Hit]:
    """The drinks of a text as hits; the name has to end its stretch, and the vessel to stand right before it."""
    found = []
    for drink in _drinks():
        for i, token in enumerate(tokens):
            vessel = _vessel(tokens, i, drink) if token in drink.names and _is_last(tokens, i) else -1
            if vessel >= 0:
                allergen, part, ground = drink.cells
                rule = Rule(" ".join(tokens[vessel : i + 1]), "contains", allergen, ground, part)
                found.append(Hit(vessel, i + 1, rule))
    return found


def _is_last(tokens: Sequence[str], i: int) -> bool:
    return i + 1 == len(tokens) or not tokens[i + 1].isalnum() or tokens[i + 1] in _BEHIND


def _vessel(tokens: Sequence[str], i: int, drink: _Drink) -> int:
    """Where the vessel stands before the name at ``i``, with nothing but words of drinks between them; or -1."""
    for place in range(i - 1, max(-1, i - 2 - _BETWEEN), -1):
        if tokens[place] in drink.containers:
            return place
        if tokens[place] not in drink.before and not tokens[place].isdigit():
            return -1
    return -1
