"""The names in the word lists ``data/links/TABLE/*.csv``, and whether some words are one of them."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

from nutrilab.datafiles import FOLDER

COLUMNS = ("words", "when", "food", "sure", "ground")
FIRST_TABLE = "usda-sr"  # the table with the longest word lists


@cache
def entries(table: str) -> tuple[tuple[str, ...], ...] | None:
    """The rows of a table's lists as (words, when, food, sure, ground, file), in order; None if it has none.

    Raises ValueError when the head or a row has other cells than COLUMNS.
    """
    folder = FOLDER / "links" / table
    if not folder.is_dir():
        return None
    return tuple(row for path in sorted(folder.glob("*.csv")) for row in _cells(path))


def _cells(path: Path) -> Iterator[tuple[str, ...]]:
    """The rows of one list, plain tuples: there are many."""
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.reader(line for line in file if not line.startswith("#") and line.strip())
        if tuple(next(reader, ())) != COLUMNS:
            raise ValueError(f"{path}: the head must be {','.join(COLUMNS)}")
        for cells in reader:
            if len(cells) != len(COLUMNS):
                raise ValueError(f"{path}: {len(cells)} cells instead of {len(COLUMNS)} in {','.join(cells)}")
            yield (*cells, path.name)


@cache
def _names() -> frozenset[str]:
    return frozenset(row[0] for row in entries(FIRST_TABLE) or ())


def is_name(tokens: Sequence[str]) -> bool:
    """Whether singular words, in this order, are a name that the lists know, also as a food no table has."""
    return " ".join(tokens) in _names()
