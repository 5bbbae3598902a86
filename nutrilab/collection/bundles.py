"""A job with all that it reads, for a worker that sees no disk of ours: files go with it and are laid out there."""

from __future__ import annotations

import faulthandler
import os
import tempfile
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import nutrilab
from nutrilab import settings
from nutrilab.collection.marking import program, tables_of
from nutrilab.collection.rows import needs_of
from nutrilab.collection.values import TIME, WHOLE_FILE, Entry, Fault, sha256
from nutrilab.collection.working import Job, Kitchens, Part, content_of, fault, names_others, recipe_of, work
from nutrilab.decisions import NAME as DECISIONS
from nutrilab.folder import PACKS, Folder
from nutrilab.messages import say
from nutrilab.remarks import InputError, NutrilabError

OF_KITCHEN = (DECISIONS, settings.NAME, PACKS)
_LARGEST = 10_000_000  # bytes


@dataclass(frozen=True, slots=True)
class Bundle:
    """A job and all that it reads.

    job: its entries with paths that begin at the source's folder; files: name there -> content; kitchens: digest of
    what a cook says there -> name -> content; faults: of entries that are not sent; program: SHA-256 of the nutrilab
    that made it.
    """

    job: Job
    files: dict[str, bytes]
    kitchens: dict[str, dict[str, bytes]]
    faults: tuple[Fault, ...]
    tables: str | None
    program: str


def bundle(job: Job, tables: str | None) -> Bundle:
    """A job with what its recipes name and what their kitchens say. A recipe that cannot be read is a fault here."""
    found = Bundle(job, {}, {}, (), tables, program())
    roots: dict[Path, str] = {}
    beside = cache(_read)  # packs, decisions, settings: of many recipes the same
    entries, faults = [], []
    for place, entry in enumerate(job.entries):
        data = b""
        try:
            data = content_of(entry)
            files = _files(entry, place, data, beside)
        except NutrilabError as error:
            faults.append(fault(entry, error, names_others(data)))
            continue
        root = roots.setdefault(entry.root, f"source-{len(roots)}")  # no two files are one there
        found.files.update({f"{root}/{path}": content for path, content in files.items()})
        of_kitchen = {name: said for name in OF_KITCHEN if (said := beside(entry.kitchen / name)) is not None}
        key = _key(entry, of_kitchen)
        found.kitchens[key] = of_kitchen
        there = replace(entry, path=Path(root, next(iter(files))), root=Path(root), kitchen=Path(key))
        entries.append(there if entry.start == WHOLE_FILE else replace(there, start=0))
    return replace(found, job=replace(job, entries=tuple(entries)), faults=tuple(faults))


def _key(entry: Entry, of_kitchen: dict[str, bytes]) -> str:
    """A kitchen by its food tables and by what it says itself, wherever it lies."""
    said = "".join(f"{name} {sha256(data)}\n" for name, data in of_kitchen.items())
    return f"{entry.marks.tables}|{sha256(said.encode())}"


def _read(path: Path) -> bytes | None:
    try:
        with path.open("rb") as file:
            return file.read(_LARGEST + 1)
    except OSError:
        return None


def _files(entry: Entry, place: int, data: bytes, beside: Callable[[Path], bytes | None]) -> dict[str, bytes]:
    """The files of an entry by their place below its source: itself, what it is made of, packs. Raises InputError.

    beside: what another file holds, None where there is none.
    """
    folder = entry.path.parent.relative_to(entry.root)
    name = entry.path.name if entry.start == WHOLE_FILE else f".line-{place}.json"  # beside the packs of its file
    found = {(folder / name).as_posix(): data}
    more = dict.fromkeys([(folder / PACKS).as_posix()])
    if entry.start == WHOLE_FILE and names_others(data):
        recipe = recipe_of(entry, data)
        for some in needs_of(entry, recipe, Folder(entry.kitchen).packs_of(recipe)):
            more |= dict.fromkeys(some)
    for path in more:
        # A link may lead out of a folder and in again; laid out there are no links, and nothing may lie outside.
        if not os.path.normpath(path).startswith("..") and (content := beside(entry.root / path)) is not None:
            found[path] = content
    return found


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
    kitchens.digests.clear()  # of files that lay in a folder of the last job
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
        part = _in_place(work(replace(bundle.job, entries=entries), kitchens), folder)
        return replace(part, faults=(*bundle.faults, *part.faults), count=part.count + len(bundle.faults))


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
