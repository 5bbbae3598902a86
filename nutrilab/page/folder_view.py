"""The kitchen's folder as a list: every recipe with its answer, what needs attention before all others."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import Response

from nutrilab.allergens import ALLERGENS
from nutrilab.folder import Dish
from nutrilab.messages import say
from nutrilab.page.desk import Desk, Stamp, stamp
from nutrilab.page.look import told
from nutrilab.page.templating import page
from nutrilab.recipe import Recipe, lines_of, read_recipe
from nutrilab.remarks import NutrilabError
from nutrilab.settling import settle_first
from nutrilab.sheets.index_page import Listed, listed
from nutrilab.writing import KITCHEN

PATIENCE = 1.0  # [s] that a list waits for dishes that were not looked at yet
Stamps = dict[Path, Stamp]


@dataclass(frozen=True, slots=True)
class Attention:
    """A recipe that asks for something: its name, the address of its page, what it asks for."""

    name: str
    file: str
    why: str


@dataclass(frozen=True, slots=True)
class Entry:
    """A recipe of the list, with the stamps of all files that its answer depends on."""

    stamps: Stamps
    dish: Listed | None
    attention: Attention | None


class FolderView:
    """The list. What was cooked stays known until a file of it changes."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._known: dict[Path, Entry] = {}

    def begin(self, _: Request) -> Response:
        """The list before the kitchen is ready: it says that it follows. Raises NutrilabError."""
        return self._page((), len(self._desk.shelf.recipes()))

    def show(self, _: Request) -> Response:
        """The list. Raises NutrilabError."""
        recipes, until = self._desk.shelf.recipes(), time.monotonic() + PATIENCE
        found: list[Entry] = []
        for path in recipes:
            entry = self._known.get(path)
            if entry is None or any(stamp(one) != then for one, then in entry.stamps.items()):
                if time.monotonic() > until and found:
                    continue
                entry = self._entry(path)
                if entry.dish is not None:  # what is wrong may be put right in a file that nobody knows of yet
                    self._known[path] = entry
            found.append(entry)
        return self._page(found, len(recipes) - len(found))

    def _page(self, found: Sequence[Entry], left: int) -> Response:
        return page(
            "folder.html.j2",
            folder=self._desk.shelf.folder.name,
            dishes=[entry.dish for entry in found if entry.dish],
            attention=[entry.attention for entry in found if entry.attention],
            left=left,
            allergens=ALLERGENS,
            searched=True,
        )

    def _entry(self, path: Path) -> Entry:
        kitchen = {self._desk.shelf.folder / name: None for name in KITCHEN}
        stamps: Stamps = {one: stamp(one) for one in (path, *kitchen)}
        file = f"./recipe/{quote(path.name)}"
        try:
            self._desk.shelf.path(path.name)
            recipe = read_recipe(path)
            stamps |= {one: stamp(one) for one in (*_others(recipe), *self._desk.folder().packs_of(recipe))}
            dish = self._desk.dish(recipe)
        except NutrilabError as error:
            return Entry(stamps, None, Attention(path.name, file, told(error, own=True)))
        return Entry(
            stamps, replace(listed(f"recipe/{path.name}", dish), words=_words(dish, path)), _attention(dish, file)
        )


def _others(recipe: Recipe) -> Iterator[Path]:
    for other in recipe.others.values():
        if other.path is not None:
            yield other.path
        yield from _others(other)


def _words(dish: Dish, path: Path) -> str:
    """What a search finds a dish by: its name, its file, its lines."""
    return " ".join((dish.recipe.dish, path.name, *(line.text for line in lines_of(dish.recipe)))).lower()


def _attention(dish: Dish, file: str) -> Attention | None:
    """What keeps a dish from being complete; None of one that is."""
    if dish.complete:
        return None
    why = next((one.what for one in settle_first(dish)), say("sheet.not-complete"))
    return Attention(dish.recipe.dish, file, why)
