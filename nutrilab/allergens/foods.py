"""The linked food as second witness: what its name in the food table says about the 14 allergens."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from nutrilab.allergens.labels import of_pack
from nutrilab.allergens.words import say
from nutrilab.datafiles import rows
from nutrilab.lexicon import stated
from nutrilab.text import words

if TYPE_CHECKING:
    from nutrilab.foods import Food

_BRACKETS = re.compile(r"\([^()]*\)")
_SEGMENTS = 4  # further on a name tells of enrichment, brand and state, not of the food
# A table's name that lists what went into the dish ("home-prepared with butter", "whole milk and butter added").
_MADE_WITH = re.compile(r"\bwith (?!or\b)(?P<behind>[^,]+)|(?P<before>[^,]+) added\b|\bcontaining (?P<held>[^,]+)")


@cache
def _table() -> tuple[dict[str, str], ...]:
    return tuple(rows("allergens/groups.csv"))


@cache
def _groups() -> tuple[frozenset[str], tuple[tuple[str, str, str], ...], tuple[tuple[str, str], ...]]:
    """Commodity groups, the (group, start of the name, allergen) that mislead, and the usual (group, allergen)."""
    table = _table()
    commodity = frozenset(row["group"] for row in table if row["kind"] == "commodity")
    misleads = tuple((row["group"], row["starts"], row["allergen"]) for row in table if row["kind"] == "misleads")
    usual = tuple((row["group"], row["allergen"]) for row in table if row["kind"] == "usual")
    return commodity, misleads, usual


@cache
def _unread() -> dict[str, frozenset[str]]:
    """Group -> what its foods may hold whose names are of another language."""
    return {row["group"]: frozenset(row["allergen"].split("|")) for row in _table() if row["kind"] == "unread"}


@dataclass(frozen=True, slots=True)
class Witness:
    """What a food's name points to: certain (its own commodity, made with it), likely (it stands for a product), and
    asked: what a cook is to look for on the pack of a thing of that name. unread: what foods of its group may hold,
    where its name is of another language and nobody gives the English one. packed: what the ingredients text of one
    maker's pack names, which is not the one in the kitchen: to be checked whatever the line says, never cleared by it.
    """

    certain: frozenset[str]
    likely: frozenset[str]
    asked: frozenset[str]
    unread: frozenset[str] = frozenset()
    packed: frozenset[str] = frozenset()


@lru_cache(maxsize=4096)
def _named(name: str, group: str) -> Witness:
    commodity, misleads, usual = _groups()
    segments = [part.strip() for part in _BRACKETS.sub("", name).split(",")[:_SEGMENTS]]
    said = say(" ".join(reversed(segments)))
    deaf = {allergen for of, start, allergen in misleads if of == group and name.startswith(start)}
    certain = {a for found in _MADE_WITH.finditer(name) for text in found.groups() if text for a in say(text).contains}
    certain |= set(said.contains) if group in commodity else set()
    likely = {allergen for of, allergen in usual if of == group} | set(said.contains)
    return Witness(
        frozenset(certain - deaf), frozenset(likely - certain - deaf), frozenset(said.check.keys() - likely - deaf)
    )


@cache
def _excused() -> dict[tuple[str, ...], frozenset[str]]:
    found: dict[tuple[str, ...], frozenset[str]] = {}
    for row in rows("allergens/siblings.csv"):
        for name in stated(row["names"]):
            found[words(name)] = found.get(words(name), frozenset()) | {row["allergen"]}
    return found


def excused(name: str) -> frozenset[str]:
    """Allergens that a name rightly does not ask for, though other names for its food do (``siblings.csv``)."""
    return _excused().get(words(name), frozenset())


def witness(food: Food) -> Witness:
    """What the food points to.

    A food composed of others speaks by its own name: its parts stand in for its nutrients, not for what is in it.
    The English name speaks for one of another language.
    Only where the name points to none at all do its parts ("crisp fried onions": onions, oil, wheat flour).
    """
    own = _named(food.english or food.name, food.group)
    if food.ingredients:
        pack = of_pack(food.ingredients)
        own = replace(own, packed=frozenset(pack.contains.keys() | pack.check.keys() | pack.may.keys()))
    if food.english == "":
        own = replace(own, unread=_unread().get(food.group, frozenset()) - own.certain - own.likely)
    if not food.parts or own.certain or own.likely or own.asked or own.packed:
        return own
    certain = frozenset(a for part, _ in food.parts for a in _named(part.name, part.group).certain)
    return Witness(certain, frozenset(), frozenset())
