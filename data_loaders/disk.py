"""Files written whole or not at all, one writer at a time, and read while another writes.

A file is written beside its place and then renamed over it. Who writes several files that belong together holds a lock
meanwhile: one of the operating system, which ends with the process that holds it, so that a killed one blocks nobody.
"""

from __future__ import annotations

import glob
import os
import secrets
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TypeVar

from nutrilab.messages import say

WAITING = ".nutrilab-part"  # how names of files end that are not yet in their places
_NAMED = 40  # characters of the target's name in it; a disk allows 255 bytes, and a letter may take four
OLD = 3_600.0  # [s]; what waits longer was left by a killed process
WAIT = 60.0  # [s] for a lock; writing a large table takes a few
_PAUSE = 0.02  # [s]
_TRIES = 8  # of reading what is replaced again and again
Value = TypeVar("Value")


def beside(target: Path) -> Path:
    """A name that nobody uses, in the folder of the target: a rename then never crosses disks."""
    return target.with_name(f".{target.name[:_NAMED]}.{secrets.token_hex(6)}{WAITING}")


def put(target: Path, data: bytes, durable: bool = False) -> None:
    """Write beside the target, then rename over it, with the rights of the file that was there. Raises OSError.

    durable: wait until the disk has it, so that the new name never stands for an empty file after a power cut.
    """
    temporary = beside(target)
    try:
        stage(temporary, data, target, durable)
        os.replace(temporary, target)
    finally:
        discard(temporary)


def stage(temporary: Path, data: bytes, target: Path, durable: bool = False) -> None:
    """Write what is to become the target, not yet in its place. Raises OSError."""
    temporary.write_bytes(data)
    if durable:
        with temporary.open("rb+") as file:
            os.fsync(file.fileno())
    with suppress(OSError):  # there is none yet, or a disk without rights
        os.chmod(temporary, os.stat(target).st_mode & 0o777)


def discard(path: Path) -> None:
    """Take a file away if it is there and can be; where nothing can be written, nothing can be taken away either."""
    with suppress(OSError):
        os.unlink(path)


def sweep(folder: Path, name: str = "", age: float = OLD) -> None:
    """Take away what killed processes left beside the files of a name, those older than an age [s]."""
    for left in folder.glob(f".{glob.escape(name[:_NAMED])}*{WAITING}"):
        with suppress(OSError):
            if time.time() - left.stat().st_mtime >= age:
                left.unlink()


def make_folder(folder: Path) -> tuple[Path, ...]:
    """Make a folder and those above it; returns the ones that were not there, the innermost first. Raises OSError."""
    missing = []
    for place in (folder, *folder.parents):
        if place.exists():
            break
        missing.append(place)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        unmake(missing)
        raise
    return tuple(missing)


def unmake(folders: list[Path] | tuple[Path, ...]) -> None:
    """Take folders away that were made for nothing; one that holds something stays."""
    for folder in folders:
        with suppress(OSError):
            folder.rmdir()


@contextmanager
def locked(path: Path, wait: float | None = None) -> Iterator[None]:
    """Hold the lock of this name; nobody else does meanwhile, in this process or another.

    path: a file made for it, taken away at the end; wait [s], `WAIT` when None. Raises TimeoutError when another holds
    it for longer, OSError where the file cannot be made or the disk knows no locks.
    """
    held = _acquired(path, WAIT if wait is None else wait)
    try:
        yield
    finally:
        discard(path)  # while it is still held: who waits for this very file sees that it is gone, and makes another
        os.close(held)


def _acquired(path: Path, wait: float) -> int:
    """The open lock file, once it is ours and still the one that stands there."""
    end = time.monotonic() + wait
    while True:
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
        try:
            if _take(handle) and _stands(handle, path):
                return handle
        except BaseException:
            os.close(handle)
            raise
        os.close(handle)
        if time.monotonic() > end:
            raise TimeoutError(None, say("load.another-nutrilab-writing-here"), str(path))
        time.sleep(_PAUSE)


def _stands(handle: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(handle), os.stat(path))
    except FileNotFoundError:
        return False


if sys.platform == "win32":
    import msvcrt

    def _take(handle: int) -> bool:
        """Whether the lock is ours now; the system takes it back when the process ends."""
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except PermissionError:
            return False
        return True

else:
    import fcntl

    def _take(handle: int) -> bool:
        """Whether the lock is ours now; the system takes it back when the process ends."""
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True


def steady(path: Path, read: Callable[[], Value], sound: Callable[[Value], bool] = lambda _: True) -> Value:
    """What is read of a file and of those it names, from the beginning again when the file was replaced meanwhile.

    Raises what reading raises, and returns what is not sound, when that is no matter of time.
    """
    for _ in range(_TRIES - 1):
        before = _stamp(path)
        try:
            found = read()
        except Exception:
            if _stamp(path) == before:
                raise
            continue
        if sound(found) or _stamp(path) == before:
            return found
    return read()


def _stamp(path: Path) -> tuple[int, int, int] | None:
    """What differs when another file stands at a path."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_ino, found.st_mtime_ns, found.st_size
