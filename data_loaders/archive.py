"""Named files out of a folder, a zip or a tar, read into memory and never unpacked to disk."""

from __future__ import annotations

import tarfile
import zipfile
import zlib
from pathlib import Path, PurePosixPath

from data_loaders.schema import TableError

# What the two archive readers raise on damaged, cut, encrypted or unknown content.
_DAMAGE = (OSError, EOFError, zlib.error, zipfile.BadZipFile, tarfile.TarError, NotImplementedError, RuntimeError)
LIMIT = 2_000_000_000  # bytes of one unpacked file; the largest table published today is about half of it


def read_files(path: Path, names: tuple[str, ...], optional: tuple[str, ...] = ()) -> dict[str, bytes]:
    """Contents of the wanted files by name, wherever they stand inside ``path``.

    Raises TableError: nothing there, not an archive, a wanted file missing or twice, over LIMIT.
    """
    if not path.exists():
        raise TableError("there is no such file or folder", path)
    wanted = {name.lower(): name for name in (*names, *optional)}
    try:
        if path.is_dir():
            found = _from_folder(path, wanted)
        elif zipfile.is_zipfile(path):
            found = _from_zip(path, wanted)
        elif tarfile.is_tarfile(path):
            found = _from_tar(path, wanted)
        else:
            raise TableError("this is neither a folder nor a zip nor a tar file", path)
    except _DAMAGE as error:
        raise TableError(f"the archive is damaged ({error}); fetch it again", path) from error
    missing = [name for name in names if name not in found]
    if missing:
        raise TableError(f"the file {missing[0]} is missing in it", path)
    return found


def _take(found: dict[str, bytes], name: str, size: int, path: Path) -> None:
    if name in found:
        raise TableError(f"the file {name} stands in it twice", path)
    if size > LIMIT:
        raise TableError(f"the file {name} would unpack to {size:,} bytes; that is no food table", path)


def _from_folder(path: Path, wanted: dict[str, str]) -> dict[str, bytes]:
    found: dict[str, bytes] = {}
    for file in sorted(path.iterdir()):
        if (name := wanted.get(file.name.lower())) and file.is_file():
            _take(found, name, file.stat().st_size, path)
            found[name] = file.read_bytes()
    return found


def _from_zip(path: Path, wanted: dict[str, str]) -> dict[str, bytes]:
    found: dict[str, bytes] = {}
    with zipfile.ZipFile(path) as archive:
        for info in archive.infolist():
            if name := wanted.get(PurePosixPath(info.filename).name.lower()):
                _take(found, name, info.file_size, path)
                with archive.open(info) as member:  # the size in the head may lie: read no more than it says
                    found[name] = member.read(info.file_size + 1)
                if len(found[name]) != info.file_size:
                    raise TableError(f"the file {name} is not the size the archive says; fetch it again", path)
    return found


def _from_tar(path: Path, wanted: dict[str, str]) -> dict[str, bytes]:
    found: dict[str, bytes] = {}
    with tarfile.open(path) as archive:
        for info in archive:
            if info.isfile() and (name := wanted.get(PurePosixPath(info.name).name.lower())):
                _take(found, name, info.size, path)
                member = archive.extractfile(info)
                found[name] = member.read() if member else b""
    return found
