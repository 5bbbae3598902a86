"""What the commands share: where tables and kitchens are, how mistakes end, how results are written."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from nutrilab.files import no_file, there, within
from nutrilab.plain import plain, quoted
from nutrilab.remarks import InputError, NutrilabError
from nutrilab.writing import KITCHEN

if TYPE_CHECKING:
    from nutrilab.foods import FoodTable
    from nutrilab.kitchen import Kitchen
    from nutrilab.products import Products
    from nutrilab.recipe import Recipe
    from nutrilab.results import DishResult
    from nutrilab.settings import Settings

PACKS = "products.yaml"


def tables_folder() -> Path:
    """Where imported food tables live; the environment variable is for tests and shared machines."""
    return Path(os.environ.get("NUTRILAB_TABLES") or click.get_app_dir("nutrilab"))


def sentences(command: Callable[..., Any]) -> Callable[..., Any]:
    """Bad input ends with one sentence a problem on standard error and exit code 2."""

    @wraps(command)
    def run(*args: Any, **kwargs: Any) -> Any:
        try:
            return command(*args, **kwargs)
        except NutrilabError as error:
            stop([str(error)])
        except BrokenPipeError:  # whoever read the output has enough of it
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            sys.exit(1)
        except OSError as error:  # a folder or disk that fails where nobody looked for it
            words = f"{error.strerror or error}; look at the file, its folder and the disk"
            stop([str(InputError(words, error.filename or "this machine"))])

    return run


def stop(problems: list[str]) -> None:
    for problem in problems:
        click.echo(plain(problem), err=True)
    sys.exit(2)


tables_option = click.option(
    "--tables",
    "names",
    help="Food tables in order of preference, such as uk-cofid,usda-sr; own products come first anyway. "
    "Without it, those of kitchen.yaml.",
)


def settings_of(folder: Path, names: str | None) -> Settings:
    """The food tables asked for, else those of kitchen.yaml in the folder or beside the tables."""
    from dataclasses import replace

    from nutrilab import settings

    found = settings.read((folder, tables_folder()))
    return found if names is None else replace(found, tables=settings.in_order(names.split(",")), file=None)


def open_tables(folder: Path, names: str | None) -> list[FoodTable]:
    """The food tables of a folder, opened. Raises TableError."""
    chosen = settings_of(folder, names)
    return _opened(chosen, chosen.tables)


def _opened(chosen: Settings, names: tuple[str, ...]) -> list[FoodTable]:
    """Some tables, opened. Raises TableError, of the settings where these name a table that is not there."""
    from nutrilab.store import available, tables

    if chosen.file and (strange := [name for name in names if name not in (there := available(tables_folder()))]):
        words = f"there is no food table {quoted(strange[0])}; there are: {', '.join(there)}"
        raise InputError(words, chosen.file)
    return tables(tables_folder(), names)


def kitchen(
    folder: Path, names: str | None = None, alternatives: bool = True, packs: tuple[Path, ...] | None = None
) -> Kitchen:
    """The kitchen with its food tables, and the decisions and own products that lie in a folder of recipes.

    packs: files of own products, those of the folder when None.
    """
    from nutrilab import decisions
    from nutrilab.kitchen import Kitchen

    own = _own_products((folder / PACKS,) if packs is None and there(folder / PACKS) else packs or ())
    chosen = settings_of(folder, names)
    borrow = _opened(chosen, (chosen.borrow,))[0] if chosen.borrow else None
    return Kitchen(_opened(chosen, chosen.tables), decisions.read(folder), alternatives, own, borrow)


def _own_products(files: tuple[Path, ...]) -> Products | None:
    """The packs of some files, before those imported into the tables folder."""
    if not files and not (tables_folder() / "own-products.foods.parquet").exists():
        return None
    from nutrilab.products import imported_products, load, stacked

    return stacked(*(load(file) for file in files), imported_products(tables_folder()))


def packs_of(recipe: Recipe, folder: Path) -> tuple[Path, ...]:
    """The files of own products of a recipe and of the recipes it takes from. Raises InputError."""
    found: dict[Path, None] = {}
    if recipe.products and recipe.path:
        file = within(recipe.products, recipe.path, folder, recipe.products_line)
        if not file.is_file():
            words = f"the file of own products {quoted(recipe.products)}: {no_file(file)}"
            raise InputError(words, recipe.path, recipe.products_line)
        found[file] = None
    elif there(file := (recipe.path.parent if recipe.path else folder) / PACKS):
        found[file] = None
    for other in recipe.others.values():
        found |= dict.fromkeys(packs_of(other, folder))
    return tuple(found)


def cook(
    recipes: tuple[Path, ...], names: str | None, portions: float | None = None, alternatives: bool = False
) -> list[DishResult]:
    """All dishes, or one sentence for each recipe that cannot be used."""
    from nutrilab.recipe import read_recipe

    kitchens: dict[tuple[Path, tuple[Path, ...]], Kitchen] = {}
    results: list[DishResult] = []
    problems: dict[Path, str] = {}
    packs: set[Path] = set()
    for path in recipes:
        try:
            recipe = read_recipe(path)
            place = (path.parent, packs_of(recipe, path.parent))
            packs.update(place[1])
            if place not in kitchens:
                kitchens[place] = kitchen(path.parent, names, alternatives, place[1])
            results.append(kitchens[place].dish(recipe, portions))
        except InputError as error:
            problems[path] = str(error)
    # Packs that a recipe beside them names are no recipe, though a pattern or a folder takes them in.
    if left := [said for path, said in problems.items() if path not in packs]:
        stop(left)
    return results


def recipes_among(paths: tuple[Path, ...]) -> tuple[Path, ...]:
    """The recipe files among some paths: those of folders, without what a pattern like *.yaml takes in beside them.

    Raises InputError for a folder without a recipe.
    """
    from nutrilab.recipe.folder import recipes_in

    kept = tuple(path for path in paths if path.name not in KITCHEN) if len(paths) > 1 else paths
    found = (recipes_in(path) if path.is_dir() else (path,) for path in kept)
    return tuple(dict.fromkeys(path for some in found for path in some))


def screen(to_screen: bool = True) -> tuple[int | None, bool]:
    """Width and whether colours show, of the terminal if there is one."""
    import shutil

    colour = to_screen and sys.stdout.isatty()
    return (shutil.get_terminal_size().columns if colour else None), colour
