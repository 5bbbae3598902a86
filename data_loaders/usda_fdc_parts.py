"""What both readers of FoodData Central, CSV and JSON, end in: foods, values, measures; and the rules both keep."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from data_loaders.keyed import leading, plain
from data_loaders.schema import components
from data_loaders.usda_fdc_nutrients import ways
from nutrilab.messages import say

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd
    import pyarrow as pa

    Array = np.ndarray[Any, np.dtype[Any]]

FOUNDATION, LEGACY, SURVEY, BRANDED = "Foundation", "SR Legacy", "Survey (FNDDS)", "Branded"
# The number of a food that outlasts releases; its fdc_id changes whenever the food is published anew.
NUMBERS = {FOUNDATION: "NDB", LEGACY: "NDB", SURVEY: "food code", BRANDED: "GTIN"}
WEIGHED = ("g", "grm")  # serving_size_unit of the Branded foods stated per 100 g; of others values are per 100 ml
MOST_FOODS = 450_000  # so many are imported in less than 600 MB of memory
MOST_MIXED = 100_000  # more Branded foods than this, beside others, would only slow every search
RARE = 0.01  # with more foods than that, components that a smaller share of them has are left out
# Carbohydrate by difference falls below zero when the others sum to more than 100 g, as they do up to 106.5 g in
# SR28, which publishes 0 then.
BELOW = -7.0


class Left(StrEnum):
    """Why foods are left out; said in the table's citation."""

    VOLUME = "branded-per-100-ml"
    OLDER = "older"
    SPOILT = "branded-impossible"
    NAMELESS = "branded-nameless"
    BLANK = "valueless"
    CROWD = "branded-too-many"

    @property
    def words(self) -> str:
        """As it is said, behind a number of foods."""
        return say(f"about.left.{self}")


@dataclass(slots=True)
class Parts:
    """What one download holds.

    foods: fdc_id, kind, name, scientific_name, group, number, day (20190401, or 0), one row a food;
    older: of each food, whether a newer version of it is there; values: of the foods;
    measures: row of the food, amount, words, grams; left_out: why -> how many foods; said: a sentence for each
    pack left out because it is stated per 100 ml; inputs: file -> SHA-256.
    """

    foods: pd.DataFrame
    older: Array
    values: Values
    measures: pd.DataFrame
    inputs: dict[str, str]
    left_out: Counter[str] = field(default_factory=Counter)
    said: list[str] = field(default_factory=list)


class Values:
    """Values gathered piece by piece: row of the food, place of the nutrient in `ways`, amount in our unit.

    A Branded food with a value that cannot be is marked as spoilt: its pack was typed off wrongly. In the other
    types, which the publisher works out, such a value means a damaged file.
    """

    def __init__(self) -> None:
        import numpy as np

        self._pieces: list[tuple[Array, ...]] = []
        self._small: list[tuple[Array, ...]] = []
        self._spoilt: list[Array] = []
        self._most = np.array([way.most for way in ways()])
        self._least = np.array([BELOW if way.tagname == "CHOCDF" else 0.0 for way in ways()])

    def add(
        self, rows: Array, places: Array, amounts: Array, branded: Array, refuse: Callable[[int, str], None]
    ) -> None:
        """branded: of each value, whether its food is; refuse: raises, told the first bad value and what is wrong."""
        import numpy as np

        bad = ~((amounts >= self._least[places]) & (amounts <= self._most[places]))
        if bad.any():
            hard = np.flatnonzero(bad & ~branded)
            if hard.size:
                tagname, amount = ways()[int(places[hard[0]])].tagname, float(amounts[hard[0]])
                name = components()[tagname].name
                words = say("load.fdc-above-100-g", name=name, value=f"{amount:g}")
                if amount < 0:
                    words = say("load.fdc-below-zero", name=name, value=f"{amount:g}")
                refuse(int(hard[0]), words)
            self._spoilt.append(rows[bad])
        self._small.append((rows.astype(np.int32), places.astype(np.uint8), amounts))
        if len(self._small) >= 1000:
            self._merge()

    def _merge(self) -> None:
        """Many small pieces into one: each has overhead of its own."""
        import numpy as np

        if self._small:
            self._pieces.append(tuple(np.concatenate(column) for column in zip(*self._small, strict=True)))
            self._small.clear()

    def spoilt(self, foods: int) -> Array:
        """Of each food, whether one of its values cannot be."""
        return _marked(self._spoilt, foods)

    def known(self, foods: int) -> Array:
        """Of each food, whether it has any value."""
        self._merge()
        return _marked([piece[0] for piece in self._pieces], foods)

    def columns(self, keep: Array, refuse: Callable[[int, str], None]) -> list[Column]:
        """Component by component, for the foods to keep; empties what was gathered. refuse: told a food's row, why.

        In a large table components that few foods have are left out, unless a sum needs them.
        """
        import numpy as np

        self._merge()
        rows, places, amounts = (np.concatenate(column) for column in zip(*self._pieces, strict=True))
        self._pieces.clear()
        foods = int(keep.sum())
        least = RARE * foods if foods > MOST_MIXED else 0
        target = np.where(keep, np.cumsum(keep) - 1, -1).astype(np.int32)
        columns: dict[str, Column] = {}
        for place in np.unique(places):
            way = ways()[int(place)]
            here = np.flatnonzero(places == place)
            here = here[keep[rows[here]]]
            if here.size < least and not way.nutrient_id:
                continue
            at = target[rows[here]]
            twice = np.flatnonzero(np.bincount(at, minlength=1) > 1)
            if twice.size:
                refuse(int(np.flatnonzero(target == twice[0])[0]), say("load.nutrient-twice", number=way.number))
            if way.tagname not in columns:
                columns[way.tagname] = Column(way.tagname, np.full(foods, np.nan))
            columns[way.tagname].fill(at, amounts[here], way.words)
        return [columns[tagname] for tagname in components() if tagname in columns]


@dataclass(slots=True)
class Column:
    """One component: values of the foods, NaN where missing; notes: rows of foods and what is to be known there."""

    tagname: str
    values: Array
    notes: list[tuple[Array, str]] = field(default_factory=list)

    def fill(self, at: Array, amounts: Array, words: str) -> None:
        """Put amounts where there is none yet. Below zero, by difference, becomes 0."""
        import numpy as np

        free = np.isnan(self.values[at])
        at, amounts = at[free], amounts[free]
        self.values[at] = np.maximum(amounts, 0.0)
        if words and at.size:
            self.notes.append((at, words))
        if (amounts < 0).any():
            self.notes.append((at[amounts < 0], say("about.note-below-zero")))


def _marked(pieces: list[Array], foods: int) -> Array:
    import numpy as np

    marks = np.zeros(foods, dtype=bool)
    for rows in pieces:
        marks[rows] = True
    return marks


def poured(fdc_id: str, name: str) -> str:
    """What is said of a pack that is left out: its values are of 100 ml, and no download tells its density."""
    return say("load.per-100-ml-without-density", food=f"fdc:{fdc_id}", name=plain(name)[:60])


def day(text: str) -> int:
    """A day, "2019-04-01" or "4/1/2019", as 20190401; 0 for anything else."""
    if iso := re.fullmatch(r"(\d{4})-(\d\d)-(\d\d)", text.strip()):
        return int("".join(iso.groups()))
    if american := re.fullmatch(r"(\d{1,2})/(\d{1,2})/(\d{4})", text.strip()):
        return int(american[3]) * 10000 + int(american[1]) * 100 + int(american[2])
    return 0


def newest(keys: pa.Array, days: Array, ids: Array) -> Array:
    """Of each food, whether it is the newest of those of its key; one without a key ("") stays.

    A download may hold a food as it was published at several times. keys: lasting numbers, zeros before them aside.
    """
    import numpy as np

    encoded = keys.dictionary_encode()
    codes = encoded.indices.to_numpy()
    order = np.lexsort((ids, days, codes))
    keep = np.zeros(len(codes), dtype=bool)
    keep[order] = np.diff(codes[order], append=-1) != 0
    found: Array = keep | (codes == encoded.dictionary.index("").as_py())
    return found


# -- household measures, which each type writes in its own way

_NOTHING = frozenset(("", "undetermined"))  # measure unit 9999 of the Standard Reference's measures
# Starts of survey portions that are no measure of the food: a default for interviews, or what goes with another food
# (portions of FNDDS 2015-2016).
_NO_MEASURE = ("quantity not specified", "guideline amount")
# Weights with the part that is thrown away, or of that part alone; values are of the edible part (food_portion.csv of
# the Foundation download of 2022 has them for the samples bought).
_WASTE = frozenset(("peel", "unpeeled", "whole in shell"))


def measure(kind: str, amount: float | None, unit: str, description: str, modifier: str) -> tuple[float, str] | None:
    """Amount and words of a portion, such as 2 and "cup, chopped"; None when it is no measure of the food.

    unit: name of the measure unit ("cup", "undetermined"); description: "1 cup, chopped" in survey foods, which
    give neither amount nor unit; modifier: the Standard Reference's words, a code in survey foods.
    """
    parts = [unit.strip(), description.strip(), "" if kind == SURVEY else modifier.strip()]
    parts = [part for part in parts if part.lower() not in _NOTHING]
    if not parts or parts[-1].lower() in _WASTE or parts[0].lower().startswith(_NO_MEASURE):
        return None
    words = ", ".join(parts)
    return (amount, words) if amount and kind != SURVEY else leading(words)
