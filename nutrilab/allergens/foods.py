"""The linked food as second witness: what its name in the food table says about the 14 allergens."""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from nutrilab.allergens.words import say
from nutrilab.datafiles import rows

if TYPE_CHECKING:
    from nutrilab.foods import Food

_BRACKETS = re.compile(r"\([^()]*\)")
_SEGMENTS = 4  # further on a name tells of enrichment, brand and state, not of the food


@cache
def _groups() -> tuple[frozenset[str], tuple[tuple[str, str, str], ...], tuple[tuple[str, str], ...]]:
    """Commodity groups, the (group, start of the name, allergen) that mislead, and the usual (group, allergen)."""
    table = rows("allergens/groups.csv")
    commodity = frozenset(row["group"] for row in table if row["kind"] == "commodity")
    misleads = tuple((row["group"], row["starts"], row["allergen"]) for row in table if row["kind"] == "misleads")
    usual = tuple((row["group"], row["allergen"]) for row in table if row["kind"] == "usual")
    return commodity, misleads, usual


@lru_cache(maxsize=4096)
def _named(name: str, group: str) -> dict[str, bool]:
    commodity, misleads, usual = _groups()
    segments = [part.strip() for part in _BRACKETS.sub("", name).split(",")[:_SEGMENTS]]
    said = say(" ".join(reversed(segments)))
    deaf = {allergen for of, start, allergen in misleads if of == group and name.startswith(start)}
    found = dict.fromkeys((allergen for of, allergen in usual if of == group and allergen not in deaf), False)
    return found | {allergen: group in commodity for allergen in said.contains if allergen not in deaf}


def usually_has(group: str) -> bool:
    """Whether foods of a group usually hold an allergen whatever they are called: then even a doubtful one is asked."""
    return any(of == group for of, _ in _groups()[2])


def witness(food: Food) -> dict[str, bool]:
    """Allergen -> whether the food is that allergen's own commodity (a cheese, a fish) or only stands for a product.

    A food composed of others speaks by its own name: its parts stand in for its nutrients, not for what is in it.
    """
    return _named(food.name, food.group)
