"""What a recipe is and how one is read from a file (the format: docs/recipe-format.md)."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from nutrilab.recipe.checks import parts, tie
from nutrilab.recipe.values import METHODS, Cooking, Line, Part, Recipe, Stage, stage_key
from nutrilab.remarks import InputError

__all__ = ["METHODS", "Cooking", "InputError", "Line", "Part", "Recipe", "Stage", "read_recipe", "stage_key"]

LARGEST = 1_000_000  # bytes; a long recipe has about 5,000
DEEPEST = 50  # recipes that take stages from recipes that take stages ...
LARGEST_PAGE = 10_000_000  # bytes; pages saved whole, with their pictures inside, have some millions
YAML_NAMES = (".yaml", ".yml")
PAGE_NAMES = (".html", ".htm", ".xhtml", ".json", ".jsonld")
ARCHIVE_NAMES = (".mht", ".mhtml")


def read_recipe(path: Path) -> Recipe:
    """Read a recipe file, or a saved page that carries a recipe, and the recipes it takes stages from.

    Raises InputError: unreadable, too large, not UTF-8, every fault of the format, a file outside the
    recipe's own folder, a cycle between files.
    """
    return _read(path, path.resolve().parent, (), {})


def _read(path: Path, folder: Path, chain: tuple[Path, ...], known: dict[Path, Recipe]) -> Recipe:
    """One file and those it needs; ``chain`` leads here, ``known`` holds what was read before."""
    place = path.resolve()
    if place not in known:
        recipe = _one(path)
        known[place] = replace(recipe, others=_others(recipe, path, folder, (*chain, place), known))
    return known[place]


def _one(path: Path) -> Recipe:
    suffix = path.suffix.lower()
    if suffix in ARCHIVE_NAMES:
        raise InputError('web archives are not read; save the page again as "Web page, HTML only"', path)
    if suffix in PAGE_NAMES:
        return _page(path, _bytes(path, LARGEST_PAGE))
    data = _bytes(path, LARGEST)
    text = _text(data, path)
    if suffix in YAML_NAMES:
        from nutrilab.recipe import yaml_file

        recipe = yaml_file.read(text, str(path))
    elif _looks_like_page(text):
        return _page(path, data)
    else:
        from nutrilab.recipe import text_file

        recipe = text_file.read(text, str(path))
    return tie(replace(recipe, path=path), str(path))


def _looks_like_page(text: str) -> bool:
    """Whether a file whose name does not say so is a page, or JSON with typed objects."""
    start = text[:200].lstrip().lower()
    return start.startswith(("<!doctype html", "<html", "<?xml")) or (start[:1] in ("{", "[") and 'type"' in text)


def _page(path: Path, data: bytes) -> Recipe:
    from nutrilab.recipe import page_file

    return replace(page_file.read(data, str(path), path.stem), path=path)


def _bytes(path: Path, largest: int) -> bytes:
    try:
        if not path.is_file():
            raise InputError("there is no such file" if not path.exists() else "this is not a file", path)
        size = path.stat().st_size
        if size > largest:
            raise InputError(f"the file has {size:,} bytes; a recipe has at most {largest:,}", path)
        return path.read_bytes()
    except OSError as error:
        raise InputError(f"it cannot be read ({error.strerror})", path) from None


def _text(data: bytes, path: Path) -> str:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise InputError("a letter here is not UTF-8; save the file as UTF-8", path, line) from None
    if "\0" in text:
        raise InputError("this is not a text file", path, text[: text.index("\0")].count("\n") + 1)
    return text


def _others(
    recipe: Recipe, path: Path, folder: Path, chain: tuple[Path, ...], known: dict[Path, Recipe]
) -> dict[str, Recipe]:
    """The recipes named in "... from FILE", each read once, none of them leading back here."""
    found: dict[str, Recipe] = {}
    for part in parts(recipe.stages):
        if part.file is None:
            continue
        other = (path.parent / part.file).resolve()
        if not other.is_relative_to(folder):
            raise InputError(f'"{part.file}" lies outside the folder of the recipe', path, part.line)
        if other in chain:
            raise InputError(f'"{part.file}" needs this recipe itself; the files go round in a circle', path, part.line)
        if len(chain) > DEEPEST:
            raise InputError(f"more than {DEEPEST} files take stages from one another", path, part.line)
        if not other.is_file():
            raise InputError(f'there is no file "{part.file}" beside this recipe', path, part.line)
        if part.file not in found:
            found[part.file] = _read(path.parent / part.file, folder, chain, known)
        names = [stage.name for stage in found[part.file].stages]
        if stage_key(part.stage) not in map(stage_key, names):
            raise InputError(f'"{part.file}" has no stage "{part.stage}"; it has: {", ".join(names)}', path, part.line)
    return found
