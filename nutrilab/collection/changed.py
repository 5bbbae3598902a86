"""Which dishes moved since the last run, by how much, and why: their recipe, what was decided, a table, nutrilab."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from nutrilab.allergens import ALLERGENS
from nutrilab.collection.rows import MARKED
from nutrilab.collection.tables import read_dishes
from nutrilab.law.rounding import ORDER, declared, short_name
from nutrilab.messages import listed, say
from nutrilab.plain import plain

_COLUMNS = ("file", "dish", "complete", "portions", *ORDER, *ALLERGENS, *MARKED)
# What of a row differs -> why its figures did.
_WHY = {
    "content_hash": "changed.recipe",
    "needs": "changed.recipe",
    "packs": "changed.products",
    "decisions_hash": "changed.decisions",
    "products_hash": "changed.products",
    "settings_hash": "changed.settings",
    "tables_hash": "changed.tables",
    "program": "changed.program",
}
_WORDS = {"contains": "changed.contains", "check": "changed.check", "may": "changed.may", "": "changed.no-more"}


@dataclass(frozen=True, slots=True)
class Before:
    """A dish as it was: `_COLUMNS` but for its file."""

    held: tuple[Any, ...]

    def __getitem__(self, name: str) -> Any:
        return self.held[_COLUMNS.index(name) - 1]


def before(folder: Path, unchanged: Iterable[str]) -> dict[str, Before]:
    """The dishes of some results but for those that stay as they are. Raises OSError."""
    left, once = set(unchanged), dict[Any, Any]()
    found = {}
    for row in read_dishes(folder, _COLUMNS):
        if row["file"] not in left:
            held = (once.setdefault(row[name], row[name]) for name in _COLUMNS[1:])
            found[row["file"]] = Before(tuple(held))
    return found


def moved(was: dict[str, Before], folder: Path, unchanged: Iterable[str], first: bool) -> Iterator[str]:
    """A sentence for each dish that moved, came or went, in the order of the dishes. Raises OSError.

    was: as `before`, is emptied; first: whether there was no run before, so that all dishes are new.
    """
    left = set(unchanged)
    for row in read_dishes(folder, _COLUMNS):
        file = row["file"]
        if file in left or first:
            continue
        old = was.pop(file, None)
        if old is None:
            yield say("changed.new", file=plain(file), dish=plain(row["dish"]))
        elif said := list(_differences(old, row)):
            why = dict.fromkeys(_WHY[name] for name in MARKED if old[name] != row[name])
            because = listed([say(key) for key in why], len(why), 80)
            yield say("changed.moved", file=plain(file), what="; ".join(said), why=because)
    for file in was:
        yield say("changed.gone", file=plain(file))


def _differences(old: Before, row: Mapping[str, Any]) -> Iterator[str]:
    """What of a dish is another: allergens first."""
    for allergen in ALLERGENS:
        if old[allergen] != row[allergen]:
            yield say(_WORDS[row[allergen]], allergen=allergen)
    if old["complete"] != row["complete"]:
        yield say("changed.complete" if row["complete"] else "changed.incomplete")
    if old["portions"] != row["portions"]:
        yield say("changed.portions", old=f"{old['portions']:g}", new=f"{row['portions']:g}")
    figures = []
    for key in ORDER:
        ends = declared(key, old[key]), declared(key, row[key])
        if ends[0] != ends[1]:
            figures.append(say("changed.figure", figure=short_name(key), old=ends[0], new=ends[1]))
    if figures:
        yield say("changed.figures", figures=listed(figures, len(ORDER), 80))
