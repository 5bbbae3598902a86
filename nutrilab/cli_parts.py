"""What the commands share: where tables and kitchens are, how mistakes end, how results are written."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from data_loaders.schema import TableError
from nutrilab.remarks import InputError

if TYPE_CHECKING:
    from nutrilab.foods import FoodTable
    from nutrilab.kitchen import Kitchen
    from nutrilab.products import Products
    from nutrilab.recipe import Recipe
    from nutrilab.results import DishResult
    from nutrilab.settings import Settings

PACKS = "products.yaml"
NO_RECIPES = (PACKS, "decisions.yaml", "kitchen.yaml")  # what lies beside recipes


def tables_folder() -> Path:
    """Where imported food tables live; the environment variable is for tests and shared machines."""
    return Path(os.environ.get("NUTRILAB_TABLES") or click.get_app_dir("nutrilab"))


def sentences(command: Callable[..., Any]) -> Callable[..., Any]:
    """Bad input ends with one sentence a problem on standard error and exit code 2."""

    @wraps(command)
    def run(*args: Any, **kwargs: Any) -> Any:
        try:
            return command(*args, **kwargs)
        except (InputError, TableError) as error:
            stop([str(error)])
        except OSError as error:  # a folder or disk that fails where nobody looked for it
            place = error.filename or "this machine"
            stop([f"{place}: {error.strerror or error}; look at the file, its folder and the disk"])

    return run


def stop(problems: list[str]) -> None:
    for problem in problems:
        click.echo(problem.replace("\n", " "), err=True)
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
    return replace(found, tables=settings.in_order(names.split(","))) if names is not None else found


def open_tables(folder: Path, names: str | None) -> list[FoodTable]:
    """The food tables of a folder, opened. Raises TableError."""
    from nutrilab.store import tables

    return tables(tables_folder(), settings_of(folder, names).tables)


def kitchen(
    folder: Path, names: str | None = None, alternatives: bool = True, packs: tuple[Path, ...] | None = None
) -> Kitchen:
    """The kitchen with its food tables, and the decisions and own products that lie in a folder of recipes.

    packs: files of own products, those of the folder when None.
    """
    from nutrilab import decisions
    from nutrilab.kitchen import Kitchen
    from nutrilab.store import tables

    own = _own_products((folder / PACKS,) if packs is None and (folder / PACKS).exists() else packs or ())
    chosen = settings_of(folder, names)
    borrow = tables(tables_folder(), (chosen.borrow,))[0] if chosen.borrow else None
    return Kitchen(tables(tables_folder(), chosen.tables), decisions.read(folder), alternatives, own, borrow)


def _own_products(files: tuple[Path, ...]) -> Products | None:
    """The packs of some files, before those imported into the tables folder."""
    if not files and not (tables_folder() / "own-products.foods.parquet").exists():
        return None
    from nutrilab.products import imported_products, load, stacked

    return stacked(*(load(file) for file in files), imported_products(tables_folder()))


def _packs_of(recipe: Recipe, folder: Path) -> tuple[Path, ...]:
    """The files of own products of a recipe and of the recipes it takes from. Raises InputError."""
    found: dict[Path, None] = {}
    beside = recipe.path.parent if recipe.path else folder
    file = beside / (recipe.products or PACKS)
    if recipe.products and not file.resolve().is_relative_to(folder.resolve()):
        raise InputError(f'the file of own products "{recipe.products}" lies outside the folder of the recipe', folder)
    if recipe.products or file.exists():
        found[file] = None
    for other in recipe.others.values():
        found |= dict.fromkeys(_packs_of(other, folder))
    return tuple(found)


def cook(
    recipes: tuple[Path, ...], names: str | None, portions: float | None = None, alternatives: bool = False
) -> list[DishResult]:
    """All dishes, or one sentence for each recipe that cannot be used."""
    from nutrilab.recipe import read_recipe

    kitchens: dict[tuple[Path, tuple[Path, ...]], Kitchen] = {}
    results, problems = [], []
    for path in _recipes_among(recipes):
        try:
            recipe = read_recipe(path)
            place = (path.parent, _packs_of(recipe, path.parent))
            if place not in kitchens:
                kitchens[place] = kitchen(path.parent, names, alternatives, place[1])
            results.append(kitchens[place].dish(recipe, portions))
        except InputError as error:
            problems.append(str(error))
    if problems:
        stop(problems)
    return results


def _recipes_among(paths: tuple[Path, ...]) -> tuple[Path, ...]:
    """Several files less the kitchen's own, which a pattern like *.yaml takes in."""
    kept = tuple(path for path in paths if path.name not in NO_RECIPES)
    return paths if len(paths) == 1 else kept


def screen(to_screen: bool = True) -> tuple[int | None, bool]:
    """Width and whether colours show, of the terminal if there is one."""
    import shutil

    colour = to_screen and sys.stdout.isatty()
    return (shutil.get_terminal_size().columns if colour else None), colour


def write(data: str | bytes, output: Path | None) -> None:
    """To the screen, or whole to a file: written beside it, then renamed. Raises InputError."""
    if output is None:
        if isinstance(data, bytes):
            raise InputError("this is no text for the screen; say where to with -o FILE")
        click.echo(data, nl=False)
        return
    temporary = output.with_name(output.name + ".part")
    try:
        temporary.write_bytes(data.encode("utf-8") if isinstance(data, str) else data)
        os.replace(temporary, output)
    except OSError as error:
        with suppress(OSError):  # where nothing can be written, nothing can be taken away either
            temporary.unlink(missing_ok=True)
        raise InputError(f"it cannot be written ({error.strerror})", output) from None


def keep_inputs(output: Path | None, inputs: Iterable[Path]) -> None:
    """Refuse to write over what was read: a recipe is the cook's own work. Raises InputError."""
    if output is None or not output.exists():
        return
    if any(path.exists() and path.samefile(output) for path in inputs):
        raise InputError("this is one of the recipes; say another file with -o", output)


def is_folder(output: Path) -> bool:
    """Whether a path asks for a folder: one that is there, or a name without a suffix."""
    return output.is_dir() or not output.suffix


def write_folder(files: Mapping[str, str | bytes], folder: Path) -> None:
    """Some files into a folder, each written beside its place and then renamed. Raises InputError."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"the folder cannot be made ({error.strerror})", folder) from None
    for name, data in files.items():
        write(data, folder / name)
    click.echo(f"{len(files)} files in {folder}", err=True)
