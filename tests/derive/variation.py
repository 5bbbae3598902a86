"""Write nutrilab/data/variation.csv: how far foods of a group vary from batch to batch, by the samples SR28 tells of.

Run: python -m tests.derive.variation
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from functools import cache
from math import erf, exp, log, sqrt
from pathlib import Path
from statistics import median, stdev
from typing import NamedTuple

from nutrilab.foods import Food, Samples, embedded
from nutrilab.variation import ANY, OF_FAT
from nutrilab.variation.scale import NINE_IN_TEN, measured

TARGET = Path(__file__).parents[2] / "nutrilab" / "data" / "variation.csv"
FEWEST = 8  # foods of a group; with fewer the row of all foods stands
COMPONENTS = ("FAT", "SUGAR", "FIBTG", "PROCNT", "NA", "WATER", "ALC")
NINE = 0.9
LEAST_FAT, LEAST_KIN = 3.0, 5  # [g in 100 g], foods: of these the share of saturates in fat is compared
HEAD = f"""\
# How far a food varies from batch to batch of which no samples are published, by its group in USDA SR28. Script:
# tests/derive/variation.py. Of every food of the group with samples, the standard deviation s on the scale of
# variation_scale.csv (nutrilab/variation/scale.py). reach: nine in ten of the batches of a food drawn from the group
# lie this far to each side; the mean over its foods of P(|z| < reach / s) is 0.9. low, high: what that makes of a small
# value, per cent of it. foods: how many; a group with fewer than {FEWEST} has no row, and the row "any" stands.
# {OF_FAT}: the share of saturates in fat, 1.645 times the median standard deviation of its logarithm among foods of
# one kind (the same first two words of their names in SR28).
"""


class One(NamedTuple):
    """A food with samples: its deviation on the scale."""

    food: Food
    samples: Samples
    deviation: float


@cache
def every() -> tuple[Food, ...]:
    """The foods of the embedded table."""
    table = embedded()
    return tuple(table.food(food_id) for food_id in table.ids)


@cache
def known(tagname: str) -> tuple[One, ...]:
    """The foods of which the table tells how far samples of a component lay apart; not of one that never holds it."""
    found = []
    for food in every():
        samples = food.samples().get(tagname)
        own = measured(samples, tagname) if samples else None
        if samples and own and (samples.mean > 0 or own.deviation > 0):
            found.append(One(food, samples, own.deviation))
    return tuple(found)


def inside(reach: float, deviations: Iterable[float]) -> float:
    """Share of the batches of foods of these deviations that lie within a reach, foods counting alike."""
    shares = [1.0 if s <= 0 else erf(reach / s / sqrt(2)) for s in deviations]
    return sum(shares) / len(shares)


def reach_for(deviations: Sequence[float]) -> float:
    """The reach within which nine in ten lie, by halving."""
    low, high = 0.0, NINE_IN_TEN * max(deviations)
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if inside(middle, deviations) < NINE else (low, middle)
    return high


def of_fat() -> tuple[float, int]:
    """How far the share of saturates in fat lies apart among foods of one kind, and of how many kinds."""
    kin: dict[tuple[str, str], list[float]] = {}
    for food in every():
        fat, saturates = food.values.get("FAT", 0.0), food.values.get("FASAT", 0.0)
        if fat >= LEAST_FAT and saturates > 0:
            kin.setdefault((food.group, ",".join(food.name.split(",")[:2])), []).append(log(saturates / fat))
    spreads = [stdev(shares) for shares in kin.values() if len(shares) >= LEAST_KIN]
    return NINE_IN_TEN * median(spreads), len(spreads)


def rows() -> list[tuple[str, str, int, float, str]]:
    """Group, component, foods, reach, source."""
    found = []
    for tagname in COMPONENTS:
        groups: dict[str, list[float]] = {ANY: [one.deviation for one in known(tagname)]}
        for one in known(tagname):
            groups.setdefault(one.food.group, []).append(one.deviation)
        for group, deviations in sorted(groups.items(), key=lambda item: (item[0] != ANY, item[0])):
            if len(deviations) >= FEWEST:
                name = "all groups" if group == ANY else group
                source = f"USDA SR28: samples of {len(deviations)} foods of {name}"
                found.append((group, tagname, len(deviations), reach_for(deviations), source))
    reach, kinds = of_fat()
    source = f"USDA SR28: saturates by fat within {kinds} kinds of food, median"
    return [*found, (ANY, OF_FAT, kinds, reach, source)]


def main(target: Path = TARGET) -> None:
    """Write the table."""
    with target.open("w", encoding="utf-8", newline="") as file:
        file.write(HEAD)
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["group", "component", "foods", "reach", "low", "high", "source"])
        for group, tagname, foods, reach, source in rows():
            low, high = f"{100 * exp(-reach):.0f}", f"{100 * exp(reach):.0f}"
            writer.writerow([group, tagname, foods, f"{reach:.3f}", low, high, source])


if __name__ == "__main__":
    main()
