"""How far foods vary from batch to batch, against the lowest and highest that USDA SR28 publishes.

    python -m tests.published.variation [--write]

A range of nine in ten does not hold all of n samples: it holds the highest of them with a chance of p^n, p being the
share of batches below its upper end. So what is looked for is the p by which as many highest samples would lie inside
as do, and as many lowest: together the share of batches that the range holds. A published mean lies nearer to its own
samples than to the next batch, so for that share the ends are first moved away from it by sqrt(n / (n - 1)). Only foods
whose two ends are published count, and 2 to 50 samples. "Group": each food by its group without that food (leave one
out), as if nobody told its samples. "Own": by `variation`, where the same samples are behind the range: it shows that
they are read right, no more. "By others": saturates, carbohydrate and energy as they follow from other values, what is
published of themselves hidden; carbohydrate against the ends of CHOCDF, fibre in it, by their distance from the mean.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from math import erf, exp, pi, sqrt
from pathlib import Path
from statistics import mean, median
from typing import NamedTuple

from nutrilab.variation import ANY, variation
from nutrilab.variation.scale import scales
from tests.derive.pages import Place
from tests.derive.variation import FEWEST, NINE, One, every, known, reach_for

PAGE = Path(__file__).parents[2] / "docs" / "checked-against.md"
START, END = "<!-- variation: made by python -m tests.published.variation --write -->\n", "<!-- variation: end -->"
NAMES = {"FAT": "fat", "SUGAR": "sugars", "FIBTG": "fibre", "PROCNT": "protein", "NA": "sodium", "WATER": "water"}
FEW = {"ALC": "alcohol"}  # looked at too, but too few to hold a test against
BY_OTHERS = {
    "FASAT": ("saturates", "FASAT"),
    "CHOAVL": ("carbohydrate", "CHOCDF"),
    "ENERC_KCAL": ("energy", "ENERC_KCAL"),
}
STEP = 0.005  # half of the last digit that SR28 prints
MOST = 50  # samples; the ends of more say little of where nine in ten lie


class Seen(NamedTuple):
    """The published ends of a food's samples, and the range that is held against them."""

    count: int
    lowest: float
    highest: float
    low: float
    high: float
    moved: tuple[float, float]  # the ends as the next batches would have them

    @property
    def ends_inside(self) -> tuple[bool, bool]:
        """Whether the published lowest and highest lie inside."""
        return self.lowest >= self.low - STEP, self.highest <= self.high + STEP

    @property
    def moved_inside(self) -> tuple[bool, bool]:
        """Whether they do when they have been moved away from the mean."""
        return self.moved[0] >= self.low - STEP, self.moved[1] <= self.high + STEP


class Result(NamedTuple):
    """What came out of a check."""

    foods: int
    whole: float  # share of foods whose ends both lie inside
    expected: float  # that share if the ranges held nine in ten
    held: float  # share of the batches that the ranges hold
    wide: float  # median width by the published one


def _with_ends(tagname: str) -> list[One]:
    return [
        one for one in known(tagname)
        if one.samples.lowest is not None and one.samples.highest is not None and 2 <= one.samples.count <= MOST
    ]  # fmt: skip


def without(reach: float, deviations: Sequence[float], one: float) -> float:
    """The reach for nine in ten of a group without one of its foods, from that of all, by two steps of Newton."""
    n = len(deviations)
    found = reach
    for _ in range(2):
        full = sum(1.0 if s <= 0 else erf(found / s / sqrt(2)) for s in deviations)
        rise = sum(sqrt(2 / pi) / s * exp(-((found / s) ** 2) / 2) for s in deviations if s > 0)
        mine = 1.0 if one <= 0 else erf(found / one / sqrt(2))
        rise -= sqrt(2 / pi) / one * exp(-((found / one) ** 2) / 2) if one > 0 else 0.0
        found -= ((full - mine) - NINE * (n - 1)) / rise
    return found


@cache
def left_out(tagname: str) -> tuple[tuple[One, Seen], ...]:
    """Each food with the range by its group without it, or by all foods where its group has few."""
    groups: dict[str, list[float]] = {ANY: [one.deviation for one in known(tagname)]}
    for one in known(tagname):
        groups.setdefault(one.food.group, []).append(one.deviation)
    reaches = {group: reach_for(deviations) for group, deviations in groups.items()}
    found = []
    for one in _with_ends(tagname):
        group = one.food.group if len(groups[one.food.group]) > FEWEST else ANY
        reach = without(reaches[group], groups[group], one.deviation)
        found.append((one, _seen(one, tagname, scales()[tagname].around(one.samples.mean, reach))))
    return tuple(found)


@cache
def own(tagname: str) -> tuple[tuple[One, Seen], ...]:
    """Each food with the range by `variation`."""
    found = []
    for one in _with_ends(tagname):
        told = variation(one.food, tagname)
        if told is not None:
            found.append((one, _seen(one, tagname, (told.low, told.high))))
    return tuple(found)


@cache
def by_others(tagname: str) -> tuple[Seen, ...]:
    """Each food with the range by `variation`, its own samples of the component hidden."""
    told = BY_OTHERS[tagname][1]
    found = []
    for food in every():
        samples = food.samples()
        one = samples.get(told)
        if not one or one.lowest is None or one.highest is None or not 2 <= one.count <= MOST or one.mean <= 0:
            continue
        others = {tag: theirs for tag, theirs in samples.items() if tag != told}
        range_ = variation(replace(food, samples=lambda others=others: others), tagname)
        assert range_ is not None
        low, high, away = one.lowest - one.mean, one.highest - one.mean, sqrt(one.count / (one.count - 1))
        moved = (range_.value + away * low, range_.value + away * high)
        found.append(Seen(one.count, range_.value + low, range_.value + high, range_.low, range_.high, moved))
    return tuple(found)


def _seen(one: One, tagname: str, ends: tuple[float, float]) -> Seen:
    lowest, highest, count = one.samples.lowest, one.samples.highest, one.samples.count
    assert lowest is not None
    assert highest is not None
    scale, away = scales()[tagname], sqrt(count / (count - 1))
    y = scale.odds(one.samples.mean)
    low, high = (scale.value(y + away * (scale.odds(end) - y)) for end in (lowest, highest))
    return Seen(count, lowest, highest, *ends, (low, high))


def share(inside: Sequence[bool], counts: Sequence[int]) -> float:
    """The share of batches on the right side of an end, by how many ends lie inside: sum of p^n = how many do."""
    low, high, many = 0.0, 1.0, sum(inside)
    for _ in range(40):
        p = (low + high) / 2
        low, high = (p, high) if sum(p**n for n in counts) < many else (low, p)
    return high


def result(some: Sequence[Seen]) -> Result:
    """The figures of a row of the table."""
    ends = [one.ends_inside for one in some]
    counts = [one.count for one in some]
    moved = [one.moved_inside for one in some]
    held = share([a for a, _ in moved], counts) + share([b for _, b in moved], counts) - 1
    wide = [(one.high - one.low) / (one.highest - one.lowest) for one in some if one.highest > one.lowest]
    return Result(len(some), mean(a and b for a, b in ends), mean(NINE**n for n in counts), held, median(wide))


def page() -> str:
    """The table."""
    head = ("component", "range", "foods", "both ends inside", "expected", "holds of all batches", "width / published")
    lines = ["| " + " | ".join(head) + " |", "|---|---|--:|--:|--:|--:|--:|"]
    for way, made in (("group, left out", left_out), ("own and group", own)):
        for tagname, name in (NAMES | FEW).items():
            lines.append(_row(name, way, result([seen for _, seen in made(tagname)])))
    lines += [_row(name, "by others", result(by_others(tagname))) for tagname, (name, _) in BY_OTHERS.items()]
    return "\n".join(lines) + "\n"


def _row(name: str, way: str, one: Result) -> str:
    shares = f"{100 * one.whole:.0f} % | {100 * one.expected:.0f} % | {100 * one.held:.0f} %"
    return f"| {name} | {way} | {one.foods} | {shares} | {one.wide:.1f} |"


def written() -> str:
    """The table as it stands in the page."""
    return Place(PAGE, START, END).written()


if __name__ == "__main__":
    Place(PAGE, START, END).main(page)
