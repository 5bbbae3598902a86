"""The spreadsheets of a collection, written row by row: `analyse -o dishes.csv` has the same table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from pathlib import Path

from nutrilab.collection.doubtful import Doubtful
from nutrilab.collection.tables import read_dishes
from nutrilab.collection.values import Fault
from nutrilab.sheets.csv_dishes import heads, row
from nutrilab.sheets.safe import Cell, csv_text, plain

HEAD = ("name", "counted as", "dishes", "lines", "energy (kcal)", "energy unknown (lines)", "example", "file")


def dishes(folder: Path) -> int:
    """Write dishes.csv; returns how many dishes are not complete. Raises OSError."""
    incomplete = 0

    def rows() -> Iterator[tuple[Cell, ...]]:
        nonlocal incomplete
        for one in read_dishes(folder):
            incomplete += not one["complete"]
            yield row(one)

    _write(folder / "dishes.csv", chain([heads()], rows()))
    return incomplete


def problems(folder: Path, faults: Sequence[Fault]) -> None:
    """Write problems.csv. Raises OSError."""
    rows = ((plain(one.file), one.line, plain(one.sentence)) for one in faults)
    _write(folder / "problems.csv", chain([("file", "line", "sentence")], rows))


def doubtful(folder: Path, names: Sequence[Doubtful]) -> None:
    """Write doubtful.csv. Raises OSError."""
    _write(folder / "doubtful.csv", chain([HEAD], map(_doubtful, names)))


def _doubtful(one: Doubtful) -> tuple[Cell, ...]:
    energy = round(one.energy) if one.unknown < one.lines else None
    words = (plain(one.text), plain(one.file))
    return plain(one.name), one.counted_as, one.dishes, one.lines, energy, one.unknown, *words


def _write(path: Path, rows: Iterable[Sequence[Cell]]) -> None:
    """A table into a file, a thousand rows in memory at a time. Raises OSError."""
    with path.open("wb") as file:
        some: list[Sequence[Cell]] = []
        for one in rows:
            some.append(one)
            if len(some) == 1_000:
                file.write(_text(some, first=not file.tell()))
                some = []
        file.write(_text(some, first=not file.tell()))


def _text(rows: Sequence[Sequence[Cell]], first: bool) -> bytes:
    text = csv_text(rows)
    return (text if first else text[1:]).encode()  # the mark of UTF-8 stands once, before all
