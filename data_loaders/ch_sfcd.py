"""The Swiss Food Composition Database (FSVO), version 5.3: the generic foods, as CSV made from the published workbook.

Layout: one row a food; names in four languages, categories, specific gravity, then a block of five columns for each
component: value, unit, what it is of ("per 100g edible portion", "per 100ml food volume"), value type, source. The two
rows of titles above the heads of the workbook are taken off, as the README beside the file says.

What is made of the values:

* Empty is missing. "less than": half of the printed bound; "trace": half of the least step the column prints; where a
  bound or a trace is printed as a number above 0, its kind of note says so. "best estimate" and "value type not known"
  are noted as estimates.
* Foods printed per 100 ml are brought to 100 g by the specific gravity of their row, each value with a note. Of ten
  (spirits, dressings, juices) what is printed comes to 100 g as it stands and not when divided: they are printed per
  100 g for all that the row says, and stay, with both readings as the bounds of a note. A food per 100 ml without a
  specific gravity is left out, and said by name.
* A specific gravity is a household measure of 1 ml only where it is printed finer than to a tenth.
"""

from __future__ import annotations

import csv
import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from math import nan
from pathlib import Path
from typing import NamedTuple

from data_loaders.archive import read_file, read_files
from data_loaders.keyed import Measures, as_number, factor, foods_frame, notes_frame, plain
from data_loaders.schema import Provenance, TableData, TableError, components, sha256
from nutrilab.messages import say

NAME = "ch-sfcd"
SOURCE = "Swiss Food Composition Database 5.3"
FILE = "generic-foods.csv"
LARGEST = 60_000_000  # bytes; the published one has 2.3 million
HEADS = ("ID", "name D", "name F", "name I", "name E", "category E", "specific gravity")
BLOCK = ("unit", "matrix unit", "value type", "source")
UNITS = {
    "kilojoule": "kJ", "kilocalorie": "kcal", "gram": "g", "milligram": "mg", "microgram": "ug",
    "retinol equivalent": "ug", "beta-carotene equivalent": "ug", "alpha-tocopherol equivalent": "mg",
}  # fmt: skip
WEIGHED, POURED = "per 100g edible portion", "per 100ml food volume"
EXACT, ESTIMATES = ("weighted", "mean"), ("best estimate", "value type not known")
_PRINTED = ("WATER", "PROCNT", "FAT", "CHOAVL", "FIBTG", "ALC")  # what comes to 100 g with ash and acids
CLEARLY = 2.0  # [g] so much nearer to 100 g does a sum stand that is of 100 g and not of 100 ml
BOUNDS = {"trace": "trace", "less than": "less than"}


class Column(NamedTuple):
    """A component: its head, its tagname, the least step its column prints."""

    name: str
    tagname: str
    step: float


@cache
def columns() -> tuple[Column, ...]:
    """All components of the table, in its order."""
    with Path(__file__).with_name("ch_sfcd_columns.csv").open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return tuple(Column(row["name"], row["tagname"], float(row["step"])) for row in rows)


@dataclass(slots=True)
class _Read:
    """What the rows read so far hold."""

    about: dict[str, list[object]] = field(
        default_factory=lambda: {name: [] for name in ("food_id", "name", "scientific_name", "group")}
    )
    values: list[list[float]] = field(default_factory=list)
    notes: list[tuple[object, ...]] = field(default_factory=list)
    measures: Measures = field(default_factory=Measures)
    left_out: list[str] = field(default_factory=list)


def load(path: Path) -> TableData:
    """Read the generic foods from their CSV file, or a folder, zip or tar that holds it.

    Returns foods (values per 100 g edible portion), the measure of 1 ml where a density is known, provenance and notes.
    Raises TableError with file and line: a column missing, a row too short, a wrong sign between cells or encoding, no
    number where one belongs, an unknown unit or value type, a food twice.
    """
    import pandas as pd

    alone = path.is_file() and path.suffix.lower() == ".csv"
    file = path.name if alone else FILE
    data = read_file(path, LARGEST) if alone else read_files(path, (FILE,))[FILE]
    found, seen = _Read(), set[str]()
    rows = _rows(data, file)
    _, head = next(rows, (1, []))
    if not head:
        raise TableError(say("load.file-empty"), file)
    places = _places(head, file)
    for line, row in rows:
        told = {name: plain(row[head.index(name)]) for name in HEADS}
        if not told["ID"] or told["ID"] in seen:
            raise TableError(say("load.food-again", food=told["ID"][:20]), file, line)
        seen.add(told["ID"])
        _add(found, told, [row[at : at + 5] for at in places], (file, line))
    values = pd.DataFrame(found.values, columns=[column.tagname for column in columns()], dtype="float64")
    ids = [str(food_id) for food_id in found.about["food_id"]]
    about: dict[str, Sequence[object]] = {**found.about, "source": [SOURCE] * len(ids), "refuse": [nan] * len(ids)}
    return TableData(
        foods_frame(about, values),
        found.measures.of(ids),
        _provenance({file: sha256(data)}),
        notes_frame(found.notes),
        left_out=tuple(found.left_out),
    )


def _rows(data: bytes, file: str) -> Iterator[tuple[int, list[str]]]:
    """The rows of the file with their lines, the head first; all of the head's length."""
    try:
        lines = data.decode("utf-8-sig").splitlines(keepends=True)
    except UnicodeDecodeError as error:
        raise TableError(say("load.encoding-not-utf-8-use"), file, data.count(b"\n", 0, error.start) + 1) from error
    reader = csv.reader(lines, strict=True)
    wanted = 0
    try:
        for row in reader:
            wanted = wanted or len(row)
            if len(row) != wanted:
                words = say("load.cells-where-belong-fetch-file", number=len(row), wanted=wanted)
                raise TableError(words, file, reader.line_num)
            yield reader.line_num, row
    except csv.Error as error:
        raise TableError(say("load.cannot-read-fetch-again", problem=str(error)), file, reader.line_num) from error


def _places(head: Sequence[str], file: str) -> list[int]:
    """Where the block of each component begins. Raises TableError: a head missing or twice, another block."""
    for name in (*HEADS, *(column.name for column in columns())):
        if head.count(name) != 1:
            key = "load.column-stands-twice" if name in head else "load.column-missing-use-file-published"
            raise TableError(say(key, name=name), file, 1)
    places = [head.index(column.name) for column in columns()]
    for at in places:
        if tuple(head[at + 1 : at + 5]) != BLOCK:
            raise TableError(say("load.column-missing-use-file-published", name=f"{head[at]}: {BLOCK[0]}"), file, 1)
    return places


def _add(found: _Read, told: dict[str, str], blocks: Sequence[Sequence[str]], where: tuple[str, int]) -> None:
    """Take one food, or say why it is left out."""
    density = _number(told["specific gravity"], where) if told["specific gravity"] else nan
    food_id = f"ch:{told['ID']}"
    poured = [block[2] == POURED for block in blocks if block[0]]
    if any(poured) and not density > 0:
        found.left_out.append(say("load.per-100-ml-without-density", food=food_id, name=told["name E"][:60]))
        return
    row = len(found.values)
    found.about["food_id"].append(food_id)
    found.about["name"].append(told["name E"] or told["name D"])
    others = {"de": told["name D"], "fr": told["name F"], "it": told["name I"]}
    found.about["scientific_name"].append("; ".join(f"{of}: {name}" for of, name in others.items() if name))
    found.about["group"].append(told["category E"].partition(";")[0])
    if len(told["specific gravity"].partition(".")[2]) > 1:
        found.measures.add(row, (1.0, "ml"), density)
    values, divided = [], not (any(poured) and _is_of_100_g(blocks, density, where))
    for column, block in zip(columns(), blocks, strict=True):
        value, notes = _value(column, block, density, divided, where)
        values.append(value)
        found.notes += ((food_id, column.tagname, *note) for note in notes)
    found.values.append(values)


def _is_of_100_g(blocks: Sequence[Sequence[str]], density: float, where: tuple[str, int]) -> bool:
    """Whether what is printed of a food "per 100 ml" comes to 100 g as it stands, and clearly less so when divided."""
    pairs = zip(columns(), blocks, strict=True)
    printed = sum(_number(block[0], where) for column, block in pairs if block[0] and column.tagname in _PRINTED)
    return abs(printed - 100) + CLEARLY < abs(printed / density - 100)


def _value(
    column: Column, block: Sequence[str], density: float, divided: bool, where: tuple[str, int]
) -> tuple[float, list[tuple[str, float, float, str]]]:
    """A value per 100 g, NaN where missing, and its notes: kind, low, high, words. divided: if it is of 100 ml."""
    text, unit, per, kind, _ = map(str.strip, block)
    if not text:
        return nan, []
    for cell, known in ((unit, tuple(UNITS)), (per, (WEIGHED, POURED)), (kind, (*EXACT, *ESTIMATES, *BOUNDS))):
        if cell not in known:
            raise TableError(say("load.sfcd-unknown-word", text=cell[:40], name=column.name), *where)
    by = factor(UNITS[unit], components()[column.tagname].unit) / (density if divided and per == POURED else 1.0)
    value, notes = _number(text, where), list[tuple[str, float, float, str]]()
    if kind in BOUNDS:
        high = value or column.step
        value = high / 2 if kind == "less than" or not value else value
        notes.append((BOUNDS[kind], 0.0, high * by, say("load.note-printed", kind=kind, text=text)))
    elif kind in ESTIMATES:
        notes.append(("estimate", nan, nan, say("load.note-publisher-says", kind=kind)))
    if per == POURED and not divided:
        low, high = sorted((value * by, value * by / density))
        notes.append(("converted", low, high, say("load.note-called-per-100-ml")))
    elif per == POURED:
        notes.append(("converted", nan, nan, say("load.note-per-100-ml", density=f"{density:g}")))
    return value * by, notes


def _number(text: str, where: tuple[str, int]) -> float:
    try:
        value = as_number(text)
    except ValueError:
        raise TableError(say("load.not-number", text=text[:40]), *where) from None
    if not 0 <= value < 1e6:
        raise TableError(say("load.not-number", text=text[:40]), *where)
    return value


def _provenance(inputs: dict[str, str]) -> Provenance:
    title = "Swiss Food Composition Database 5.3"
    office = "Federal Food Safety and Veterinary Office (FSVO)"
    return Provenance(
        source=SOURCE,
        version="generic foods",
        licence="free use with acknowledgment of the source, as the README of its CSV files quotes the publisher",
        citation=f"{office}. {title}, generic foods; CSV made of the workbook by School of Data Switzerland.",
        credit=f"Food composition: {title}, {office}",
        carbohydrate="CHOAVL: available, as published. Energy: ENERC_KJ and ENERC_KCAL as published, by the "
        "Regulation's factors. Fibre: FIBTG, method not told. Foods printed per 100 ml: by their specific gravity",
        protein="PROCNT: as published; the factor of nitrogen is not told",
        inputs=inputs,
        imported=datetime.date.today().isoformat(),
    )
