"""Where published tables are fetched from, the checksums known of them, and how a table on disk stands to them."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from data_loaders import disk, schema
from data_loaders.schema import Provenance, TableError
from nutrilab.messages import say
from nutrilab.plain import brief

Standing = Literal["pinned", "not pinned", "differs"]


@dataclass(frozen=True, slots=True)
class Published:
    """One row of publishers.csv; url is empty for a file inside a download, sha256 where none is known."""

    name: str
    file: str
    url: str
    sha256: str
    bytes: int | None
    release: str
    ground: str


@dataclass(frozen=True, slots=True)
class Described:
    """A table on disk: what it is, how many foods and components, its inputs beside the pinned checksums, faults."""

    name: str
    path: Path
    provenance: Provenance | None
    foods: int
    components: int
    standing: Standing
    faults: tuple[str, ...]


@cache
def published() -> tuple[Published, ...]:
    """All rows of publishers.csv."""
    with (Path(__file__).parent / "publishers.csv").open(encoding="utf-8", newline="") as file:
        return tuple(
            Published(bytes=int(size) if size else None, **row)
            for row in csv.DictReader(file)
            for size in [row.pop("bytes")]
        )


def download(name: str, file: str | None = None) -> Published:
    """The download of a table; the first there is unless ``file`` names another. Raises TableError."""
    there = [row for row in published() if row.url]
    found = [row for row in there if row.name == name]
    if not found:
        known = ", ".join(dict.fromkeys(row.name for row in there))
        raise TableError(say("load.no-publisher-s-address-known", names=known), brief(name))
    chosen = [row for row in found if file in (None, row.file)]
    if not chosen:
        names = ", ".join(row.file for row in found)
        raise TableError(say("load.there-no-download-there", file=brief(file), names=names), name)
    return chosen[0]


def pins(name: str) -> frozenset[str]:
    """The checksums pinned for a table: of its downloads and of the files inside them."""
    return frozenset(row.sha256 for row in published() if row.name == name and row.sha256)


def standing(name: str, inputs: Mapping[str, str]) -> Standing:
    """How the files a table was made from (name -> SHA-256) stand to the pinned ones."""
    known = pins(name)
    if not known or not inputs:
        return "not pinned"
    return "pinned" if known.issuperset(inputs.values()) else "differs"


def describe(name: str, path: Path) -> Described:
    """A table on disk. Never raises: what is wrong with it stands in its faults."""
    return disk.steady(path, lambda: _describe(name, path), lambda found: not found.faults)


def _describe(name: str, path: Path) -> Described:
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        file = pq.ParquetFile(path)
        provenance = schema.read_provenance(file.schema_arrow.metadata, path)
    except (OSError, ValueError, pa.ArrowException) as error:
        words = " ".join(str(error).split())
        return Described(
            name, path, None, 0, 0, "not pinned", (say("load.cannot-read-import-again", file=path, problem=words),)
        )
    except TableError as error:
        return Described(name, path, None, 0, 0, "not pinned", (str(error),))
    told = provenance
    files = (told.measures_file, told.notes_file, told.variation_file, told.words_file, told.labels_file)
    beside = [part for part in files if part]
    faults = tuple(fault for part in beside if (fault := _fault(path.with_name(part))))
    parts = len(file.schema_arrow.names) - len(schema.FOOD_COLUMNS)
    stands = standing(name, provenance.inputs)
    return Described(name, path, provenance, file.metadata.num_rows, parts, stands, faults)


def _fault(path: Path) -> str | None:
    """What is wrong with a file that belongs to a table and has the beginning of its SHA-256 in its name."""
    if not path.is_file():
        return say("load.belongs-table-not-there-import", file=path)
    if schema.sha256(path.read_bytes())[:12] != path.name.split(".")[-2]:
        return say("load.not-was-written-import-table", file=path)
    return None
