"""The files of one folder, read and written by name: none outside it, none in part, none that another has changed.

A file is handed out with the digest of its content. Who writes it back says that digest: where something else stands
there by now, nothing is written, and both are shown. What stood there before goes out with it, for one step back.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from data_loaders import disk
from nutrilab.files import content, place, there
from nutrilab.folder import TEXT_NAMES, recipes_in
from nutrilab.messages import say
from nutrilab.plain import brief, quoted
from nutrilab.recipe import CAPTION_NAMES, LARGEST_PAGE, PAGE_NAMES, YAML_NAMES
from nutrilab.remarks import InputError
from nutrilab.writing import KITCHEN, Written, alone

READ = (*YAML_NAMES, *TEXT_NAMES, *PAGE_NAMES, *CAPTION_NAMES)  # ends of names of what holds a recipe
WRITTEN = (*YAML_NAMES, *TEXT_NAMES)  # and of what is written back
LONGEST = 120  # characters of a name
WAIT = 5.0  # [s] for another who writes the same file
_NAME = re.compile(r"[^\x00-\x1f\x7f/\\:*?\"<>|]+")
_DEVICES = re.compile(r"(?:con|prn|aux|nul|com\d|lpt\d)(?:\..*)?", re.IGNORECASE)  # names that Windows keeps for itself


class ChangedError(InputError):
    """Another has changed the file meanwhile; there: what stands in it now."""

    def __init__(self, message: str, file: Path, there: Held) -> None:
        super().__init__(message, file)
        self.there = there


@dataclass(frozen=True, slots=True)
class Held:
    """A file as it was read."""

    name: str
    data: bytes
    digest: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step that can be taken back.

    name: of the file, "" where it is the text in the window; before: what stood there, None where no file was; after:
    the digest of what was written; what: in words.
    """

    name: str
    before: bytes | None
    after: str
    what: str


def digest(data: bytes) -> str:
    """The SHA-256 of a content."""
    return hashlib.sha256(data).hexdigest()


class Shelf:
    """One folder."""

    def __init__(self, folder: Path) -> None:
        """Raises InputError: no such folder."""
        self.folder = place(folder)
        if not self.folder.is_dir():
            from nutrilab.files import missing

            raise InputError(say("folder.a-file") if self.folder.exists() else missing(folder, "folder"), folder)

    def path(self, name: str, ends: tuple[str, ...] = READ) -> Path:
        """The path of a recipe of this folder by its name alone. Raises InputError: any name of something else."""
        path = self.folder / name
        plain = _NAME.fullmatch(name) is not None and not name.startswith(".") and len(name) <= LONGEST
        if not plain or name != path.name or _DEVICES.fullmatch(name) or name.rstrip(". ") != name:
            raise InputError(say("desk.no-name", name=quoted(name)))
        if name.casefold() in KITCHEN or path.suffix.lower() not in ends:
            raise InputError(
                say("desk.no-recipe-name", name=quoted(name), ends=", ".join(WRITTEN[:1] + TEXT_NAMES[:1]))
            )
        self._inside(path)
        return path

    def _inside(self, path: Path) -> None:
        """Refuse a link that leads out of the folder. Raises InputError."""
        if not place(path).is_relative_to(self.folder) and there(path):
            raise InputError(say("desk.leads-out", name=quoted(path.name)))

    def check(self) -> None:
        """Refuse the kitchen's own files where they lead out of the folder. Raises InputError."""
        for name in KITCHEN:
            self._inside(self.folder / name)

    def recipes(self) -> tuple[Path, ...]:
        """The files of recipes, by name; none in an empty folder. Raises InputError: a folder that is not readable."""
        if not os.access(self.folder, os.R_OK):
            return recipes_in(self.folder)
        try:
            return recipes_in(self.folder)
        except InputError:
            return ()

    def read(self, name: str) -> Held:
        """A recipe's file. Raises InputError."""
        path = self.path(name)
        data = content(path, LARGEST_PAGE)
        return Held(name, data, digest(data))

    def save(self, name: str, data: bytes, read: str) -> Step:
        """Write a recipe's file whole.

        read: the digest it was read with, "" of a new file. Raises ChangedError where something else stands there now,
        InputError.
        """
        path = self.path(name, WRITTEN)
        with alone(path, WAIT):
            now = self._now(path)
            if now is not None and now.digest != read:
                raise ChangedError(say("desk.changed" if read else "desk.there-already"), path, now)
            if now is None and read:
                raise InputError(say("desk.gone"), path)
            disk.put(path, data, durable=True)
        before = None if now is None else now.data
        return Step(name, before, digest(data), say("desk.did-save", name=brief(name)))

    def write(self, path: Path, what: str, writer: Callable[[], Written]) -> Step:
        """A step that another writer takes with a file of the kitchen: decisions or packs. Raises what it raises."""
        self._inside(path)
        done = writer()
        return Step(path.relative_to(self.folder).as_posix(), done.before, digest(done.after or b""), what)

    def back(self, step: Step) -> None:
        """Take a step back. Raises InputError: the file was changed since."""
        path = self.folder / step.name
        self._inside(path)
        with alone(path, WAIT):
            now = self._now(path)
            if digest(now.data if now else b"") != step.after:
                raise InputError(say("desk.step-changed"), path)
            if step.before is None:
                disk.discard(path)
            else:
                disk.put(path, step.before, durable=True)

    def _now(self, path: Path) -> Held | None:
        if not there(path):
            return None
        data = content(path, LARGEST_PAGE)
        return Held(path.name, data, digest(data))


def name_for(dish: str, end: str) -> str:
    """A file name that a dish suggests: "Harbour fish pie" -> "harbour-fish-pie.yaml"."""
    stem = re.sub(r"[^\w]+", "-", brief(dish, 60).lower()).strip("-_")
    return f"{stem or 'dish'}{end}"
