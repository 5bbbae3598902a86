"""What the rooms of a collection hand on: a recipe to be read, what could not be done, what belongs to a kitchen."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

WHOLE_FILE = -1
TIME = 60.0  # [s] for a job, or for one recipe of a job that is done one by one; a dish takes some milliseconds


@dataclass(frozen=True, slots=True)
class Marks:
    """SHA-256 of what else a row depends on: nutrilab, its food tables, and what the cook says beside the recipes."""

    program: str
    tables: str
    decisions: str
    products: str
    settings: str


@dataclass(frozen=True, slots=True)
class Entry:
    """A recipe to be read.

    file: its name in the results; path: the file it stands in; root: the source's folder; kitchen: the folder whose
    decisions, packs and settings count; digest: SHA-256 of its content; start: where it begins in a file of many,
    `WHOLE_FILE` for a file of its own; size: its bytes, of a file that is too large one more than is read.
    """

    file: str
    path: Path
    root: Path
    kitchen: Path
    digest: str
    marks: Marks
    start: int
    size: int


@dataclass(frozen=True, slots=True)
class Fault:
    """A recipe that could not be used, or a place that could not be looked into: one sentence.

    again: whether the next run tries it again though nothing changed; what ended a worker may have been the
    machine, and what a recipe lacked may be there.
    """

    file: str
    line: int | None
    sentence: str
    again: bool = False


def sha256(data: bytes) -> str:
    """SHA-256 of some bytes."""
    return hashlib.sha256(data).hexdigest()


def content_of(path: Path) -> str:
    """SHA-256 of a file, "" where there is none that can be read."""
    try:
        return sha256(path.read_bytes())
    except (OSError, ValueError):
        return ""
