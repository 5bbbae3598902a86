"""Which food it is: how far the other foods that a name may stand for lie from the one it was linked to.

A likely food may be another of its kind: the rows of the table whose names begin with the same word and that hold about
as much dry matter (butter with salt or without, not butter oil), but for what a cook would have said (light, low in
salt: which_words.csv). A doubtful one may be another of its group too, whatever its name says. The nearest by their
names count, each by the share of words they have in common. To each side, on the scale on which foods are compared
(`scale`), a likely food reaches 1.645 times the root of their mean squared distance, but not beyond the farthest of
them; a doubtful one to the farthest. Of a food that is sure there is no such doubt, but for what its words leave open
all the same: meat trimmed or not, a bird skinned or not (which_pairs.csv).

How many of the foods that people named as the best lie inside: docs/checked-against.md.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from math import sqrt

from nutrilab.datafiles import rows
from nutrilab.foods import Food, FoodTable
from nutrilab.lexicon.sureness import Sureness
from nutrilab.lines import Reading
from nutrilab.linking.kin import beginnings, head, role, words_of
from nutrilab.once import once
from nutrilab.variation.scale import NINE_IN_TEN, declared, odds_among, odds_of, scales, values_of

LIKELY, DOUBTFUL = 8, 16  # how many other foods count
SAME = 0.6  # share of words in common from which two rows are one cut, one bird
STATE = 2.0  # a food with more than so many times the dry matter of another, or less, is in another state


class Kin:
    """The foods of a table by what their names have in common."""

    def __init__(self, table: FoodTable) -> None:
        self.table = table
        self._odds: dict[int, Mapping[str, float]] = {}
        self._known: dict[tuple[str, Sureness], dict[str, tuple[float, float]]] = {}
        self._paired: dict[tuple[str, Pair], dict[str, tuple[float, float]]] = {}

    def reaches(self, food: Food, sureness: Sureness) -> Mapping[str, tuple[float, float]]:
        """How far down and up from a food those lie that it may be, by component, on its scale."""
        key = food.food_id, sureness
        if key not in self._known:
            self._known[key] = self._reaches(food, sureness == Sureness.DOUBTFUL)
        return self._known[key]

    def _reaches(self, food: Food, doubtful: bool) -> dict[str, tuple[float, float]]:
        others, found = self._others(food, doubtful), {}
        for tagname, y in odds_of(food).items():
            steps = [(share, odds[tagname] - y) for share, odds in others if tagname in odds]
            below = [(share, max(0.0, -step)) for share, step in steps]
            found[tagname] = _reach(below, doubtful), _reach([(s, max(0.0, step)) for s, step in steps], doubtful)
        return found

    def _others(self, food: Food, doubtful: bool) -> list[tuple[float, Mapping[str, float]]]:
        """The foods nearest by name that it may be: the share of words in common, and their odds."""
        near = set(beginnings(self.table).get(head(food.name), ()))
        if doubtful:
            near |= set(self._groups.get(food.group, ()))
        name, names = words_of(food.name), self.table.names
        common = [(held, row) for row in near if not name.isdisjoint(held := words_of(names[row]))]
        alike = sorted([(-_alike(name, held), row) for held, row in common])
        found: list[tuple[float, Mapping[str, float]]] = []
        for share, row in alike:
            if len(found) == (DOUBTFUL if doubtful else LIKELY):
                break
            if names[row] == food.name or (not doubtful and _told_apart(names[row], food)):
                continue
            if _in_its_state(self._water[row], food):
                found.append((-share, self._odds_of(row)))
        return found

    def _odds_of(self, row: int) -> Mapping[str, float]:
        """The odds of the values of a row of the table."""
        if row not in self._odds:
            self._odds[row] = odds_among(declared(self.table.values_of(self.table.ids[row])))
        return self._odds[row]

    @cached_property
    def _water(self) -> list[float | None]:
        """The water of each row of the table [g/100 g]."""
        if "WATER" not in self.table.tagnames:
            return [None] * len(self.table)
        return [water if water == water else None for water in self.table.column("WATER").tolist()]

    def between(self, food: Food, pair: Pair) -> Mapping[str, tuple[float, float]]:
        """How far down and up the other food of a pair lies from this one, by component; nothing where none is."""
        key = food.food_id, pair
        if key not in self._paired:
            other, found = self._other(food, pair), {}
            theirs = {} if other is None else odds_of(other)
            for tagname, y in odds_of(food).items():
                if tagname in theirs:
                    step = theirs[tagname] - y
                    found[tagname] = max(0.0, -step), max(0.0, step)
            self._paired[key] = found
        return self._paired[key]

    def _other(self, food: Food, pair: Pair) -> Food | None:
        """The other food of a pair: by its id, or the row most like this one that holds the other words."""
        if pair.other in self.table:
            return self.table.food(pair.other)
        name, named = words_of(food.name.replace(pair.holds, pair.other)), self.table.names
        near = (row for row in beginnings(self.table).get(head(food.name), ()) if pair.other in named[row])
        best = max(((_alike(name, words_of(named[row])), -row) for row in near), default=(0.0, 0))
        return self.table.food(self.table.ids[-best[1]]) if best[0] >= SAME else None

    @cached_property
    def _groups(self) -> dict[str, list[int]]:
        found: dict[str, list[int]] = {}
        for row, group in enumerate(self.table.groups):
            found.setdefault(group, []).append(row)
        return found


@cache
def kin_of(table: FoodTable) -> Kin:
    """The kin of a table, put in order once in a process."""
    return Kin(table)


def _reach(steps: Sequence[tuple[float, float]], doubtful: bool) -> float:
    """How far nine in ten lie to one side, of foods so far off [at least 0], each with its share."""
    farthest = max((step for _, step in steps), default=0.0)
    if doubtful or not farthest:
        return farthest
    total = sum(share for share, _ in steps)
    return min(farthest, NINE_IN_TEN * sqrt(sum(share * step**2 for share, step in steps) / total))


def _in_its_state(water: float | None, food: Food) -> bool:
    """Whether what holds so much water holds about as much dry matter as a food."""
    return 1 / STATE <= _dry(water) / _dry(food.values.get("WATER")) <= STATE


def _told_apart(name: str, food: Food) -> bool:
    """Whether the name of another food holds what would have been said of this one."""
    return not role("said").isdisjoint(words_of(name) - words_of(food.name))


def _alike(one: frozenset[str], other: frozenset[str]) -> float:
    common = len(one & other)
    return common / (len(one) + len(other) - common) if common else 0.0


def _dry(water: float | None) -> float:
    """Dry matter of 100 g [g]; half where nobody tells."""
    return max(1.0, 100 - water) if water is not None else 50.0


@dataclass(frozen=True, slots=True)
class Pair:
    """A row of which_pairs.csv; unless: words and states of a line that settle it; asks: what a cook can say of it."""

    holds: str
    other: str
    unless: frozenset[str]
    asks: str


@cache
def pairs() -> tuple[Pair, ...]:
    """Foods that a cook calls by the same words."""
    return tuple(
        Pair(row["holds"], row["other"], frozenset(row["unless"].split("|")), row["asks"])
        for row in rows("which_pairs.csv")
    )


@once
def _pair_of(food: Food) -> Pair | None:
    return next((pair for pair in pairs() if pair.holds in food.name), None)


def unsaid(linked: Food, reading: Reading, name: str) -> Pair | None:
    """What a line leaves open of a food, however sure it is: whether meat is trimmed, a bird skinned; None if nothing.

    name: the words of the line for the food.
    """
    found = _pair_of(linked)
    if found is None or not found.unless.isdisjoint(reading.wording.said | reading.query(name).attributes):
        return None
    return found


def which(
    food: Food, linked: Food, sureness: Sureness, table: FoodTable, open_: Pair | None = None
) -> dict[str, tuple[float, float]]:
    """By how much less and more of a component 100 g may hold [its unit], were it another food that the name may mean.

    food: as weighed; linked: as it stands in the table, or is composed of its foods; open_: what the line leaves open.
    """
    kin, reaches = kin_of(table), {}
    if sureness in (Sureness.LIKELY, Sureness.DOUBTFUL):
        reaches = dict(kin.reaches(linked, sureness))
    if open_ is not None:
        for tagname, (down, up) in kin.between(linked, open_).items():
            less, more = reaches.get(tagname, (0.0, 0.0))
            reaches[tagname] = max(less, down), max(more, up)
    own, found = values_of(food), {}
    for tagname, (down, up) in reaches.items():
        value = own.get(tagname)
        if value is not None and (down or up):
            scale = scales()[tagname]
            found[tagname] = value - scale.around(value, down)[0], scale.around(value, up)[1] - value
    return found
