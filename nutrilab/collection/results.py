"""The folder of results: whose it is, what stands in it, and how a new one takes its place whole.

A new folder is made beside the old one, in a working folder of this run, and takes its place by two renames. A run that
ended between them, or before, is put right by the next: the results there are the old or the new ones, never both.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from data_loaders import disk
from nutrilab import marks
from nutrilab.messages import listed, say
from nutrilab.remarks import InputError

DISHES, LINES = "dishes.parquet", "lines.parquet"
SHEETS = ("dishes.csv", "problems.csv", "doubtful.csv", "index.html")
STATE = ".collection.json"
FILES = (DISHES, LINES, *SHEETS)
OURS = (*FILES, STATE, marks.RECORD)
_NOBODYS = (".DS_Store", "Thumbs.db", "desktop.ini")  # what systems put into every folder that is looked at
_WORK = ".nutrilab-work"
_MOST_NAMED = 5
_CHUNK = 1 << 20  # bytes


@dataclass(frozen=True, slots=True)
class Place:
    """folder: of the results; the others lie beside it while a run goes on, on the same disk."""

    folder: Path

    @property
    def work(self) -> Path:
        """The folder of a run."""
        return self.folder.with_name(f".{self.folder.name}{_WORK}")

    @property
    def lock(self) -> Path:
        """What one run holds at a time."""
        return self.folder.with_name(f".{self.folder.name}.nutrilab-lock")

    @property
    def parts(self) -> Path:
        """What was finished, for the next run if this one is stopped."""
        return self.work / "parts"

    @property
    def new(self) -> Path:
        """The new results before they take their place."""
        return self.work / "new"

    @property
    def old(self) -> Path:
        """The old results while the new ones take their place."""
        return self.work / "old"


def place_of(folder: Path) -> Place:
    """Where results go. Raises InputError for a file, and for what stands there that is not nutrilab's."""
    real = Path(os.path.realpath(folder))
    if real.exists() and not real.is_dir():
        raise InputError(say("write.file-for-folder"), folder)
    if real.name in ("", ".."):
        raise InputError(say("collection.no-place"), folder)
    return Place(real)


@contextmanager
def claimed(place: Place) -> Iterator[None]:
    """Hold the folder of results for this run, put right what a run before left. Raises InputError, OSError."""
    made = disk.make_folder(place.folder.parent)
    try:
        with disk.locked(place.lock, 0.0):
            _put_right(place)
            _refuse_foreign(place.folder)
            yield
            if place.work.exists() and not any(place.parts.glob("*")):
                shutil.rmtree(place.work, ignore_errors=True)
    except TimeoutError:
        raise InputError(say("collection.another-run"), place.folder) from None
    finally:
        disk.unmake(made)  # those that are still empty


def _put_right(place: Place) -> None:
    """Where a run ended between the two renames, end it; what else it left half made goes."""
    if place.old.exists():
        if not place.folder.exists():
            os.rename(place.new if (place.new / STATE).exists() else place.old, place.folder)
        shutil.rmtree(place.old, ignore_errors=True)
    shutil.rmtree(place.new, ignore_errors=True)


def _refuse_foreign(folder: Path) -> None:
    """Refuse a folder with anything in it that nutrilab did not make, or a sheet that was changed since."""
    if not folder.exists():
        return
    names = sorted(path.name for path in folder.iterdir() if path.name not in _NOBODYS)
    foreign = [name for name in names if name not in OURS or not (folder / name).is_file()]
    if foreign:
        files = listed(foreign, most=_MOST_NAMED)
        raise InputError(say("collection.foreign", files=files), folder)
    known = marks.recorded(folder)
    for name in names:
        if name in SHEETS and digest(folder / name) not in known:
            why = say("write.changed" if name in known.values() else "write.foreign")
            raise InputError(say("collection.not-replaced", problem=why), folder / name)


def digest(path: Path) -> str:
    """SHA-256 of a file, read in pieces. Raises OSError."""
    found = hashlib.sha256()
    with path.open("rb") as file:
        while piece := file.read(_CHUNK):
            found.update(piece)
    return found.hexdigest()


# -- what is known of the last run ------------------------------------------------------------------------------------


def state_of(folder: Path) -> dict[str, Any] | None:
    """What the last run noted, None where there is nothing or where a file of its results is not as it left it."""
    try:
        found = json.loads((folder / STATE).read_bytes())
        sizes = {name: (folder / name).stat().st_size for name in FILES}
    except (OSError, ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) and found.get("sizes") == sizes else None


def finish(place: Place, state: Mapping[str, Any]) -> None:
    """Note what was made, wait until the disk has it, and put it in place. Raises OSError."""
    sizes = {name: (place.new / name).stat().st_size for name in FILES}
    entries = sorted(f"{digest(place.new / name)}  {name}\n" for name in FILES)
    (place.new / marks.RECORD).write_text(marks.HEAD + "".join(entries), encoding="utf-8")
    (place.new / STATE).write_text(json.dumps({**state, "sizes": sizes}), encoding="utf-8")
    for name in OURS:
        _on_disk(place.new / name)
    if place.folder.exists():
        os.chmod(place.new, place.folder.stat().st_mode & 0o7777)
    _swap(place)
    shutil.rmtree(place.work, ignore_errors=True)


def _on_disk(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def _swap(place: Place) -> None:
    """The new results in the place of the old ones. Raises OSError, then with the old ones there."""
    if not place.folder.exists():
        os.rename(place.new, place.folder)
        return
    os.rename(place.folder, place.old)
    try:
        os.rename(place.new, place.folder)
    except BaseException:
        if not place.folder.exists():
            os.rename(place.old, place.folder)
        raise


def clear(place: Place, all_: bool = False) -> None:
    """Take away what a run that failed made; all_: what it finished too, as on a disk that is full."""
    for path in (place.new, place.parts) if all_ else (place.new,):
        shutil.rmtree(path, ignore_errors=True)
    for path in (place.parts, place.work):
        with suppress(OSError):
            path.rmdir()
