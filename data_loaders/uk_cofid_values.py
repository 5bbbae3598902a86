"""What the cells of CoFID say: numbers, traces ("Tr"), unknown amounts ("N"), estimates in brackets, bounds.

From the introduction to McCance and Widdowson's The Composition of Foods (from memory): Tr, a trace, less than can be
printed; N, present in significant quantities but not known; (12), an estimate; blank, not looked for.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache, lru_cache
from math import nan
from pathlib import Path
from typing import Literal, NamedTuple

from data_loaders.schema import TableError
from data_loaders.uk_cofid_sheets import Sheet, wanted_columns
from nutrilab.law.conversions import Bounded, exact
from nutrilab.messages import say

SOURCE = "uk-cofid"
MarkKind = Literal["trace", "less than", "estimate", "converted", "missing", ""]
Cell = tuple[str, int]  # tagname, row of the food
MOST_LETTERS = 200  # of a cell that holds a value
_NUMBER = re.compile(r"\d{1,9}(?:\.\d{1,12})?")
_MISSING = ("", "n", "-", "n/a")
# More than this in 100 g is no figure of a food: 111 g for monosaccharide equivalents (100 g starch make 111 g).
_MOST = {"g": 101.0, "mg": 1.01e5, "ug": 1.01e8, "kcal": 950.0, "kJ": 3900.0, "share": 1.0, "factor": 10.0, "g/ml": 2.0}
_MOST_EQUIVALENTS = 112.0
_OF_FACTORS = ("share", "factor", "g/ml")
_EQUIVALENTS = ("CHOAVLM", "STARCHM", "SUGARM", "OLSACM", "SUCSM", "MALSM", "LACSM")


class Mark(NamedTuple):
    """What is to be known of a value: a kind of note, its bounds (NaN without any), words for the cook."""

    kind: MarkKind
    low: float
    high: float
    words: str


@dataclass(frozen=True, slots=True)
class Values:
    """Values by tagname, one for each food, missing = NaN, and the marks on single ones; filled while reading."""

    count: int
    columns: dict[str, list[float]] = field(default_factory=dict)
    marks: dict[Cell, Mark] = field(default_factory=dict)

    def get(self, tagname: str, row: int) -> float | None:
        """One value, None if it is missing."""
        column = self.columns.get(tagname)
        value = nan if column is None else column[row]
        return None if value != value else value

    def bounded(self, tagname: str, row: int) -> Bounded | None:
        """One value with its bounds, None if it is missing."""
        value = self.get(tagname, row)
        if value is None:
            return None
        mark = self.marks.get((tagname, row))
        return exact(value) if mark is None or mark.low != mark.low else Bounded(value, mark.low, mark.high)

    def put(self, tagname: str, row: int, value: Bounded | float | None, mark: Mark | None = None) -> None:
        """Set one value; None is missing."""
        column = self.columns.setdefault(tagname, [nan] * self.count)
        column[row] = nan if value is None else value.value if isinstance(value, Bounded) else value
        if mark is not None:
            self.marks[tagname, row] = mark


@cache
def trace_bounds() -> dict[str, float]:
    """Tagname -> what "Tr" is at most [unit of the component]."""
    with (Path(__file__).parent / "traces.csv").open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {row["tagname"]: float(row["bound"]) for row in rows if row["source"] == SOURCE}


@lru_cache(maxsize=65536)
def reading(text: str) -> tuple[float, MarkKind]:
    """A cell's text as a number and what kind it is: for "<" the bound, for a trace 0, NaN where missing.

    Raises ValueError when it is no value.
    """
    plain = text.strip().lower()
    kind: MarkKind = ""
    if plain[:1] in ("(", "[") and plain[-1:] in (")", "]"):
        plain, kind = plain[1:-1].strip(), "estimate"
    if plain in _MISSING:
        return nan, "missing"
    if plain in ("tr", "trace"):
        return 0.0, "trace"
    if plain[0] == "<":
        plain, kind = plain[1:].strip(), "less than"
    if not _NUMBER.fullmatch(plain):
        raise ValueError(text)
    return float(plain), kind


def read_column(tagname: str, sheet: Sheet, places: Iterable[int | None], values: Values) -> None:
    """One column of a sheet into ``values``; places: row of the table for each food of the sheet, None for none.

    Raises TableError with sheet and line: text that is no value, below 0, more than 100 g can hold, a trace where the
    publication has none. In the sheet Factors, whose layout is from memory, such a value is missing instead: no figure
    that is declared hangs on it.
    """
    most = _MOST_EQUIVALENTS if tagname in _EQUIVALENTS else _MOST[_units()[tagname]]
    column = values.columns.setdefault(tagname, [nan] * values.count)
    for number, (cell, row) in enumerate(zip(sheet.columns[tagname], places, strict=True)):
        if row is None or cell is None:
            continue
        try:
            value, kind = _read(cell, most)
        except ValueError as error:
            if _units()[tagname] in _OF_FACTORS:
                continue
            raise _no_value(tagname, cell, sheet, number) from error
        column[row] = value
        if kind == "estimate":
            values.marks[tagname, row] = Mark(kind, nan, nan, say("about.note-estimate"))
        elif kind in ("trace", "less than"):
            _bound(tagname, row, value, kind, values, sheet.place)


def _read(cell: object, most: float) -> tuple[float, MarkKind]:
    """A cell as a number and its kind. Raises ValueError for a date, a truth value, an error, an impossible number."""
    if isinstance(cell, str) and len(cell) <= MOST_LETTERS:
        value, kind = reading(cell)
    elif isinstance(cell, int | float) and not isinstance(cell, bool):
        value, kind = float(cell), ""
    else:
        raise ValueError(cell)
    if value < 0 or value > most:
        raise ValueError(cell)
    return value, kind


def _bound(tagname: str, row: int, value: float, kind: MarkKind, values: Values, place: str) -> None:
    """A trace or a "less than": half its bound, and a mark."""
    high = value if kind == "less than" else trace_bounds().get(tagname)
    if high is None:
        raise TableError(say("load.cannot-trace-use-sheet-published", figure=tagname), place)
    words = say("about.note-trace") if kind == "trace" else say("about.note-less-than", value=f"{value:g}")
    values.put(tagname, row, high / 2, Mark(kind, 0.0, high, words))


def _no_value(tagname: str, cell: object, sheet: Sheet, number: int) -> TableError:
    text = " ".join(str(cell).split())[:40]
    column = next(column for column in wanted_columns() if column.tagname == tagname)
    return TableError(
        say(
            "load.under-food-no-amount-100",
            text=text,
            names=column.names[0],
            food=sheet.codes[number],
            unit=column.unit,
        ),
        sheet.place,
        sheet.lines[number],
    )


@cache
def _units() -> dict[str, str]:
    return {column.tagname: column.unit for column in wanted_columns()}
