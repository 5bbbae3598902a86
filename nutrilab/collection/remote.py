"""Sources and results that lie elsewhere, by address: fetched beside this run, and put back when all is made.

An object store cannot swap a folder: the note of the last run goes first and comes last, so that results without it
are known to be half old and half new, and are never built upon.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path, PurePosixPath
from typing import Any

from nutrilab.collection.results import FILES, OURS, STATE
from nutrilab.collection.sources import MANY
from nutrilab.messages import listed, say
from nutrilab.plain import brief
from nutrilab.recipe import LARGEST_PAGE
from nutrilab.remarks import InputError

_ADDRESS = re.compile(r"([a-z][a-z0-9+.-]+)(?:://|::)", re.IGNORECASE)
_LARGEST_MANY = 20_000_000_000  # bytes of a JSONL file


def is_address(text: str) -> bool:
    """Whether a text is an address and no path; "C:\\" is a path."""
    return _ADDRESS.match(text) is not None


def local(text: str) -> Path | None:
    """The path of a file: address, None for any other."""
    if text.lower().startswith("file://"):
        from urllib.parse import unquote, urlparse

        return Path(unquote(urlparse(text).path))
    return None


def opened(address: str) -> tuple[Any, str]:
    """The file system of an address and the path in it. Raises InputError."""
    try:
        from fsspec.core import url_to_fs
    except ImportError:
        raise InputError(say("collection.no-fsspec"), address) from None
    try:
        fs, path = url_to_fs(address)
    except (ImportError, ValueError) as error:
        raise InputError(say("collection.no-such-system", problem=brief(error)), address) from None
    return fs, str(path).rstrip("/")


def fetched(address: str, into: Path) -> Path:
    """Fetch a folder or a file into a folder; returns where it lies. Raises InputError.

    Only what may be a recipe's or a kitchen's is fetched, nothing that is larger than one may be.
    """
    fs, path = opened(address)
    into.mkdir(parents=True, exist_ok=True)
    try:
        if fs.isfile(path):
            target = into / PurePosixPath(path).name
            fs.get_file(path, str(target))
            return target
        listed_ = fs.find(path, detail=True)
    except Exception as error:  # each file system has errors of its own
        raise InputError(say("file.not-readable", problem=brief(error)), address) from None
    if not listed_:
        raise InputError(say("collection.nothing-at-address"), address)
    for name, told in sorted(listed_.items()):
        inside = PurePosixPath(str(name)).relative_to(path)
        size = int(told.get("size") or 0)
        most = _LARGEST_MANY if inside.suffix.lower() in MANY else LARGEST_PAGE
        if ".." in inside.parts or any(part.startswith(".") for part in inside.parts) or size > most:
            continue
        target = into.joinpath(*inside.parts)
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            fs.get_file(name, str(target))
        except Exception as error:
            raise InputError(say("file.not-readable", problem=brief(error)), f"{address}/{inside}") from None
    return into


def results_from(address: str, folder: Path) -> None:
    """Fetch the last results from an address into a folder, none where none are whole. Raises InputError."""
    fs, path = opened(address)
    try:
        names = [PurePosixPath(str(name)).name for name in fs.ls(path, detail=False)] if fs.exists(path) else []
        foreign = sorted(set(names) - set(OURS))
        if foreign:
            raise InputError(say("collection.foreign", files=listed(foreign, most=5)), address)
        if STATE not in names:
            return
        folder.mkdir(parents=True)
        for name in OURS:
            fs.get_file(f"{path}/{name}", str(folder / name))
    except InputError:
        raise
    except Exception as error:
        shutil.rmtree(folder, ignore_errors=True)
        raise InputError(say("file.not-readable", problem=brief(error)), address) from None


def results_to(address: str, folder: Path) -> None:
    """Put results to an address, the note of the run last. Raises InputError."""
    fs, path = opened(address)
    try:
        fs.makedirs(path, exist_ok=True)
        if fs.exists(f"{path}/{STATE}"):
            fs.rm_file(f"{path}/{STATE}")
        for name in (*FILES, *(one for one in OURS if one not in (*FILES, STATE)), STATE):
            fs.put_file(str(folder / name), f"{path}/{name}")
    except Exception as error:
        raise InputError(say("write.not-possible", problem=brief(error)), address) from None
