"""What nutrilab may write where, decided by one function for every writer, and writing it whole or not at all.

Nothing is written over that was read in this run, over the kitchen's own files, or over any file that nutrilab did not
make itself and finds unchanged (marks.py). All files of a result are looked at before the first is written.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from data_loaders import disk
from nutrilab import marks
from nutrilab.messages import listed, say
from nutrilab.remarks import InputError

KITCHEN = ("decisions.yaml", "products.yaml", "kitchen.yaml")  # what lies beside recipes
MOST_NAMED = 5  # files named in one sentence
_WHY = {"foreign": "write.foreign", "changed": "write.changed"}  # what stands there -> how a refusal says so


@dataclass(frozen=True, slots=True)
class Written:
    """What stood in a file and what stands there now; None where there is none."""

    before: bytes | None
    after: bytes | None


@contextmanager
def alone(path: Path, wait: float | None = None) -> Iterator[None]:
    """Nobody else writes a file meanwhile. Raises InputError: another does longer than `wait` [s], the disk says no."""
    try:
        with disk.locked(path.parent / f".{path.name}.lock", wait):
            yield
    except TimeoutError:
        raise InputError(say("write.another"), path) from None
    except OSError as error:
        raise InputError(say("write.not-possible", problem=error.strerror), path) from None


def write(files: Mapping[Path, str | bytes], read: Mapping[Path, str], folder: Path | None = None) -> None:
    """Write files, all or none. Raises InputError when one of them may not be written or cannot.

    read: what this run has read -> what it is ("one of the recipes"); folder: made first, if it is not there.
    """
    marked = {p: marks.sealed(data.encode() if isinstance(data, str) else data) for p, data in files.items()}
    refuse(marked, read, folder)
    contents = {Path(os.path.realpath(path)): data for path, data in marked.items()}
    place = next(iter(files), Path())
    made: tuple[Path, ...] = ()
    try:
        if folder is not None:
            place = folder
            made = disk.make_folder(folder)
        _put(contents)
    except TimeoutError:
        raise InputError(say("write.another"), place) from None
    except OSError as error:
        named = next((path for path in files if _is_part_of(error, path)), place)
        raise InputError(say("write.not-possible", problem=error.strerror), named) from None
    finally:
        disk.unmake(made)  # those that are still empty


def _is_part_of(error: OSError, path: Path) -> bool:
    """Whether the disk speaks of this file or the one beside it that was to become it."""
    return isinstance(error.filename, (str, Path)) and f".{path.name}." in f".{Path(error.filename).name}."


def _put(contents: Mapping[Path, bytes]) -> None:
    """All files beside their places first, the lists of what has no mark inside, then all renames. Raises OSError."""
    unmarked: dict[Path, dict[str, bytes]] = {}
    for path, data in contents.items():
        if not marks.carried(data):
            unmarked.setdefault(path.parent, {})[path.name] = data
    waiting = {path: disk.beside(path) for path in contents}
    with ExitStack() as held:
        for temporary in waiting.values():
            held.callback(disk.discard, temporary)
        for folder in unmarked:
            held.enter_context(disk.locked(folder / f"{marks.RECORD}.lock"))
        for place in {path.parent for path in contents}:
            disk.sweep(place)
        for path, data in contents.items():
            disk.stage(waiting[path], data, path)
        for folder, more in unmarked.items():
            disk.put(folder / marks.RECORD, marks.with_more(folder, more))
        for path, temporary in waiting.items():
            os.replace(temporary, path)


def refuse(files: Mapping[Path, bytes], read: Mapping[Path, str], folder: Path | None = None) -> None:
    """Refuse files of which one may not be written, in one sentence that names all of these. Raises InputError."""
    if folder is not None and folder.exists() and not folder.is_dir():
        raise InputError(say("write.file-for-folder"), folder)
    why = {path: reason for path, data in files.items() if (reason := refusal(path, read, data))}
    places: dict[str, Path] = {}
    for path in files:
        if places.setdefault(os.path.realpath(path), path) != path:
            why[path] = say("write.two-in-one")
    if not why:
        return
    first, *others = why
    if others:
        also = listed([path.name for path in others], most=MOST_NAMED)
        why[first] = say("write.nor-these", problem=why[first], files=also)
    raise InputError(say("write.say-file" if folder is None else "write.say-folder", problem=why[first]), first)


def refusal(path: Path, read: Mapping[Path, str], data: bytes = b"") -> str | None:
    """Why content may not be written at a path, as the beginning of a sentence; None when it may."""
    try:
        real = Path(os.path.realpath(path))
        what = next((what for one, what in read.items() if _same(one, real)), None)
        if what is not None:
            return say("write.is-read", what=what)
        if {path.name.casefold(), real.name.casefold()} & {*KITCHEN, marks.RECORD}:
            return say("write.kitchen-file")
        if data and not marks.carried(data) and not marks.is_free(real.parent):
            return say("write.no-note", file=marks.RECORD)
        if not os.path.lexists(real):
            return None
        kind = os.stat(real).st_mode
        if not stat.S_ISREG(kind):
            return say("write.a-folder" if stat.S_ISDIR(kind) else "write.no-plain-file")
        state = marks.state(real)
        return say(_WHY[state]) if state in _WHY else None
    except (OSError, ValueError) as error:
        return say("write.not-looked-at", problem=getattr(error, "strerror", None) or error)


def _same(one: Path, real: Path) -> bool:
    """Whether two paths lead to one file, by whatever names."""
    try:
        return os.path.realpath(one) == str(real) or os.path.samefile(one, real)
    except (OSError, ValueError):  # one of them is not there
        return False
