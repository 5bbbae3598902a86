"""Whether a file holds a recipe or a bare list of ingredient lines.

A name that ends as recipe files, pages or captions do says it. Plain text is a recipe where a line of it says for how
many it is, what it weighs cooked, or where its ingredients or its method begin. Where the first line begins with an
amount it is no dish's name but an ingredient: then it is a list, for nothing of a list may go missing.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Literal

from nutrilab.files import text_of
from nutrilab.recipe import (
    ARCHIVE_NAMES,
    CAPTION_NAMES,
    LARGEST_PAGE,
    PAGE_NAMES,
    YAML_NAMES,
    looks_like_page,
    prose,
    said,
)
from nutrilab.recipe.portions import says_yield, split_yield
from nutrilab.recipe.values import Line
from nutrilab.remarks import InputError

MOST_LINES = 5_000  # lines looked at; no recipe has more
_DISH_KEY = re.compile(r"^dish\s{0,9}:", re.MULTILINE | re.IGNORECASE)
_CAPTIONS = re.compile(r"\s{0,99}(?:\ufeff)?(?:WEBVTT\b|\d{1,6}\s{1,9}\d{2}:\d{2}:\d{2}[,.]\d{3}\s{1,9}-->)")


def holds_recipe(path: Path) -> bool:
    """Whether a file is a recipe to be read as one; what is no file, a pipe or no text, is not. Never raises."""
    if path.suffix.lower() in (*YAML_NAMES, *PAGE_NAMES, *ARCHIVE_NAMES, *CAPTION_NAMES):
        return True
    try:
        if not path.is_file():
            return False
        with path.open("rb") as file:
            text = text_of(file.read(LARGEST_PAGE), path)
    except (OSError, ValueError, InputError):
        return False  # who reads it as lines says what is wrong
    return looks_like_page(text) or says_recipe(text)


def says_recipe(text: str) -> bool:
    """Whether plain text is a recipe and no bare list of ingredient lines."""
    lines = [line for line in map(str.strip, text.splitlines()[:MOST_LINES]) if line]
    if not lines or prose.amount_at_head(prose.unnumbered(prose.bare(lines[0]))):
        return False
    return split_yield(prose.bare(lines[0]).rstrip(" :"))[1] is not None or any(map(_says, lines[1:]))


def _says(line: str) -> bool:
    """Whether a line says what only a recipe says."""
    bare = prose.bare(line)
    if says_yield(bare) or prose.section(line) in ("ingredients", "method"):
        return True
    if (labelled := prose.label(line)) is not None:
        return labelled[0] == "method"
    try:
        return said.said(Line(line), "") is not None
    except InputError:  # a weight that cannot be is one that was meant
        return True


Form = Literal["text", "yaml", "page", "captions"]


def form_of(text: str) -> Form:
    """What a text without a file's name is: plain text, a recipe file, a saved page or JSON, captions of a film."""
    if looks_like_page(text):
        return "page"
    if _CAPTIONS.match(text):
        return "captions"
    return "yaml" if _DISH_KEY.search(text) else "text"
