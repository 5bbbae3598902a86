"""Fetching a published table: from the publisher's address, checked in full before it replaces anything.

A file is taken in when its SHA-256 is the one pinned in publishers.csv, or the one the cook gives, or when the files
inside it are pinned and match. A file nothing is known of stays aside, and its SHA-256 is told: whoever has compared
it with the publisher's own word gives it back, and the same file is used without fetching it again.
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Sequence
from importlib import import_module
from pathlib import Path
from typing import Any, NoReturn

from data_loaders import registry, schema
from data_loaders.archive import LIMIT, read_file
from data_loaders.checking import check_foods
from data_loaders.leaving_out import leave_out
from data_loaders.publishers import Published, download, pins, standing
from data_loaders.schema import TableData, TableError
from nutrilab.messages import say

Tell = Callable[[int, int], None]  # bytes fetched, bytes there are (0 when not known)

CACHE = "fetched"  # folder beside the tables
WAITS = (1.0, 4.0)  # [s] before a second and a third try, where the line broke
_TIMEOUT = 30.0  # [s] without a byte
_CHUNK = 65536
_OLD = 86_400.0  # [s]; a half-fetched file of another run is left alone for a day
_SHA256 = re.compile(r"[0-9a-f]{64}")


def fetch(
    name: str,
    folder: Path,
    file: str | None = None,
    sha256: str | None = None,
    tell: Tell | None = None,
    waits: Sequence[float] = WAITS,
) -> tuple[TableData, Path]:
    """Fetch a table into the tables folder, whole or not at all; what is there stays in use until the last rename.

    file: which download of it, the first when None; sha256: what the cook found to be the file's checksum; tell: is
    called while fetching; waits [s]: pauses before further tries. Returns the table and its foods file.
    Raises TableError: no address, offline, not found, broken off, not the pinned file, nothing to check it by, not to
    be read, figures that cannot be.
    """
    if sha256 is not None and not _SHA256.fullmatch(sha256.lower()):
        raise TableError(say("load.sha-256-has-64-digits"), sha256[:80])
    row = download(name, file)
    wanted = sha256.lower() if sha256 else row.sha256
    path = _download(row, folder / CACHE, wanted, tell, waits)
    inside = not wanted and pins(name)
    if not wanted and not inside:
        _refuse_unchecked(row, path)
    table = registry.load(name, path)
    if inside and standing(name, table.provenance.inputs) != "pinned":
        _refuse_unchecked(row, path)
    if unsound := check_foods(table.foods).unsound:
        raise TableError(say("load.nothing-was-changed", problem=unsound), path)
    table = leave_out(table, path)
    return table, schema.write(table, folder, name)


def _refuse_unchecked(row: Published, path: Path) -> NoReturn:
    got = schema.sha256(read_file(path))
    what = f"nutrilab tables fetch {row.name} --file {row.file} --sha256 {got}"
    message = say("load.no-checksum-pinned-file-could", what=what)
    raise TableError(message, path)


def _download(row: Published, cache: Path, sha256: str, tell: Tell | None, waits: Sequence[float]) -> Path:
    """The file in the cache, fetched unless it is there and is the one wanted."""
    try:
        pooch: Any = import_module("pooch")
    except ImportError as error:
        raise TableError(say("load.fetching-needs-pooch-folder-nutrilab"), row.name) from error
    pooch.get_logger().setLevel("ERROR")
    try:
        _sweep(cache)
        for pause in (*waits, None):
            watch = _Watch(tell, 3 * row.bytes if row.bytes else LIMIT)
            get = pooch.HTTPDownloader(progressbar=watch, chunk_size=_CHUNK, timeout=_TIMEOUT)
            known = f"sha256:{sha256}" if sha256 else None
            try:
                return Path(pooch.retrieve(row.url, known_hash=known, fname=row.file, path=cache, downloader=get))
            except OSError as error:
                if pause is None or not _broken_off(error):
                    raise
                time.sleep(pause)
    except ValueError as error:
        got = re.search(r"got ([0-9a-f]{64})", str(error).replace('"', ""))
        raise TableError(_not_the_pinned(got[1] if got else "", row), row.url) from error
    except OSError as error:
        raise TableError(_why(error), row.url) from error
    raise AssertionError  # the last pause is None


def _not_the_pinned(got: str, row: Published) -> str:
    if not got:
        return say("load.what-came-not-file-expected")
    return say("load.another-release", name=row.name, file=row.file, got=got)


def _broken_off(error: OSError) -> bool:
    """Whether it is worth another try: the line broke or the server had a fault."""
    exceptions: Any = import_module("requests.exceptions")
    if isinstance(error, exceptions.HTTPError):
        return _status(error) >= 500
    return isinstance(error, (exceptions.ChunkedEncodingError, exceptions.ReadTimeout))


def _status(error: Any) -> int:
    return 0 if error.response is None else int(error.response.status_code)


def _why(error: OSError) -> str:
    exceptions: Any = import_module("requests.exceptions")
    by_hand = say("load.fetch-browser-use-nutrilab-tables")
    if isinstance(error, exceptions.HTTPError):
        return say("load.publisher-s-server-answers-file", problem=_status(error), how=by_hand)
    if isinstance(error, (exceptions.ChunkedEncodingError, exceptions.ReadTimeout)):
        return say("load.line-broke-off-again-again")
    if isinstance(error, exceptions.SSLError):
        return say("load.publisher-s-server-cannot-prove", how=by_hand)
    if isinstance(error, exceptions.RequestException):
        return say("load.publisher-s-server-cannot-reached", how=by_hand)
    return say("load.cannot-kept-here", problem=error.strerror or error)


class _Watch:
    """What pooch takes for a progress bar: tells how far it is, and stops a file that never ends."""

    def __init__(self, tell: Tell | None, most: int) -> None:
        self.total = self._done = 0
        self._tell, self._most = tell, most

    def update(self, count: int) -> None:
        self._done += count
        if self._done > self._most + _CHUNK:
            raise ConnectionAbortedError(None, say("load.far-larger-than-table-was"))
        if self._tell:
            self._tell(min(self._done, self.total or self._done), self.total)

    def reset(self) -> None:
        self._done = 0

    def close(self) -> None:
        """Nothing to close."""


def _sweep(cache: Path) -> None:
    """Take away what a killed run left half fetched."""
    for left in cache.glob("tmp*"):
        if left.is_file() and time.time() - left.stat().st_mtime > _OLD:
            left.unlink(missing_ok=True)
