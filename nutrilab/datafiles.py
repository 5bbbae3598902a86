"""Reading the data files of the package: CSV tables a cook could read."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parent / "data"


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """Rows of ``data/NAME`` as dictionaries; lines that begin with # are remarks.

    Raises ValueError with file and line when a row has more or fewer cells than the head.
    """
    path = FOLDER / name
    with path.open(encoding="utf-8", newline="") as file:
        kept = [(number, line) for number, line in enumerate(file, 1) if line.strip() and not line.startswith("#")]
    reader = csv.reader(line for _, line in kept)
    head = next(reader)
    found = []
    for cells in reader:
        if len(cells) != len(head):
            line = kept[reader.line_num - 1][0]
            raise ValueError(f"{path}, line {line}: {len(cells)} cells, the head has {len(head)}")
        found.append(dict(zip(head, cells, strict=True)))
    return tuple(found)


@cache
def role_words(name: str, role: str) -> frozenset[str]:
    """The words of the rows of one role; several in a cell are divided by |."""
    return frozenset(word for row in rows(name) if row["role"] == role for word in row["words"].split("|"))
