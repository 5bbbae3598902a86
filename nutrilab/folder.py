"""A cook's folder opened once: settings, decisions, own products, food tables. The one door to lines and dishes.

The command line and a notebook enter by it (docs/from-python.md); both find the same.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property, partial
from numbers import Real
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, cast, overload

from nutrilab import decisions as decided
from nutrilab import marks, settings, store
from nutrilab.decisions import Decisions, fault
from nutrilab.files import missing, no_file, place, there, within
from nutrilab.kitchen import Kitchen
from nutrilab.measures import PORTIONS
from nutrilab.messages import named, say
from nutrilab.once import many
from nutrilab.plain import file_name, quoted
from nutrilab.recipe import LARGEST_PAGE, PAGE_NAMES, YAML_NAMES, Recipe, lines_of, read_recipe
from nutrilab.remarks import InputError, NutrilabError
from nutrilab.results import DishResult, LineRecord
from nutrilab.settings import Settings
from nutrilab.tracing import all_stages
from nutrilab.writing import KITCHEN

if TYPE_CHECKING:
    from nutrilab.comparing import WhatIf
    from nutrilab.foods import FoodTable
    from nutrilab.products import Products

PACKS = "products.yaml"
_NOWHERE = Path()
TEXT_NAMES = (".txt", ".text", ".md")
MOST = 10_000  # files of one folder
OPEN_AT_ONCE = 8  # kitchens of a folder, one for each list of packs; the longest unused is closed
LOOKED_AT = 300  # other recipes of a folder that are read for the names in them
SOME = 1_000  # files that are read before what their readers left behind is looked for
CUPS = ("us", "metric")

Given = Recipe | str | os.PathLike[str]


@dataclass(frozen=True, slots=True, repr=False)
class Dish(DishResult):
    """A dish as the door hands it out: `DishResult` that knows its record."""

    def to_dict(self) -> dict[str, Any]:
        """The record of docs/records.md, as `nutrilab analyse --format json` writes it."""
        from nutrilab.records import dish_record

        return dish_record(self)


@dataclass(frozen=True, slots=True, repr=False)
class IngredientLine(LineRecord):
    """A line as the door hands it out: `LineRecord` that knows its record."""

    def to_dict(self) -> dict[str, Any]:
        """The record of docs/records.md, as `nutrilab lines --format jsonl` writes it."""
        from nutrilab.records import line_record

        return line_record(self)


class Folder:
    """A cook's folder, each file of it read when it is first needed and then kept; without one, the embedded table."""

    def __init__(
        self,
        path: Path | None,
        tables: str | Sequence[str] | None = None,
        alternatives: bool = True,
    ) -> None:
        """tables: food tables in order of preference, also as one text with commas; those of kitchen.yaml when None.

        alternatives: whether links list what else a name could be.
        """
        self.path = path
        self._asked, self._alternatives = tables, alternatives
        self._imported = None if path is None else store.tables_folder()
        self._kitchens: dict[tuple[Path, ...], Kitchen] = {}

    def __repr__(self) -> str:
        where = "without a folder" if self.path is None else file_name(self.path)
        own = self.kitchen().products
        counts = f"{len(self.decisions.names)} decisions, {len(own.all) if own else 0} own products"
        return f"<kitchen {where}: {', '.join(self.settings.tables)}; {counts}>"

    @cached_property
    def settings(self) -> Settings:
        """The food tables asked for, else those of kitchen.yaml here or beside the tables. Raises InputError."""
        found = settings.read_settings(folder for folder in (self.path, self._imported) if folder is not None)
        if self._asked is None:
            return found
        names = self._asked.split(",") if isinstance(self._asked, str) else self._asked
        return replace(found, tables=settings.in_order(names), file=None)

    @cached_property
    def decisions(self) -> Decisions:
        """What the cook decided of names. Raises InputError."""
        return Decisions() if self.path is None else decided.read_decisions(self.path)

    @cached_property
    def tables(self) -> tuple[FoodTable, ...]:
        """The food tables in order of preference. Raises TableError, InputError."""
        return self._opened(self.settings.tables)

    def _opened(self, names: tuple[str, ...]) -> tuple[FoodTable, ...]:
        known = store.available(self._imported)
        strange = [name for name in names if name not in known]
        if strange and self.settings.file:
            words = say("tables.not-there-named", name=quoted(strange[0]), names=", ".join(known))
            raise InputError(words, self.settings.file)
        return tuple(store.tables(self._imported, names))

    def packs_of(self, recipe: Recipe) -> tuple[Path, ...]:
        """The files of own products of a recipe and of those it takes from: named there, or beside it, or else here.

        Without a folder only those that a recipe names. Raises InputError.
        """
        found = self._packs_of(recipe, recipe.path.parent if recipe.path else _NOWHERE)
        return tuple(found) or self._packs_here()

    def _packs_here(self) -> tuple[Path, ...]:
        return (self.path / PACKS,) if self.path is not None and there(self.path / PACKS) else ()

    def _packs_of(self, recipe: Recipe, folder: Path) -> dict[Path, None]:
        found: dict[Path, None] = {}
        if recipe.products and recipe.path:
            file = within(recipe.products, recipe.path, folder, recipe.products_line)
            if not file.is_file():
                words = say("recipe.products-file", file=quoted(recipe.products), problem=no_file(file))
                raise InputError(words, recipe.path, recipe.products_line)
            found[file] = None
        elif self.path is not None and recipe.path and there(file := recipe.path.parent / PACKS):
            found[file] = None
        for other in recipe.others.values():
            found |= self._packs_of(other, folder)
        return found

    def kitchen(self, packs: tuple[Path, ...] | None = None) -> Kitchen:
        """What reads lines and cooks dishes here, with the own products of some files; of this folder's when None.

        Raises NutrilabError.
        """
        packs = self._packs_here() if packs is None else packs
        found = self._kitchens.pop(packs, None)
        if found is None:
            borrow = self.settings.borrow
            lender = self._opened((borrow,))[0] if borrow else None
            found = Kitchen(self.tables, self.decisions, self._alternatives, self._own(packs), lender)
        self._kitchens[packs] = found
        if len(self._kitchens) > OPEN_AT_ONCE:
            del self._kitchens[next(iter(self._kitchens))]
        return found

    def _own(self, files: tuple[Path, ...]) -> Products | None:
        """The packs of some files, before those imported beside the food tables. Raises InputError, TableError."""
        if not files and not (self._imported and (self._imported / store.OWN).exists()):
            return None
        from nutrilab.products import imported_products, load, stacked

        return stacked(*(load(file) for file in files), imported_products(self._imported))

    def line(self, text: str, cup: str = "us", portions: float = PORTIONS) -> IngredientLine:
        """An ingredient line read, linked and weighed, with its allergens.

        cup: "us" or "metric"; portions: how many the dish serves, for what is added "to taste". Raises InputError for
        what is no text and another cup, and NutrilabError for a file of this folder that cannot be used.
        """
        if not isinstance(text, str):
            raise InputError(say("python.no-line", text=quoted(text)))
        if cup not in CUPS:
            raise InputError(say("python.no-cup", cup=quoted(cup), names=named(CUPS)))
        with _Sentences():
            return _handed_out(self.kitchen().line(text, cup, portions))

    def lines(self, texts: Iterable[str], cup: str = "us", portions: float = PORTIONS) -> list[IngredientLine]:
        """Many ingredient lines, in their order, as `line`; one that stands there often is read once."""
        if isinstance(texts, str) or not isinstance(texts, Iterable):
            raise InputError(say("python.one-line"))
        with many():
            return [self.line(text, cup, portions) for text in texts]

    def dish(self, recipe: Given, portions: float | None = None) -> Dish:
        """A recipe, or that of a file, cooked.

        portions: instead of the recipe's. Raises NutrilabError: one sentence with the file, the line and the cure.
        """
        if portions is not None and not isinstance(portions, Real):
            raise InputError(say("python.no-portions", number=quoted(portions)))
        with _Sentences(), many():
            read = recipe if isinstance(recipe, Recipe) else read_recipe(recipe)
            kitchen, made_into = self.kitchen(self.packs_of(read)), partial(Dish, link=self.settings.link)
            return cast(Dish, kitchen.dish(read, portions, made_into))

    @overload
    def dishes(self, recipes: Iterable[Given], errors: Literal["raise"] = "raise") -> list[Dish]: ...

    @overload
    def dishes(self, recipes: Iterable[Given], errors: Literal["keep"]) -> list[Dish | NutrilabError]: ...

    def dishes(self, recipes: Iterable[Given], errors: str = "raise") -> Sequence[Dish | NutrilabError]:
        """Many recipes or files of recipes, in their order; a line that many of them have is read once.

        errors: "keep" puts the error of a bad one in its place, "raise" stops there. Raises NutrilabError.
        """
        if errors not in ("keep", "raise"):
            raise InputError(say("python.errors", text=quoted(errors)))
        if isinstance(recipes, (Recipe, str, os.PathLike)) or not isinstance(recipes, Iterable):
            raise InputError(say("python.one-dish"))
        with many():
            found = []
            for number, one in enumerate(recipes, 1):
                found.append(self.dish(one) if errors == "raise" else self._dish_or_error(one))
                if not number % SOME and not isinstance(one, Recipe):
                    gc.collect(1)  # what readers of files leave behind
            return found

    def _dish_or_error(self, recipe: Given) -> Dish | NutrilabError:
        try:
            return self.dish(recipe)
        except NutrilabError as error:
            return error.with_traceback(None)  # it would hold all that was at hand

    def swap(
        self,
        recipe: Given,
        swaps: str | Sequence[str],
        portions: float | None = None,
        weight_after: str | float | None = None,
        guests: float | None = None,
    ) -> WhatIf:
        """What if: a recipe cooked as it is, and with one or more swaps such as "whole milk = oat drink".

        portions, weight_after ("1.9 kg" or [g]): of the dish after the swap only; guests: its list scaled so that as
        many portions of the same size come out. Raises NutrilabError.
        """
        from nutrilab import scaling, swapping
        from nutrilab.comparing import WhatIf

        wishes = [swapping.wish(one) for one in ([swaps] if isinstance(swaps, str) else swaps)]
        if not wishes and portions is None and weight_after is None and guests is None:
            raise InputError(say("swap.nothing-to-try", example=swapping.HOW))
        scaling.times(portions, 1, "--portions")
        read = recipe if isinstance(recipe, Recipe) else read_recipe(recipe)
        with _Sentences():
            bench = self.kitchen(self.packs_of(read))
            found = swapping.swap(read, wishes, bench, weight_after is not None)
        before = self.dish(read)
        swapped = swapping.asked(swapping.in_proportion(found, before), weight_after)
        try:
            after = self.dish(swapped, portions)
        except InputError as error:
            words = say("swap.after", problem=error.message)
            raise InputError(words, error.file, error.line) from None
        times = scaling.times(guests, after.portions)
        lines = scaling.scaled(found.recipe, times) if times else ()
        return WhatIf(before, after, found.done, found.notes, guests, lines)

    def unmatched(self, dishes: Iterable[DishResult], others: bool = False) -> tuple[str, ...]:
        """A sentence for each decision that no line of some dishes matches, with its file and line.

        others: whether the other recipes of this folder are looked at as well before anything is said of one.
        """
        dishes = list(dishes)
        records = [record for dish in dishes for stage in all_stages(dish) for record in stage.records]
        kitchen = next(iter(self._kitchens.values()), None) or self.kitchen()
        left = kitchen.unmatched(records)
        if left and others:
            records += self._of_others({dish.recipe.path for dish in dishes}, kitchen)
            left = kitchen.unmatched(records)
        return tuple(str(fault(self.decisions, name, _unmatched(name, near))) for name, near in left)

    def _of_others(self, known: set[Path | None], kitchen: Kitchen) -> Iterator[LineRecord]:
        """The lines of the recipes of this folder, but for some; of what cannot be read none."""
        for path in recipes_in(self.path)[:LOOKED_AT] if self.path is not None else ():
            if path not in known:
                with suppress(NutrilabError):
                    yield from (kitchen.line(line.text) for line in lines_of(read_recipe(path)))

    def recipes(self) -> tuple[Path, ...]:
        """The files of recipes that lie in this folder itself, by name. Raises InputError: no folder, none in it."""
        if self.path is None:
            raise InputError(say("python.no-folder"))
        return recipes_in(self.path)


def _unmatched(name: str, near: str | None) -> str:
    if near is None:
        return say("decisions.unmatched", name=quoted(name))
    return say("decisions.unmatched-near", name=quoted(name), near=quoted(near))


def _handed_out(found: LineRecord) -> IngredientLine:
    """What the kitchen found, with its record."""
    return IngredientLine(found.parsed, found.foods, found.findings, found.remarks)


def open_kitchen(folder: str | os.PathLike[str] | None, tables: str | Sequence[str] | None = None) -> Folder:
    """Open a cook's folder with all that lies in it for its recipes; None: the embedded food table alone.

    tables: food tables in order of preference, instead of those of kitchen.yaml. Raises NutrilabError: no such folder,
    a file in it that cannot be used, a food table that is not there.
    """
    path = None if folder is None else _path(folder)
    with _Sentences(), many():
        if path is not None and not place(path).is_dir():
            raise InputError(say("folder.a-file") if path.exists() else missing(path, say("thing.folder")), path)
        found = Folder(path, tables)
        found.kitchen()  # what is wrong in the folder shows now
    return found


def _path(given: object) -> Path:
    if not isinstance(given, (str, os.PathLike)):
        raise InputError(say("python.no-path", text=quoted(given)))
    return Path(given)


class _Sentences:  # each dish and line goes through it: a generator takes longer than what it guards
    """A disk that fails where nobody looked for it ends in a sentence too."""

    def __enter__(self) -> None: ...

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        if isinstance(error, OSError):
            words = say("file.disk", problem=error.strerror or error)
            raise InputError(words, error.filename or say("thing.machine")) from None


def recipes_in(folder: Path) -> tuple[Path, ...]:
    """The recipes that lie in a folder itself, by name. Raises InputError: no folder to read, none in it.

    Recipe files and text files are all taken, so that no dish is missing in silence, but for what nutrilab wrote there
    itself; pages and JSON files only where they carry a recipe.
    """
    try:
        names = sorted(path for path in folder.iterdir() if not path.name.startswith("."))
    except OSError as error:
        raise InputError(say("folder.not-readable", problem=error.strerror), folder) from None
    found = tuple(path for path in names[:MOST] if _is_recipe(path))
    if not found:
        inner = [path.name for path in names if path.is_dir()]
        words = say("folder.look-into", name=quoted(inner[0])) if inner else say("folder.no-recipe")
        raise InputError(words, folder)
    return found


def _is_recipe(path: Path) -> bool:
    suffix = path.suffix.lower()
    if path.name.lower() in KITCHEN or path.is_dir():
        return False
    if suffix in YAML_NAMES:
        return True
    try:
        if suffix in (*TEXT_NAMES, *PAGE_NAMES) and marks.state(path) == "own":
            return False  # a sheet or a result
        return suffix in TEXT_NAMES or (suffix in PAGE_NAMES and carries_recipe(_beginning(path)))
    except OSError:
        return True  # whoever reads it says why it cannot be read


def _beginning(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(LARGEST_PAGE)


def carries_recipe(data: bytes) -> bool:
    """Whether a page or a JSON file may hold a recipe."""
    return b"schema.org" in data and b"Recipe" in data
