"""Energy, available carbohydrate and salt the way the label law counts them.

References
----------
[1] Regulation (EU) No 1169/2011, Annex XIV (energy factors), Annex I points 8, 10 and 11 (carbohydrate,
    protein, salt).
[2] H. Greenfield, D.A.T. Southgate, Food composition data, FAO 2003, chapter 9 (carbohydrate by difference
    and available; dishes by calculation).
"""

from __future__ import annotations

from collections.abc import Mapping

from data_loaders.energy import factors

# [1] Annex XIV: component -> energy per gram [kJ/g], [kcal/g]
FACTORS = {tagname: pair for tagname, pair in factors().items() if tagname != "POLYL"}
POLYOLS = factors()["POLYL"]  # [1] Annex XIV, polyols other than erythritol; part of carbohydrate (Annex I point 8)
SALT_PER_SODIUM = 2.5  # [1] Annex I point 11


def available_carbohydrate(values: Mapping[str, float]) -> float | None:
    """Carbohydrate that people digest [g], from the values of one food or dish; None if it cannot be known.

    CHOAVL if the table has it; else CHOCDF - FIBTG, never below 0 [2]. Where a table gives no fibre, all of
    CHOCDF counts: the carbohydrate may then read too high, never too low, and the coverage of fibre shows it.
    Else CHOAVLM, the UK tables' monosaccharide equivalents, less the 10 % that starch gains by being counted as
    glucose, as far as STARCH is known (from memory of the introduction to McCance and Widdowson's tables).
    """
    if "CHOAVL" in values:
        return values["CHOAVL"]
    if "CHOCDF" in values:
        return max(0.0, values["CHOCDF"] - values.get("FIBTG", 0.0))
    if "CHOAVLM" in values:
        starch = values.get("STARCH", 0.0)
        return max(0.0, values["CHOAVLM"] - starch * (1 - 1 / 1.10))
    return None


def energy_regulation(values: Mapping[str, float]) -> tuple[float, float]:
    """Energy [kJ], [kcal] of an amount of food by the factors of the Regulation [1].

        kJ   = 17 (CHOAVL - POLYL) + 10 POLYL + 17 PROCNT + 37 FAT + 29 ALC + 8 FIBTG + 13 OA
        kcal =  4 (CHOAVL - POLYL) + 2.4 POLYL + 4 PROCNT +  9 FAT +  7 ALC + 2 FIBTG +  3 OA

    values: tagname -> amount [g]; a component that is missing adds nothing, so look at the coverage too.
    CHOAVL is derived as `available_carbohydrate` does if it is absent.
    """
    amounts = dict(values)
    amounts["CHOAVL"] = available_carbohydrate(values) or 0.0
    polyols = min(amounts.get("POLYL", 0.0), amounts["CHOAVL"])
    kj = polyols * (POLYOLS[0] - FACTORS["CHOAVL"][0])
    kcal = polyols * (POLYOLS[1] - FACTORS["CHOAVL"][1])
    for tagname, (kj_factor, kcal_factor) in FACTORS.items():
        amount = amounts.get(tagname, 0.0)
        kj += amount * kj_factor
        kcal += amount * kcal_factor
    return kj, kcal


def salt(sodium: float) -> float:
    """Salt [g] from sodium [mg]: sodium x 2.5 [1]."""
    return sodium * SALT_PER_SODIUM / 1000
