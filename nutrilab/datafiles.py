"""Reading the data files of the package: CSV tables a cook could read."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parent / "data"
AT = "at"  # key of a row under which its place stands: "pieces.csv, line 12"


def numbered(path: Path) -> tuple[list[str], list[tuple[int, list[str]]]]:
    """The head of a list and its rows as (line, cells); lines that begin with # are remarks, no cell has two lines.

    Raises ValueError with file and line when a row has more or fewer cells than the head.
    """
    every = enumerate(path.read_text(encoding="utf-8").split("\n"), 1)
    lines = [(number, line) for number, line in every if line and line[0] != "#" and not line.isspace()]
    quoted = csv.reader([line for _, line in lines if '"' in line])  # most lines have no quotation marks
    found = [(number, next(quoted, []) if '"' in line else line.split(",")) for number, line in lines]
    head = found.pop(0)[1] if found else []
    for number, cells in found:
        if len(cells) != len(head):
            raise ValueError(f"{path}, line {number}: {len(cells)} cells, the head has {len(head)}")
    return head, found


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """Rows of ``data/NAME`` as dictionaries, each with its place under AT.

    Raises ValueError with file and line when a row has more or fewer cells than the head.
    """
    path = FOLDER / name
    head, found = numbered(path)
    head.append(AT)
    place = f"{path.name}, line "
    return tuple([dict(zip(head, (*cells, place + str(number)), strict=True)) for number, cells in found])


@cache
def role_words(name: str, role: str) -> frozenset[str]:
    """The words of the rows of one role; several in a cell are divided by |."""
    return frozenset(word for row in rows(name) if row["role"] == role for word in row["words"].split("|"))
