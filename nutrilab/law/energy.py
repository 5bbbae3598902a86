"""Energy, available carbohydrate and salt the way the label law counts them.

References
----------
[1] Regulation (EU) No 1169/2011, Annex XIV (energy factors, energy_factors.csv), Annex I points 2, 3, 7, 8, 10 and 11
    (fat, saturates, carbohydrate, sugars, protein, salt; the numbers of the points from memory).
[2] H. Greenfield, D.A.T. Southgate, Food composition data, FAO 2003, chapter 9 (carbohydrate by difference
    and available; dishes by calculation).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.law.conversions import EQUIVALENTS, Factors

SALT_PER_SODIUM = 2.5  # [g/g] [1] Annex I point 11
SODIUM_PER_SALT = 1000 / SALT_PER_SODIUM  # [mg sodium per g salt]
KJ_PER_KCAL = 4.184  # the thermochemical calorie, by definition (from memory)


@cache
def factors() -> dict[str, tuple[float, float]]:
    """Component -> energy per gram [kJ/g], [kcal/g] [1]; POLYL: polyols other than erythritol, part of CHOAVL."""
    return {row["tagname"]: (float(row["kj"]), float(row["kcal"])) for row in rows("energy_factors.csv")}


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

    CHOAVL is what `available_carbohydrate` finds. A component that is missing adds nothing: ask only where protein, fat
    and carbohydrate are known, or look at how far they are.
    """
    carbohydrate = available_carbohydrate(values) or 0.0
    polyols = min(values.get("POLYL", 0.0), carbohydrate)
    return energy({**values, "CHOAVL": carbohydrate - polyols, "POLYL": polyols}, factors())


def table_carbohydrate(values: Mapping[str, float]) -> float | None:
    """Available carbohydrate [g] as a food's own table has it; None if it cannot be known.

        CHOAVL if the table has it; else CHOCDF - FIBTG, never below 0 [2]. Where a table gives no fibre, all of
    CHOCDF counts: the carbohydrate may then read too high, never too low, and the coverage of fibre shows it.
    Else CHOAVLM, the UK tables' monosaccharide equivalents, less the 10 % that starch gains by being counted as
    glucose, as far as its equivalents, STARCHM, are known (`EQUIVALENTS`).
    """
    if "CHOAVL" in values:
        return values["CHOAVL"]
    if "CHOCDF" in values:
        return max(0.0, values["CHOCDF"] - values.get("FIBTG", 0.0))
    if "CHOAVLM" in values:
        starch = values.get("STARCHM", 0.0)
        return values["CHOAVLM"] - (starch - starch / EQUIVALENTS["STARCH"].value)
    return None


def available_carbohydrate(values: Mapping[str, float]) -> float | None:
    """Carbohydrate that people digest [g], from the values of one food or dish; None if it cannot be known.

    Never less than the sugars, which are part of it ([1] Annex I points 7 and 8): they are measured, while carbohydrate
    by difference carries the errors of all other values, and one by weight those of its conversion.
    """
    found = table_carbohydrate(values)
    return None if found is None else max(found, values.get("SUGAR", 0.0))


def reconciled(values: Mapping[str, float]) -> dict[str, float]:
    """Values of a food with its available carbohydrate, and no whole of the declaration below its part.

    Saturates are part of the fat ([1] Annex I points 2 and 3): a table that has more of them has too little fat.
    """
    found = dict(values)
    carbohydrate = available_carbohydrate(values)
    if carbohydrate is not None:
        found["CHOAVL"] = carbohydrate
    if "FAT" in values:
        found["FAT"] = max(values["FAT"], values.get("FASAT", 0.0))
    return found


def salt(sodium: float) -> float:
    """Salt [g] from sodium [mg]: sodium x 2.5 [1]."""
    return sodium / SODIUM_PER_SALT


def sodium(salt: float) -> float:
    """Sodium [mg] that is in salt [g]."""
    return salt * SODIUM_PER_SALT
