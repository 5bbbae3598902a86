"""Rows kept in tables: those of the last results, those a stopped run left, and the two new tables put together.

A group of rows is a row group of both parquet files, the lines in one being those of the dishes in the other; or what
one job came to. No more than a few groups are in memory.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from nutrilab.collection.results import DISHES, LINES
from nutrilab.collection.rows import MARKED, dish_schema, line_schema, marked
from nutrilab.collection.values import Entry, content_of
from nutrilab.collection.working import Part, table_of

if TYPE_CHECKING:
    import pyarrow as pa
    import pyarrow.parquet as pq

BLOCK = 1_000  # dishes of a row group
AT_HAND = 4  # groups in memory
_HEAD = 8  # bytes that say how long the first table of a part is
METADATA = b"nutrilab"


class Store(Protocol):
    """Groups of rows that lie somewhere."""

    def groups(self) -> Iterator[tuple[int, pa.Table]]:
        """Each group with the columns that tell what its rows are good for."""

    def group(self, number: int) -> tuple[pa.Table, pa.Table]:
        """The dishes and the lines of a group."""


class Kept:
    """The results of the last run. Raises OSError, pyarrow.ArrowException, ValueError for what is no such table."""

    def __init__(self, folder: Path) -> None:
        self._dishes, self._lines = (_opened(folder / name) for name in (DISHES, LINES))
        there = [file.schema_arrow.remove_metadata() for file in (self._dishes, self._lines)]
        if there != [dish_schema(), line_schema()] or self._dishes.num_row_groups != self._lines.num_row_groups:
            raise ValueError(DISHES)

    def groups(self) -> Iterator[tuple[int, pa.Table]]:
        for number in range(self._dishes.num_row_groups):
            yield number, self._dishes.read_row_group(number, columns=["file", *MARKED])

    def group(self, number: int) -> tuple[pa.Table, pa.Table]:
        return self._dishes.read_row_group(number), self._lines.read_row_group(number)


def _opened(path: Path) -> pq.ParquetFile:
    import pyarrow.parquet as pq

    return pq.ParquetFile(path)


class Parts:
    """What jobs came to, a file each, whole or not there."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        folder.mkdir(parents=True, exist_ok=True)
        self.last = max((int(path.stem) for path in self._paths()), default=-1)

    def _paths(self) -> list[Path]:
        return sorted(path for path in self._folder.glob("*.part") if path.stem.isdecimal())

    def add(self, part: Part) -> int:
        """Keep what a job came to; returns its number here. Raises OSError."""
        self.last += 1
        path = self._folder / f"{self.last:08d}.part"
        waiting = path.with_suffix(".waiting")
        waiting.write_bytes(len(part.dishes).to_bytes(_HEAD, "big") + part.dishes + part.lines)
        os.replace(waiting, path)
        return self.last

    def groups(self) -> Iterator[tuple[int, pa.Table]]:
        import pyarrow as pa

        for path in self._paths():
            try:
                yield int(path.stem), self.group(int(path.stem))[0].select(["file", *MARKED])
            except (pa.ArrowException, KeyError, OSError):  # left half written by a power cut
                path.unlink()

    def group(self, number: int) -> tuple[pa.Table, pa.Table]:
        data = (self._folder / f"{number:08d}.part").read_bytes()
        end = _HEAD + int.from_bytes(data[:_HEAD], "big")
        return table_of(data[_HEAD:end]), table_of(data[end:])


@dataclass(frozen=True, slots=True)
class At:
    """Where a row lies, and what it is good for; needs, packs: as in the table."""

    store: Store
    group: int
    marked: tuple[str, ...]
    needs: str
    packs: str

    @property
    def files(self) -> dict[str, str]:
        """The other files that the dish is made of -> SHA-256."""
        found: dict[str, str] = {}
        for some in filter(None, (self.needs, self.packs)):
            found |= json.loads(some)
        return found


class Known:
    """Every row there is, by the name of its recipe."""

    def __init__(self) -> None:
        self.rows: dict[str, At] = {}
        self._texts: dict[str, str] = {}
        self._digests: dict[Path, str] = {}
        self._at_hand: dict[tuple[int, int], tuple[pa.Table, pa.Table]] = {}

    def add(self, store: Store, groups: Iterable[tuple[int, pa.Table]]) -> None:
        """Take up the rows of some groups, before those of the same names."""
        once = self._texts.setdefault
        for number, table in groups:
            columns = [table[name].to_pylist() for name in ("file", *MARKED)]
            for file, content, needs, packs, *others in zip(*columns, strict=True):
                held = (content, *(once(text, text) for text in others))
                self.rows[file] = At(store, number, held, once(needs, needs), once(packs, packs))

    def good(self, entry: Entry) -> bool:
        """Whether there is a row for an entry that would come out the same now."""
        at = self.rows.get(entry.file)
        if at is None or at.marked != marked(entry):
            return False
        return all(self._digest(entry.root / path) == digest for path, digest in at.files.items())

    def _digest(self, path: Path) -> str:
        if path not in self._digests:
            self._digests[path] = content_of(path)
        return self._digests[path]

    def group(self, store: Store, number: int) -> tuple[pa.Table, pa.Table]:
        """A group, kept at hand for what comes next."""
        key = (id(store), number)
        found = self._at_hand.pop(key, None) or store.group(number)
        self._at_hand[key] = found
        while len(self._at_hand) > AT_HAND:
            del self._at_hand[next(iter(self._at_hand))]
        return found


def put_together(files: Sequence[str], known: Known, folder: Path, provenance: Mapping[str, Any]) -> None:
    """Write both tables with the rows of some recipes in their order. Raises OSError."""
    import pyarrow.parquet as pq

    told = {METADATA: json.dumps(provenance, ensure_ascii=False).encode()}
    dishes, lines = (schema.with_metadata(told) for schema in (dish_schema(), line_schema()))
    options: dict[str, Any] = {"compression": "zstd"}
    with (
        pq.ParquetWriter(folder / DISHES, dishes, **options) as of_dishes,
        pq.ParquetWriter(folder / LINES, lines, **options) as of_lines,
    ):
        for start in range(0, len(files), BLOCK):
            block = files[start : start + BLOCK]
            some, more = _block(block, known)
            of_dishes.write_table(some.cast(dishes), row_group_size=BLOCK)
            of_lines.write_table(more.cast(lines), row_group_size=max(1, len(more)))


def _block(files: Sequence[str], known: Known) -> tuple[pa.Table, pa.Table]:
    """The dishes of some recipes and their lines, in the order of the recipes."""
    import pyarrow as pa
    import pyarrow.compute as pc

    wanted: dict[tuple[int, int], tuple[Store, list[str]]] = {}
    for file in files:
        at = known.rows[file]
        wanted.setdefault((id(at.store), at.group), (at.store, []))[1].append(file)
    dishes: list[pa.Table] = []
    lines: list[pa.Table] = []
    for (_, number), (store, some) in wanted.items():
        of = pa.array(some, pa.string())
        for table, into in zip(known.group(store, number), (dishes, lines), strict=True):
            into.append(table.filter(pc.is_in(table["file"], value_set=of)))
    order = pa.array(files, pa.string())
    return _ordered(pa.concat_tables(dishes), order), _ordered(pa.concat_tables(lines), order)


def _ordered(table: pa.Table, files: pa.Array) -> pa.Table:
    """A table in the order of recipes, the rows of each as they stand."""
    import numpy as np
    import pyarrow.compute as pc

    places = pc.index_in(table["file"], value_set=files).to_numpy()
    return table.take(np.argsort(places, kind="stable"))


def read_dishes(folder: Path, columns: Sequence[str] | None = None) -> Iterator[dict[str, Any]]:
    """The rows of the table of dishes, a group in memory at a time. Raises OSError."""
    file = _opened(folder / DISHES)
    for number in range(file.num_row_groups):
        yield from file.read_row_group(number, columns=None if columns is None else list(columns)).to_pylist()
