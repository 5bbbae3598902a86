"""How nutrilab knows its own files again: a mark it puts into them, or beside them where none may stand inside.

A mark holds the SHA-256 of the file's content, so a file that somebody changed since is no longer taken for nutrilab's
own: it holds a cook's work. Pages (HTML, SVG) and PDF carry ``nutrilab VERSION, seal DIGEST`` where such a format
names the program that made it. JSON records carry it under ``made_by``, each of its own content, whatever the spaces
and line ends. In CSV, plain text, captions and JSON-LD every word counts: they are handed on as they are. Of those a
small list beside them, `RECORD`, keeps name and SHA-256.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

from nutrilab import __version__

State = Literal["own", "changed", "foreign"]

PROGRAM = f"nutrilab {__version__}"
_BLANK = "0" * 32
MARK = f"{PROGRAM}, seal {_BLANK}"  # what a page holds until it is sealed
MADE_BY = "made_by"
RECORD = ".made-by-nutrilab"
LARGEST = 100_000_000  # bytes; nothing nutrilab writes for a cook is as large
HEAD = "# What nutrilab wrote into this folder, with its SHA-256: it writes over a file only while it is as written.\n"

_SEAL = re.compile(rb"nutrilab [\w.+-]{1,40}, seal ([0-9a-f]{32})")
_ENTRY = re.compile(r"([0-9a-f]{64})  (.+)")


def sealed(data: bytes) -> bytes:
    """A page with its seal in its place; what has no place for one stays as it is."""
    blank = MARK.encode()
    return data.replace(blank, f"{PROGRAM}, seal {_digest(data)}".encode()) if blank in data else data


def carried(data: bytes) -> bool:
    """Whether content carries its own mark inside."""
    return _is_sealed(data) or _is_signed(data)


def own(data: bytes, known: Mapping[str, str]) -> bool:
    """Whether nutrilab wrote some content. known: as `recorded`, of the folder it lies in."""
    return hashlib.sha256(data).hexdigest() in known or carried(data)


def signed(record: Mapping[str, Any]) -> dict[str, Any]:
    """A JSON record with the mark of its content."""
    return {**record, MADE_BY: f"{PROGRAM}, seal {_digest(_canonical(record))}"}


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:32]


def _canonical(record: Mapping[str, Any]) -> bytes:
    return json.dumps(record, sort_keys=True, separators=(",", ":")).encode()


def state(path: Path) -> State:
    """Whether a file is nutrilab's own, its own but changed since, or another's. Raises OSError."""
    if path.stat().st_size > LARGEST:
        return "foreign"
    data = path.read_bytes()
    known = recorded(path.parent)
    if own(data, known):
        return "own"
    return "changed" if _name(path.name) in known.values() or _SEAL.search(data) else "foreign"


def _is_sealed(data: bytes) -> bool:
    """Whether one of the seals in a page is that of the page with this seal blank."""
    blank = _BLANK.encode()
    found = set(_SEAL.findall(data))
    return len(found) < 10 and any(
        _digest(data.replace(b", seal " + seal, b", seal " + blank)).encode() == seal for seal in found
    )


def _is_signed(data: bytes) -> bool:
    """Whether these are JSON records, each with the mark of its own content."""
    try:
        found = json.loads(data)
    except (ValueError, RecursionError):
        return False
    records = found if isinstance(found, list) else [found]
    return bool(records) and all(isinstance(record, dict) and _bears_its_mark(record) for record in records)


def _bears_its_mark(record: dict[str, Any]) -> bool:
    mark = str(record.get(MADE_BY, ""))
    rest = {key: value for key, value in record.items() if key != MADE_BY}
    return bool(_SEAL.fullmatch(mark.encode())) and mark.endswith(_digest(_canonical(rest)))


# -- the list beside the files ---------------------------------------------------------------------


def recorded(folder: Path) -> dict[str, str]:
    """SHA-256 -> name of what nutrilab wrote into a folder without a mark inside. Raises OSError."""
    text = _text(folder)
    found = map(_ENTRY.fullmatch, text.splitlines()) if text and text.startswith(HEAD[:30]) else ()
    return {entry[1]: entry[2] for entry in found if entry}


def is_free(folder: Path) -> bool:
    """Whether the list can stand in a folder: it is there already, or nothing of its name is. Raises OSError."""
    text = _text(folder)
    return text is None or text.startswith(HEAD[:30])


def _text(folder: Path) -> str | None:
    try:
        return (folder / RECORD).read_bytes()[:LARGEST].decode("utf-8", "replace")
    except FileNotFoundError:
        return None


def with_more(folder: Path, more: Mapping[str, bytes]) -> bytes:
    """The list of a folder as it is to be written before some more files are, by name and content. Raises OSError.

    What stands there under these names is kept in it: should writing end half way, either file is known.
    """
    added = {hashlib.sha256(data).hexdigest(): _name(name) for name, data in more.items()}
    there = {hashlib.sha256(path.read_bytes()).hexdigest() for name in more if (path := folder / name).is_file()}
    kept = {digest: name for digest, name in recorded(folder).items() if name not in added.values() or digest in there}
    entries = sorted((kept | added).items(), key=lambda entry: entry[::-1])
    return (HEAD + "".join(f"{digest}  {name}\n" for digest, name in entries)).encode()


def _name(name: str) -> str:
    """A file's name on one line of the list."""
    return " ".join(name.encode("utf-8", "backslashreplace").decode().splitlines()) or " "
