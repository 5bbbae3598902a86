"""Files out of a folder, a zip or a tar, read into memory or as a stream and never unpacked to disk.

Everything here comes from outside and may be made to hurt: names that lead out of the archive, heads that lie about
sizes, a few kilobytes that unpack to gigabytes, a million entries, links, XML that brings its own entities. Each ends
as one TableError.
"""

from __future__ import annotations

import gzip
import io
import stat
import struct
import tarfile
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, cast

from data_loaders.schema import TableError
from nutrilab.files import no_file
from nutrilab.messages import say

# What the archive readers raise on damaged or cut content, or on a way of packing they do not know.
_DAMAGE = (OSError, EOFError, zlib.error, zipfile.BadZipFile, tarfile.TarError, NotImplementedError, RecursionError)
LIMIT = 2_000_000_000  # bytes of one unpacked file; the largest table published today is about half of it
ENTRIES = 10_000  # files in one archive; the largest published download has about forty
RATIO = 100  # unpacked : packed; published tables pack about 1:10, a bomb 1:1000
WORKBOOK = 400_000_000  # bytes of a workbook's unpacked parts; the largest published one has about 60 million
_AT_ONCE = 4_000_000  # bytes taken in one read, so that a head that lies about sizes costs no memory
_CHUNK = 1_000_000
_DOCTYPE = tuple("<!DOCTYPE".encode(encoding) for encoding in ("ascii", "utf-16-le", "utf-16-be"))


@dataclass(frozen=True, slots=True)
class _Member:
    """One file of a folder or archive: its name without folders, its size as told [bytes], how to open it."""

    name: str
    size: int
    open: Callable[[], IO[bytes]]


def read_file(path: Path, limit: int = LIMIT) -> bytes:
    """Contents of one file. Raises TableError: not there, not a file, empty, above ``limit`` bytes, not readable."""
    if not path.is_file():
        raise TableError(no_file(path), path)
    try:
        if path.stat().st_size > limit:
            raise TableError(say("load.has-bytes-no-food-table", size=f"{path.stat().st_size:,}"), path)
        data = path.read_bytes()
    except OSError as error:
        raise TableError(say("file.not-readable", problem=error.strerror), path) from error
    if not data:
        raise TableError(say("load.file-empty"), path)
    return data


def read_files(path: Path, names: tuple[str, ...], optional: tuple[str, ...] = ()) -> dict[str, bytes]:
    """Contents of the wanted files by name, wherever they stand inside ``path``.

    Raises TableError: nothing there, not an archive, damaged or hostile, a wanted file missing or twice, over LIMIT.
    """
    wanted = {name.lower(): name for name in (*names, *optional)}
    found: dict[str, bytes] = {}
    with _members(path) as members:
        for member in members:
            if name := wanted.get(member.name.lower()):
                if name in found:
                    raise TableError(say("load.file-stands-twice", file=name), path)
                found[name] = _whole(member, path)
    missing = [name for name in names if name not in found]
    if missing:
        raise TableError(say("load.file-missing", file=missing[0]), path)
    return found


@contextmanager
def opened(path: Path, name: str) -> Iterator[IO[bytes]]:
    """One file inside ``path`` as a stream, for what is too large to hold; raises as `read_files` does.

    Damage that shows while reading raises TableError as well, as long as it happens inside the ``with``.
    """
    with _members(path) as members:
        found = [member for member in members if member.name.lower() == name.lower()]
        if len(found) != 1:
            raise TableError(say("load.file-stands-twice" if found else "load.file-missing", file=name), path)
        with found[0].open() as stream:
            yield stream


def safe_workbook(data: bytes, file: object) -> io.BytesIO:
    """A workbook (.xlsx) as a stream for a workbook reader, once it is known to be harmless.

    Raises TableError: no workbook, encrypted, damaged, above WORKBOOK when unpacked, or a part with a DOCTYPE: a
    workbook never has one, an attack by entities needs one. The search covers the encodings an XML parser of Python
    takes the mark in: those that keep ASCII, and UTF-16.
    """
    if data[:4] == b"\xd0\xcf\x11\xe0":
        raise TableError(say("load.old-xls-workbook-password-save"), file)
    if data[:4] != b"PK\x03\x04":
        raise TableError(say("load.no-workbook-xlsx"), file)
    with _sentences(file), _zip(io.BytesIO(data), file) as archive:
        infos = archive.infolist()
        if sum(info.file_size for info in infos) > min(WORKBOOK, RATIO * len(data) + _CHUNK):
            raise TableError(say("load.would-unpack-far-more-than"), file)
        for info in infos:
            _harmless(info.filename, file)
            with _open_zipped(archive, info, file) as part:
                if _has_doctype(part):
                    raise TableError(say("load.part-holds-doctype-no-workbook", file=info.filename), file)
    return io.BytesIO(data)


def _has_doctype(part: IO[bytes]) -> bool:
    tail = b""
    while chunk := part.read(_CHUNK):
        if any(mark in tail + chunk for mark in _DOCTYPE):
            return True
        tail = chunk[-20:]
    return False


@contextmanager
def _sentences(path: object) -> Iterator[None]:
    """What the readers raise, as one sentence."""
    try:
        yield
    except _DAMAGE as error:
        words = say("load.cut-short") if isinstance(error, EOFError) else " ".join(str(error).split()) or "unreadable"
        raise TableError(say("load.archive-damaged-fetch-again", problem=words), path) from error


@contextmanager
def _members(path: Path) -> Iterator[Iterator[_Member]]:
    """The files inside ``path``, one by one."""
    if not path.exists():
        raise TableError(no_file(path), path)
    with _sentences(path):
        if path.is_dir():
            yield _in_folder(path)
        elif zipfile.is_zipfile(path):
            with path.open("rb") as file, _zip(file, path) as archive:
                yield _in_zip(archive, path)
        else:
            with _tar(path) as tar:
                yield _in_tar(tar, path)


def _whole(member: _Member, path: Path) -> bytes:
    """All of a file; its size as told is checked before and after."""
    if member.size > LIMIT:
        raise TableError(say("load.file-would-unpack-bytes-no", file=member.name, size=f"{member.size:,}"), path)
    with member.open() as stream:
        data = b"".join(iter(lambda: stream.read(_CHUNK), b""))
    if len(data) != member.size:
        raise TableError(say("load.file-not-size-archive-says", file=member.name), path)
    return data


class _Careful:
    """An archive's file that refuses to read much at once, until ``trusted``."""

    def __init__(self, file: IO[bytes], path: object) -> None:
        self._file, self._path, self.trusted = file, path, False

    def read(self, size: int = -1) -> bytes:
        if size > _AT_ONCE and not self.trusted:
            raise TableError(say("load.list-files-far-too-long"), self._path)
        return self._file.read(size)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._file, name)


def _harmless(name: str, path: object) -> str:
    """The name of an entry without its folders. Raises TableError when it leads out of the archive."""
    parts = name.replace("\\", "/").split("/")
    if ".." in parts or parts[0].endswith(":") or (not parts[0] and len(parts) > 1):
        raise TableError(say("load.holds-name-leads-out-fetch", name=name[:60]), path)
    return parts[-1]


class _Count:
    """Counts the entries of one archive and what they unpack to."""

    def __init__(self, path: Path) -> None:
        self.path, self.most = path, RATIO * path.stat().st_size + _CHUNK
        self.entries = self.bytes = 0

    def add(self, size: int) -> None:
        self.entries += 1
        self.bytes += size
        if self.entries > ENTRIES:
            raise TableError(say("load.holds-more-than-files-no", most=f"{ENTRIES:,}"), self.path)
        if self.bytes > self.most:
            raise TableError(say("load.would-unpack-more-than-times", times=RATIO), self.path)


def _zip(file: IO[bytes], path: object) -> zipfile.ZipFile:
    """A zip whose list of files was read with care; its files are as large as that list says, at most."""
    careful = _Careful(file, path)
    with _damaged_places():
        archive = zipfile.ZipFile(cast(IO[bytes], careful))
    careful.trusted = True
    return archive


@contextmanager
def _damaged_places() -> Iterator[None]:
    """Places and lengths in a zip that cannot be, as the damage they are: `zipfile` follows them as they stand."""
    try:
        yield
    except (ValueError, struct.error, OverflowError) as error:
        raise zipfile.BadZipFile(say("load.list-files-leads-nowhere", problem=error)) from error


def _in_folder(path: Path) -> Iterator[_Member]:
    """The files of a folder, or of its one folder where it holds nothing else, as an unpacked download does."""
    inside = sorted(file for file in path.iterdir() if not file.name.startswith((".", "__MACOSX")))
    if len(inside) == 1 and inside[0].is_dir():
        inside = sorted(inside[0].iterdir())
    for file in inside:
        if file.is_file():
            yield _Member(file.name, file.stat().st_size, lambda file=file: file.open("rb"))  # type: ignore[misc]


def _in_zip(archive: zipfile.ZipFile, path: Path) -> Iterator[_Member]:
    count = _Count(path)
    for info in archive.infolist():
        count.add(info.file_size)
        name = _harmless(info.filename, path)
        if not info.is_dir():
            yield _Member(name, info.file_size, lambda info=info: _open_zipped(archive, info, path))  # type: ignore[misc]


def _open_zipped(archive: zipfile.ZipFile, info: zipfile.ZipInfo, path: object) -> IO[bytes]:
    if info.flag_bits & 0x1:
        raise TableError(say("load.file-locked-password-unpack-first", file=info.filename), path)
    if stat.S_ISLNK(info.external_attr >> 16):
        raise TableError(say("load.file-link-another-file-fetch", file=info.filename), path)
    with _damaged_places():
        return archive.open(info)


@contextmanager
def _tar(path: Path) -> Iterator[tarfile.TarFile]:
    """A tar, gzipped or not. Raises TableError when it is neither."""
    with path.open("rb") as raw:
        packed = raw.read(2) == b"\x1f\x8b"
        raw.seek(0)
        stream = cast(IO[bytes], gzip.GzipFile(fileobj=raw)) if packed else raw
        try:
            archive = tarfile.TarFile(fileobj=cast(IO[bytes], _Careful(stream, path)))
        except tarfile.ReadError as error:
            raise TableError(say("load.neither-folder-nor-zip-nor"), path) from error
        with archive:
            yield archive


def _in_tar(archive: tarfile.TarFile, path: Path) -> Iterator[_Member]:
    count = _Count(path)
    for info in archive:
        count.add(info.size)
        name = _harmless(info.name, path)
        if not info.isdir():
            yield _Member(name, info.size, lambda info=info: _open_tarred(archive, info, path))  # type: ignore[misc]


def _open_tarred(archive: tarfile.TarFile, info: tarfile.TarInfo, path: Path) -> IO[bytes]:
    member = archive.extractfile(info) if info.isfile() else None  # a link would open what it points to
    if member is None:
        raise TableError(say("load.file-link-another-file-fetch", file=info.name), path)
    return member
