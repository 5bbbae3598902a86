"""The loaders by their word on the command line, imported when asked for."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from typing import Protocol, cast

from data_loaders.schema import TableData, TableError

LOADERS = {"usda-sr": "data_loaders.usda_sr"}


class Loader(Protocol):
    """What a loader module offers."""

    NAME: str

    def load(self, path: Path) -> TableData: ...


def loader(name: str) -> Loader:
    """The loader of a kind of table. Raises TableError for an unknown one."""
    if name not in LOADERS:
        raise TableError(f"no such kind of food table is known; there are: {', '.join(LOADERS)}", name)
    return cast(Loader, import_module(LOADERS[name]))
