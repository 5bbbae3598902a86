"""CIQUAL's workbooks (.xls, sheet "compo"): one row a food, one column a constituent, values as text.

Layout read off the English and the French workbook of 2020-07-07.
"""

from __future__ import annotations

import io
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from data_loaders.fr_ciqual_values import (
    MISSING,
    Published,
    by_label,
    constituents,
    food_code,
    group_name,
    label,
    read_values,
    same_food_twice,
)
from data_loaders.schema import TableError
from nutrilab.messages import say

if TYPE_CHECKING:
    import numpy as np

SHEET = "compo"
MAGIC = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # an OLE2 file, as every .xls since 1997
_NO_VALUE = (3, 4, 5)  # xlrd's cell types date, boolean, error: their cells hold numbers that are none


def read_workbook(data: bytes, name: str) -> Published:
    """One workbook, English or French, whichever its heads say.

    A row of a code that stood before completes it; where the two differ, TableError. (The real files have 3,186 rows
    of 3,185 foods: wheat bran, 9621, stands in two groups, its energy in the one row, all else in the other.)
    Raises TableError: damaged, no such sheet, a column missing or twice, no food, no food code.
    """
    sheet = _sheet(data, name)
    file = say("about.sheet", file=name, sheet=SHEET)
    if sheet.nrows < 2:
        raise TableError(say("load.no-food-was-found"), file)
    heads = [str(head).strip() for head in sheet.row_values(0)]
    named, places = _columns(heads, file)
    language = "eng" if "alim_nom_eng" in named else "fr"
    lines = list(range(2, sheet.nrows + 1))
    codes = [food_code(value, file, line) for line, value in zip(lines, _cells(sheet, named["alim_code"]), strict=True)]
    names = _words(sheet, named[f"alim_nom_{language}"])
    empty = [""] * len(codes)
    table = Published(
        file=file,
        codes=codes,
        english=names if language == "eng" else empty,
        french=names if language == "fr" else empty,
        scientific=_words(sheet, named["alim_nom_sci"]) if "alim_nom_sci" in named else empty,
        groups=_groups(sheet, named, language),
        texts=_grid(sheet, places),
        lines=lines,
    )
    return _once(table)


def english_names(data: bytes, name: str) -> dict[int, str]:
    """alim_code -> English name in a workbook; none in a French one. Raises TableError as `read_workbook`."""
    sheet = _sheet(data, name)
    heads = [str(head).strip() for head in sheet.row_values(0)] if sheet.nrows else []
    if "alim_code" not in heads or "alim_nom_eng" not in heads:
        return {}
    file = say("about.sheet", file=name, sheet=SHEET)
    codes = [food_code(value, file, line) for line, value in enumerate(_cells(sheet, heads.index("alim_code")), 2)]
    return dict(zip(codes, _words(sheet, heads.index("alim_nom_eng")), strict=True))


def _sheet(data: bytes, name: str) -> Any:
    try:
        import xlrd
    except ImportError as error:
        raise TableError(say("load.reading-xls-needs-xlrd-folder"), name) from error
    if not data.startswith(MAGIC):
        raise TableError(say("load.no-xls-workbook-use-file"), name)
    try:
        book = xlrd.open_workbook(file_contents=data, logfile=io.StringIO(), on_demand=True)
        if SHEET not in book.sheet_names():
            raise TableError(say("load.sheet-missing", sheet=SHEET), name)
        return book.sheet_by_name(SHEET)
    except TableError:
        raise
    except Exception as error:  # on damaged bytes xlrd raises whatever its arithmetic ends in
        raise TableError(say("load.workbook-damaged-has-password-fetch"), name) from error


def _columns(heads: list[str], file: str) -> tuple[dict[str, int], list[int]]:
    """Columns of names and codes by head, and the column of each constituent. Raises TableError: missing or twice."""
    named: dict[str, int] = {}
    places: dict[int, int] = {}
    for column, head in enumerate(heads):
        if head.startswith("alim_"):
            if named.setdefault(head, column) != column:
                raise TableError(say("load.column-stands-twice", name=head), file, 1)
        elif (place := by_label().get(label(head))) is not None and places.setdefault(place, column) != column:
            raise TableError(say("load.column-stands-twice", name=head), file, 1)
    if "alim_code" not in named:
        raise TableError(say("load.column-alim-code-missing-no"), file, 1)
    if "alim_nom_eng" not in named and "alim_nom_fr" not in named:
        raise TableError(say("load.column-alim-nom-eng-alim"), file, 1)
    for place, one in enumerate(constituents()):
        if place not in places:
            raise TableError(say("load.column-100g-missing", name=one.english, unit=one.unit), file, 1)
    return named, [places[place] for place in range(len(places))]


def _cells(sheet: Any, column: int) -> list[Any]:
    """The values of a column below its head; dates, booleans and errors as text that is no value."""
    values: list[Any] = sheet.col_values(column, 1)
    types = sheet.col_types(column, 1)
    if not set(types).isdisjoint(_NO_VALUE):
        for row, kind in enumerate(types):
            if kind in _NO_VALUE:
                values[row] = say("load.date-boolean-error")
    return values


def _words(sheet: Any, column: int | None) -> list[str]:
    """A column of words; "" for all rows where there is no such column."""
    if column is None:
        return [""] * (sheet.nrows - 1)
    return [" ".join(str(value).split()) for value in _cells(sheet, column)]


def _groups(sheet: Any, named: dict[str, int], language: str) -> list[str]:
    """The food groups. Flours and doughs (0305) have a code but no names: they take the name other rows give the code
    of the group above."""
    codes = _words(sheet, named.get("alim_grp_code"))
    upper, lower = (_words(sheet, named.get(f"alim_{level}_nom_{language}")) for level in ("grp", "ssgrp"))
    known = {code: name for code, name in zip(codes, upper, strict=True) if code and name}
    rows = zip(codes, upper, lower, strict=True)
    return [group_name((name or known.get(code, ""), below)) for code, name, below in rows]


def _grid(sheet: Any, columns: Iterable[int]) -> np.ndarray:
    """Foods x constituents, the values as they stand in the cells."""
    import numpy as np

    cells = [_cells(sheet, column) for column in columns]
    grid = np.empty((sheet.nrows - 1, len(cells)), dtype=object)
    for place, values in enumerate(cells):
        grid[:, place] = values
    return grid


def _once(table: Published) -> Published:
    """The same table with one row a food."""
    first: dict[int, int] = {}
    drop: list[int] = []
    for row, code in enumerate(table.codes):
        if code in first:
            _complete(table, first[code], row)
            drop.append(row)
        else:
            first[code] = row
    if not drop:
        return table
    gone = set(drop)
    keep = [row for row in range(len(table.codes)) if row not in gone]

    def kept(values: list[Any]) -> list[Any]:
        return [values[row] for row in keep]

    return Published(
        file=table.file,
        codes=kept(table.codes),
        english=kept(table.english),
        french=kept(table.french),
        scientific=kept(table.scientific),
        groups=kept(table.groups),
        texts=table.texts[keep],
        lines=kept(table.lines or []),
    )


def _complete(table: Published, row: int, again: int) -> None:
    """Fill the gaps of a row from another of the same food; the group of the fuller row counts."""
    names = table.english if table.english[row] else table.french
    code, line = table.codes[row], table.lines[again] if table.lines else None
    if names[row] != names[again]:
        raise same_food_twice(code, names[again], names[row], table.file, line)
    numbers, kinds = read_values(table.texts[[row, again]])
    there = kinds != MISSING
    if (there[0] & there[1] & ((kinds[0] != kinds[1]) | (numbers[0] != numbers[1]))).any():
        raise TableError(say("load.food-stands-twice-different-values", code=code), table.file, line)
    if there[1].sum() > there[0].sum():
        table.groups[row] = table.groups[again]
    table.texts[row, there[1]] = table.texts[again, there[1]]
