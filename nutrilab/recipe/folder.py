"""The recipe files of a cook's folder."""

from __future__ import annotations

from pathlib import Path

from nutrilab import marks
from nutrilab.plain import quoted
from nutrilab.recipe import LARGEST_PAGE, PAGE_NAMES, YAML_NAMES
from nutrilab.remarks import InputError
from nutrilab.writing import KITCHEN

TEXT_NAMES = (".txt", ".text", ".md")
MOST = 10_000  # files of one folder


def recipes_in(folder: Path) -> tuple[Path, ...]:
    """The recipes that lie in a folder itself, by name. Raises InputError: no folder to read, none in it.

    Recipe files and text files are all taken, so that no dish is missing in silence, but for what nutrilab wrote there
    itself; pages and JSON files only where they carry a recipe.
    """
    try:
        there = sorted(path for path in folder.iterdir() if not path.name.startswith("."))
    except OSError as error:
        raise InputError(f"the folder cannot be read ({error.strerror})", folder) from None
    found = tuple(path for path in there[:MOST] if _is_recipe(path))
    if not found:
        within = [path.name for path in there if path.is_dir()]
        hint = f"; look into {quoted(within[0])}" if within else "; recipes end in .yaml, .txt, .html or .json"
        raise InputError(f"no recipe stands in this folder{hint}", folder)
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
        return suffix in TEXT_NAMES or (suffix in PAGE_NAMES and _carries_recipe(path))
    except OSError:
        return True  # whoever reads it says why it cannot be read


def _carries_recipe(path: Path) -> bool:
    with path.open("rb") as file:
        data = file.read(LARGEST_PAGE)
    return b"schema.org" in data and b"Recipe" in data
