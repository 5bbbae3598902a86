"""The names cooks use, ``data/names/*.csv``, and the foods they mean in each table, ``data/foods/TABLE.csv``.

A name is written once, with the other words that mean the same; every other file refers to the name and so speaks of
all its words.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

from nutrilab.datafiles import FOLDER, numbered
from nutrilab.lexicon.ready import ready

NAMES, FOODS = "names", "foods"  # folders of the data
NAME_COLUMNS = ("name", "also")
FOOD_COLUMNS = ("names", "state", "food", "sure", "ground")
LATER = "later-editions.csv"
LATER_COLUMNS = ("food", "later", "sure", "ground")
FIRST_TABLE = "usda-sr"  # the table with the longest word lists
Entry = tuple[str, str, str, str, str, str]


def cells(path: Path, columns: Sequence[str]) -> list[tuple[int, list[str]]]:
    """The rows of a list of these columns, as (line, cells). Raises ValueError when the head or a row has others."""
    head, found = numbered(path)
    if tuple(head) != tuple(columns):
        raise ValueError(f"{path}: the head must be {','.join(columns)}")
    return found


@cache
def names() -> dict[str, tuple[str, ...]]:
    """Name -> itself and the other words for it; a name that is written twice is for the compile check."""
    (found,) = ready("names", lambda: (_names(),))
    return dict(found)


def _names() -> dict[str, tuple[str, ...]]:
    return {
        name: (name, *also.split("|")) if also else (name,)
        for path in name_files()
        for _, (name, also) in cells(path, NAME_COLUMNS)
    }


def name_files() -> list[Path]:
    """The lists of names, by family."""
    return sorted((FOLDER / NAMES).glob("*.csv"))


def spellings(text: str) -> tuple[str, ...]:
    """A name that a file of facts refers to, and all words that mean the same; words that are no name stay alone.

    A name may be followed by words that must not stand beside it: "courgette -baby" is "zucchini -baby" too.
    """
    known = names()
    name, barred = (text, "") if text in known else parted(text)
    all_words = known.get(name)
    if all_words is None:
        return (text,)
    return tuple([word + barred for word in all_words]) if barred else all_words


def parted(text: str) -> tuple[str, str]:
    """A name, and with their dashes the words that must not stand beside it: "courgette", " -baby"."""
    at = text.find(" -")
    return (text[:at], text[at:]) if at >= 0 and text[at + 2 : at + 3].isalpha() else (text, "")


def spelt_out(cell: str) -> list[str]:
    """All spellings of the names of a cell, which are divided by |."""
    known = names()
    texts = cell.split("|")
    if all(map(known.__contains__, texts)):
        return [word for text in texts for word in known[text]]
    return [word for text in texts for word in spellings(text)]


def stated(cell: str) -> Iterator[str]:
    """All spellings of the names of a cell that may stand behind a state: "dried apricot"."""
    for text in cell.split("|"):
        words = text.split()
        at = next((i for i in range(len(words)) if " ".join(words[i:]) in names()), 0)
        for spelt in spellings(" ".join(words[at:])):
            yield " ".join((*words[:at], spelt))


@cache
def known_as() -> dict[str, tuple[str, str]]:
    """Every word for a name -> (the name, its place)."""
    return {
        word: (name, f"{path.name}, line {number}")
        for path in name_files()
        for number, (name, also) in cells(path, NAME_COLUMNS)
        for word in (name, *also.split("|"))
    }


@cache
def entries(table: str) -> tuple[Entry, ...] | None:
    """What is known of the foods of a table as (words, state, food, sure, ground, place), one for each spelling of a
    name, in order; None if nothing is. place: "usda-sr.csv, line 12"."""
    if not (FOLDER / FOODS / f"{table}.csv").is_file():
        return None
    return ready(f"entries-{table}", lambda: _entries(table))


def _entries(table: str) -> tuple[Entry, ...]:
    path = FOLDER / FOODS / f"{table}.csv"
    found: list[Entry] = []
    for number, (cell, *facts) in cells(path, FOOD_COLUMNS):
        state, food, sure, ground = facts
        place = f"{path.name}, line {number}"
        found += [(words, state, food, sure, ground, place) for words in spelt_out(cell)]
    return (*found, *_later(found))


def _later(found: Sequence[Entry]) -> Iterator[Entry]:
    """The entries again for foods that have another code in a later edition of the table."""
    path = FOLDER / FOODS / LATER
    codes = {row[0]: (row[1:], f"{path.name}, line {number}") for number, row in cells(path, LATER_COLUMNS)}
    for words, state, food, sure, ground, _ in found:
        if food in codes:
            (code, other_sure, other_ground), place = codes[food]
            yield words, state, code, other_sure or sure, other_ground or ground, place


@cache
def _in_first_table() -> frozenset[str]:
    return frozenset([row[0] for row in entries(FIRST_TABLE) or ()])


def is_name(tokens: Sequence[str]) -> bool:
    """Whether singular words, in this order, are a name that the lists know, also as a food no table has."""
    return " ".join(tokens) in _in_first_table()
