"""What the loaders of tables "keyed by food and component" share: values told row by row, measures, units, notes.

A publisher of such a table has one file with a row a value (food, component, amount) and others that say what the foods
and the components are. A loader names the columns and says which component is which of ours; the rest is here.
"""

from __future__ import annotations

import csv
import re
import sys
from array import array
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from data_loaders.csv_files import Download
from data_loaders.schema import FOOD_COLUMNS, MEASURE_COLUMNS, NOTE_COLUMNS, TableError, components
from nutrilab.messages import say

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd
    import pyarrow as pa

    Array = np.ndarray[Any, np.dtype[Any]]

CONTROL = r"[\x00-\x1f\x7f]+"
_GRAMS = {"g": 0, "mg": 3, "ug": 6}  # unit -> powers of ten in a gram
_SPELLINGS = {"µg": "ug", "μg": "ug", "mcg": "ug"}
_NUMBER = re.compile(r" *-?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})? *", re.ASCII)
_AMOUNT = re.compile(r"(\d{1,4})(?:[ -](\d{1,3})/(\d{1,3})|/(\d{1,3})|(\.\d{1,6}))?(?![\d/.])\s*|(\.\d{1,6})\s*")


def as_number(text: str) -> float:
    """What is printed as a number. Raises ValueError for what Python alone takes for one: "1_0", "٣", "nan"."""
    if not _NUMBER.fullmatch(text):
        raise ValueError(text)
    return float(text)


def plain(text: str) -> str:
    """A text without control characters and outer spaces."""
    return re.sub(CONTROL, " ", text).strip()


def factor(unit: str, wanted: str) -> float:
    """What turns a value in ``unit`` into one in ``wanted``. Raises ValueError when they do not measure the same."""
    ours = _SPELLINGS.get(unit.lower(), unit.lower())
    if ours == wanted.lower():
        return 1.0
    if ours not in _GRAMS or wanted not in _GRAMS:
        raise ValueError(unit)
    return float(10.0 ** (_GRAMS[wanted] - _GRAMS[ours]))


def listed(name: str) -> dict[str, str]:
    """A list of the loaders, ``NAME.csv``, of two columns: what the publisher writes -> what we make of it."""
    with (Path(__file__).parent / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        rows = csv.reader(line for line in file if not line.startswith("#"))
        next(rows)
        return {row[0]: row[1] for row in rows}


# -- values -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Way:
    """Which component of ours a publisher's is, and what its values are multiplied by."""

    tagname: str
    factor: float


def way(tagname: str, unit: str, file: str, line: int) -> Way:
    """The way of a publisher's component given in ``unit``. Raises TableError when our component has another kind."""
    wanted = components()[tagname].unit
    try:
        return Way(tagname, factor(unit, wanted))
    except ValueError:
        words = say("load.nutrient-given-belongs", nutrient=tagname, unit=unit[:20], wanted=wanted)
        raise TableError(words, file, line) from None


def read_values(
    download: Download, file: str, columns: tuple[str, str, str], foods: Sequence[str], ways: Mapping[str, Way | None]
) -> pd.DataFrame:
    """Foods x tagnames out of a file with a row a value; what has no row, or an empty value, is missing (NaN).

    columns: those of the food, the component and the value; foods: the keys of the foods, in the order wanted; ways:
    key of a component -> what it is, None for one that is not kept.
    Raises TableError with the line: a value of an unknown food or component, or one that stands there twice.
    """
    import numpy as np
    import pandas as pd

    codes = list(ways)
    kept = [one for one in ways.values() if one is not None]
    place = np.cumsum([one is not None for one in ways.values()]) - 1
    place[[one is None for one in ways.values()]] = -1
    grid = np.full((len(foods), len(kept)), np.nan)
    told = np.zeros(grid.shape, dtype=bool)
    by_food, by_code = pd.Index(foods), pd.Index(codes)
    for line, batch in download.batches(file, {columns[0]: "string", columns[1]: "string", columns[2]: "float64"}):
        food, component = (batch.column(name).fill_null("").to_pandas() for name in columns[:2])
        rows, at = by_food.get_indexer(food), by_code.get_indexer(component)
        _refuse(rows < 0, food, "load.value-belongs-food-unknown", file, line)
        _refuse(at < 0, component, "load.value-belongs-component-unknown", file, line)
        here = np.flatnonzero(place[at] >= 0)
        rows, at = rows[here], place[at[here]]
        again = told[rows, at] | pd.Series(rows * len(kept) + at).duplicated().to_numpy()
        _refuse(again, food.iloc[here].reset_index(drop=True), "load.value-again", file, line, here)
        told[rows, at] = True
        value = batch.column(columns[2])
        _all_numbers(value, columns[2], file, line)
        grid[rows, at] = value.to_numpy(zero_copy_only=False)[here]
    grid *= np.array([one.factor for one in kept])
    return pd.DataFrame(grid, columns=[one.tagname for one in kept])


def _all_numbers(column: pa.Array, name: str, file: str, line: int) -> None:
    """Refuse "nan" and "inf", which a reader takes for numbers; they would count as missing. Raises TableError."""
    import pyarrow.compute as pc

    finite = pc.is_finite(column).fill_null(True)
    if not pc.all(finite).as_py():
        row = finite.to_pylist().index(False)
        raise TableError(say("load.column-not-number", text=column[row].as_py(), column=name), file, line + row)


def _refuse(bad: Array, shown: pd.Series, key: str, file: str, line: int, rows: Array | None = None) -> None:
    """Raise TableError for the first row that is bad; rows: where the rows looked at stand in the batch."""
    if bad.any():
        first = int(bad.argmax())
        there = first if rows is None else int(rows[first])
        raise TableError(say(key, what=str(shown.iloc[first])[:20]), file, line + there)


def texts(
    download: Download, file: str, columns: Sequence[str], optional: Sequence[str] = ()
) -> list[tuple[int, list[str]]]:
    """Some columns of a small file as texts, with the line of each row; what is empty or not there is ""."""
    found: list[tuple[int, list[str]]] = []
    asked = dict.fromkeys(columns, "string"), dict.fromkeys(optional, "string")
    for line, batch in download.batches(file, *asked):
        cells = [batch.column(name).fill_null("").to_pylist() for name in (*columns, *optional)]
        found += ((line + i, [plain(cell) for cell in row]) for i, row in enumerate(zip(*cells, strict=True)))
    return found


def by_key(download: Download, file: str, key: str, words: str) -> dict[str, str]:
    """Key -> words of a small file. Raises TableError when a key stands in it twice."""
    found: dict[str, str] = {}
    for line, (code, text) in texts(download, file, (key, words)):
        if code in found:
            raise TableError(say("load.food-again", food=code[:20]), file, line)
        found[code] = text
    return found


# -- foods and notes --------------------------------------------------------------------------------


def foods_frame(about: Mapping[str, Sequence[object]], values: pd.DataFrame) -> pd.DataFrame:
    """The foods as the layout wants them, components in the order of components.csv; about: FOOD_COLUMNS."""
    import pandas as pd

    head = pd.DataFrame({name: list(about[name]) for name in FOOD_COLUMNS})
    head["refuse"] = head["refuse"].astype("float64")
    return pd.concat([head, values[[tag for tag in components() if tag in values]]], axis=1)


def per_100_g(values: Mapping[str, float], density: float) -> dict[str, float]:
    """Values printed per 100 ml as values per 100 g: each / density [g/ml]. Raises ValueError for none above 0."""
    if not density > 0:
        raise ValueError(density)
    return {tagname: value / density for tagname, value in values.items()}


def notes_frame(rows: Iterable[tuple[object, ...]]) -> pd.DataFrame:
    """Notes (NOTE_COLUMNS) as the layout wants them."""
    import pandas as pd

    return pd.DataFrame(list(rows), columns=list(NOTE_COLUMNS)).astype({"low": "float64", "high": "float64"})


class Places:
    """Where each of some ids stands, found by searching a sorted list: a fifth of the memory of a hash table."""

    def __init__(self, ids: Array) -> None:
        import numpy as np

        self.ids = ids
        self._order = np.argsort(ids, kind="stable").astype(np.int32)
        self._sorted = ids[self._order]

    def find(self, wanted: Array) -> Array:
        """The place of each id wanted, -1 for one that is not there."""
        import numpy as np

        at = np.minimum(np.searchsorted(self._sorted, wanted), len(self._sorted) - 1)
        found: Array = np.where(self._sorted[at] == wanted, self._order[at], -1)
        return found


# -- household measures -----------------------------------------------------------------------------


class Measures:
    """Household measures gathered one by one: row of the food, amount, words, grams."""

    def __init__(self) -> None:
        self._rows, self._amounts, self._grams = array("q"), array("d"), array("d")
        self._words: list[str] = []

    def add(self, row: int, measure: tuple[float, str] | None, grams: float | None) -> None:
        """Take one, if it is a measure and has a weight."""
        if measure and grams and 0 < grams < float("inf"):
            self._rows.append(row)
            self._amounts.append(measure[0])
            self._words.append(sys.intern(measure[1]))
            self._grams.append(grams)

    def frame(self) -> pd.DataFrame:
        import numpy as np
        import pandas as pd

        numbers = {"row": np.array(self._rows), "amount": np.array(self._amounts), "grams": np.array(self._grams)}
        return pd.DataFrame({**numbers, "words": pd.Series(self._words, dtype="str")})

    def of(self, food_ids: Sequence[str]) -> pd.DataFrame:
        """As the layout wants them; food_ids: by row."""
        import pandas as pd

        found = self.frame()
        ids = pd.Series([food_ids[row] for row in found["row"]], dtype="str")
        return found.assign(food_id=ids)[list(MEASURE_COLUMNS)]


@lru_cache(maxsize=4096)
def leading(text: str) -> tuple[float, str] | None:
    """The number a measure begins with, and the rest: "1/2 cup, dry" is 0.5 and "cup, dry"; 1 where there is none.

    None when nothing but a number, or a number that cannot be.
    """
    match = _AMOUNT.match(text.strip())
    if not match:
        return (1.0, text.strip()) if text.strip() else None
    whole, top, bottom, under, decimals, bare = match.groups()
    words = text.strip()[match.end() :].strip()
    if not words or int(bottom or under or 1) == 0:
        return None
    if under:
        amount = int(whole) / int(under)
    else:
        amount = float(bare) if bare else float(whole + (decimals or ""))
        amount += int(top) / int(bottom) if top else 0.0
    return (amount, words) if amount > 0 else None
