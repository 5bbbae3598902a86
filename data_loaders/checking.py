"""Whether the figures of a food table can be: sums, parts and wholes, energy, sodium, names, what is missing.

A fault is a question to ask of a row, not a proof: published tables hold some, for reasons a food chemist would know
(baking soda loses weight when ashed, sugar-free sweets count polyols as carbohydrate). Limits and their grounds are in
sanity.csv.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from data_loaders.energy import KJ_PER_KCAL, factors
from data_loaders.leaving_out import most
from data_loaders.schema import FOOD_COLUMNS, TableError, components

if TYPE_CHECKING:
    import pandas as pd

# What a declaration needs; missing shares are told for these. Carbohydrate: by whichever of the two a table has.
CORE = ("WATER", "PROCNT", "FAT", "FASAT", "carbohydrate", "SUGAR", "FIBTG", "NA", "ENERC_KCAL")
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
        ids = {fault.food_id for name, found in self.faults.items() if name != "duplicates" for fault in found}
        return len(ids) / self.foods

    @property
    def sound(self) -> bool:
        """Whether the table as a whole can be what it says it is."""
        return not self.faults.get("anchors") and self.faulty <= checks()["too many"].limit


@cache
def checks() -> dict[str, Check]:
    """All checks by name, as sanity.csv has them."""
    with (Path(__file__).parent / "sanity.csv").open(encoding="utf-8", newline="") as file:
        return {
            row["check"]: Check(row["check"], float(row["limit"]), float(row["floor"]), row["unit"], row["words"])
            for row in csv.DictReader(file)
        }


def read_foods(path: Path) -> pd.DataFrame:
    """The foods of ``NAME.foods.parquet``. Raises TableError when it cannot be read."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        frame: pd.DataFrame = pq.ParquetFile(path).read().to_pandas()
    except (OSError, ValueError, pa.ArrowException) as error:
        raise TableError(f"the food table cannot be read ({error}); import it again", path) from error
    if list(frame.columns[: len(FOOD_COLUMNS)]) != list(FOOD_COLUMNS) or frame.empty:
        raise TableError("this is no food table of ours; import it again", path)
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
        """CHOAVL, else CHOCDF less fibre; as nutrilab/energy.py counts it."""
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
    return _Found(off, off, lambda i: f"they come to {total[i]:.1f} g")


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
    return _Found(off, size, lambda i: f"{given[i]:.0f} kcal given, {computed[i]:.0f} kcal by its components")


def _units(view: _View) -> _Found:
    kilojoules, kilocalories = view.column("ENERC_KJ"), view.column("ENERC_KCAL")
    size = (kilojoules - KJ_PER_KCAL * kilocalories).abs()
    off = size / (KJ_PER_KCAL * kilocalories).clip(lower=1.0)
    return _Found(off, size, lambda i: f"{kilojoules[i]:.0f} kJ and {kilocalories[i]:.0f} kcal")


def _part(part: pd.Series, whole: pd.Series, words: str) -> _Found:
    off = part - whole
    return _Found(off, off, lambda i: words.format(part[i], whole[i]))


def _saturates(view: _View) -> _Found:
    return _part(view.column("FASAT"), view.column("FAT"), "{:.2f} g in {:.2f} g of fat")


def _fatty_acids(view: _View) -> _Found:
    acids = view.column("FASAT") + view.column("FAMS") + view.column("FAPU")
    return _part(acids, view.column("FAT"), "{:.2f} g in {:.2f} g of fat")


def _sugars(view: _View) -> _Found:
    whole = view.column("CHOAVL").fillna(view.column("CHOCDF"))
    return _part(view.column("SUGAR"), whole, "{:.2f} g in {:.2f} g of carbohydrate")


def _fibre(view: _View) -> _Found:
    return _part(view.column("FIBTG"), view.column("CHOCDF"), "{:.2f} g in {:.2f} g of carbohydrate")


def _sodium(view: _View) -> _Found:
    return _part(view.column("NA") / 1000, view.column("ASH"), "{:.2f} g in {:.2f} g of ash")


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
        return f"{components()[tag].name} of {view.column(tag)[i]:g} {components()[tag].unit}"

    return _Found(worst, worst, words)


def _duplicates(view: _View) -> _Found:
    names = view.foods["name"].str.casefold().str.split().str.join(" ").reset_index(drop=True)
    again = names.duplicated().astype("float64")
    first = {name: i for i, name in reversed(list(enumerate(names)))}
    ids = view.foods["food_id"].tolist()
    return _Found(again, again, lambda i: f"the name of {ids[first[names[i]]]} as well")


@cache
def anchors() -> tuple[dict[str, str], ...]:
    """The rows of anchors.csv."""
    with (Path(__file__).parent / "anchors.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(line for line in file if not line.startswith("#")))


def _anchors(view: _View) -> _Found:
    """How far foods whose figures everyone knows lie outside them, as a share of the nearer bound."""
    import pandas as pd

    names = view.foods["name"].str.casefold().reset_index(drop=True)
    off = pd.Series(float("nan"), index=names.index)
    words: dict[int, str] = {}
    for row in anchors():
        low, high, values = float(row["low"]), float(row["high"]), view.column(row["tagname"])
        component = components()[row["tagname"]]
        for i in names.index[_named(names, row["starts"].split("|")) & values.notna()]:
            far = max(low / max(values[i], 1e-12), values[i] / high) - 1
            if not off[i] >= max(far, 0.0):
                off[i] = max(far, 0.0)
                told = f"{component.name} of {values[i]:g} {component.unit} where {low:g} to {high:g} is usual"
                words[i] = f"{told}; a unit may be wrong"
    return _Found(off, off, lambda i: words[i])


def _named(names: pd.Series, starts: list[str]) -> pd.Series:
    """Foods of the first beginning that any has: "butter, salted" before a bare "butter", which must be all."""
    for start in starts:
        found = names.str.startswith(start) if " " in start else names == start
        if found.any():
            return found
    return names == ""


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
    "anchors": _anchors,
    "duplicates": _duplicates,
}
