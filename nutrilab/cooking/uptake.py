"""What food takes up from what it is cooked in: frying oil, salted water, marinade, coating.

data/uptake.csv, one row a process and kind of food; every row names its source.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from nutrilab.cooking.kinds import lineage
from nutrilab.datafiles import rows


@dataclass(frozen=True, slots=True)
class Uptake:
    """``value`` per gram of raw food, between low and high.

    For "deep-fried", "pan-fried" (also "... floured", "... coated", "... battered"), "marinade", "coating" and its
    layers: [g per g]. For "salted water": sodium taken up by food that gains no water, as a share of the sodium in as
    much cooking water as the food weighs. For "cooking water": [g water per g food] in the pan when the recipe does
    not say. "batter-water": share of the batter's water.
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
    return _first(process, (*lineage(kind), "any"))


def _first(process: str, kinds: Iterable[str]) -> Uptake | None:
    return next((_table()[process, kind] for kind in kinds if (process, kind) in _table()), None)


def of_frying(process: str, coat: str, kind: str) -> Uptake | None:
    """The oil that a kind of food takes up with this coat ("floured", "coated", "battered" or none).

    What no row with its coat speaks for is as coated, and food without a coat of which only coated food is known, too.
    """
    if coat:
        return find(f"{process} {coat}", kind) or find(f"{process} coated", kind) or find(process, kind)
    own = tuple(lineage(kind))
    return _first(process, own) or _first(f"{process} coated", own) or find(process, kind)
