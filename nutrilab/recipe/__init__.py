"""What a recipe is and how one is read from a file (the format: docs/recipe-format.md)."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

from nutrilab.files import content, missing, place, text_of, within
from nutrilab.messages import named, say
from nutrilab.plain import quoted
from nutrilab.recipe.checks import check_size, parts, tie
from nutrilab.recipe.values import METHODS, Cooking, Line, Method, Part, Recipe, Stage, Was, stage_key
from nutrilab.remarks import InputError

__all__ = [
    "METHODS",
    "Cooking",
    "InputError",
    "Line",
    "Method",
    "Part",
    "Recipe",
    "Stage",
    "Was",
    "largest",
    "lines_of",
    "looks_like_page",
    "read_recipe",
    "stage_key",
]

LARGEST = 1_000_000  # bytes; a long recipe has about 5,000
DEEPEST = 50  # recipes that take stages from recipes that take stages ...
LARGEST_PAGE = 10_000_000  # bytes; pages saved whole, with their pictures inside, have some millions
YAML_NAMES = (".yaml", ".yml")
PAGE_NAMES = (".html", ".htm", ".xhtml", ".json", ".jsonld")
ARCHIVE_NAMES = (".mht", ".mhtml")
CAPTION_NAMES = (".srt", ".vtt")


def lines_of(recipe: Recipe) -> tuple[Line, ...]:
    """The ingredient lines of a recipe in its own order, what is served with it last; stages of others are none."""
    entries = (entry for stage in recipe.stages for entry in stage.entries if isinstance(entry, Line))
    return (*entries, *recipe.serve_with)


def read_recipe(path: str | os.PathLike[str], data: bytes | None = None) -> Recipe:
    """Read a recipe file, or a saved page that carries a recipe, and the recipes it takes stages from.

    data: what is to be read as if it stood in that file, saved or not. Raises InputError: unreadable, too large, not
    UTF-8, every fault of the format, a file outside the recipe's own folder, a cycle between files, what is no path
    at all.
    """
    if not isinstance(path, (str, os.PathLike)):
        raise InputError(say("recipe.no-path", path=quoted(path)))
    path = Path(path)
    return _read(path, place(path).parent, (), {}, data)


def _read(
    path: Path, folder: Path, chain: tuple[Path, ...], known: dict[Path, Recipe], data: bytes | None = None
) -> Recipe:
    """One file and those it needs; ``chain`` leads here, ``known`` holds what was read before."""
    real = place(path)
    if real not in known:
        _refuse_by_name(path)
        recipe = _one(path) if data is None else _parsed(path, _small_enough(path, data))
        known[real] = replace(recipe, others=_others(recipe, path, folder, (*chain, real), known))
    return known[real]


def _refuse_by_name(path: Path) -> None:
    suffix = path.suffix.lower()
    if suffix in ARCHIVE_NAMES:
        raise InputError(say("recipe.web-archive"), path)
    if suffix in CAPTION_NAMES and path.is_file():
        raise InputError(
            say("recipe.captions-first", captions=quoted(path.name), draft=quoted(path.stem + ".yaml")), path
        )


def _one(path: Path) -> Recipe:
    return _parsed(path, content(path, largest(path)))


def largest(path: Path) -> int:
    """The bytes that a file of this name has at most."""
    return LARGEST_PAGE if path.suffix.lower() in PAGE_NAMES else LARGEST


def _small_enough(path: Path, data: bytes) -> bytes:
    if len(data) > (most := largest(path)):
        words = say("file.too-large", size=f"{len(data):,}", what=say("thing.recipe"), most=f"{most:,}")
        raise InputError(words, path)
    return data


def _parsed(path: Path, data: bytes) -> Recipe:
    """The recipe that the bytes of a file hold, by the end of its name."""
    suffix = path.suffix.lower()
    if suffix in PAGE_NAMES:
        return _page(path, data)
    text = text_of(data, path)
    if suffix in YAML_NAMES:
        from nutrilab.recipe import yaml_file

        recipe = yaml_file.read(text, str(path))
    elif looks_like_page(text):
        return _page(path, data)
    else:
        from nutrilab.recipe import text_file

        recipe = text_file.read(text, str(path))
    check_size(recipe, str(path))
    return tie(replace(recipe, path=path), str(path))


def looks_like_page(text: str) -> bool:
    """Whether a file whose name does not say so is a page, or JSON with typed objects."""
    start = text[:200].lstrip().lower()
    return start.startswith(("<!doctype html", "<html", "<?xml")) or (start[:1] in ("{", "[") and 'type"' in text)


def _page(path: Path, data: bytes) -> Recipe:
    from nutrilab.recipe import page_file

    return replace(page_file.read(data, str(path), path.stem), path=path)


def _others(
    recipe: Recipe, path: Path, folder: Path, chain: tuple[Path, ...], known: dict[Path, Recipe]
) -> dict[str, Recipe]:
    """The recipes named in "... from FILE", each read once, none of them leading back here."""
    found: dict[str, Recipe] = {}
    for part in parts(recipe.stages):
        if part.file is None:
            continue
        name = within(part.file, path, folder, part.line)
        other = place(name)
        if other in chain:
            words = say("recipe.circle", file=quoted(part.file))
            raise InputError(words, path, part.line)
        if len(chain) > DEEPEST:
            raise InputError(say("recipe.too-many-files", most=DEEPEST), path, part.line)
        if not other.is_file():
            raise InputError(f"{quoted(part.file)}: {missing(name)}", path, part.line)
        if part.file not in found:
            found[part.file] = _read(name, folder, chain, known)
        names = [stage.name for stage in found[part.file].stages]
        if stage_key(part.stage) not in map(stage_key, names):
            words = say("recipe.no-stage-there", file=quoted(part.file), stage=quoted(part.stage), names=named(names))
            raise InputError(words, path, part.line)
    return found
