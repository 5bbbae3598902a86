"""The kitchen kept open for the page: one folder, read anew when its files change, asked by one at a time."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import anyio
import anyio.to_thread

from nutrilab.folder import Dish, Folder
from nutrilab.messages import say
from nutrilab.page.shelf import Shelf
from nutrilab.recipe import Recipe, read_recipe
from nutrilab.remarks import InputError
from nutrilab.writing import KITCHEN

WAITING = 250  # requests that may wait for the kitchen
MOST_LINES = 500  # of a recipe, for one is cooked at a time: 1.3 s of CPU were measured when all of them are new
Value = TypeVar("Value")
Stamp = tuple[int, int, int] | None


class BusyError(InputError):
    """Too many ask at once."""


@dataclass(slots=True)
class _Open:
    """An opened folder and the stamps of the files it has read."""

    folder: Folder
    stamps: dict[Path, Stamp]


class Desk:
    """The kitchen of a folder. What it finds is what the command line finds: it enters by the same door."""

    def __init__(self, shelf: Shelf, tables: str | None) -> None:
        self.shelf, self._tables = shelf, tables
        self._open: _Open | None = None
        self._lock = threading.Lock()
        self.ready = False  # whether tables and words have been read
        self._waiting = 0
        self._limiter: anyio.CapacityLimiter | None = None

    async def work(self, task: Callable[[], Value]) -> Value:
        """Do something on the side while the page goes on answering; one thing at a time. Raises BusyError."""
        if self._waiting >= WAITING:
            raise BusyError(say("desk.busy"))
        self._limiter = self._limiter or anyio.CapacityLimiter(1)
        self._waiting += 1
        try:
            return await anyio.to_thread.run_sync(self._alone, task, limiter=self._limiter)
        finally:
            self._waiting -= 1

    def _alone(self, task: Callable[[], Value]) -> Value:
        with self._lock:
            return task()

    def folder(self) -> Folder:
        """The folder, opened anew where decisions, packs or settings have changed. Raises NutrilabError."""
        self.shelf.check()
        kept = {self.shelf.folder / name: stamp(self.shelf.folder / name) for name in KITCHEN}
        if self._open is None or any(self._open.stamps.get(path) != now for path, now in kept.items()):
            self._open = _Open(Folder(self.shelf.folder, self._tables), kept)
        return self._open.folder

    def dish(self, recipe: Recipe, portions: float | None = None) -> Dish:
        """A recipe cooked. Raises NutrilabError, InputError for one of too many lines."""
        if (count := _lines(recipe)) > MOST_LINES:
            raise InputError(say("desk.too-many-lines", count=f"{count:,}", most=f"{MOST_LINES:,}"), recipe.path)
        folder = self.folder()
        packs = {path: stamp(path) for path in folder.packs_of(recipe)}
        if self._open is not None and any(
            self._open.stamps.setdefault(path, now) != now for path, now in packs.items()
        ):
            self._open = None
            folder = self.folder()
        return folder.dish(recipe, portions)

    def read(self, name: str, data: bytes) -> Recipe:
        """What was typed or dropped, as if it stood in a file of the folder. Raises InputError."""
        return read_recipe(self.shelf.folder / name, data)

    def warm(self) -> None:
        """Read the food table and the word lists before anybody waits for them."""
        from nutrilab.remarks import NutrilabError

        with self._lock:
            with suppress(NutrilabError):  # it is said where it is asked for
                self.folder().line("100 g plain flour, sifted")
            self.ready = True


def _lines(recipe: Recipe) -> int:
    """How many lines and steps a recipe has, with those of the recipes it takes stages from, each once."""
    found, waiting = {id(recipe): recipe}, [recipe]
    while waiting:
        for other in waiting.pop().others.values():
            if id(other) not in found:
                found[id(other)] = other
                waiting.append(other)
    entries = (len(stage.entries) for one in found.values() for stage in one.stages)
    return sum(entries) + sum(len(one.serve_with) + len(one.method) for one in found.values())


def stamp(path: Path) -> Stamp:
    """What differs when another content stands in a file; None where there is none."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return None
    return found.st_ino, found.st_mtime_ns, found.st_size
