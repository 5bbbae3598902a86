"""What CIQUAL's two publications share: its constituents, a table as read, and the meaning of its values."""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from data_loaders.schema import TableError
from nutrilab.messages import say

if TYPE_CHECKING:
    import numpy as np

SOURCE = "fr-ciqual"
MISSING, EXACT, LESS, TRACE, BAD = range(5)  # what the text of a value says
MOST = {"g": 101.0, "mg": 1.01e5, "ug": 1.01e8, "kcal": 950.0, "kJ": 3900.0}  # per 100 g; fat alone: 900 kcal, 3700 kJ
_HERE = Path(__file__).parent
_NUMBER = re.compile(r"\d{1,9}(?:[.,]\d{1,12})?")
_NO_LETTER = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True)
class Constituent:
    """One constituent: tagname here, name in the English and French files, code in the XML files, unit per 100 g."""

    tagname: str
    english: str
    french: str
    const_code: str
    unit: str


@dataclass(frozen=True, slots=True)
class Published:
    """A table as read, foods in any order.

    file: for messages. codes: alim_code by food. english, french: names, "" where unknown. texts: foods x
    constituents, the values as published, None = not there. lines: line of the file by food, where it has one.
    confidence, low, high: as texts, only in the XML files.
    """

    file: str
    codes: list[int]
    english: list[str]
    french: list[str]
    scientific: list[str]
    groups: list[str]
    texts: np.ndarray
    lines: list[int] | None = None
    confidence: np.ndarray | None = None
    low: np.ndarray | None = None
    high: np.ndarray | None = None


def _rows(name: str) -> list[dict[str, str]]:
    with (_HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@cache
def constituents() -> tuple[Constituent, ...]:
    """The constituents in the order of the data file, which is the order of every grid here."""
    return tuple(Constituent(**row) for row in _rows("fr_ciqual_components.csv"))


@cache
def trace_bounds() -> dict[str, float]:
    """Tagname -> what "traces" is at most [unit of the component]."""
    return {row["tagname"]: float(row["bound"]) for row in _rows("traces.csv") if row["source"] == SOURCE}


def label(text: str) -> tuple[str, str]:
    """("Fat (g/100g)") -> ("fat", "g"): a name to compare by, and the unit, "" if the text ends in none."""
    name, _, tail = text[:200].rpartition("(")
    unit, _, per = tail.partition("/")
    if per.replace(" ", "") != "100g)":
        name, unit = text[:200], ""
    plain = "".join(c for c in unicodedata.normalize("NFKD", name).lower() if not unicodedata.combining(c))
    return _NO_LETTER.sub("", plain), unit.strip().replace("µ", "u").replace("μ", "u")


@cache
def by_label() -> dict[tuple[str, str], int]:
    """(name to compare by, unit) -> place of the constituent; names of both languages."""
    found = {}
    for place, one in enumerate(constituents()):
        for name in (one.english, one.french):
            found[label(f"{name} ({one.unit}/100g)")] = place
    return found


@cache
def _groups() -> dict[str, str]:
    """French name of a group -> English name."""
    return {row["french"]: row["english"] for row in _rows("fr_ciqual_groups.csv")}


def group_name(levels: Iterable[str]) -> str:
    """The two upper levels of CIQUAL's food groups as one name ("fats and oils: butters"), in English where known."""
    named = [level for level in (" ".join(one.split()) for one in levels) if level not in ("", "-")]
    return ": ".join(_groups().get(level, level) for level in named[:2])


def food_code(value: object, file: str, line: int | None = None) -> int:
    """An alim_code. Raises TableError when it is no whole number."""
    text = str(int(value)) if isinstance(value, float) and value.is_integer() else str(value or "").strip()
    if not (text.isascii() and text.isdigit() and len(text) <= 9):
        raise TableError(say("load.no-food-code-alim-code", text=text[:40]), file, line)
    return int(text)


def same_food_twice(code: int, name: str, other: str, file: str, line: int | None = None) -> TableError:
    """What is wrong when a food stands twice in a file and the two do not agree."""
    return TableError(say("load.food-stands-twice", code=code, other=other[:60], name=name[:60]), file, line)


def _one(text: Any) -> tuple[float, int]:
    """The number in a value's text and what kind of value it is."""
    if isinstance(text, int | float):
        return (float(text), EXACT) if 0 <= text < 1e9 else (0.0, BAD)
    plain = text.strip()
    if plain in ("", "-"):
        return 0.0, MISSING
    if plain.lower() == "traces":
        return 0.0, TRACE
    kind, number = (LESS, plain[1:].strip()) if plain[0] == "<" else (EXACT, plain)
    if not _NUMBER.fullmatch(number):
        return 0.0, BAD
    return float(number.replace(",", ".")), kind


def read_values(texts: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(number, kind) of every text: the number as written, for LESS its bound, NaN where MISSING or BAD, 0 in TRACE.

    Each different text is read once: a table has 213,000 values and some 7,000 texts.
    """
    import numpy as np
    import pandas as pd

    places, different = pd.factorize(texts.ravel())
    parsed = [_one(text) for text in different] + [(0.0, MISSING)]  # place -1: None
    numbers = np.array([number for number, _ in parsed])[places].reshape(texts.shape)
    kinds = np.array([kind for _, kind in parsed], dtype=np.int8)[places].reshape(texts.shape)
    numbers[(kinds == MISSING) | (kinds == BAD)] = np.nan
    return numbers, kinds


def refuse(table: Published, grid: np.ndarray, kinds: np.ndarray, numbers: np.ndarray) -> None:
    """Raise TableError for the first text of a grid that is no value, or more than there can be in 100 g."""
    import numpy as np

    most = np.array([MOST[one.unit] for one in constituents()])
    wrong = np.argwhere((kinds == BAD) | (numbers > most))
    if len(wrong):
        food, place = wrong[0]
        one = constituents()[place]
        what = (
            say("load.no-value-number-number-traces")
            if kinds[food, place] == BAD
            else say("load.more-than-100-g-food", unit=one.unit)
        )
        text = " ".join(str(grid[food, place]).split())[:40]
        raise TableError(
            say("load.under-food-fetch-file-again", text=text, name=one.english, food=table.codes[food], what=what),
            table.file,
            table.lines[food] if table.lines else None,
        )
