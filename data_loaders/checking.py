"""Whether the figures of a food table can be: sums, parts and wholes, energy, sodium, names, what is missing.

A fault is a question to ask of a row, not a proof: published tables hold some, for reasons a food chemist would know
(baking soda loses weight when ashed, sugar-free sweets count polyols as carbohydrate). Limits and their grounds are in
sanity.csv.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from math import log10
from pathlib import Path
from typing import TYPE_CHECKING

from data_loaders.leaving_out import macronutrients, most
from data_loaders.schema import FOOD_COLUMNS, TableError, components
from nutrilab.law.energy import KJ_PER_KCAL, factors
from nutrilab.messages import say

if TYPE_CHECKING:
    import pandas as pd

# What a declaration needs; missing shares are told for these. Carbohydrate: by whichever of the two a table has.
CORE = ("WATER", "PROCNT", "FAT", "FASAT", "carbohydrate", "SUGAR", "FIBTG", "NA", "ENERC_KCAL")
_ENOUGH = 100  # values above 0 from which their middle says something
_NEARLY = 1e-9  # stands for a value of 0, which is as far off as can be
_MINERALS = ("NA", "K", "CA", "MG", "P", "CLD")  # [mg]; stand for ash where a table has none


@dataclass(frozen=True, slots=True)
class Check:
    """One row of sanity.csv: a fault is a deviation above ``limit``, of at least ``floor``."""

    name: str
    limit: float
    floor: float
    unit: str
    words: str


@dataclass(frozen=True, slots=True)
class Fault:
    """A food that does not pass a check; size: how far it is off, to put the worst first."""

    check: str
    food_id: str
    name: str
    words: str
    size: float


@dataclass(frozen=True, slots=True)
class Report:
    """What a check of a whole table found.

    looked: check -> foods it could look at; faults: by check, worst first; missing: core component -> share of foods
    without a value [0 to 1].
    """

    foods: int
    looked: Mapping[str, int]
    faults: Mapping[str, tuple[Fault, ...]]
    missing: Mapping[str, float]

    @property
    def faulty(self) -> float:
        """Share of foods with a fault in their figures [0 to 1]."""
        of_one = (found for name, found in self.faults.items() if name not in ("duplicates", "middles"))
        ids = {fault.food_id for found in of_one for fault in found}
        return len(ids) / self.foods

    @property
    def sound(self) -> bool:
        """Whether the table as a whole can be what it says it is."""
        return not self.unsound

    @property
    def unsound(self) -> str:
        """Why the table as a whole cannot be what it says it is; empty where it can."""
        for fault in (*self.faults.get("anchors", ()), *self.faults.get("middles", ())):
            if fault.size > checks()["wrong unit"].limit:
                return f"{fault.food_id}, {fault.name[:60]}: {fault.words}"
        if self.faulty > checks()["too many"].limit:
            return say("load.too-many-foods-have-figures", share=f"{self.faulty:.0%}")
        return ""


@cache
def checks() -> dict[str, Check]:
    """All checks by name, as sanity.csv has them."""
    return {
        row["check"]: Check(row["check"], float(row["limit"]), float(row["floor"]), row["unit"], row["words"])
        for row in _rows("sanity.csv")
    }


def read_foods(path: Path) -> pd.DataFrame:
    """The foods of ``NAME.foods.parquet``. Raises TableError when it cannot be read."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        frame: pd.DataFrame = pq.ParquetFile(path).read().to_pandas()
    except (OSError, ValueError, pa.ArrowException) as error:
        raise TableError(say("tables.not-readable", problem=error), path) from error
    if list(frame.columns[: len(FOOD_COLUMNS)]) != list(FOOD_COLUMNS) or frame.empty:
        raise TableError(say("load.no-food-table-ours-import"), path)
    return frame


def check_foods(foods: pd.DataFrame) -> Report:
    """Check every food of a table in the layout of schema.py."""
    view = _View(foods)
    looked: dict[str, int] = {}
    faults: dict[str, tuple[Fault, ...]] = {}
    for name, look in _LOOKS.items():
        found = look(view)
        looked[name] = int(found.off.notna().sum())
        faults[name] = _worst_first(name, found, foods)
    missing = {tag: float(view.column(tag).isna().mean()) for tag in CORE}
    return Report(len(foods), looked, faults, missing)


@dataclass(frozen=True, slots=True)
class _Found:
    """off: how far each food is off, in the unit of the check, NaN where it cannot be looked at; size: the same
    difference in its own unit, held against the floor; words: row number -> what to say."""

    off: pd.Series
    size: pd.Series
    words: Callable[[int], str]


class _View:
    """The columns of a food table as the checks ask for them; a column that is not there is all missing."""

    def __init__(self, foods: pd.DataFrame) -> None:
        self.foods = foods

    def column(self, tagname: str) -> pd.Series:
        if tagname == "carbohydrate":
            return self.available
        if tagname in self.foods:
            return self.foods[tagname].astype("float64").reset_index(drop=True)
        import pandas as pd

        return pd.Series(float("nan"), index=range(len(self.foods)), dtype="float64")

    def known(self, tagname: str) -> pd.Series:
        """A column for a sum in which what is not known counts nothing."""
        return self.column(tagname).fillna(0.0)

    @property
    def available(self) -> pd.Series:
        """CHOAVL, else CHOCDF less fibre; as nutrilab/law/energy.py counts it."""
        by_difference = (self.column("CHOCDF") - self.known("FIBTG")).clip(lower=0)
        return self.column("CHOAVL").fillna(by_difference)

    @property
    def ash(self) -> pd.Series:
        """Ash [g], or the minerals known, which are most of it."""
        minerals = sum((self.known(tag) for tag in _MINERALS[1:]), self.column("NA")) / 1000
        return self.column("ASH").fillna(minerals)


def _worst_first(name: str, found: _Found, foods: pd.DataFrame) -> tuple[Fault, ...]:
    check = checks()[name]
    off = found.off.tolist()
    bad = ((found.off > check.limit) & (found.size >= check.floor)).to_numpy().nonzero()[0].tolist()
    ids, names = foods["food_id"].tolist(), foods["name"].tolist()
    bad.sort(key=lambda i: -off[i])
    return tuple(Fault(name, ids[i], names[i], found.words(i), off[i]) for i in bad)


def _solids(view: _View) -> _Found:
    whole = view.column("CHOCDF")
    parts = view.column("CHOAVL") + view.column("FIBTG") + view.known("OA")
    total = view.column("WATER") + view.column("PROCNT") + view.column("FAT") + view.ash + view.known("ALC")
    total = total + whole.fillna(parts)
    off = (total - 100).abs()
    return _Found(off, off, lambda i: say("load.they-come-to", weight=f"{total[i]:.1f}"))


def _energy(view: _View) -> _Found:
    available = view.available
    computed = view.column("PROCNT") * factors()["PROCNT"][1] + view.column("FAT") * factors()["FAT"][1]
    computed = computed + available * factors()["CHOAVL"][1]
    polyols = view.known("POLYL").clip(upper=available.fillna(0.0))
    computed = computed + polyols * (factors()["POLYL"][1] - factors()["CHOAVL"][1])
    for tag in ("ALC", "FIBTG", "OA"):
        computed = computed + view.known(tag) * factors()[tag][1]
    given = view.column("ENERC_KCAL")
    size = (given - computed).abs()
    off = size / given.clip(lower=1.0).clip(lower=computed)
    return _Found(
        off,
        size,
        lambda i: say("load.kcal-given-kcal-components", given=f"{given[i]:.0f}", counted=f"{computed[i]:.0f}"),
    )


def _units(view: _View) -> _Found:
    kilojoules, kilocalories = view.column("ENERC_KJ"), view.column("ENERC_KCAL")
    size = (kilojoules - KJ_PER_KCAL * kilocalories).abs()
    off = size / (KJ_PER_KCAL * kilocalories).clip(lower=1.0)
    return _Found(
        off,
        size,
        lambda i: say("load.kj-kcal", kilojoules=f"{kilojoules[i]:.0f}", kilocalories=f"{kilocalories[i]:.0f}"),
    )


def _part(part: pd.Series, whole: pd.Series, key: str) -> _Found:
    off = part - whole
    return _Found(off, off, lambda i: say(key, part=f"{part[i]:.2f} g", whole=f"{whole[i]:.2f} g"))


def _saturates(view: _View) -> _Found:
    return _part(view.column("FASAT"), view.column("FAT"), "load.part-of-fat")


def _fatty_acids(view: _View) -> _Found:
    acids = view.column("FASAT") + view.column("FAMS") + view.column("FAPU")
    return _part(acids, view.column("FAT"), "load.part-of-fat")


def _sugars(view: _View) -> _Found:
    return _part(view.column("SUGAR"), view.available, "load.part-of-available")


def _fibre(view: _View) -> _Found:
    return _part(view.column("FIBTG"), view.column("CHOCDF"), "load.part-of-carbohydrate")


def _sodium(view: _View) -> _Found:
    return _part(view.column("NA") / 1000, view.column("ASH"), "load.part-of-ash")


def _impossible(view: _View) -> _Found:
    """The worst value of each food: below zero, or above what its unit allows in 100 g, as a share of that."""
    import pandas as pd

    over = {}
    for tag in view.foods.columns[len(FOOD_COLUMNS) :]:
        values = view.column(tag)
        over[tag] = (values / most(tag) - 1).where(values >= 0, 1.0).where(values.notna())
    table = pd.DataFrame(over, index=range(len(view.foods)))
    worst = table.max(axis=1)

    def words(i: int) -> str:
        tag = str(table.loc[i].idxmax())
        return say(
            "load.amount", name=components()[tag].name, value=f"{view.column(tag)[i]:g}", unit=components()[tag].unit
        )

    return _Found(worst, worst, words)


def _duplicates(view: _View) -> _Found:
    names = view.foods["name"].str.casefold().str.split().str.join(" ").reset_index(drop=True)
    again = names.duplicated().astype("float64")
    first = {name: i for i, name in reversed(list(enumerate(names)))}
    ids = view.foods["food_id"].tolist()
    return _Found(again, again, lambda i: say("load.same-name", food=ids[first[names[i]]]))


@cache
def _rows(name: str) -> tuple[dict[str, str], ...]:
    with (Path(__file__).parent / name).open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(line for line in file if not line.startswith("#")))


def _macronutrients(view: _View) -> _Found:
    total = macronutrients(view.foods).reset_index(drop=True)
    off = (total - 100).where(total > 0)
    return _Found(off, off, lambda i: say("load.they-come-to", weight=f"{total[i]:.1f}"))


def _anchors(view: _View) -> _Found:
    """How far foods whose figures everyone knows lie outside them, as a share of the nearer bound.

    Of several foods of one name the nearest counts: low-sodium salt and dried milk are no salt and no milk.
    """
    names = view.foods["name"].str.casefold().reset_index(drop=True)
    told = _Told(len(names))
    named = {row["anchor"]: _named(names, row["starts"].split("|")) for row in _rows("anchors.csv")}
    for row in _rows("anchor_figures.csv"):
        low, high, values = float(row["low"]), float(row["high"]), view.column(row["tagname"])
        there = values[named[row["anchor"]] & values.notna()]
        if there.empty:
            continue
        far = ((low / there.clip(lower=_NEARLY)).clip(lower=there / high) - 1).clip(lower=0.0).to_numpy()
        nearest = int(far.argmin())
        value, off = float(there.to_numpy()[nearest]), float(far[nearest])
        component = components()[row["tagname"]]
        usual = say("load.usual", low=f"{low:g}", high=f"{high:g}")
        words = say(
            "load.not-usual",
            name=component.name,
            value=f"{value:.4g}",
            unit=component.unit,
            usual=usual,
            off=_of_unit(off),
        )
        told.tell(int(there.index.to_numpy()[nearest]), off, words)
    return told.found


def _named(names: pd.Series, starts: list[str]) -> pd.Series:
    """Foods of the first beginning that any has: "butter, salted", then "butter" alone, then "butter, light"."""
    for start in starts:
        begins = names.str.match(re.escape(start) + (r"\b" if " " in start else r"\s*,"))
        for found in (names == start, begins):
            if found.any():
                return found
    return names == ""


def _middles(view: _View) -> _Found:
    """How far the middle of each component's values lies from that of other tables, told of the food in the middle."""
    told = _Told(len(view.foods))
    for row in _rows("middles.csv"):
        usual, values = float(row["middle"]), view.column(row["tagname"])
        there = values[values > 0]
        if len(there) < _ENOUGH:
            continue
        middle = float(there.median())
        off = max(usual / middle, middle / usual) - 1
        component = components()[row["tagname"]]
        unit = component.unit
        words = say(
            "load.half-foods-have-less-than", middle=f"{middle:.4g}", unit=unit, name=component.name, usual=f"{usual:g}"
        )
        place = int((there - middle).abs().to_numpy().argmin())
        told.tell(int(there.index.to_numpy()[place]), off, words + _of_unit(off))
    return told.found


class _Told:
    """The worst that is said of each food."""

    def __init__(self, foods: int) -> None:
        import pandas as pd

        self._off = pd.Series(float("nan"), index=range(foods), dtype="float64")
        self._words: dict[int, str] = {}

    def tell(self, place: int, off: float, words: str) -> None:
        if not self._off[place] >= off:
            self._off[place] = off
            self._words[place] = words

    @property
    def found(self) -> _Found:
        return _Found(self._off, self._off, lambda i: self._words[i])


def _of_unit(off: float) -> str:
    """What a factor of ten and more tells: units differ by powers of ten."""
    if off <= checks()["wrong unit"].limit:
        return ""
    power = max(1, round(log10(off + 1)))
    return say("load.unit-may-wrong", power=f"{10**power:,}") if power <= 9 else say("load.unit-column-may-wrong")


_LOOKS: dict[str, Callable[[_View], _Found]] = {
    "impossible": _impossible,
    "solids": _solids,
    "energy": _energy,
    "units": _units,
    "saturates": _saturates,
    "fatty acids": _fatty_acids,
    "sugars": _sugars,
    "fibre": _fibre,
    "sodium": _sodium,
    "macronutrients": _macronutrients,
    "anchors": _anchors,
    "middles": _middles,
    "duplicates": _duplicates,
}
