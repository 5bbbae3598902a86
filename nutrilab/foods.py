"""The food table: parquet in, one food out, with its household measures and provenance."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property, partial
from itertools import pairwise
from math import nan
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from data_loaders.disk import steady
from data_loaders.schema import FOOD_COLUMNS, WORD_COLUMNS, Provenance, TableError, english_name, read_provenance
from nutrilab.datafiles import FOLDER
from nutrilab.messages import say

if TYPE_CHECKING:
    import numpy as np
    import pyarrow as pa
    import pyarrow.parquet as pq

EMBEDDED = "usda-sr"
_MEASURES = ("amount", "words", "grams")
_SAMPLES = ("tagname", "samples", "error", "lowest", "highest", "freedom", "code")
# Read as codes: to make each word of thousands anew takes long.
_CODED = {"measures": ("food_id", "words"), "variation": ("food_id", "tagname", "code")}


@dataclass(frozen=True, slots=True)
class HouseholdMeasure:
    """``amount`` of ``words`` of a food weigh ``grams`` [g], as its table says ("1 cup, shredded")."""

    amount: float
    words: str
    grams: float


@dataclass(frozen=True, slots=True)
class Samples:
    """What a table says of the samples behind one value, which is their ``mean`` [the component's unit per 100 g].

    count: how many; error: standard error of the mean; lowest, highest; freedom: degrees of freedom; code: how the
    publisher came by the value. None where the table does not say.
    """

    mean: float
    count: int
    error: float | None
    lowest: float | None
    highest: float | None
    freedom: float | None
    code: str


def no_samples() -> Mapping[str, Samples]:
    """Of a food of which no table tells its samples."""
    return {}


@dataclass(frozen=True, slots=True)
class Food:
    """One food of a table, or one composed of several (then ``parts`` holds their shares).

    values: INFOODS tagname -> amount per 100 g edible portion in the component's unit, only those
    known; refuse: share thrown away of the food as bought, 0 to 1, None if the table does not say; bounds: tagname
    -> lowest and highest the value may be, for traces, "less than" and conversions; like: what the embedded table has
    for the same words, for rules that go by its names and groups; borrowed: tagname -> the food of another table that
    lent the value; english: its English name where ``name`` is of another language, "" where nobody gives one,
    None where ``name`` is read as it stands; ingredients: the text of its pack, "" without one; samples: tagname -> the
    samples behind the value as its table has it, read when it is called; worked: what was worked out of it once.
    """

    food_id: str
    name: str
    group: str
    source: str
    refuse: float | None
    values: Mapping[str, float]
    measures: tuple[HouseholdMeasure, ...] = ()
    parts: tuple[tuple[Food, float], ...] = ()
    bounds: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    like: Food | None = None
    borrowed: Mapping[str, Food] = field(default_factory=dict)
    english: str | None = None
    ingredients: str = ""
    samples: Callable[[], Mapping[str, Samples]] = field(default=no_samples, compare=False, repr=False)
    worked: dict[object, Any] = field(init=False, default_factory=dict, compare=False, repr=False)

    @property
    def called(self) -> str:
        """Its name, with the English one behind it where that is another."""
        return f"{self.name} ({self.english})" if self.english else self.name

    def source_of(self, tagname: str) -> str:
        """Where the value of a component stands."""
        return self.borrowed.get(tagname, self).source


class FoodTable:
    """A food table in memory, columns read when first asked for.

    All its files are opened at once, so that an import meanwhile changes nothing for who has opened it.
    """

    def __init__(self, path: Path) -> None:
        """Open ``NAME.foods.parquet``. Raises TableError when it or its measures file is missing or damaged."""
        self.path = path
        steady(path, self._open)

    def _open(self) -> None:
        file = self._parquet(self.path.name, "tables.not-readable")
        self.provenance: Provenance = read_provenance(file.schema_arrow.metadata, self.path)
        self._measures_file = self._parquet(self.provenance.measures_file, "tables.measures-not-readable")
        named = self.provenance.notes_file
        self._notes_file = self._parquet(named, "tables.notes-not-readable") if named else None
        named = self.provenance.variation_file
        self._variation_file = self._parquet(named, "tables.variation-not-readable") if named else None
        named = self.provenance.labels_file
        self._labels_file = self._parquet(named, "tables.labels-not-readable") if named else None
        named = self.provenance.words_file
        self._words_file = self._parquet(named, "tables.words-not-readable") if named else None
        self.tagnames: tuple[str, ...] = tuple(file.schema_arrow.names[len(FOOD_COLUMNS) :])
        head = file.read(columns=["food_id", "name", "group"])
        self.ids: list[str] = head["food_id"].to_pylist()
        self.names: list[str] = head["name"].to_pylist()
        self.groups: list[str] = head["group"].to_pylist()
        self.row: dict[str, int] = {food_id: i for i, food_id in enumerate(self.ids)}
        self._known: dict[str, Food] = {}
        self._samples: dict[str, dict[str, Samples]] = {}
        self._file = file

    def _parquet(self, name: str, fault: str) -> pq.ParquetFile:
        """One file of the table, open. Raises TableError."""
        import pyarrow.parquet as pq

        try:
            coded = next((columns for kind, columns in _CODED.items() if f".{kind}." in name), None)
            return pq.ParquetFile(self.path.with_name(name), read_dictionary=coded)
        except (OSError, ValueError, KeyError) as error:
            raise TableError(say(fault, problem=error), self.path) from error

    def __len__(self) -> int:
        return len(self.ids)

    def __contains__(self, food_id: str) -> bool:
        return food_id in self.row

    @cached_property
    def _values(self) -> np.ndarray:
        """Foods x tagnames, missing = NaN."""
        import numpy as np

        table = self._file.read(columns=list(self.tagnames))
        values = np.empty((len(self.tagnames), len(self.ids)))
        for place, column in enumerate(table.columns):  # a column at a time: half the time of rows
            _fill(values[place], column)
        return values.T

    @cached_property
    def _refuse(self) -> np.ndarray:
        import numpy as np

        refuse = np.empty(len(self.ids))
        _fill(refuse, self._file.read(columns=["refuse"])["refuse"])
        return refuse

    @cached_property
    def _english(self) -> dict[str, str]:
        """Food -> English name, of the foods that have one beside a name of another language."""
        second = self._file.read(columns=["scientific_name"])["scientific_name"].to_pylist()
        return {
            food: name for food, text in zip(self.ids, second, strict=True) if text and (name := english_name(text))
        }

    @cached_property
    def _measures(self) -> _ByFood:
        try:
            return _ByFood(self._measures_file, _MEASURES)
        except (OSError, ValueError) as error:
            raise TableError(say("tables.measures-not-readable", problem=error), self.path) from error

    @cached_property
    def _bounds(self) -> dict[str, dict[str, tuple[float, float]]]:
        """Food -> component -> bounds, of the values the table has a note on; the widest where notes overlap."""
        if self._notes_file is None:
            return {}
        try:
            rows = self._notes_file.read(columns=["food_id", "tagname", "low", "high"]).to_pylist()
        except (OSError, ValueError) as error:
            raise TableError(say("tables.notes-not-readable", problem=error), self.path) from error
        found: dict[str, dict[str, tuple[float, float]]] = {}
        for row in rows:
            low, high = row["low"], row["high"]
            if low is None or high is None or low != low or high != high:
                continue
            mine = found.setdefault(row["food_id"], {})
            before = mine.get(row["tagname"], (low, high))
            mine[row["tagname"]] = (min(low, before[0]), max(high, before[1]))
        return found

    @cached_property
    def _variation(self) -> _ByFood:
        assert self._variation_file is not None
        try:
            return _ByFood(self._variation_file, _SAMPLES)
        except (OSError, ValueError) as error:
            raise TableError(say("tables.variation-not-readable", problem=error), self.path) from error

    @cached_property
    def words(self) -> list[dict[str, str]]:
        """The words of cooks that the table brings for its foods (WORD_COLUMNS), in order."""
        if self._words_file is None:
            return []
        try:
            found: list[dict[str, str]] = self._words_file.read(columns=list(WORD_COLUMNS)).to_pylist()
        except (OSError, ValueError) as error:
            raise TableError(say("tables.words-not-readable", problem=error), self.path) from error
        return found

    @cached_property
    def _labels(self) -> dict[str, str]:
        """Food -> the ingredients text of its pack, of those that have one."""
        if self._labels_file is None:
            return {}
        try:
            rows = self._labels_file.read()
        except (OSError, ValueError) as error:
            raise TableError(say("tables.labels-not-readable", problem=error), self.path) from error
        return dict(zip(rows["food_id"].to_pylist(), rows["ingredients"].to_pylist(), strict=True))

    @cached_property
    def sources(self) -> list[str]:
        """Where each food's values stand, in the table's order."""
        sources: list[str] = self._file.read(columns=["source"])["source"].to_pylist()
        return sources

    def samples_of(self, food_id: str) -> dict[str, Samples]:
        """The samples behind the values of a food, as far as the table tells them."""
        if self._variation_file is None:
            return {}
        if food_id not in self._samples:
            self._samples[food_id] = self._samples_of(food_id)
        return self._samples[food_id]

    def _samples_of(self, food_id: str) -> dict[str, Samples]:
        values = self.values_of(food_id)
        return {
            tagname: Samples(values.get(tagname, nan), int(count or 0), error, lowest, highest, freedom, code or "")
            for tagname, count, error, lowest, highest, freedom, code in self._variation.of(food_id)
        }

    def column(self, tagname: str) -> np.ndarray:
        """One component for all foods, per 100 g, missing = NaN. Raises KeyError if the table lacks it."""
        if tagname not in self.tagnames:
            raise KeyError(tagname)
        return self._values[:, self.tagnames.index(tagname)]

    def values_of(self, food_id: str) -> dict[str, float]:
        """The values of a food, only those known. Raises KeyError if the table does not hold it."""
        return {t: v for t, v in zip(self.tagnames, self._values[self.row[food_id]].tolist(), strict=True) if v == v}

    def food(self, food_id: str) -> Food:
        """One food by its id. Raises KeyError if the table does not hold it."""
        if food_id not in self._known:
            i = self.row[food_id]
            refuse = float(self._refuse[i])
            self._known[food_id] = Food(
                food_id=food_id,
                name=self.names[i],
                group=self.groups[i],
                source=self.sources[i],
                refuse=refuse if refuse == refuse else None,
                values=self.values_of(food_id),
                measures=tuple([HouseholdMeasure(*one) for one in self._measures.of(food_id)]),
                bounds=self._bounds.get(food_id, {}),
                english=self._english.get(food_id),
                ingredients=self._labels.get(food_id, ""),
                samples=partial(self.samples_of, food_id) if self._variation_file else no_samples,
            )
        return self._known[food_id]


def _fill(values: np.ndarray, column: pa.ChunkedArray) -> None:
    """Put a float64 column into an array, missing = NaN, read from its buffers.

    ChunkedArray.to_numpy gives the same but imports pandas when there are nulls, 0.3 s.
    """
    import numpy as np

    array = column.combine_chunks()
    valid, data = array.buffers()
    span = slice(array.offset, array.offset + len(array))
    values[:] = np.frombuffer(data, dtype=np.float64)[span]
    if valid is not None:
        values[np.unpackbits(np.frombuffer(valid, dtype=np.uint8), bitorder="little")[span] == 0] = np.nan


class _ByFood:
    """The rows of a file beside a table, taken out for one food at a time: a food's stand together."""

    def __init__(self, file: pq.ParquetFile, columns: Sequence[str]) -> None:
        import numpy as np

        table: pa.Table = file.read(columns=["food_id", *columns])  # read_table would import pandas, 0.3 s
        self._places: dict[str | None, tuple[int, int]] = {}
        self._columns = [_column(table[name]) for name in columns] if len(table) else []
        if len(table):
            codes, foods = _coded(table["food_id"])
            starts = np.flatnonzero(np.diff(codes, prepend=-1, append=-1)).tolist()
            self._places = {foods[codes[start]]: (start, end) for start, end in pairwise(starts)}

    def of(self, food_id: str) -> list[tuple[Any, ...]]:
        """The rows of a food, with None for what is missing."""
        start, end = self._places.get(food_id, (0, 0))
        return list(zip(*(column(start, end) for column in self._columns), strict=True))


def _column(column: pa.ChunkedArray) -> Callable[[int, int], list[Any]]:
    """What a column holds from one row to another, None for what is missing."""
    import numpy as np

    if column.type == "double":
        values = np.empty(len(column))
        _fill(values, column)
        return lambda start, end: [None if value != value else value for value in values[start:end].tolist()]
    if hasattr(column.type, "value_type"):
        codes, words = _coded(column)
        return lambda start, end: [words[code] for code in codes[start:end].tolist()]
    return lambda start, end: cast(list[Any], column[start:end].to_pylist())


def _coded(column: pa.ChunkedArray) -> tuple[np.ndarray, list[str | None]]:
    """Codes of words and the words; the last of them, None, is what is missing."""
    import numpy as np

    array = column.combine_chunks()
    valid, data = array.indices.buffers()
    codes = np.frombuffer(data, dtype=np.int32)[array.offset : array.offset + len(array)]
    if valid is not None:
        held = np.unpackbits(np.frombuffer(valid, dtype=np.uint8), bitorder="little")
        codes = np.where(held[array.offset : array.offset + len(array)], codes, -1)
    return codes, [*array.dictionary.to_pylist(), None]


def restated(food: Food, factor: float) -> Food:
    """A food as weighed in another state than its table row: 1 g weighed stands for ``factor`` g of the row.

    What the row holds is scaled; water makes up the difference in mass, and is missing if the row lacks it:

        c' = c * factor;  WATER' = WATER * factor + 100 * (1 - factor)   [per 100 g]
    """
    values = {tagname: value * factor for tagname, value in food.values.items()}
    if "WATER" in values:
        values["WATER"] = max(0.0, values["WATER"] + 100 * (1 - factor))
    bounds = {tagname: (low * factor, high * factor) for tagname, (low, high) in food.bounds.items()}
    return replace(food, values=values, bounds=bounds)


def compose(food_id: str, name: str, parts: Iterable[tuple[Food, float]]) -> Food:
    """A food mixed from others by share of mass [1]; shares must add up to 1.

    A component that one part lacks is missing in the mix: missing is never zero.
    Household measures and refuse are those of the largest part.
    """
    known = tuple(parts)
    if abs(sum(share for _, share in known) - 1) > 1e-6 or any(share < 0 for _, share in known):
        raise ValueError(f"{food_id}: the shares of its parts do not add up to 1")
    common = set.intersection(*(set(food.values) for food, _ in known))
    values = {t: sum(food.values[t] * share for food, share in known) for t in known[0][0].values if t in common}
    main = max(known, key=lambda part: part[1])[0]
    sources = " + ".join(dict.fromkeys(food.source for food, _ in known))
    return Food(food_id, name, main.group, sources, main.refuse, values, main.measures, known)


@cache
def open_table(path: Path) -> FoodTable:
    """A food table, opened once in a process."""
    return FoodTable(path)


def embedded() -> FoodTable:
    """The table that comes with the package: USDA Standard Reference, Release 28."""
    return open_table(FOLDER / f"{EMBEDDED}.foods.parquet")
