"""The food tables of this kitchen: the embedded one, and those imported into a folder."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from data_loaders.schema import TableError
from nutrilab.datafiles import FOLDER
from nutrilab.foods import EMBEDDED, FoodTable, open_table
from nutrilab.messages import say
from nutrilab.plain import brief

SUFFIX = ".foods.parquet"
OWN = f"own-products{SUFFIX}"  # packs that were imported


def tables_folder() -> Path:
    """Where imported food tables live; the environment variable is for tests and shared machines."""
    given = os.environ.get("NUTRILAB_TABLES")
    return Path(given) if given else _settings_folder() / "nutrilab"


def _settings_folder() -> Path:
    """Where programs keep what is a person's own, as this system has it."""
    if sys.platform == "win32":
        return Path(os.environ.get("APPDATA") or Path.home())
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support"
    return Path(os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config")


def available(folder: Path | None) -> dict[str, Path]:
    """Name -> foods file; an imported table stands before the embedded one of the same name."""
    found = {path.name.removesuffix(SUFFIX): path for path in sorted(FOLDER.glob(f"*{SUFFIX}"))}
    if folder is not None and folder.is_dir():
        found |= {path.name.removesuffix(SUFFIX): path for path in sorted(folder.glob(f"*{SUFFIX}"))}
    return found


def tables(folder: Path | None, names: tuple[str, ...] = (EMBEDDED,)) -> list[FoodTable]:
    """Open tables in order of preference. Raises TableError for a name that is not there."""
    there = available(folder)
    for name in names:
        if name not in there:
            raise TableError(say("tables.not-there", names=", ".join(there)), brief(name))
    return [open_table(there[name]) for name in names]
