"""The cooked row of a food that the word lists have raw only: "cooked veal leg" is not raw veal."""

from __future__ import annotations

from functools import cache

from nutrilab.foods import FoodTable
from nutrilab.lines.query import table_words
from nutrilab.text import words

RAW = "raw"
_COOKED = "cooked"


def cooked_row(table: FoodTable, food_id: str, said: frozenset[str]) -> str | None:
    """The row that holds all words of a raw one but "raw", and is cooked: as ``said``, else with the fewest words more.

    None where the food is not a raw row of the table, or no row is the same food cooked.
    """
    name = table.names[table.row[food_id]]
    first = name.split(",", 1)[0]
    wanted = frozenset(words(name)) - {RAW}
    if RAW not in words(name):
        return None
    best: tuple[int, int, int] | None = None
    for row in _beginning(table).get(first, ()):
        found = frozenset(words(table.names[row]))
        if _COOKED in table_words(table.names[row]) and RAW not in found and wanted <= found:
            rank = -len(said & found), len(found), row
            best = rank if best is None else min(best, rank)
    return None if best is None else table.ids[best[2]]


@cache
def _beginning(table: FoodTable) -> dict[str, list[int]]:
    found: dict[str, list[int]] = {}
    for row, name in enumerate(table.names):
        found.setdefault(name.split(",", 1)[0], []).append(row)
    return found
