"""From the definitions a food table counts in to those of the label law; pure functions, nothing is read.

Amounts are in grams per 100 g of food, energy in kJ and kcal per 100 g, unless a bracket says otherwise.

References
----------
[1] Regulation (EU) No 1169/2011, Annex I (definitions); its energy factors and its salt are in energy.py.
[2] H. Greenfield, D.A.T. Southgate, Food composition data, 2nd edition, FAO 2003: conversion of carbohydrates to
    monosaccharide equivalents, of nitrogen to protein, of fatty acids per 100 g fatty acids (from memory).
[3] McCance and Widdowson's The Composition of Foods, introduction: the UK tables' own factors (from memory). What of it
    can be checked on the published table is, in tests/published/test_uk_cofid.py.
[4] UK Composition of Foods Integrated Dataset, proximates of 2015: figures measured on the table itself.
[5] OIML R 22, International alcoholometric tables, 1975: density of ethanol and water (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

Factors = Mapping[str, tuple[float, float]]  # tagname -> energy [kJ/g], [kcal/g]


class Bounded(NamedTuple):
    """An amount between two bounds; of an exact one the three are equal."""

    value: float
    low: float
    high: float

    def times(self, factor: float) -> Bounded:
        """All three times a factor above 0."""
        return Bounded(self.value * factor, self.low * factor, self.high * factor)

    def plus(self, other: Bounded) -> Bounded:
        """The sum, bounds added to bounds."""
        return Bounded(self.value + other.value, self.low + other.low, self.high + other.high)


NOTHING = Bounded(0.0, 0.0, 0.0)


def exact(value: float) -> Bounded:
    """An amount that is what it is."""
    return Bounded(value, value, value)


# -- carbohydrate -----------------------------------------------------------------------------------

# Grams of monosaccharides that 1 g gives when water has split it [2][3]: n * 180.16 / (n * 180.16 - (n - 1) * 18.02)
# for n sugar units of 180.16 g/mol less a water for each bond, 1.053 for 2 units, 1.071 for 3, 1.111 without end. The
# tables print two digits, and 1.10 for starch. Oligosaccharides: raffinose 1.07, stachyose 1.08, dextrins up to 1.10.
EQUIVALENTS: dict[str, Bounded] = {
    "STARCH": exact(1.10),
    "SUCS": exact(1.05),
    "LACS": exact(1.05),
    "MALS": exact(1.05),
    "GLUS": exact(1.00),
    "FRUS": exact(1.00),
    "GALS": exact(1.00),
    "OLSAC": Bounded(1.08, 1.07, 1.10),
}
MOST_SUGAR, MOST_CARBOHYDRATE = 1.05, 1.10  # what of a sum is not told apart was counted with 1.00 to this


def by_weight(tagname: str, equivalents: float) -> Bounded:
    """One carbohydrate by weight, from its monosaccharide equivalents: m / EQUIVALENTS. Raises KeyError if unknown."""
    factor = EQUIVALENTS[tagname]
    return Bounded(equivalents / factor.value, equivalents / factor.high, equivalents / factor.low)


def sugars_by_weight(total: Bounded, single: Mapping[str, float]) -> Bounded:
    """Total sugars by weight.

        sugars = sum_i  m_i / f_i  +  rest * (1 + 1/1.05) / 2,    rest = total - sum_i m_i

    total, single: monosaccharide equivalents, single by tagname of EQUIVALENTS as far as known. Of the rest it is not
    known which sugars it is: its bounds are rest / 1.05 (all double sugars) and rest (all single). Where they add up to
    more than the total, as rounding makes them, all are scaled to it.
    """
    return _add_up(total, [(amount, by_weight(tagname, amount)) for tagname, amount in single.items()], MOST_SUGAR)


def carbohydrate_by_weight(
    total: Bounded, starch: float | None, oligosaccharides: float | None, sugars: tuple[float, Bounded] | None
) -> Bounded:
    """Available carbohydrate by weight, as the label counts it ([1] Annex I point 8), from monosaccharide equivalents.

        carbohydrate = starch / 1.10 + oligosaccharides / 1.08 + sugars + rest * (1 + 1/1.10) / 2

    total, starch, oligosaccharides: monosaccharide equivalents, None where not known; sugars: the same and what
    `sugars_by_weight` makes of them. The rest is what the parts leave of the total, its bounds rest / 1.10 (all starch)
    and rest (all single sugars); with no part known it is the total. Parts above the total are scaled to it.
    """
    parts = [] if sugars is None else [sugars]
    for tagname, amount in (("STARCH", starch), ("OLSAC", oligosaccharides)):
        if amount is not None:
            parts.append((amount, by_weight(tagname, amount)))
    return _add_up(total, parts, MOST_CARBOHYDRATE)


def _add_up(total: Bounded, parts: list[tuple[float, Bounded]], most: float) -> Bounded:
    """Parts (monosaccharide equivalents, by weight) as a total by weight; the bounds of the total scale the result."""
    if total.value <= 0:
        return NOTHING
    known = sum(amount for amount, _ in parts)
    weight = NOTHING
    for _, part in parts:
        weight = weight.plus(part)
    if known > total.value:
        weight = weight.times(total.value / known)
    else:
        rest = total.value - known
        weight = weight.plus(Bounded(rest * (1 + 1 / most) / 2, rest / most, rest))
    low, high = total.low / total.value, total.high / total.value
    return Bounded(weight.value, weight.low * low, weight.high * high)


# -- fibre ------------------------------------------------------------------------------------------

# Fibre by the AOAC method also holds resistant starch, lignin and oligosaccharides, Englyst's NSP does not. The 742
# foods of [4] with both (0.5 g NSP or more) have AOAC / NSP = 1.31 in the middle, 0.96 at the 10th and 2.0 at the 90th
# percentile; UK advice counts 18 g NSP as 24 g AOAC, 1.33 (SACN, Carbohydrates and Health, 2015, from memory).
AOAC_PER_NSP = Bounded(1.31, 0.96, 2.0)


def fibre_from_nsp(nsp: Bounded) -> Bounded:
    """Fibre as the AOAC method finds it, from non-starch polysaccharides: NSP x 1.31, between x 0.96 and x 2.0 [4].

    There is no exact conversion: one food in ten lies below the lower, one in ten above the upper bound.
    """
    ratio = AOAC_PER_NSP
    return Bounded(nsp.value * ratio.value, nsp.low * ratio.low, nsp.high * ratio.high)


# -- energy -----------------------------------------------------------------------------------------

# [3] The UK tables' own: carbohydrate as monosaccharide equivalents, none from fibre; protein by the food's own factor.
UK_ENERGY: Factors = {
    "CHOAVLM": (16.0, 3.75),
    "PROCNT_JONES": (17.0, 4.0),
    "FAT": (37.0, 9.0),
    "ALC": (29.0, 7.0),
}


# -- protein, fatty acids, drinks -------------------------------------------------------------------

NITROGEN_FACTOR = 6.25  # [1] Annex I point 10


def protein_regulation(nitrogen: float) -> float:
    """Protein as the label counts it: total nitrogen x 6.25 ([1] Annex I point 10)."""
    return nitrogen * NITROGEN_FACTOR


def protein_refactored(protein: float, factor: float) -> float:
    """The same from a protein made with a factor of the food (wheat 5.70, milk 6.38 [2]): x 6.25 / factor."""
    return protein * NITROGEN_FACTOR / factor


def fatty_acids_in_food(share: float, fat: float, factor: float) -> float:
    """Fatty acids per 100 g food from their ``share`` [g per 100 g of all fatty acids]: share / 100 x fat x factor [2].

    factor: grams of fatty acids in 1 g of the food's fat, 0.956 of pure triglycerides, 0.80 of most vegetables and
    fruit, less where phospholipids are many.
    """
    return share / 100 * fat * factor


ALCOHOL_DENSITY = 0.789  # [g/ml] of ethanol at 20 C, by [5]
DENSITY_WITHIN = 0.015  # how near `drink_density` comes, share to either side: own estimate, no source


def drink_density(alcohol: float, sugars: float) -> Bounded:
    """Density [g/ml] of an alcoholic drink from its alcohol and sugars [g per 100 ml]:

        0.998 - 0.00165 alcohol + 0.0038 sugars

    Water at 20 C is 0.998; the alcohol term takes it to 0.946 at 40 % by volume, where [5] has 0.948, and 0.982 at
    12 %, where it has 0.982; sugar: 10 g of it in 100 ml make 1.036 (both from memory).
    """
    density = 0.998 - 0.00165 * alcohol + 0.0038 * sugars
    return Bounded(density, density * (1 - DENSITY_WITHIN), density * (1 + DENSITY_WITHIN))
