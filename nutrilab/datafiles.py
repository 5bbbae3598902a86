"""Reading the data files of the package: CSV tables a cook could read."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parent / "data"
AT = "at"  # key of a row under which its place stands: "pieces.csv, line 12"


def numbered(path: Path) -> tuple[list[str], Iterator[tuple[int, list[str]]]]:
    """The head of a list and its rows as (line, cells); lines that begin with # are remarks, no cell has two lines.

    Raises ValueError with file and line when a row has more or fewer cells than the head.
    """
    text = path.read_text(encoding="utf-8")
    every = enumerate(text.split("\n"), 1)
    lines = ((number, line) for number, line in every if line[:1] not in ("#", "") and line.strip())
    head = _cells(next(lines, (0, ""))[1])
    return head, _checked(path, len(head), lines)


def _cells(line: str) -> list[str]:
    """The cells of a line; most lines have no quotation marks, and those need no reader of CSV."""
    return next(csv.reader((line,)), []) if '"' in line else line.split(",")


def _checked(path: Path, wide: int, lines: Iterable[tuple[int, str]]) -> Iterator[tuple[int, list[str]]]:
    for number, line in lines:
        cells = _cells(line)
        if len(cells) != wide:
            raise ValueError(f"{path}, line {number}: {len(cells)} cells, the head has {wide}")
        yield number, cells


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """Rows of ``data/NAME`` as dictionaries, each with its place under AT.

    Raises ValueError with file and line when a row has more or fewer cells than the head.
    """
    path = FOLDER / name
    head, found = numbered(path)
    head.append(AT)
    file = path.name
    return tuple([dict(zip(head, (*cells, f"{file}, line {number}"), strict=True)) for number, cells in found])


@cache
def role_words(name: str, role: str) -> frozenset[str]:
    """The words of the rows of one role; several in a cell are divided by |."""
    return frozenset(word for row in rows(name) if row["role"] == role for word in row["words"].split("|"))
