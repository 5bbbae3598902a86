"""What stays in food when it is cooked: minerals, vitamins and alcohol by food and method.

References
----------
[1] USDA Table of Nutrient Retention Factors, Release 6, USDA ARS Nutrient Data Laboratory, 2007: per cent of a
    component that stays in the food; data/retention.csv, data/alcohol.csv. Energy, protein, fat and carbohydrate
    stay whole in it; alcohol leaves.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from nutrilab.cooking.kinds import is_raw, kind_of, lineage
from nutrilab.datafiles import AT, rows
from nutrilab.foods import Food
from nutrilab.messages import say
from nutrilab.recipe import Cooking, Method

# A method without a row of its own asks the nearest one that has: same medium, same heat (common practice).
NEAREST: dict[Method, tuple[Method, ...]] = {
    Method.BOILED: (Method.SIMMERED, Method.POACHED),
    Method.SIMMERED: (Method.BOILED, Method.POACHED),
    Method.POACHED: (Method.SIMMERED, Method.BOILED),
    Method.STEWED: (Method.SIMMERED, Method.BOILED),
    Method.BRAISED: (Method.SIMMERED, Method.BOILED),
    Method.STEAMED: (Method.BOILED,),
    Method.MICROWAVED: (Method.STEAMED, Method.BOILED),
    Method.BAKED: (Method.ROASTED, Method.GRILLED, Method.PAN_FRIED),
    Method.ROASTED: (Method.BAKED, Method.GRILLED, Method.PAN_FRIED),
    Method.GRILLED: (Method.ROASTED, Method.PAN_FRIED, Method.BAKED),
    Method.TOASTED: (Method.GRILLED, Method.BAKED),
    Method.PAN_FRIED: (Method.STIR_FRIED, Method.GRILLED),
    Method.STIR_FRIED: (Method.PAN_FRIED, Method.GRILLED),
    Method.DEEP_FRIED: (Method.PAN_FRIED, Method.STIR_FRIED, Method.GRILLED),
}
TITLE = "USDA retention factors R6 (2007)"
OVERNIGHT = 480.0  # [min]
SHORTEST = 15.0  # [min] counted when no time is given: alcohol then reads high rather than low
_SAME_AS = {"RETOL": "VITA_RAE", "FOLDFE": "FOL", "VITB6C": "VITB6A"}  # components the table gives under a wider name
_WORDS = ("code", "food", "method", "kinds", "methods", "drained", "minutes", AT)


@dataclass(frozen=True, slots=True)
class Retention:
    """One row: code, food and method in words, and the share [0 to 1] that stays, by tagname."""

    code: int
    words: str
    kind: str
    methods: frozenset[str]
    drained: bool | None
    minutes: float | None
    factors: Mapping[str, float]

    @property
    def source(self) -> str:
        """Where the factors stand."""
        return say("cooking.by.code", table=TITLE, codes=self.code)


@cache
def table() -> dict[int, Retention]:
    """The whole table by code."""
    return {int(row["code"]): _retention(row) for row in rows("retention.csv")}


def _retention(row: dict[str, str]) -> Retention:
    factors = {t: float(v) / 100 for t, v in row.items() if t not in _WORDS}
    factors |= {t: factors[other] for t, other in _SAME_AS.items() if other in factors}
    return Retention(
        int(row["code"]),
        f"{row['food']}, {row['method']}",
        row["kinds"],
        frozenset(row["methods"].split()),
        {"yes": True, "no": False}.get(row["drained"]),
        float(row["minutes"]) if row["minutes"] else None,
        {t: v for t, v in factors.items() if v != 1.0},
    )


@cache
def _by_kind() -> dict[str, list[Retention]]:
    found: dict[str, list[Retention]] = {}
    for retention in table().values():
        if retention.kind:
            found.setdefault(retention.kind, []).append(retention)
    return found


def by_code(code: str | int) -> Retention | None:
    """The row of a published retention code; None for 0, no retention. Raises KeyError for an unknown code."""
    return None if int(code) == 0 else table()[int(code)]


def choose(food: Food, cooking: Cooking, drained: bool) -> Retention | None:
    """The row for a food and how it is cooked; None where the table says nothing, and then everything stays.

    Food that is cooked already when it goes in keeps what its own row says. The kind of food comes first, then
    the method, then whether water or drippings are thrown away, then the nearest cooking time.
    """
    if cooking.method is None or cooking.method == Method.RAW:
        return None
    kind = kind_of(food)
    if kind not in ("milk", "cheese", "flour", "nuts", "dried-fruit", "tomato-product") and not is_raw(food):
        return None
    return _choose(kind, cooking.method, drained, cooking.minutes)


@cache
def _choose(kind: str, method: Method, drained: bool, minutes: float | None) -> Retention | None:
    for ancestor in lineage(kind):
        found = _by_kind().get(ancestor, [])
        for way in (method, *NEAREST.get(method, ())):
            fitting = [r for r in found if way in r.methods]
            wet = drained and method not in (Method.STEAMED, Method.MICROWAVED)
            fitting = [r for r in fitting if r.drained in (None, wet)] or fitting
            if fitting:
                return min(fitting, key=lambda r: abs((r.minutes or 0) - (minutes or 30)))
    return None


@cache
def _decay() -> tuple[tuple[float, float], ...]:
    """Minutes on the heat -> share of alcohol left, for what is stirred in [1]."""
    found = rows("alcohol.csv")
    return tuple(sorted((float(r["minutes"]), float(r["left"]) / 100) for r in found if r["situation"] == "stirred in"))


def situation(words: str) -> float:
    """Share of alcohol left for one of the table's other situations: "no heat", "flamed", "on top" [1]."""
    return next(float(r["left"]) / 100 for r in rows("alcohol.csv") if r["situation"] == words)


def alcohol_after(minutes: float) -> float:
    """Share of alcohol left [0 to 1] after so many minutes of simmering or baking, stirred in [1].

    Straight lines between the published times (0 min 0.85, 15 min 0.40 ... 150 min 0.05), 0.05 after that.
    """
    points = _decay()
    if minutes >= points[-1][0]:
        return points[-1][1]
    for (t0, a0), (t1, a1) in itertools.pairwise(points):
        if minutes <= t1:
            return a0 + (a1 - a0) * (max(minutes, t0) - t0) / (t1 - t0)
    return points[-1][1]


def _minutes_for(share: float) -> float:
    """The time on the heat after which a share of alcohol is left: the inverse of `alcohol_after`."""
    points = _decay()
    if share >= points[0][1]:
        return 0.0
    for (t0, a0), (t1, a1) in itertools.pairwise(points):
        if share >= a1:
            return t0 + (a0 - share) / (a0 - a1) * (t1 - t0)
    return points[-1][0]


def alcohol_left(cooking: Cooking, left_before: float = 1.0) -> float:
    """Share of the alcohol that first went in [0 to 1] left after this cooking [1].

    left_before: the share left when it begins; a sauce that has simmered and is then baked goes on along the
    published curve from where it stood, so that two times of 15 minutes count as 30. Without heat nothing
    leaves, unless it stands overnight (8 h or more). Without a time, 15 minutes count.
    """
    if cooking.method is None or cooking.method == Method.RAW:
        kept = situation("no heat") if (cooking.minutes or 0) >= OVERNIGHT else 1.0
        left = left_before * kept
    else:
        minutes = SHORTEST if cooking.minutes is None else cooking.minutes
        if cooking.flamed and cooking.minutes is None:
            minutes = 0.0
        left = min(left_before, alcohol_after(_minutes_for(left_before) + minutes))
    return min(left, left_before * situation("flamed")) if cooking.flamed else left
