"""Where the recipes of a collection lie: folders read below, recipe files, JSONL. Everything is hostile until read.

The order is that of the sources, in a folder that of the names, and never depends on the disk. No link is followed
but a source itself; of one that leads out of its folder it is said that its dishes are missing.
"""

from __future__ import annotations

import hashlib
import os
from collections import Counter
from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import BinaryIO

from nutrilab import marks
from nutrilab.collection.marking import Marking
from nutrilab.collection.values import WHOLE_FILE, Entry, Fault, sha256
from nutrilab.decisions import NAME as DECISIONS
from nutrilab.files import no_file
from nutrilab.folder import TEXT_NAMES, carries_recipe
from nutrilab.messages import say
from nutrilab.recipe import LARGEST, LARGEST_PAGE, PAGE_NAMES, YAML_NAMES
from nutrilab.remarks import InputError
from nutrilab.settings import NAME as SETTINGS
from nutrilab.writing import KITCHEN

MANY = (".jsonl", ".ndjson")  # a recipe a line
_READ = {**dict.fromkeys(YAML_NAMES, LARGEST), **dict.fromkeys(TEXT_NAMES, LARGEST)}
_READ |= dict.fromkeys(PAGE_NAMES, LARGEST_PAGE)
DEEPEST = 60  # folders in folders


@dataclass(frozen=True, slots=True)
class Source:
    """given: as the cook wrote it; path: where it lies on this disk; remote: whether it was fetched from an address."""

    given: str
    path: Path
    remote: bool = False

    @property
    def root(self) -> Path:
        """The folder its files lie in."""
        return self.path if self.path.is_dir() else self.path.parent


@dataclass(slots=True)
class Found:
    """What there is to read, in order, what could not be looked into, and how many files hold no recipe, by ending."""

    entries: list[Entry] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    passed: Counter[str] = field(default_factory=Counter)

    @property
    def digest(self) -> str:
        """SHA-256 over everything there is, with what it depends on: the same means that nothing changed."""
        whole = hashlib.sha256()
        for one in self.entries:
            whole.update(f"{one.file}\0{one.digest}\0{one.marks}\n".encode("utf-8", "surrogatepass"))
        for fault in self.faults:
            whole.update(f"{fault}\n".encode("utf-8", "surrogatepass"))
        return whole.hexdigest()


def found_in(sources: Sequence[Source], left_out: Path | None, tables: str | None) -> Found:
    """Every recipe of some sources. left_out: a folder that is not read, that of the results. Raises InputError.

    tables: food tables asked for, those of the kitchens when None.
    """
    found, marking = Found(), Marking(tables)
    names: set[str] = set()
    seen: set[tuple[str, int]] = set()
    for source in sources:
        walk = _Walk(source, left_out, marking, found)
        for entry in walk.entries():
            place = (os.path.realpath(entry.path), entry.start)
            if place in seen:
                continue
            seen.add(place)
            if entry.file in names:
                entry = replace(entry, file=_told_apart(entry, source, names))
            names.add(entry.file)
            found.entries.append(entry)
    return found


def _told_apart(entry: Entry, source: Source, names: Set[str]) -> str:
    """The name of a recipe with its source as the cook wrote it, where another has its name already."""
    given = _shown(source.given.rstrip("/"))
    if source.path.is_dir():
        name = f"{given}/{entry.file}"
    else:
        name = given if entry.start == WHOLE_FILE else f"{given}#{entry.file.rpartition('#')[2]}"
    while name in names:
        name = f"./{name}"
    return name


class _Walk:
    """One source, read once."""

    def __init__(self, source: Source, left_out: Path | None, marking: Marking, found: Found) -> None:
        self._source, self._marking, self._faults, self._passed = source, marking, found.faults, found.passed
        self._root = source.root
        self._real = os.path.realpath(source.root)
        self._left_out = None if left_out is None else os.path.realpath(left_out)

    def entries(self) -> Iterator[Entry]:
        """Its recipes in order. Raises InputError for a source that is not there."""
        path = self._source.path
        if path.is_dir():
            yield from self._folder(path, path, "", 0)
        elif not path.is_file():
            raise InputError(no_file(path), self._source.given)
        elif path.suffix.lower() in MANY:
            yield from self._many(_Place(self._root, self._root, ""), path.name)
        elif (data := self._content(str(path), path.name, LARGEST_PAGE)) is not None:
            yield self._entry(_Place(self._root, self._root, ""), path.name, data)

    def _folder(self, folder: Path, kitchen: Path, prefix: str, deep: int) -> Iterator[Entry]:
        try:
            with os.scandir(folder) as listed:
                inside = sorted((one for one in listed if not one.name.startswith(".")), key=lambda one: one.name)
        except OSError as error:
            self._fault(prefix.rstrip("/") or self._source.given, say("folder.not-readable", problem=error.strerror))
            return
        if {one.name for one in inside} & {DECISIONS, SETTINGS}:
            kitchen = folder
        place = _Place(folder, kitchen, prefix)
        for one in inside:
            if one.is_symlink():
                self._link(one, prefix)
            elif one.is_dir(follow_symlinks=False):
                if os.path.realpath(one.path) == self._left_out:
                    continue
                if deep == DEEPEST:
                    self._fault(prefix + one.name, say("collection.too-deep", most=DEEPEST))
                    continue
                yield from self._folder(folder / one.name, kitchen, f"{prefix}{one.name}/", deep + 1)
            elif one.is_file(follow_symlinks=False):
                yield from self._file(place, one)

    def _file(self, place: _Place, one: os.DirEntry[str]) -> Iterator[Entry]:
        suffix = os.path.splitext(one.name)[1].lower()
        if suffix in MANY:
            yield from self._many(place, one.name, sniffed=True)
        elif suffix in _READ and one.name.lower() not in KITCHEN:
            data = self._content(one.path, place.prefix + one.name, _READ[suffix])
            if data is not None and (suffix in YAML_NAMES or self._is_recipe(data, suffix, place)):
                yield self._entry(place, one.name, data)
        elif suffix not in _READ:
            self._passed[suffix or one.name] += 1

    def _is_recipe(self, data: bytes, suffix: str, place: _Place) -> bool:
        """Whether text or a page is a recipe and nothing that nutrilab wrote itself; a page has to carry one."""
        if place.noted is None:
            place.noted = _noted(place.folder)
        if marks.own(data, place.noted):
            return False
        if suffix in TEXT_NAMES or carries_recipe(data):
            return True
        self._passed[suffix] += 1
        return False

    def _entry(self, place: _Place, name: str, data: bytes, line: int = 0, start: int = WHOLE_FILE) -> Entry:
        file = _shown(f"{place.prefix}{name}#{line}" if line else place.prefix + name)
        marked = self._marking.of(place.kitchen, place.folder)
        return Entry(file, place.folder / name, self._root, place.kitchen, sha256(data), marked, start, len(data))

    def _link(self, one: os.DirEntry[str], prefix: str) -> None:
        """A word about a link that is not followed, unless it leads to what is read in its own place anyway."""
        leads, suffix = os.path.realpath(one.path), os.path.splitext(one.name)[1].lower()
        if leads == self._real or leads.startswith(self._real.rstrip(os.sep) + os.sep):
            if os.path.exists(leads) and not os.path.islink(leads):
                return
        elif not os.path.isdir(leads) and suffix not in (*_READ, *MANY):
            return
        self._fault(prefix + one.name, say("collection.link"))

    def _many(self, place: _Place, name: str, sniffed: bool = False) -> Iterator[Entry]:
        """The lines of a JSONL file, each hashed as it stands; one that is too long is passed over.

        sniffed: whether a file that holds no recipe at all is none of ours.
        """
        try:
            with (place.folder / name).open("rb") as file:
                if sniffed and b"Recipe" not in file.read(LARGEST_PAGE):
                    self._passed[Path(name).suffix.lower()] += 1
                    return
                file.seek(0)
                number = start = 0
                while line := file.readline(LARGEST + 2):
                    number += 1
                    size = len(line)
                    if size > LARGEST + 1:
                        size += _rest(file, line)
                        where = f"{place.prefix}{name}#{number}"
                        self._fault(where, say("collection.line-too-long", most=f"{LARGEST:,}"), number)
                    elif line.strip():
                        yield self._entry(place, name, line, number, start)
                    start += size
        except OSError as error:
            self._fault(place.prefix + name, say("file.not-readable", problem=error.strerror))

    def _content(self, path: str, name: str, largest: int) -> bytes | None:
        """What stands in a file, of one that is too large its beginning; None where it cannot be read."""
        try:
            with open(path, "rb") as file:
                return file.read(largest + 1)
        except OSError as error:
            self._fault(name, say("file.not-readable", problem=error.strerror))
            return None

    def _fault(self, file: str, sentence: str, line: int | None = None) -> None:
        self._faults.append(Fault(_shown(file), line, sentence))


@dataclass(slots=True)
class _Place:
    """A folder on the way: its kitchen, how names in it begin, what nutrilab wrote there, None until it is asked."""

    folder: Path
    kitchen: Path
    prefix: str
    noted: dict[str, str] | None = None


def _shown(name: str) -> str:
    """A name of a file as text; what in it is no text is written out."""
    return name if name.isascii() else os.fsencode(name).decode("utf-8", "backslashreplace")


def _noted(folder: Path) -> dict[str, str]:
    try:
        return marks.recorded(folder)
    except OSError:
        return {}


def _rest(file: BinaryIO, line: bytes) -> int:
    """How many bytes of a line are left; it is passed over."""
    left = 0
    while line and not line.endswith(b"\n"):
        line = file.readline(LARGEST)
        left += len(line)
    return left


def content_at(entry: Entry) -> bytes:
    """The bytes of an entry: its file, or its line of a file of many. Raises OSError."""
    with entry.path.open("rb") as file:
        file.seek(max(0, entry.start))
        return file.read(entry.size)
