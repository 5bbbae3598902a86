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
def _groups() -> tuple[frozenset[str], tuple[tuple[str, str, str], ...]]:
    """Commodity groups, and the (group, start of the name, allergen) that mislead."""
    table = rows("allergens/groups.csv")
    commodity = frozenset(row["group"] for row in table if row["kind"] == "commodity")
    misleads = tuple((row["group"], row["starts"], row["allergen"]) for row in table if row["kind"] == "misleads")
    return commodity, misleads


@lru_cache(maxsize=4096)
def _named(name: str, group: str) -> dict[str, bool]:
    commodity, misleads = _groups()
    segments = [part.strip() for part in _BRACKETS.sub("", name).split(",")[:_SEGMENTS]]
    said = say(" ".join(reversed(segments)))
    deaf = {allergen for of, start, allergen in misleads if of == group and name.startswith(start)}
    return {allergen: group in commodity for allergen in said.contains if allergen not in deaf}


def witness(food: Food) -> dict[str, bool]:
    """Allergen -> whether the food is that allergen's own commodity (a cheese, a fish) or only stands for a product.

    A food composed of others speaks by its own name: its parts stand in for its nutrients, not for what is in it.
    """
    return _named(food.name, food.group)
