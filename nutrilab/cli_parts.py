"""What the commands share: where tables and kitchens are, how mistakes end, how results are written."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from nutrilab.messages import say
from nutrilab.plain import plain
from nutrilab.remarks import InputError, NutrilabError
from nutrilab.writing import KITCHEN

if TYPE_CHECKING:
    from nutrilab.results import DishResult


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
            words = say("file.disk", problem=error.strerror or error)
            stop([str(InputError(words, error.filename or say("thing.machine")))])

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


def cook(
    recipes: tuple[Path, ...], names: str | None, portions: float | None = None, alternatives: bool = False
) -> list[DishResult]:
    """All dishes, or one sentence for each recipe that cannot be used.

    Of a folder whose recipes are all read it is said, on standard error, which of its decisions none of them matches.
    """
    from nutrilab.folder import Folder, recipes_in
    from nutrilab.recipe import read_recipe

    folders: dict[Path, Folder] = {}
    results: list[DishResult] = []
    problems: dict[Path, str] = {}
    packs: set[Path] = set()
    for path in recipes:
        try:
            recipe = read_recipe(path)
            folder = folders.setdefault(path.parent, Folder(path.parent, names, alternatives))
            packs.update(folder.packs_of(recipe))
            results.append(folder.dish(recipe, portions))
        except InputError as error:
            problems[path] = str(error)
    # Packs that a recipe beside them names are no recipe, though a pattern or a folder takes them in.
    if left := [said for path, said in problems.items() if path not in packs]:
        stop(left)
    for place, folder in folders.items():
        there = {one.recipe.path: one for one in results if one.recipe.path and one.recipe.path.parent == place}
        if folder.decisions.names and {*recipes_in(place)} <= {*there, *packs}:
            for sentence in folder.unmatched(there.values()):
                click.echo(plain(sentence), err=True)
    return results


def recipes_among(paths: tuple[Path, ...]) -> tuple[Path, ...]:
    """The recipe files among some paths: those of folders, without what a pattern like *.yaml takes in beside them.

    Raises InputError for a folder without a recipe.
    """
    from nutrilab.folder import recipes_in

    kept = tuple(path for path in paths if path.name not in KITCHEN) if len(paths) > 1 else paths
    found = (recipes_in(path) if path.is_dir() else (path,) for path in kept)
    return tuple(dict.fromkeys(path for some in found for path in some))


def screen(to_screen: bool = True) -> tuple[int | None, bool]:
    """Width and whether colours show, of the terminal if there is one."""
    import shutil

    colour = to_screen and sys.stdout.isatty()
    return (shutil.get_terminal_size().columns if colour else None), colour
