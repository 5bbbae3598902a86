"""The sheets of the UK Composition of Foods Integrated Dataset (CoFID), out of a workbook or sheets re-saved as CSV.

Sheets are found by a word of their title ("1.3 Proximates"), columns by name or code, so that editions may number and
order them as they like (uk_cofid_columns.csv). Data begins at the first row with a food code like 13-145; what stands
above are headings.
"""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from itertools import islice
from pathlib import Path

from data_loaders.archive import read_file, safe_workbook
from data_loaders.schema import TableError, sha256
from nutrilab.messages import say

Row = Sequence[object]
KINDS = {"proximates": ("proximate",), "inorganics": ("inorganic", "metal", "mineral"), "vitamins": ("vitamin",),
         "factors": ("factor",)}  # kind -> words of a title  # fmt: skip
NEEDED = ("proximates", "inorganics")  # what a declaration cannot do without
NOT_THIS = "fraction"  # "1.6 Vitamin fractions" is another sheet
SUFFIXES = (".xlsx", ".csv")
MOST_FILES, MOST_ROWS, MOST_COLUMNS, MOST_HEADINGS = 20, 20_000, 500, 10
LARGEST = 60_000_000  # bytes of one file; the re-saved sheets have 1.3 million
_MOST_TAGS = 40 * MOST_COLUMNS  # "<" in a row of a sheet's XML: two or three a cell, far less than this
_ROW_END = re.compile(rb"</(?:[A-Za-z_]{1,20}:)?row[ \t\r\n]*>")
_CODE = re.compile(r"\d{2}-\d{3,4}")
_UNIT = re.compile(r"\(([^()]{1,9})\)$")
_UNITS = {"g": "g", "mg": "mg", "ug": "ug", "mug": "ug", "mcg": "ug", "kcal": "kcal", "kj": "kJ"}
_NO_LETTER = re.compile(r"[^a-z0-9]+")
_HEAD = {"code": "food code", "name": "food name", "group": "group", "previous": "previous"}


@dataclass(frozen=True, slots=True)
class Wanted:
    """A column that is looked for; see uk_cofid_columns.csv."""

    sheet: str
    code: str
    names: tuple[str, ...]
    tagname: str
    unit: str
    needed: bool


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet as read, foods in its order.

    place: file and sheet, for messages. lines: line of the sheet by food. previous: older codes of a food. columns:
    tagname -> cells as they stand.
    """

    place: str
    codes: list[str]
    names: list[str]
    groups: list[str]
    previous: list[tuple[str, ...]]
    lines: list[int]
    columns: dict[str, list[object]]


@cache
def wanted_columns() -> tuple[Wanted, ...]:
    """The columns of uk_cofid_columns.csv."""
    with (Path(__file__).parent / "uk_cofid_columns.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return tuple(
        Wanted(r["sheet"], r["code"], tuple(r["names"].split("|")), r["tagname"], r["unit"], bool(r["needed"]))
        for r in rows
    )


def read_sheets(path: Path) -> tuple[dict[str, Sheet], dict[str, str]]:
    """The sheets by kind, and file name -> SHA-256 of what was read.

    path: the workbook (.xlsx), or a folder that holds it or single sheets of it (.xlsx, .csv).
    Raises TableError: nothing there, damaged or hostile, a sheet or column missing or twice, a unit that is not
    expected, headings that contradict each other, no food code where one belongs, a food twice.
    """
    found: dict[str, Sheet] = {}
    inputs: dict[str, str] = {}
    for file in _files(path):
        data = read_file(file, LARGEST)
        sheets = _workbook(data, file.name) if file.suffix.lower() == ".xlsx" else _csv(data, file)
        for kind, place, rows in sheets:
            if kind in found:
                raise TableError(say("load.sheet-stands-well", sheet=kind.capitalize(), place=found[kind].place), place)
            found[kind] = _sheet(kind, rows, place)
            inputs[file.name] = sha256(data)
    missing = [kind for kind in NEEDED if kind not in found]
    if missing:
        raise TableError(say("load.sheet-missing-use-workbook-published", sheet=missing[0].capitalize()), path.name)
    return found, inputs


def _files(path: Path) -> list[Path]:
    if not path.is_dir():
        if path.suffix.lower() not in SUFFIXES and path.exists():
            raise TableError(say("load.neither-workbook-xlsx-nor-folder"), path.name)
        return [path]
    files = sorted(file for file in path.iterdir() if file.suffix.lower() in SUFFIXES and file.is_file())
    files = [file for file in files if not file.name.startswith((".", "~"))]
    if not files or len(files) > MOST_FILES:
        raise TableError(say("load.holds-xlsx-csv-files-give", number=len(files) or "no"), path.name)
    return files


def kind_of(title: str) -> str:
    """Which sheet a title names, "" if none that is read."""
    text = title.lower()
    if NOT_THIS in text:
        return ""
    return next((kind for kind, words in KINDS.items() if any(word in text for word in words)), "")


# -- files to rows ----------------------------------------------------------------------------------


def _workbook(data: bytes, name: str) -> Iterator[tuple[str, str, list[Row]]]:
    """(kind, place, rows) of the sheets that are read."""
    try:
        openpyxl = import_module("openpyxl")
    except ImportError as error:
        raise TableError(say("load.reading-xlsx-needs-openpyxl-folder"), name) from error
    stream = safe_workbook(data, name)
    _check_rows(data, name)
    try:
        book = openpyxl.load_workbook(stream, read_only=True, data_only=True, keep_links=False)
        for sheet in book.worksheets:
            if kind := kind_of(sheet.title):
                sheet.reset_dimensions()  # what a sheet says of its own size may be wrong
                place = say("about.sheet", file=name, sheet=sheet.title)
                yield kind, place, _taken(sheet.iter_rows(max_row=MOST_ROWS + 1, values_only=True), place)
    except TableError:
        raise
    except Exception as error:  # on damaged XML openpyxl raises whatever its parsers meet
        raise TableError(say("load.workbook-damaged-fetch-again"), name) from error


def _taken(source: Iterable[Row], place: str) -> list[Row]:
    """The rows of a sheet, none too wide, not too many."""
    rows: list[Row] = []
    for row in source:
        if len(row) > MOST_COLUMNS:
            raise TableError(say("load.has-columns-no-cofid", number=f"{len(row):,}"), place, len(rows) + 1)
        rows.append(row)
    if len(rows) > MOST_ROWS:
        raise TableError(say("load.has-more-than-rows-no", most=f"{MOST_ROWS:,}"), place)
    return rows


def _check_rows(data: bytes, name: str) -> None:
    """Refuse a sheet with a row of far too many cells, before they are made into objects a hundred times their size.

    A comment or CDATA in a sheet, which could hide an end of row, is refused with it: no program writes one.
    """
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for info in archive.infolist():
            if info.file_size > LARGEST:
                raise TableError(say("load.part-far-too-large-food", file=info.filename), name)
            part = archive.read(info).replace(b"\0", b"")  # UTF-16 then reads as ASCII
            if b"sheetData" not in part:
                continue
            if b"<!" in part or max(row.count(b"<") for row in _ROW_END.split(part)) > _MOST_TAGS:
                raise TableError(say("load.part-has-row-far-too", file=info.filename), name)


def _csv(data: bytes, file: Path) -> Iterator[tuple[str, str, list[Row]]]:
    """The same of one sheet; the file's name is its title."""
    kind = kind_of(file.stem)
    if not kind:
        return
    for number, line in enumerate(data.splitlines(), 1):
        if line.count(b",") > MOST_COLUMNS:
            raise TableError(say("load.has-far-too-many-columns"), file.name, number)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        number = data.count(b"\n", 0, error.start) + 1
        raise TableError(say("load.encoding-not-utf-8-save"), file.name, number) from error
    rows = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        yield kind, file.name, _taken(islice(rows, MOST_ROWS + 1), file.name)
    except csv.Error as error:
        raise TableError(say("file.not-readable", problem=error), file.name, rows.line_num) from error


# -- rows to a sheet --------------------------------------------------------------------------------


def _sheet(kind: str, rows: list[Row], place: str) -> Sheet:
    first = next((i for i, row in enumerate(rows[: MOST_HEADINGS + 1]) if any(map(_is_code, row))), None)
    if not first:
        words = say("load.no-headings-stand-above-first") if first == 0 else say("load.no-row-begins-food-code")
        raise TableError(say("load.use-sheet-published", problem=words), place)
    columns = _columns(kind, rows[:first], place)
    kept = _foods(rows, first, columns, place)
    return Sheet(
        place=place,
        codes=[_text(_at(row, columns["code"])) for _, row in kept],
        names=[" ".join(_text(_at(row, columns["name"])).split()) for _, row in kept],
        groups=[_text(_at(row, columns.get("group"))) for _, row in kept],
        previous=[tuple(_CODE.findall(_text(_at(row, columns.get("previous"))))) for _, row in kept],
        lines=[line for line, _ in kept],
        columns={tagname: [_at(row, at) for _, row in kept] for tagname, at in columns.items() if tagname not in _HEAD},
    )


def _foods(rows: list[Row], first: int, columns: dict[str, int], place: str) -> list[tuple[int, Row]]:
    """(line, row) of the foods. Empty rows and notes of one cell are passed over; any other row needs a food code."""
    kept = []
    for line, row in enumerate(rows[first:], first + 1):
        if sum(cell not in (None, "") for cell in row) < 2:
            continue
        code = _at(row, columns["code"])
        if not _is_code(code):
            raise TableError(say("load.no-food-code", code=_text(code)[:40]), place, line)
        if not _text(_at(row, columns["name"])):
            raise TableError(say("load.food-has-no-name", food=_text(code)), place, line)
        kept.append((line, row))
    return kept


def _columns(kind: str, headings: list[Row], place: str) -> dict[str, int]:
    """tagname (or a key of _HEAD) -> column, by what the headings say."""
    wanted = [column for column in wanted_columns() if column.sheet == kind]
    meanings = {name: key for key, name in _HEAD.items()}
    for column in wanted:
        meanings |= dict.fromkeys((*column.names, column.code), column.tagname)
    units = {column.tagname: column.unit for column in wanted}
    found: dict[str, int] = {}
    for number, cells in enumerate(_transposed(headings)):
        said = {meanings[label]: cell for cell in cells for label in _labels(cell) if label in meanings}
        if len(said) > 1:
            one, other = list(said.values())[:2]
            raise TableError(say("load.headings-one-column-contradict-each", one=one, other=other), place)
        for tagname, heading in said.items():
            if tagname in found:
                raise TableError(say("load.there-two-columns", name=heading), place)
            _check_unit(cells, units.get(tagname), place)
            found[tagname] = number
    missing = [column.names[0] for column in wanted if column.needed and column.tagname not in found]
    missing += [name for key, name in _HEAD.items() if key in ("code", "name") and key not in found]
    if missing:
        raise TableError(say("load.column-missing-use-sheet-published", name=missing[-1]), place)
    return found


def _transposed(headings: list[Row]) -> list[list[str]]:
    width = max(map(len, headings))
    return [[_text(row[i])[:200] for row in headings if i < len(row)] for i in range(width)]


def _labels(cell: str) -> tuple[str, ...]:
    """What a heading may be known by: a code as it stands, its words, its words without the unit."""
    plain = _NO_LETTER.sub(" ", cell.lower()).strip()
    return cell, plain, _NO_LETTER.sub(" ", _UNIT.sub("", cell).lower()).strip()


def _check_unit(cells: list[str], unit: str | None, place: str) -> None:
    """Raise TableError when a heading names another unit than the expected one."""
    for cell in cells:
        match = _UNIT.search(cell)
        said = _UNITS.get(match[1].lower().replace("µ", "u").replace("μ", "u")) if match else None
        if said and unit and said != unit:
            raise TableError(say("load.column-should-use-sheet-published", name=cell, unit=unit), place)


def _at(row: Row, column: int | None) -> object:
    return row[column] if column is not None and column < len(row) else None


def _text(cell: object) -> str:
    return "" if cell is None else str(cell).strip()


def _is_code(cell: object) -> bool:
    return isinstance(cell, str) and _CODE.fullmatch(cell.strip()) is not None
