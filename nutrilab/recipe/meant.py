"""What to tell a cook who writes a word that a recipe file does not know ("serves: 4", "method: air-fried")."""

from __future__ import annotations

import re
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.plain import brief
from nutrilab.text import fold

_NUMBER = re.compile(r"\d{1,4}(?:[.,]\d{1,2})?")
_NO_LETTER = re.compile(r"[^a-z]+")


@cache
def _said() -> dict[tuple[str, str], str]:
    return {
        (row["of"], written): row["say"] for row in rows("recipe_meant.csv") for written in row["written"].split("|")
    }


def of_key(of: str, key: str, value: str | None) -> str | None:
    """What to do instead of a word before a colon; value: what stands behind it. None where nothing is known.

    of: "recipe", "stage" or "cooking".
    """
    said = _said().get((of, key))
    if said is None:
        return None
    number = _NUMBER.search(value or "")
    return said.format(value=brief(value or "...", 40), number=number[0] if number else "6")


def method(written: str) -> str | None:
    """What to write instead of a cooking method it does not know; None where nothing is known."""
    said = _said().get(("method", " ".join(_NO_LETTER.sub(" ", fold(written[:80])).split())))
    return said.format(value="", number="") if said else None
