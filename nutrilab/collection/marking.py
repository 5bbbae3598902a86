"""What a row depends on besides its recipe, as digests: cheap to make, so that an unchanged collection costs little."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

import data_loaders
import nutrilab
from nutrilab import settings, store
from nutrilab.collection.values import Marks, sha256
from nutrilab.decisions import NAME as DECISIONS
from nutrilab.folder import PACKS
from nutrilab.remarks import InputError

_LEFT_OUT = ("__pycache__",)
_LARGEST = 10_000_000  # bytes of a kitchen's file; what reads it refuses it long before


@cache
def program() -> str:
    """SHA-256 of every list and module of the package: an edited row counts at once."""
    found = hashlib.sha256(nutrilab.__version__.encode())
    for package in (nutrilab, data_loaders):
        folder = Path(package.__path__[0])
        for path in sorted(folder.rglob("*")):
            if path.is_file() and not set(path.parts) & set(_LEFT_OUT) and path.suffix != ".parquet":
                found.update(path.relative_to(folder).as_posix().encode())
                found.update(path.read_bytes())
    return found.hexdigest()


@cache
def table(path: Path) -> str:
    """SHA-256 of a food table; the names of its other files hold their own."""
    return sha256(path.read_bytes())


def tables_of(folder: Path, asked: str | None) -> str:
    """The food tables of a kitchen, the one that may lend, and imported packs: name and SHA-256 each, in order.

    "" for settings that cannot be used: whoever opens the kitchen says why.
    """
    imported = store.tables_folder()
    known, own = store.available(imported), imported / store.OWN
    named = [f"{name}={table(known[name])[:16] if name in known else ''}" for name in names_of(folder, asked)]
    named += [f"{store.OWN}={table(own)[:16]}"] if own.exists() else []
    return ", ".join(named)


def names_of(folder: Path, asked: str | None) -> tuple[str, ...]:
    """The food tables of a kitchen in their order, the one that may lend last; none of settings that cannot be used."""
    try:
        found = settings.read_settings((folder, store.tables_folder()))
    except InputError:
        return ()
    names = found.tables if asked is None else settings.in_order(asked.split(","))
    return (*names, *((found.borrow,) if found.borrow else ()))


class Marking:
    """The marks of the recipes of a folder, each kitchen looked at once."""

    def __init__(self, tables: str | None) -> None:
        self._asked = tables
        self._of: dict[tuple[Path, Path], Marks] = {}
        self._tables: dict[Path, str] = {}

    def of(self, kitchen: Path, folder: Path) -> Marks:
        """The marks of what lies in a folder and is cooked in a kitchen."""
        place = (kitchen, folder)
        if place not in self._of:
            if kitchen not in self._tables:
                self._tables[kitchen] = tables_of(kitchen, self._asked)
            packs = dict.fromkeys((kitchen / PACKS, folder / PACKS))
            self._of[place] = Marks(
                f"{nutrilab.__version__} {program()[:16]}",
                self._tables[kitchen],
                _digest(kitchen / DECISIONS),
                " ".join(filter(None, map(_digest, packs))),
                _digest(kitchen / settings.NAME) or _digest(store.tables_folder() / settings.NAME),
            )
        return self._of[place]


def _digest(path: Path) -> str:
    """SHA-256 of a file of a kitchen, "" where there is none."""
    try:
        with path.open("rb") as file:
            return sha256(file.read(_LARGEST))[:16]
    except OSError:
        return ""
