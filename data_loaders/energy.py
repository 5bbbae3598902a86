"""Energy and salt as the label law counts them, for converting and checking tables here and for dishes in the core.

References
----------
[1] Regulation (EU) No 1169/2011, Annex XIV (energy factors, energy_factors.csv), Annex I point 11 (salt).
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from pathlib import Path

Factors = Mapping[str, tuple[float, float]]  # tagname -> [kJ/g], [kcal/g]

SALT_PER_SODIUM = 2.5  # [g/g] [1] Annex I point 11
SODIUM_PER_SALT = 1000 / SALT_PER_SODIUM  # [mg sodium per g salt]
KJ_PER_KCAL = 4.184  # the thermochemical calorie, by definition (from memory)


@cache
def factors() -> dict[str, tuple[float, float]]:
    """Component -> energy per gram [kJ/g], [kcal/g] [1]; POLYL: polyols other than erythritol, part of CHOAVL."""
    with (Path(__file__).parent / "energy_factors.csv").open(encoding="utf-8", newline="") as file:
        return {row["tagname"]: (float(row["kj"]), float(row["kcal"])) for row in csv.DictReader(file)}


def energy(values: Mapping[str, float], by: Factors) -> tuple[float, float]:
    """Energy [kJ], [kcal]: sum of amount [g] x factor; a component that is missing adds nothing."""
    kj = kcal = 0.0
    for tagname, (kj_factor, kcal_factor) in by.items():
        amount = values.get(tagname, 0.0)
        kj += amount * kj_factor
        kcal += amount * kcal_factor
    return kj, kcal


def energy_regulation(values: Mapping[str, float]) -> tuple[float, float]:
    """Energy [kJ], [kcal] of amounts [g] by tagname [1]; polyols are taken out of CHOAVL.

        kJ   = 17 (CHOAVL - POLYL) + 10 POLYL + 17 PROCNT + 37 FAT + 29 ALC + 8 FIBTG + 13 OA
        kcal =  4 (CHOAVL - POLYL) + 2.4 POLYL + 4 PROCNT +  9 FAT +  7 ALC + 2 FIBTG +  3 OA

    A component that is missing adds nothing: ask only where protein, fat and carbohydrate are known, or look at how
    far they are.
    """
    carbohydrate = values.get("CHOAVL", 0.0)
    polyols = min(values.get("POLYL", 0.0), carbohydrate)
    return energy({**values, "CHOAVL": carbohydrate - polyols, "POLYL": polyols}, factors())
