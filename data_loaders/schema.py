"""The one layout every food table ends in, its provenance, and its way to parquet and back.

A table is two parquet files. ``NAME.foods.parquet``: one row a food, columns ``FOOD_COLUMNS`` and
then one column a component named by INFOODS tagname (``components.csv`` gives name and unit), value
per 100 g edible portion, missing = null, never 0. ``NAME.measures.HASH.parquet``: household measures
(``MEASURE_COLUMNS``). ``NAME.notes.HASH.parquet``, only where a table has any: what is to be known of single values
(``NOTE_COLUMNS``): the bounds of a trace or of a "less than", how sure the publisher is, how a value was converted.
``NAME.variation.HASH.parquet``, only where a publisher says it: how far the samples behind a value lay apart
(``VARIATION_COLUMNS``). ``NAME.words.HASH.parquet``, only where a loader brings any: the words of cooks for its foods
(``WORD_COLUMNS``). The foods file names the others, so that replacing the foods file, one rename, switches to the
new table as a whole or not at all.
"""

from __future__ import annotations

import csv
import hashlib
import json
import os
import re
from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass, field
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from data_loaders import disk
from nutrilab.messages import say
from nutrilab.remarks import NutrilabError

if TYPE_CHECKING:  # heavy, and needed only while importing a table
    import pandas as pd

LAYOUT = 1
META_KEY = b"nutrilab"
_SMALL = 20_000  # rows; up to here packing it tightly costs less than half a second
FOOD_COLUMNS = ("food_id", "name", "scientific_name", "group", "source", "refuse")
MEASURE_COLUMNS = ("food_id", "amount", "words", "grams")
NOTE_COLUMNS = ("food_id", "tagname", "kind", "low", "high", "words")
# Of the samples behind a value: how many, standard error of their mean, lowest, highest, degrees of freedom, the bounds
# of the mean (95 %), and the publisher's code of how the value came about; NaN where the publisher says nothing.
VARIATION_COLUMNS = (
    "food_id", "tagname", "samples", "error", "lowest", "highest", "freedom", "mean_low", "mean_high", "code",
)  # fmt: skip
# Words of cooks for a food: names divided by |, states that must hold ("!" before those that must not), how sure they
# are of it (SURENESS), the ground.
WORD_COLUMNS = ("names", "state", "food_id", "sure", "ground")
LABEL_COLUMNS = ("food_id", "ingredients")  # the ingredients text of packs
SURENESS = ("sure", "likely", "doubtful")
ENGLISH = "en: "  # what an English name follows in scientific_name, where name is of another language
NOTE_KINDS = ("trace", "less than", "confidence", "estimate", "converted")  # what a note is about


def english_name(scientific_name: str) -> str:
    """The English name beside one of another language ("Corylus avellana; en: Hazelnut"); "" if there is none."""
    return f"; {scientific_name}".partition(f"; {ENGLISH}")[2].strip()


class TableError(NutrilabError):
    """A food table that cannot be read: file, line, what is wrong, what to do."""

    def __init__(self, message: str, file: object, line: int | None = None) -> None:
        super().__init__(message, file, line)


@dataclass(frozen=True, slots=True)
class Component:
    """A component of food: INFOODS tagname, plain name, unit per 100 g, its SR number if any."""

    tagname: str
    name: str
    unit: str
    sr_number: str
    note: str


@cache
def components() -> dict[str, Component]:
    """All components a table may hold, by tagname, in the order of the data file."""
    with (Path(__file__).parent / "components.csv").open(encoding="utf-8", newline="") as file:
        return {row["tagname"]: Component(**row) for row in csv.DictReader(file)}


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where a table comes from; travels inside its parquet files.

    carbohydrate, protein: how the table defines them, in words; inputs: file name -> SHA-256. untried: whether its
    loader was never tried on a file of the publisher's own.
    """

    source: str
    version: str
    licence: str
    citation: str
    credit: str
    carbohydrate: str
    protein: str
    inputs: dict[str, str] = field(default_factory=dict)
    imported: str = ""
    measures_file: str = ""
    notes_file: str = ""
    variation_file: str = ""
    words_file: str = ""
    labels_file: str = ""
    untried: bool = False


@dataclass(frozen=True, slots=True)
class TableData:
    """A food table in memory: foods (FOOD_COLUMNS + tagnames), measures, provenance; the others where there are any.

    A note's low and high bound the value [component's unit], NaN where they do not apply. left_out: a sentence for each
    thing of the published table that cannot be and is missing here; it is said at import and not kept.
    """

    foods: pd.DataFrame
    measures: pd.DataFrame
    provenance: Provenance
    notes: pd.DataFrame | None = None
    left_out: tuple[str, ...] = ()
    variation: pd.DataFrame | None = None
    words: pd.DataFrame | None = None
    labels: pd.DataFrame | None = None


def sha256(data: bytes) -> str:
    """SHA-256 of some bytes as hexadecimal text."""
    return hashlib.sha256(data).hexdigest()


def check(table: TableData, file: object) -> None:
    """Refuse a table that breaks the layout.

    Raises TableError: missing or unknown column, no food, a food twice, a food without a name,
    refuse outside 0 to 1, a measure of a food that is not there or without a weight.
    """
    foods, measures = table.foods, table.measures
    for wanted, frame in ((FOOD_COLUMNS, foods), (MEASURE_COLUMNS, measures)):
        missing = [c for c in wanted if c not in frame.columns]
        if missing:
            raise TableError(say("load.column-missing", name=missing[0]), file)
    unknown = [c for c in foods.columns[len(FOOD_COLUMNS) :] if c not in components()]
    if unknown:
        raise TableError(say("load.no-known-component-add-components", unknown=unknown[0]), file)
    if foods.empty:
        raise TableError(say("load.no-food-was-found"), file)
    twice = foods["food_id"][foods["food_id"].duplicated()]
    if len(twice):
        raise TableError(say("load.food-again", food=twice.iloc[0]), file)
    nameless = foods["food_id"][foods["name"].fillna("").str.strip() == ""]
    if len(nameless):
        raise TableError(say("load.food-has-no-name", food=nameless.iloc[0]), file)
    if not foods["refuse"].dropna().between(0, 1).all():
        raise TableError(say("load.share-refuse-not-between-0"), file)
    strangers = measures["food_id"][~measures["food_id"].isin(foods["food_id"])]
    if len(strangers):
        raise TableError(say("load.household-measure-belongs-no-food", food=strangers.iloc[0]), file)
    if not ((measures["grams"] > 0) & (measures["amount"] > 0)).all():
        raise TableError(say("load.household-measure-has-no-weight"), file)
    if table.notes is not None:
        _check_notes(table.notes, foods, file)
    if table.variation is not None:
        _check_variation(table.variation, foods, file)
    if table.words is not None:
        _check_words(table.words, foods, file)


def _check_words(words: pd.DataFrame, foods: pd.DataFrame, file: object) -> None:
    missing = [c for c in WORD_COLUMNS if c not in words.columns]
    if missing:
        raise TableError(say("load.column-missing-words", name=missing[0]), file)
    for column, known in (("food_id", foods["food_id"]), ("sure", SURENESS)):
        strangers = words[column][~words[column].isin(known)]
        if len(strangers):
            raise TableError(say("load.words-belong-no", what=str(strangers.iloc[0])[:40]), file)
    nameless = words["food_id"][words["names"].fillna("").str.strip(" |") == ""]
    if len(nameless):
        raise TableError(say("load.food-has-no-name", food=nameless.iloc[0]), file)


def _check_notes(notes: pd.DataFrame, foods: pd.DataFrame, file: object) -> None:
    missing = [c for c in NOTE_COLUMNS if c not in notes.columns]
    if missing:
        raise TableError(say("load.column-missing-notes", name=missing[0]), file)
    for column, known, what in (
        ("food_id", set(foods["food_id"]), say("load.no-food")),
        ("tagname", set(foods.columns[len(FOOD_COLUMNS) :]), say("load.no-component")),
        ("kind", set(NOTE_KINDS), say("load.none-of-kinds", kinds=", ".join(NOTE_KINDS))),
    ):
        strangers = notes[column][~notes[column].isin(known)]
        if len(strangers):
            raise TableError(say("load.note-belongs", food=strangers.iloc[0], what=what), file)
    if (notes["low"] > notes["high"]).any():
        raise TableError(say("load.bounds-note-wrong-way-round"), file)


def _check_variation(variation: pd.DataFrame, foods: pd.DataFrame, file: object) -> None:
    missing = [c for c in VARIATION_COLUMNS if c not in variation.columns]
    if missing:
        raise TableError(say("load.column-missing-variation", name=missing[0]), file)
    for column, known, what in (("food_id", foods["food_id"], "food"), ("tagname", foods.columns, "component")):
        strangers = variation[column][~variation[column].isin(known)]
        if len(strangers):
            raise TableError(say("load.variation-belongs-no", food=strangers.iloc[0], what=what), file)
    twice = variation["food_id"][variation.duplicated(["food_id", "tagname"])]
    if len(twice):
        raise TableError(say("load.variation-stands-twice", food=twice.iloc[0]), file)
    if (variation["lowest"] > variation["highest"]).any() or (variation["error"] < 0).any():
        raise TableError(say("load.lowest-above-highest-error-below"), file)


def write(table: TableData, folder: Path, name: str, kept: Mapping[str, bytes] | None = None) -> Path:
    """Write a table to ``folder``; the one already there stays whole and in use until the last rename.

    kept: further files of the table, by name ending in a hash of their content. Returns the path of the foods file.
    Raises TableError as `check` does, when another import holds the table too long, when the file in its place is none
    of ours; then nothing is changed.
    """
    check(table, name)
    files = dict(kept or {})
    names = {"measures_file": _beside(table.measures, f"{name}.measures", files)}
    if table.notes is not None and len(table.notes):
        names["notes_file"] = _beside(table.notes[list(NOTE_COLUMNS)], f"{name}.notes", files)
    if table.variation is not None and len(table.variation):
        names["variation_file"] = _beside(table.variation[list(VARIATION_COLUMNS)], f"{name}.variation", files)
    if table.words is not None and len(table.words):
        names["words_file"] = _beside(table.words[list(WORD_COLUMNS)].astype("str"), f"{name}.words", files)
    if table.labels is not None and len(table.labels):
        names["labels_file"] = _beside(table.labels[list(LABEL_COLUMNS)].astype("str"), f"{name}.labels", files)
    meta = {"layout": LAYOUT, **asdict(table.provenance), **names}
    target = folder / f"{name}.foods.parquet"
    files[target.name] = _bytes(table.foods.reset_index(drop=True), meta)  # last: it names the others
    try:
        made = disk.make_folder(folder)
    except OSError as error:
        raise TableError(say("load.folder-cannot-made", problem=error.strerror), folder) from error
    try:
        with disk.locked(folder / f".{name}.lock"):
            _refuse_foreign(target)
            _switch(folder, name, files)
    except TimeoutError:
        raise TableError(say("load.another-import-under-way-try"), name) from None
    except OSError as error:
        raise TableError(say("load.cannot-written-nothing-was-changed", problem=error.strerror), target) from error
    finally:
        disk.unmake(made)  # those that are still empty: an import that failed leaves nothing behind
    return target


def _beside(frame: pd.DataFrame, name: str, files: dict[str, bytes]) -> str:
    """Put a further file of a table to the others, the rows of a food together; its name, ending in its hash."""
    data = _bytes(frame.sort_values("food_id", kind="stable").reset_index(drop=True), {})
    file = f"{name}.{sha256(data)[:12]}.parquet"
    files[file] = data
    return file


def _switch(folder: Path, name: str, files: Mapping[str, bytes]) -> None:
    """Put the files in their places in order; the rename of the last one is the switch. Then the old ones go.

    Who reads the old table has its files open by then or begins again (foods.py). Raises OSError, with nothing changed.
    """
    before = set(os.listdir(folder))
    *others, last = files
    waiting = disk.beside(folder / last)

    def undo() -> None:
        for file in {*others, waiting.name} - before:
            disk.discard(folder / file)

    try:
        for file in others:
            disk.put(folder / file, files[file], durable=True)
        disk.stage(waiting, files[last], folder / last, durable=True)
    except BaseException:  # a key pressed too
        undo()
        raise
    try:
        os.replace(waiting, folder / last)
    except OSError:
        undo()
        raise
    _clear(folder, name, files)


def _clear(folder: Path, name: str, kept: Collection[str]) -> None:
    """Take away what older imports of a table left, killed ones too; while the lock is held nobody else writes it.

    A list of packs that somebody has changed since its import stays.
    """
    old = re.compile(
        rf"{re.escape(name)}\.(measures|notes|variation|words|labels|packs)\.([0-9a-f]{{12}})\.(?:parquet|yaml|csv)"
    )
    for file in os.listdir(folder):
        found = old.fullmatch(file)
        if found and file not in kept and (found[1] != "packs" or _is_as_written(folder / file, found[2])):
            disk.discard(folder / file)
    disk.sweep(folder, f"{name}.", age=0.0)


def _is_as_written(path: Path, digest: str) -> bool:
    try:
        return sha256(path.read_bytes()).startswith(digest)
    except OSError:
        return False


def _refuse_foreign(target: Path) -> None:
    """Refuse to write over a file that is no food table of ours; a damaged one is replaced. Raises TableError."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    if not target.exists():
        return
    try:
        known = META_KEY in (pq.ParquetFile(target).schema_arrow.metadata or {})
    except (OSError, ValueError, pa.ArrowException):
        with target.open("rb") as file:
            known = file.read(4) in (b"", b"PAR1")
    if not known:
        raise TableError(say("load.file-was-not-made-nutrilab"), target)


def _bytes(frame: pd.DataFrame, meta: dict[str, Any]) -> bytes:
    """One frame as parquet bytes, with our metadata and without pandas' own."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    table = pa.Table.from_pandas(frame, preserve_index=False)
    table = table.replace_schema_metadata({META_KEY: json.dumps(meta, sort_keys=True)} if meta else None)
    sink = pa.BufferOutputStream()
    level = 19 if len(frame) < _SMALL else 9
    pq.write_table(table, sink, compression="zstd", compression_level=level, use_dictionary=True)
    data: bytes = sink.getvalue().to_pybytes()
    return data


def read_provenance(metadata: dict[bytes, bytes] | None, file: object) -> Provenance:
    """The provenance inside a foods file's schema metadata.

    Raises TableError when the file is no food table of ours or of a later layout.
    """
    try:
        meta = json.loads((metadata or {})[META_KEY])
        layout = meta.pop("layout")
        found = Provenance(**meta)
    except (KeyError, ValueError, TypeError) as error:
        raise TableError(say("load.no-food-table-ours-import"), file) from error
    if layout != LAYOUT:
        raise TableError(say("load.layout-version-reads-import-again", layout=layout, read=LAYOUT), file)
    return found
