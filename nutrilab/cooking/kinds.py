"""What a food is to the stove: its kind, and whether it goes in raw or cooked already.

Kinds live in data/cooking_kinds.csv; yields, retention and uptake are looked up by kind, then by its parents.
"""

from __future__ import annotations

import operator
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from data_loaders.own_products import GROUP as OWN
from nutrilab.datafiles import AT, rows
from nutrilab.foods import Food
from nutrilab.once import once
from nutrilab.text import words

_WHERE = re.compile(r"([A-Z0-9_]+)([<>])([\d.]+)")
_COMPARE: dict[str, Callable[[float, float], bool]] = {"<": operator.lt, ">": operator.gt}
_COOKED = frozenset(
    "cooked boiled braised broiled grilled roasted baked fried stewed simmered steamed poached microwaved toasted "
    "canned tinned heated rotisserie reheated scrambled barbecued griddled prepared smoked pickled".split()
)
_RAW = frozenset("raw uncooked unprepared unheated unbaked".split())


@dataclass(frozen=True, slots=True)
class StoveKind:
    """One row of the kinds: parent or "", and whether such food is ready (loses no weight as raw food does)."""

    name: str
    parent: str
    ready: bool
    wanted: tuple[tuple[frozenset[str], frozenset[str]], ...]
    groups: tuple[str, ...]
    where: tuple[tuple[str, str, float], ...]
    place: str

    def fits(self, found: frozenset[str], food: Food) -> bool:
        """Whether a food with these words in its name is of this kind."""
        group = "" if food.group == OWN else food.group.lower()
        if self.groups and not group.startswith(self.groups) and (group or not self.wanted):
            return False  # a food without a group, as an own product is, may still be told by its words
        if self.wanted and not any(need <= found and not (bar & found) for need, bar in self.wanted):
            return False
        return all(_COMPARE[sign](food.values[t], limit) for t, sign, limit in self.where if t in food.values)


def _alternative(text: str) -> tuple[frozenset[str], frozenset[str]]:
    parts = text.split()
    need = " ".join(p for p in parts if not p.startswith("-"))
    bar = " ".join(p[1:] for p in parts if p.startswith("-"))
    return frozenset(words(need)), frozenset(words(bar))


@cache
def stove_kinds() -> dict[str, StoveKind]:
    """All kinds by name, in the order in which they are tried."""
    found = {}
    for row in rows("cooking_kinds.csv"):
        wanted = tuple(_alternative(a) for a in row["words"].split("|") if a.strip())
        where = tuple((t, sign, float(limit)) for t, sign, limit in _WHERE.findall(row["where"]))
        groups = tuple(g.lower() for g in row["groups"].split("|") if g)
        ready = row["ready"] == "yes"
        found[row["kind"]] = StoveKind(row["kind"], row["parent"], ready, wanted, groups, where, row[AT])
    return found


# [g water per 100 g] within which two rows of a food are both raw, both dry or both cooked (own choice, no source)
SAME_STATE = 15.0


@once
def kind_of(food: Food) -> str:
    """The kind of a food, "" if none fits.

    A food of another table is of the kind of its like in the embedded one, whose names and groups the rows were made
    for, where the two are in the same state by their water; else its own name tells.
    """
    like = food.like
    if like is not None and abs(like.values.get("WATER", 0.0) - food.values.get("WATER", 1e3)) <= SAME_STATE:
        return kind_of(like) or _by_name(food)
    return _by_name(food)


def _by_name(food: Food) -> str:
    found = frozenset(words(food.name))
    return next((name for name, kind in stove_kinds().items() if kind.fits(found, food)), "")


@cache
def lineage(kind: str) -> tuple[str, ...]:
    """A kind, its parent, its parent's parent ..."""
    known = stove_kinds()
    found = []
    while kind:
        found.append(kind)
        kind = known[kind].parent if kind in known else ""
    return tuple(found)


def is_a(kind: str, ancestor: str) -> bool:
    """Whether a kind is ``ancestor`` or descends from it."""
    return ancestor in lineage(kind)


@once
def is_raw(food: Food) -> bool:
    """Whether a food goes in raw (or dry), so that cooking changes its weight as the yield tables say."""
    kind = stove_kinds().get(kind_of(food))
    if kind is None or kind.ready:
        return False
    found = set(words(food.name))
    if "commercially" in found:  # "Bread, white, commercially prepared" was baked, but not toasted
        found.discard("prepared")
    return bool(found & _RAW) or not found & _COOKED
