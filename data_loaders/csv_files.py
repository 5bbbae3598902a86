"""CSV files of a published table as streams of columns: what is asked for, batch by batch, the rest passed over.

The largest file of FoodData Central has 1.7 GB, so no file is ever held whole. How a publisher writes its files (the
sign between cells, the letters, the decimal sign) is its `Form`.
"""

from __future__ import annotations

import csv
import hashlib
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from data_loaders import archive
from data_loaders.schema import TableError
from nutrilab.messages import say

if TYPE_CHECKING:
    import numpy as np
    import pyarrow as pa

    Array = np.ndarray[Any, np.dtype[Any]]

Columns = Mapping[str, str]  # name -> "int64", "float64" or "string"
COLUMNS = 100  # the widest file published has 23
BLOCK = 1 << 20  # bytes of one batch, about
ROW = 1 << 20  # bytes of one row at most; the longest, lists of ingredients, have some thousands


def listed(path: Path) -> dict[str, str]:
    """Names of the files inside ``path``: in lower case -> as written. Raises TableError as archive does."""
    with archive._members(path) as members:
        return {member.name.lower(): member.name for member in members}


def files_of(path: Path, form: Form) -> Download:
    """The files inside ``path`` as a publisher of this form writes them. Raises TableError as archive does."""
    return Download(path, listed(path), form)


class Tap:
    """A stream that notes the SHA-256 of what runs through it."""

    def __init__(self, stream: IO[bytes]) -> None:
        self._stream, self._hash = stream, hashlib.sha256()

    def read(self, size: int) -> bytes:
        data = self._stream.read(size)
        self._hash.update(data)
        return data

    def sha256(self) -> str:
        return self._hash.hexdigest()


@dataclass(frozen=True, slots=True)
class Form:
    """How a publisher writes CSV: the sign between cells, the encoding (UTF-8 or ISO-8859-1), the decimal sign."""

    separator: str = ","
    latin: bool = False
    decimal: str = "."


@dataclass(frozen=True, slots=True)
class Download:
    """The CSV files of one download, wherever they stand inside ``path``; inputs grows as files are read."""

    path: Path
    names: Mapping[str, str]
    form: Form = Form()
    inputs: dict[str, str] = field(default_factory=dict)

    def __contains__(self, name: str) -> bool:
        return name.lower() in self.names

    def batches(self, name: str, needed: Columns, optional: Columns | None = None) -> Iterator[tuple[int, Batch]]:
        """Columns of a file as batches, each with the line of its first row; optional ones that are not there are null.

        Within a batch lines are counted as rows: after a text with a line break in it they fall behind.
        Raises TableError: the file or a needed column is missing, a row with other than the head's cells, not a
        number, a wrong encoding, a quotation mark left open, damage to the archive.
        """
        types, cells, wanted = {**(optional or {}), **needed}, list[str](), dict[str, str]()
        with archive.opened(self.path, name) as stream:
            tap = Tap(stream)
            for first, block in _blocks(tap, name):
                line, body = first, _in_utf_8(block, name, first) if self.form.latin else block
                if line == 1:
                    cells, body = _cells(body, name, self.form.separator)
                    wanted, line = _wanted(cells, needed, optional or {}, name), 2
                if body:
                    asked = {wanted[column]: types[column] for column in wanted}
                    yield line, Batch(_rows(body, cells, asked, (name, line), self.form), types, wanted)
            self.inputs[name] = tap.sha256()


@dataclass(frozen=True, slots=True)
class Batch:
    """Some rows of a file."""

    rows: pa.RecordBatch
    types: Columns
    written: Mapping[str, str]

    def column(self, name: str) -> pa.Array:
        """A column by the name asked for; nulls where the file does not have it."""
        import pyarrow as pa

        if name in self.written:
            return self.rows.column(self.written[name])
        return pa.nulls(self.rows.num_rows, pa.type_for_alias(self.types[name]))


def _blocks(tap: Tap, file: str) -> Iterator[tuple[int, bytes]]:
    """A file in blocks of whole rows, each with its line. Raises TableError: empty, a row too long or left open."""
    held, line = b"", 1
    while data := tap.read(BLOCK):
        held += data
        end = _row_end(held)
        if end:
            yield line, held[:end]
            line += held.count(b"\n", 0, end)
            held = held[end:]
        elif len(held) > ROW:
            raise TableError(say("load.row-has-more-than-bytes", most=f"{ROW:,}"), file, line)
    if held.count(b'"') % 2:
        raise TableError(say("load.quotation-mark-left-open-from"), file, line)
    if held:
        yield line, held
    elif line == 1:
        raise TableError(say("load.file-empty"), file)


def _row_end(held: bytes) -> int:
    """Where the last whole row ends: a line end with an even count of quotation marks before it stands in none."""
    end = held.rfind(b"\n") + 1
    marks = held.count(b'"', 0, end)
    while end and marks % 2:
        before = held.rfind(b"\n", 0, end - 1) + 1
        marks -= held.count(b'"', before, end)
        end = before
    return end


def _in_utf_8(block: bytes, file: str, line: int) -> bytes:
    """A block of ISO-8859-1 as UTF-8. Raises TableError for UTF-8 and UTF-16, which would spoil the names unseen."""
    if block.isascii() and b"\0" not in block:
        return block
    try:
        block.decode()
    except UnicodeDecodeError:
        if b"\0" not in block:
            return block.decode("iso-8859-1").encode()
    at = next(i for i, byte in enumerate(block) if byte > 127 or not byte)
    raise TableError(say("load.encoding-not-iso-8859-1"), file, line + block.count(b"\n", 0, at))


def _cells(block: bytes, file: str, separator: str) -> tuple[list[str], bytes]:
    """The names of a file's columns, and the rows that follow them in the first block."""
    head, _, body = block.partition(b"\n")
    if not head.strip():
        raise TableError(say("load.first-line-empty-use-file"), file, 1)
    try:
        cells = next(csv.reader([head.decode("utf-8-sig")], delimiter=separator), [])
    except (UnicodeDecodeError, csv.Error) as error:
        raise TableError(say("load.no-csv-text-utf-8"), file, 1) from error
    if len(cells) > COLUMNS:
        raise TableError(say("load.head-has-more-than-columns", most=COLUMNS), file, 1)
    return cells, body


def _wanted(cells: list[str], needed: Columns, optional: Columns, file: str) -> dict[str, str]:
    """The columns asked for that a file has: name asked for -> as written in its head."""
    found: dict[str, str] = {}
    for name in (*needed, *optional):
        same = [cell for cell in cells if cell.strip().lower() == name.lower()]
        if len(same) > 1:
            raise TableError(say("load.column-stands-twice", name=name), file, 1)
        if same:
            found[name] = same[0]
        elif name in needed:
            raise TableError(say("load.column-missing-use-file-published", name=name), file, 1)
    return found


def _rows(
    body: bytes, cells: list[str], types: Mapping[str, str], where: tuple[str, int], form: Form
) -> pa.RecordBatch:
    """Some columns of a block of rows; no type is guessed. Nothing runs beside: a thread could outlive the file."""
    import pyarrow as pa
    import pyarrow.csv as reading

    try:
        table = reading.read_csv(
            pa.BufferReader(body),
            reading.ReadOptions(use_threads=False, block_size=len(body) + 1, column_names=cells),
            reading.ParseOptions(delimiter=form.separator, newlines_in_values=True),
            reading.ConvertOptions(
                include_columns=list(types),
                column_types={name: pa.type_for_alias(kind) for name, kind in types.items()},
                null_values=[""],
                strings_can_be_null=False,
                decimal_point=form.decimal,
            ),
        )
    except pa.ArrowException as error:
        raise _sentence(" ".join(str(error).split()), cells, *where) from error
    return table.combine_chunks().to_batches()[0] if table.num_rows else pa.RecordBatch.from_pylist([], table.schema)


_ROW = re.compile(r"Row #(\d+)")
_CELLS = re.compile(r"Expected (\d+) columns, got (\d+)")
_VALUE = re.compile(r"column #(\d+).* invalid value '(.{0,40})")


def _sentence(said: str, cells: list[str], file: str, line: int) -> TableError:
    """What the CSV reader says, in words of ours; cells: the file's columns; line: where its block begins."""
    row = _ROW.search(said)
    line += int(row[1]) - 1 if row else 0
    if count := _CELLS.search(said):
        return TableError(say("load.cells-where-belong-fetch-file", number=count[2], wanted=count[1]), file, line)
    if "UTF8" in said:
        return TableError(say("load.encoding-not-utf-8-use"), file, line)
    if value := _VALUE.search(said):
        text, name = value[2].removesuffix("'"), "".join(cells[int(value[1]) :][:1])
        return TableError(say("load.column-not-number", text=text, column=name), file, line)
    return TableError(say("load.cannot-read-fetch-again", problem=said[:100]), file, line)


def whole_numbers(batch: Batch, name: str, file: str, line: int) -> Array:
    """A column of whole numbers above 0. Raises TableError with the line of the first that is none."""
    found: Array = batch.column(name).fill_null(0).to_numpy()
    if (found <= 0).any():
        row = int((found <= 0).argmax())
        words = say("load.fdc-not-above-0", name=name, value=found[row])
        if found[row] == 0:
            words = say("load.fdc-empty", name=name)
        raise TableError(words, file, line + row)
    return found


def each(column: pa.DictionaryArray, change: Callable[[str], object]) -> Array:
    """Texts of which few are different, each changed once; a missing one counts as ""."""
    import numpy as np

    changed = np.array([*(change(text) for text in column.dictionary.to_pylist()), change("")], dtype=object)
    found: Array = changed[column.indices.fill_null(len(changed) - 1).to_numpy()]
    return found
