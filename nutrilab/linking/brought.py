"""The words of cooks for the foods of one table: its own list, those it brings, those of the embedded table's numbers.

A table of the US family tells the number of a food in the Standard Reference behind its source ("..., NDB 01009"): what
the embedded table's lists say of that number is then said of the food. It is as sure only where the two agree in
energy, fat and salt, for a food may have been analysed anew. What a table brings itself comes last, and so decides.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from data_loaders.schema import WORD_COLUMNS, TableError
from nutrilab.foods import EMBEDDED, FoodTable, embedded
from nutrilab.lexicon.names import Entry, entries, spelt_out
from nutrilab.lexicon.sureness import Sureness, worse
from nutrilab.linking.tolerance import agree
from nutrilab.linking.wordlists import WordList, filed, word_list
from nutrilab.messages import say
from nutrilab.plain import plain
from nutrilab.text import fold

if TYPE_CHECKING:
    import pandas as pd

_NUMBER = re.compile(r", NDB (\d{5,6})$")
_COMPARED = ("ENERC_KCAL", "FAT", "NA")


def lists_of(table: FoodTable) -> WordList:
    """The words that reach a table's foods."""
    name = table.path.name.removesuffix(".foods.parquet")
    if name == EMBEDDED or (not table.words and not any(", NDB " in source for source in table.sources)):
        return word_list(name) or WordList(filed(()))
    return WordList(filed((*_by_number(table), *(entries(name) or ()), *brought(table))))


def brought(table: FoodTable) -> Iterator[Entry]:
    """The words a table brings, one for each spelling of a name that the lists know."""
    return _spelt(table.words, table.provenance.source)


def _spelt(rows: Iterable[Mapping[str, str]], source: str) -> Iterator[Entry]:
    for number, row in enumerate(rows, 1):
        names = "|".join(fold(name) for name in row["names"].strip(" |").split("|"))  # as lines are read: ü is u
        for words in spelt_out(names):
            yield words, row["state"], row["food_id"], row["sure"], row["ground"], f"{source}, word {number}"


def _rows(words: pd.DataFrame | None) -> list[dict[str, str]]:
    columns = [] if words is None else [words[name].astype(str) for name in WORD_COLUMNS]
    return [dict(zip(WORD_COLUMNS, row, strict=True)) for row in zip(*columns, strict=True)]


def check_words(words: pd.DataFrame | None, file: object) -> None:
    """Raises TableError for words that a loader brings with a state or of a shape that reading does not know."""
    try:
        for _ in WordList(filed(_spelt(_rows(words), plain(str(file))))):
            pass
    except ValueError as error:
        raise TableError(say("load.words-not-read", problem=plain(str(error))), file) from error


def numbered(table: FoodTable) -> dict[str, str]:
    """Id in the embedded table -> the food of this one that bears its number; of several the one that agrees."""
    base, found, agreed = embedded(), dict[str, str](), set[str]()
    for food_id, source in zip(table.ids, table.sources, strict=True):
        match = _NUMBER.search(source)
        other = f"sr:{match[1]}" if match else ""
        if other not in base or other in agreed:
            continue
        if _agrees(table, food_id, other):
            agreed.add(other)
            found[other] = food_id
        found.setdefault(other, food_id)
    return found


def _by_number(table: FoodTable) -> Iterator[Entry]:
    place_of = numbered(table)
    for words, state, food, sure, ground, place in entries(EMBEDDED) or ():
        if food in place_of:
            mine = place_of[food]
            how = Sureness(sure) if _agrees(table, mine, food) else worse(Sureness(sure), Sureness.LIKELY)
            yield words, state, mine, how, ground, place


def _agrees(table: FoodTable, mine: str, other: str) -> bool:
    """Whether a food has the energy, fat and salt of one of the embedded table."""

    def values(of: FoodTable, food_id: str) -> dict[str, float]:
        found = {tag: float(of.column(tag)[of.row[food_id]]) for tag in _COMPARED if tag in of.tagnames}
        return {tag: value for tag, value in found.items() if value == value}

    return agree(values(table, mine), values(embedded(), other))
