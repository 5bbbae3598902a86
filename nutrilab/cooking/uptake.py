"""What food takes up from what it is cooked in: frying oil, salted water, marinade, coating.

data/uptake.csv, one row a process and kind of food; every row names its source.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from nutrilab.cooking.kinds import lineage
from nutrilab.datafiles import rows


@dataclass(frozen=True, slots=True)
class Uptake:
    """``value`` per gram of raw food, between low and high.

    For "deep-fried", "pan-fried", "marinade", "coating" and its layers: [g per g]. For "salted water": sodium taken
    up by food that gains no water, as a share of the sodium in as much cooking water as the food weighs. For "cooking
    water": [g water per g food] in the pan when the recipe does not say. "batter-water": share of the batter's water.
    """

    process: str
    kind: str
    value: float
    low: float
    high: float
    source: str


@cache
def _table() -> dict[tuple[str, str], Uptake]:
    return {
        (row["process"], row["kind"]): Uptake(
            row["process"],
            row["kind"],
            float(row["value"]),
            float(row["low"]),
            float(row["high"]),
            row["source"],
        )
        for row in rows("uptake.csv")
    }


@cache
def find(process: str, kind: str) -> Uptake | None:
    """The uptake of a kind of food, of its parents, or of any food (kind "any"); None if no row speaks for it."""
    for ancestor in (*lineage(kind), "any"):
        if (process, ancestor) in _table():
            return _table()[process, ancestor]
    return None
