"""The conversions against figures worked by hand and published ones, each with its source."""

from __future__ import annotations

import pytest

from nutrilab.law import conversions
from nutrilab.law.conversions import (
    EQUIVALENTS,
    Bounded,
    by_weight,
    carbohydrate_by_weight,
    drink_density,
    exact,
    fatty_acids_in_food,
    fibre_from_nsp,
    protein_refactored,
    protein_regulation,
    sugars_by_weight,
)
from nutrilab.law.energy import (
    KJ_PER_KCAL,
    SODIUM_PER_SALT,
    available_carbohydrate,
    energy,
    energy_regulation,
    factors,
    salt,
)

HEXOSE, WATER = 180.156, 18.015  # g/mol, from the atomic weights C 12.011, H 1.008, O 15.999


def taken_up(units: int) -> float:
    """Grams of single sugars that 1 g of a chain of sugar units gives: a water is taken up at each bond."""
    return units * HEXOSE / (units * HEXOSE - (units - 1) * WATER)


def test_the_equivalents_are_the_chemistry_rounded() -> None:
    assert EQUIVALENTS["SUCS"].value == round(taken_up(2), 2) == 1.05
    assert EQUIVALENTS["OLSAC"].low == round(taken_up(3), 2) == 1.07  # raffinose
    assert EQUIVALENTS["OLSAC"].value == round(taken_up(4), 2) == 1.08  # stachyose
    assert EQUIVALENTS["STARCH"].value == pytest.approx(taken_up(1000), abs=0.012)  # 1.11; the tables use 1.10
    for tagname in ("GLUS", "FRUS", "GALS"):
        assert EQUIVALENTS[tagname].value == taken_up(1) == 1


def test_single_carbohydrates() -> None:
    assert by_weight("SUCS", 105.0) == exact(100.0)  # white sugar of the UK tables, 17-063
    assert by_weight("STARCH", 110.0).value == pytest.approx(100.0)
    assert by_weight("OLSAC", 10.8) == pytest.approx((10.0, 9.81818, 10.09346), rel=1e-5)
    with pytest.raises(KeyError):
        by_weight("FIBTG", 1.0)


def test_sugars_told_apart_and_not() -> None:
    # 2.1 glucose + 6.7 fructose + 2.8 sucrose / 1.05 (apple, UK 14-319): 11.4667
    assert sugars_by_weight(exact(11.6), {"GLUS": 2.1, "FRUS": 6.7, "SUCS": 2.8}) == pytest.approx((11.46667,) * 3)
    # nothing known: between 10.5 / 1.05 = 10 and 10.5, the middle 10.25
    assert sugars_by_weight(exact(10.5), {}) == pytest.approx((10.25, 10.0, 10.5))
    # 4 glucose known, a rest of 6.3: 4 + 6.15, between 4 + 6 and 4 + 6.3
    assert sugars_by_weight(exact(10.3), {"GLUS": 4.0}) == pytest.approx((10.15, 10.0, 10.3))
    # parts above their total, as rounding makes them: scaled, (1.0 + 2.1 / 1.05) x 3.0 / 3.1
    assert sugars_by_weight(exact(3.0), {"GLUS": 1.0, "SUCS": 2.1}).value == pytest.approx(3.0 * 3.0 / 3.1)
    assert sugars_by_weight(exact(0.0), {"GLUS": 0.1}) == exact(0.0)


def test_carbohydrate_with_its_bounds() -> None:
    # flour, UK 11-886: 80.9 = 80.3 starch + 0.6 sugars (sucrose 0.5, maltose 0.1): 80.3 / 1.10 + 0.6 / 1.05
    sugars = sugars_by_weight(exact(0.6), {"SUCS": 0.5, "MALS": 0.1})
    assert carbohydrate_by_weight(exact(80.9), 80.3, None, (0.6, sugars)).value == pytest.approx(73.57143)
    # nothing known of 11 g: all starch is 10, all single sugars 11
    assert carbohydrate_by_weight(exact(11.0), None, None, None) == pytest.approx((10.5, 10.0, 11.0))
    # a trace of 0.05 (0 to 0.1) keeps its bounds
    trace = carbohydrate_by_weight(Bounded(0.05, 0.0, 0.1), None, None, None)
    assert trace == pytest.approx((0.0477273, 0.0, 0.1), rel=1e-5)


@pytest.mark.parametrize(("starch", "sucrose", "glucose"), [(10.0, 5.0, 3.0), (0.0, 7.0, 0.0), (40.0, 0.0, 1.0)])
def test_there_and_back(starch: float, sucrose: float, glucose: float) -> None:
    """Weights turned into equivalents come back, and lie within the bounds of less knowledge."""
    total = starch * 1.10 + sucrose * 1.05 + glucose
    sugars = sugars_by_weight(exact(sucrose * 1.05 + glucose), {"SUCS": sucrose * 1.05, "GLUS": glucose})
    known = carbohydrate_by_weight(exact(total), starch * 1.10, None, (sucrose * 1.05 + glucose, sugars))
    assert known.value == pytest.approx(starch + sucrose + glucose)
    unknown = carbohydrate_by_weight(exact(total), None, None, None)
    assert unknown.low - 1e-9 <= known.value <= unknown.high + 1e-9


def test_fibre_has_wide_bounds() -> None:
    assert fibre_from_nsp(exact(2.0)) == pytest.approx((2.62, 1.92, 4.0))
    # UK advice: 18 g NSP a day is 24 g AOAC fibre (SACN, Carbohydrates and Health, 2015, from memory)
    assert fibre_from_nsp(exact(18.0)).value == pytest.approx(24, abs=0.5)


def test_energy_by_the_uk_tables_and_by_the_regulation() -> None:
    # butter, UK 17-685: protein 0.6, fat 82.2, carbohydrate 0.6 -> printed 744 kcal, 3059 kJ
    butter = {"PROCNT_JONES": 0.6, "FAT": 82.2, "CHOAVLM": 0.6}
    kj, kcal = energy(butter, conversions.UK_ENERGY)
    assert (round(kj), round(kcal)) == (3061, 744)
    # 17 x 10 + 10 x 5 polyols + 17 x 4 + 37 x 3 + 29 x 2 + 8 x 6 = 505 kJ; 40 + 12 + 16 + 27 + 14 + 12 = 121 kcal
    mixed = {"CHOAVL": 15.0, "POLYL": 5.0, "PROCNT": 4.0, "FAT": 3.0, "ALC": 2.0, "FIBTG": 6.0}
    assert energy_regulation(mixed) == pytest.approx((505.0, 121.0))


def test_carbohydrate_is_derived_before_energy_is_counted() -> None:
    mixed = {"POLYL": 5.0, "PROCNT": 4.0, "FAT": 3.0, "ALC": 2.0, "FIBTG": 6.0, "OA": 1.0}
    told = energy_regulation({**mixed, "CHOAVL": 15.0})
    assert told == pytest.approx((518.0, 124.0))  # 505 kJ and 121 kcal as above, and 1 g of acid
    assert energy_regulation({**mixed, "CHOAVL": 15.0}) == told
    assert energy_regulation({**mixed, "CHOCDF": 21.0}) == told  # 6 g of it are fibre
    # 11 g as monosaccharides, all of it starch, weigh 10 g; 5 g of them polyols
    assert available_carbohydrate({"CHOAVLM": 11.0, "STARCHM": 11.0}) == pytest.approx(10.0)
    assert energy_regulation({"CHOAVLM": 11.0, "STARCHM": 11.0, "POLYL": 5.0}) == pytest.approx((135.0, 32.0))


def test_salt_sodium_and_the_calorie() -> None:
    assert salt(400.0) == 1.0 == 400.0 / SODIUM_PER_SALT  # Annex I point 11: salt = sodium x 2.5
    for kj, kcal in factors().values():
        assert kj / kcal == pytest.approx(KJ_PER_KCAL, abs=0.35)  # Annex XIV rounds each by itself


def test_protein_by_nitrogen() -> None:
    assert protein_regulation(1.6) == pytest.approx(10.0)  # flour of 1.60 g nitrogen; the table itself prints 9.1
    assert protein_refactored(9.12, 5.70) == pytest.approx(10.0)  # 9.12 = 1.60 x 5.70
    assert protein_refactored(6.25, 6.25) == 6.25


def test_fatty_acids_in_the_food() -> None:
    # ackee, UK 13-145: 36.5 g per 100 g fatty acids, 15.2 g fat; printed 4.44 g per 100 g food with the factor 0.80
    assert fatty_acids_in_food(36.5, 15.2, 0.80) == pytest.approx(4.44, abs=0.005)


def test_density_of_drinks() -> None:
    """OIML R 22, from memory: 0.948 g/ml at 40 % by volume, 0.982 at 12 %; 1 ml of ethanol weighs 0.789 g."""
    for share, density in ((0.0, 0.998), (12.0, 0.982), (40.0, 0.948)):
        found = drink_density(share * 0.789, 0.0)
        assert found.low < density < found.high
        assert found.value == pytest.approx(density, abs=0.003)
    assert drink_density(0.0, 10.0).value == pytest.approx(1.036)
