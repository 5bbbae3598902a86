"""What is worked out of the word lists, kept ready for the next start.

Reading the lists and putting them in order takes a third of the time of a short command. What comes out is plain values
(no code), and is kept in the reader's own folder of caches with the sizes and times of every list and module of the
package it came from, and a checksum. If one of them differs it is worked out again, so an edited row counts at once.
Where nothing can be kept (a folder that cannot be written), the lists are read each time and nothing is lost.
"""

from __future__ import annotations

import hashlib
import marshal
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

from nutrilab import datafiles

_CHECKSUM = 32  # bytes of a SHA-256
_SUFFIXES = (".csv", ".txt", ".py")


def ready(name: str, work_out: Callable[[], tuple[Any, ...]]) -> tuple[Any, ...]:
    """What ``work_out`` makes of the lists of the package: tuples, lists, dicts and sets of texts and numbers only."""
    stamp = _stamp(datafiles.FOLDER, Path(__file__).parents[1])
    folder = caches()
    if folder is None:
        return work_out()
    path = folder / f"{name}.words"
    with suppress(OSError, ValueError, EOFError, TypeError):
        kept = path.read_bytes()
        check, data = kept[:_CHECKSUM], kept[_CHECKSUM:]
        if check == _checksum(stamp, data):
            return tuple(marshal.loads(data))
    found = work_out()
    _keep(path, stamp, marshal.dumps(found))
    return found


def caches() -> Path | None:
    """Where programs keep what can be made again, as this system has it; None where nobody is at home.

    The environment variable is for tests and shared machines.
    """
    given = os.environ.get("NUTRILAB_CACHE") or os.environ.get("XDG_CACHE_HOME")
    if given:
        return Path(given) / "nutrilab"
    try:
        home = Path.home()
    except RuntimeError:
        return None
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or home) / "nutrilab" / "cache"
    return home / ("Library/Caches" if sys.platform == "darwin" else ".cache") / "nutrilab"


def _keep(path: Path, stamp: bytes, data: bytes) -> None:
    beside = path.with_name(f"{path.name}.{os.getpid()}")
    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            beside.write_bytes(_checksum(stamp, data) + data)
            beside.replace(path)
        finally:
            beside.unlink(missing_ok=True)


def _checksum(stamp: bytes, data: bytes) -> bytes:
    return hashlib.sha256(stamp + data).digest()


@cache
def _stamp(*folders: Path) -> bytes:
    """Tells one state of the lists and modules from every other, and one Python from another."""
    parts = (f"{path}|{size}|{time}" for folder in folders for path, size, time in sorted(_files(folder)))
    return hashlib.sha256("\n".join((sys.version, str(marshal.version), *parts)).encode()).digest()


def _files(folder: Path | str) -> Iterator[tuple[str, int, int]]:
    with os.scandir(folder) as found:
        for entry in found:
            if entry.is_dir():
                yield from _files(entry.path)
            elif entry.name.endswith(_SUFFIXES):
                state = entry.stat()
                yield entry.path, state.st_size, state.st_mtime_ns
