"""Reading the data files of the package: CSV tables a cook could read."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parent / "data"
AT = "at"  # key of a row under which its place stands: "pieces.csv, line 12"


def numbered(path: Path) -> tuple[list[str], Iterator[tuple[int, list[str]]]]:
    """The head of a list and its rows as (line, cells); lines that begin with # are remarks, no cell has two lines.

    Raises ValueError with file and line when a row has more or fewer cells than the head.
    """
    with path.open(encoding="utf-8", newline="") as file:
        kept = [(number, line) for number, line in enumerate(file, 1) if not line.startswith("#") and line.strip()]
    reader = csv.reader(line for _, line in kept)
    head = next(reader, [])
    return head, _checked(path, len(head), zip((number for number, _ in kept[1:]), reader, strict=True))


def _checked(path: Path, wide: int, found: Iterator[tuple[int, list[str]]]) -> Iterator[tuple[int, list[str]]]:
    for number, cells in found:
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
