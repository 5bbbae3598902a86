"""CSV files of a download as streams of columns: what is asked for, batch by batch, the rest passed over.

The largest file of the full download has 1.7 GB, so no file is ever held whole.
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

if TYPE_CHECKING:
    import numpy as np
    import pyarrow as pa

    Array = np.ndarray[Any, np.dtype[Any]]

Columns = Mapping[str, str]  # name -> "int64", "float64" or "string"
HEAD = 64_000  # bytes within which the head of a file must end
COLUMNS = 100  # the widest file published has 23
BLOCK = 1 << 20  # bytes of one batch; a row must fit in it


def listed(path: Path) -> dict[str, str]:
    """Names of the files inside ``path``: in lower case -> as written. Raises TableError as archive does."""
    with archive._members(path) as members:
        return {member.name.lower(): member.name for member in members}


class Tap:
    """A stream that notes what runs through it: SHA-256, quotation marks; and that can look ahead once."""

    closed = False

    def __init__(self, stream: IO[bytes]) -> None:
        self._stream, self._hash, self._ahead = stream, hashlib.sha256(), b""
        self.quotes = 0

    def look(self, size: int) -> bytes:
        """The first bytes, which `read` will give again."""
        while len(self._ahead) < size and (data := self._take(size - len(self._ahead))):
            self._ahead += data
        return self._ahead

    def read(self, size: int = -1) -> bytes:
        if self._ahead and size >= 0:
            data, self._ahead = self._ahead[:size], self._ahead[size:]
            return data
        ahead, self._ahead = self._ahead, b""
        return ahead + self._take(size)

    def _take(self, size: int) -> bytes:
        data = self._stream.read(size)
        self._hash.update(data)
        self.quotes += data.count(b'"')
        return data

    def sha256(self) -> str:
        return self._hash.hexdigest()


@dataclass(frozen=True, slots=True)
class Download:
    """The CSV files of one download, wherever they stand inside ``path``; inputs grows as files are read."""

    path: Path
    names: Mapping[str, str]
    inputs: dict[str, str] = field(default_factory=dict)

    def __contains__(self, name: str) -> bool:
        return name.lower() in self.names

    def batches(self, name: str, needed: Columns, optional: Columns | None = None) -> Iterator[tuple[int, Batch]]:
        """Columns of a file as batches, each with the line of its first row; optional ones that are not there are null.

        Lines are counted as rows: after a text with a line break in it they fall behind.
        Raises TableError: the file or a needed column is missing, a row with other than the head's cells, not a
        number, a wrong encoding, a quotation mark left open, damage to the archive.
        """
        with archive.opened(self.path, name) as stream:
            tap = Tap(stream)
            cells = _cells(tap.look(HEAD), name)
            wanted = _wanted(cells, needed, optional or {}, name)
            line = 2
            types = {**(optional or {}), **needed}
            for rows in _batches(tap, cells, {written: types[asked] for asked, written in wanted.items()}, name):
                yield line, Batch(rows, types, wanted)
                line += rows.num_rows
            if tap.quotes % 2:
                raise TableError("a quotation mark is left open in it; fetch it again", name)
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


def _cells(head: bytes, file: str) -> list[str]:
    """The names of a file's columns, out of its first bytes."""
    if not head.strip():
        raise TableError("the file is empty", file)
    first, end, _ = head.partition(b"\n")
    try:
        cells = next(csv.reader([first.decode("utf-8-sig")]), [])
    except (UnicodeDecodeError, csv.Error) as error:
        raise TableError("it is no CSV text in UTF-8; use the file as published", file, 1) from error
    if (not end and len(head) >= HEAD) or len(cells) > COLUMNS:
        raise TableError(f"its head has more than {COLUMNS} columns; that is no file of FoodData Central", file, 1)
    return cells


def _wanted(cells: list[str], needed: Columns, optional: Columns, file: str) -> dict[str, str]:
    """The columns asked for that a file has: name asked for -> as written in its head."""
    found: dict[str, str] = {}
    for name in (*needed, *optional):
        same = [cell for cell in cells if cell.strip().lower() == name.lower()]
        if len(same) > 1:
            raise TableError(f"the column {name} stands in it twice", file, 1)
        if same:
            found[name] = same[0]
        elif name in needed:
            raise TableError(f"the column {name} is missing in it; use the file as published", file, 1)
    return found


def _batches(tap: Tap, cells: list[str], types: Mapping[str, str], file: str) -> Iterator[pa.RecordBatch]:
    """Batches of the columns ``types`` names as the file writes them; no type is guessed."""
    import pyarrow as pa
    import pyarrow.csv as reading

    try:
        reader = reading.open_csv(
            pa.PythonFile(tap, mode="r"),
            reading.ReadOptions(use_threads=False, block_size=BLOCK),
            reading.ParseOptions(newlines_in_values=True),
            reading.ConvertOptions(
                include_columns=list(types),
                column_types={name: pa.type_for_alias(kind) for name, kind in types.items()},
                null_values=[""],
                strings_can_be_null=False,
            ),
        )
        with reader:
            yield from reader
    except pa.ArrowInvalid as error:
        raise _sentence(" ".join(str(error).split()), cells, file) from error


_ROW = re.compile(r"Row #(\d+)")
_CELLS = re.compile(r"Expected (\d+) columns, got (\d+)")
_VALUE = re.compile(r"column #(\d+).* invalid value '(.{0,40})")


def _sentence(said: str, cells: list[str], file: str) -> TableError:
    """What the CSV reader says, in words of ours; cells: the file's columns."""
    row = _ROW.search(said)
    line = int(row[1]) if row else None
    if count := _CELLS.search(said):
        return TableError(f"{count[2]} cells where {count[1]} belong; fetch the file again", file, line)
    if "UTF8" in said:
        return TableError("the encoding is not UTF-8; use the file as published", file, line)
    if value := _VALUE.search(said):
        text, name = value[2].removesuffix("'"), "".join(cells[int(value[1]) :][:1])
        return TableError(f'"{text}" in the column {name} is not a number', file, line)
    if "straddl" in said:
        return TableError(f"a row has more than {BLOCK:,} bytes; fetch the file again", file, line)
    return TableError(f"it cannot be read ({said[:100]}); fetch it again", file, line)


def whole_numbers(batch: Batch, name: str, file: str, line: int) -> Array:
    """A column of whole numbers above 0. Raises TableError with the line of the first that is none."""
    found: Array = batch.column(name).fill_null(0).to_numpy()
    if (found <= 0).any():
        row = int((found <= 0).argmax())
        words = "is 0 or empty" if found[row] == 0 else f"of {found[row]} cannot be"
        raise TableError(f"the {name} {words}; fetch the file again", file, line + row)
    return found


def each(column: pa.DictionaryArray, change: Callable[[str], object]) -> Array:
    """Texts of which few are different, each changed once; a missing one counts as ""."""
    import numpy as np

    changed = np.array([*(change(text) for text in column.dictionary.to_pylist()), change("")], dtype=object)
    found: Array = changed[column.indices.fill_null(len(changed) - 1).to_numpy()]
    return found
