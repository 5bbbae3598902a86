"""The files of one folder, read and written by name: nothing outside it, nothing half, nothing that another has changed.

A file is handed out with the digest of its content. Who writes it back says that digest: where something else stands
there by now, nothing is written, and both are shown. What stood there before is kept for this session, for one step back.
"""

from __future__ import annotations

import hashlib
import os
import re
import secrets
from collections import OrderedDict
from dataclasses import dataclass
from pathlib import Path

from data_loaders import disk
from nutrilab.decisions import NAME as DECISIONS
from nutrilab.files import content, place, there
from nutrilab.folder import PACKS, TEXT_NAMES, recipes_in
from nutrilab.messages import say
from nutrilab.plain import brief, quoted
from nutrilab.recipe import CAPTION_NAMES, LARGEST_PAGE, PAGE_NAMES, YAML_NAMES
from nutrilab.remarks import InputError
from nutrilab.writing import KITCHEN

READ = (*YAML_NAMES, *TEXT_NAMES, *PAGE_NAMES, *CAPTION_NAMES)  # ends of names of what holds a recipe
WRITTEN = (*YAML_NAMES, *TEXT_NAMES)  # and of what is written back
STEPS = 200  # steps back that are kept
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
    """One step back: the file, what stood in it before (None: no file), the digest of what was written since."""

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
        self._steps: OrderedDict[str, Step] = OrderedDict()

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
        if place(path).parent != self.folder and there(path):
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

    def save(self, name: str, data: bytes, read: str) -> str:
        """Write a recipe's file whole; returns the token of the step back.

        read: the digest it was read with, "" of a new file. Raises ChangedError where something else stands there now,
        InputError.
        """
        path = self.path(name, WRITTEN)
        with self._alone(path):
            now = self._now(path)
            if now is not None and now.digest != read:
                raise ChangedError(say("desk.changed" if read else "desk.there-already"), path, now)
            if now is None and read:
                raise InputError(say("desk.gone"), path)
            _put(path, data)
        return self._remember(
            Step(name, None if now is None else now.data, digest(data), say("desk.did-save", name=name))
        )

    def around(self, name: str, before: bytes | None, what: str) -> str:
        """Remember a step that another wrote into one of the kitchen's files; returns its token.

        before: what stood there.
        """
        after = self.kitchen_file(name)
        return self._remember(Step(name, before, digest(after or b""), what))

    def kitchen_file(self, name: str) -> bytes | None:
        """What stands in one of the kitchen's files; None where there is none. Raises InputError."""
        path = self.folder / name
        self._inside(path)
        return content(path, LARGEST_PAGE) if there(path) else None

    def step(self, token: str) -> Step | None:
        """The step of a token, if it is still known."""
        return self._steps.get(token)

    def back(self, token: str) -> Step:
        """Take one step back. Raises InputError: not known any more, the file was changed since."""
        step = self._steps.get(token)
        if step is None:
            raise InputError(say("desk.no-step"))
        path = self.folder / step.name if step.name in (DECISIONS, PACKS) else self.path(step.name, WRITTEN)
        self._inside(path)
        with self._alone(path):
            now = self._now(path)
            if digest(now.data if now else b"") != step.after:
                raise InputError(say("desk.step-changed"), path)
            if step.before is None:
                disk.discard(path)
            else:
                _put(path, step.before)
        self._steps.pop(token, None)
        return step

    def _remember(self, step: Step) -> str:
        token = secrets.token_urlsafe(9)
        self._steps[token] = step
        while len(self._steps) > STEPS:
            self._steps.popitem(last=False)
        return token

    def _now(self, path: Path) -> Held | None:
        if not there(path):
            return None
        data = content(path, LARGEST_PAGE)
        return Held(path.name, data, digest(data))

    def _alone(self, path: Path) -> _Alone:
        return _Alone(path)


class _Alone:
    """Nobody else writes a file meanwhile; what the disk says becomes a sentence."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._held = disk.locked(path.parent / f".{path.name}.lock", WAIT)

    def __enter__(self) -> None:
        try:
            self._held.__enter__()
        except TimeoutError:
            raise InputError(say("desk.another"), self._path) from None
        except OSError as error:
            raise InputError(say("write.not-possible", problem=error.strerror), self._path) from None

    def __exit__(self, *error: object) -> None:
        self._held.__exit__(*error)  # type: ignore[arg-type]


def _put(path: Path, data: bytes) -> None:
    try:
        disk.put(path, data, durable=True)
    except OSError as error:
        raise InputError(say("write.not-possible", problem=error.strerror), path) from None


def name_for(dish: str, end: str) -> str:
    """A file name that a dish suggests: "Harbour fish pie" -> "harbour-fish-pie.yaml"."""
    stem = re.sub(r"[^\w]+", "-", brief(dish, 60).lower()).strip("-_")
    return f"{stem or 'dish'}{end}"
