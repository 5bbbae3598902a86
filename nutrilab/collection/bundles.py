"""A job with all that it reads, for a worker that sees no disk of ours: files go with it and are laid out there."""

from __future__ import annotations

import faulthandler
import os
import re
import tempfile
import threading
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import nutrilab
from nutrilab import settings
from nutrilab.collection.marking import PACKS, program, tables_of
from nutrilab.collection.sources import content_at
from nutrilab.collection.values import TIME, WHOLE_FILE, Entry, Fault
from nutrilab.collection.working import Job, Kitchens, Part, work
from nutrilab.decisions import NAME as DECISIONS
from nutrilab.messages import say
from nutrilab.remarks import InputError

OF_KITCHEN = (DECISIONS, settings.NAME, PACKS)
# What a recipe names in its text: "all of mash from mash.yaml", "products: packs.yaml".
_NAMES = re.compile(r"(?:\bfrom|^\s*products\s*:)\s+[\"']?([^\s\"'#]+\.\w{2,4})", re.IGNORECASE | re.MULTILINE)
_MOST = 200  # files that one recipe is made of
_LARGEST = 10_000_000  # bytes


@dataclass(frozen=True, slots=True)
class Bundle:
    """A job and all that it reads.

    job: its entries with paths that begin at the source's folder; files: name there -> content; kitchens: digest of
    what a cook says there -> name -> content; program: SHA-256 of the nutrilab that made it.
    """

    job: Job
    files: dict[str, bytes]
    kitchens: dict[str, dict[str, bytes]]
    tables: str | None
    program: str


def bundle(job: Job, tables: str | None) -> Bundle:
    """A job with what its recipes name and what their kitchens say. What cannot be read is left out."""
    files: dict[str, bytes] = {}
    kitchens: dict[str, dict[str, bytes]] = {}
    roots: dict[Path, str] = {}
    entries = []
    for place, entry in enumerate(job.entries):
        kitchen = _key(entry)
        kitchens.setdefault(kitchen, {name: data for name in OF_KITCHEN if (data := _read(entry.kitchen / name))})
        root = roots.setdefault(entry.root, f"source-{len(roots)}")  # no two files are one there
        for path, data in _files(entry, place):
            files[f"{root}/{path}"] = data
        path = _inside(entry.path if entry.start == WHOLE_FILE else _line(entry, place), entry.root)
        there = replace(entry, path=Path(root, path), root=Path(root), kitchen=Path(kitchen))
        entries.append(there if entry.start == WHOLE_FILE else replace(there, start=0))
    return Bundle(replace(job, entries=tuple(entries)), files, kitchens, tables, program())


def _key(entry: Entry) -> str:
    of = entry.marks
    return f"{of.tables}|{of.decisions}|{of.products}|{of.settings}"


def _line(entry: Entry, place: int) -> Path:
    """Where a line is laid out: in the folder of its file, for the packs beside it."""
    return entry.path.parent / f".line-{place}.json"


def _inside(path: Path, root: Path) -> str:
    return path.relative_to(root).as_posix()


def _read(path: Path) -> bytes | None:
    try:
        with path.open("rb") as file:
            return file.read(_LARGEST + 1)
    except OSError:
        return None


def _files(entry: Entry, place: int) -> Iterator[tuple[str, bytes]]:
    """The files of an entry: itself, what it names, and what that names; packs beside each."""
    if entry.start != WHOLE_FILE:
        yield _inside(_line(entry, place), entry.root), content_at(entry)
        if (packs := _read(entry.path.parent / PACKS)) is not None:
            yield _inside(entry.path.parent / PACKS, entry.root), packs
        return
    waiting, seen = [entry.path], set[Path]()
    while waiting and len(seen) < _MOST:
        path = waiting.pop()
        if path in seen or (data := _read(path)) is None:
            continue
        seen.add(path)
        yield _inside(path, entry.root), data
        waiting += [path.parent / PACKS]
        for name in _NAMES.findall(data.decode("utf-8", "replace")):
            other = path.parent / name
            if other.resolve().is_relative_to(entry.root.resolve()) and ".." not in Path(name).parts:
                waiting.append(other)


# -- on the worker ----------------------------------------------------------------------------------------------------


_ONE = threading.Lock()  # a kitchen serves one at a time, whatever the threads of a worker
_KITCHENS: dict[str | None, Kitchens] = {}
_PLACES: dict[str, Path] = {}


def do(bundle: Bundle) -> Part:
    """Lay the files of a bundle out and do its job; the kitchens stay open for the next. Raises InputError, OSError."""
    if bundle.program != program():
        raise InputError(say("collection.other-version", version=nutrilab.__version__))
    with _ONE, open(os.devnull, "w") as nowhere:
        faulthandler.dump_traceback_later(TIME, file=nowhere, exit=True)  # who hangs ends, and the job goes elsewhere
        try:
            return _do(bundle)
        finally:
            faulthandler.cancel_dump_traceback_later()


def _do(bundle: Bundle) -> Part:
    kitchens = _KITCHENS.setdefault(bundle.tables, Kitchens(bundle.tables))
    for key, files in bundle.kitchens.items():
        _lay_kitchen(key, files, bundle.tables)
    with tempfile.TemporaryDirectory(prefix="nutrilab-") as folder:
        top = Path(folder)
        for name, data in bundle.files.items():
            path = top / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
        entries = tuple(
            replace(one, path=top / one.path, root=top / one.root, kitchen=_PLACES[str(one.kitchen)])
            for one in bundle.job.entries
        )
        return _in_place(work(replace(bundle.job, entries=entries), kitchens), folder)


def _lay_kitchen(key: str, files: dict[str, bytes], tables: str | None) -> None:
    """Lay out what a kitchen says, once in a worker. Raises InputError where this machine has other food tables."""
    if key in _PLACES:
        return
    folder = Path(tempfile.mkdtemp(prefix="nutrilab-kitchen-"))
    for name, data in files.items():
        (folder / name).write_bytes(data)
    here = tables_of(folder, tables)
    if here != key.partition("|")[0]:
        raise InputError(say("collection.other-tables", here=here or "-", there=key.partition("|")[0]))
    _PLACES[key] = folder


def _in_place(part: Part, folder: str) -> Part:
    """The part with no word of where its files were laid out."""
    faults = (Fault(one.file, one.line, one.sentence.replace(folder, "")) for one in part.faults)
    return replace(part, faults=tuple(faults))
