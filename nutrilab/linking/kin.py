"""The rows of a table by what their names begin with: where the other rows of one thing stand."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache, lru_cache

from nutrilab.datafiles import rows
from nutrilab.foods import FoodTable
from nutrilab.lines.query import table_words
from nutrilab.text import singular

RAW, COOKED = "raw", "cooked"
_WORD = re.compile(r"[a-z]{2,}")


@cache
def classes() -> frozenset[str]:
    """Words that a name begins with and that only say the class of a thing."""
    return frozenset(singular(row["word"]) for row in rows("class_words.csv")) | role("class")


@cache
def role(name: str) -> frozenset[str]:
    """The words of a role in which_words.csv, in the singular."""
    return frozenset(singular(row["word"]) for row in rows("which_words.csv") if row["role"] == name)


@lru_cache(maxsize=65536)
def words_of(name: str) -> frozenset[str]:
    """The words of a table's name in the singular, without its numbers."""
    return frozenset(map(singular, _WORD.findall(name.lower())))


def head(name: str) -> str:
    """What a thing is called, behind the words of its class: "butter" of "Butter, salted", "sauce tartar" of "Sauce,
    tartar, ready-to-serve"."""
    found, settled = _led(name.partition(",")[0])
    return found if settled else _led(name)[0]


@lru_cache(maxsize=65536)
def _led(text: str) -> tuple[str, bool]:
    """The words that a text begins with up to the first that is of no class, and whether it has such a word.

    Thousands of names begin alike, and are told apart behind their first comma.
    """
    found: list[str] = []
    for word in _WORD.finditer(text.lower()):
        found.append(singular(word[0]))
        if found[-1] not in classes():
            return " ".join(found), True
    return " ".join(found), False


@cache
def beginnings(table: FoodTable) -> Mapping[str, Sequence[int]]:
    """Head of a name -> the rows of the table that have it."""
    found: dict[str, list[int]] = {}
    for row, name in enumerate(table.names):
        found.setdefault(head(name), []).append(row)
    return found


def cooked_row(table: FoodTable, food_id: str, said: frozenset[str]) -> str | None:
    """The row that holds all words of a raw one but "raw", and is cooked: as ``said``, else with the fewest words more.

    "Cooked veal leg" is not raw veal. None where the food is no raw row, or no row is the same food cooked.
    """
    name = table.names[table.row[food_id]]
    wanted = words_of(name) - {RAW}
    if RAW not in words_of(name):
        return None
    best: tuple[int, int, int] | None = None
    for row in beginnings(table).get(head(name), ()):
        found = words_of(table.names[row])
        if wanted <= found and RAW not in found and COOKED in table_words(table.names[row]):
            rank = -len(said & found), len(found), row
            best = rank if best is None else min(best, rank)
    return None if best is None else table.ids[best[2]]
