"""The declaration against published rules.

[G] European Commission, guidance document on tolerances for nutrient values declared on a label, December
    2012, section 6, table 4 (rounding guidelines; its row on vitamins and minerals from memory).
[R] Regulation (EU) No 1169/2011, Annex XIII part A (from memory) and part B, Annex XV, Article 32(5).
[U] UK government, guide to creating a front of pack nutrition label, November 2016, tables 2 and 3 (table 3 from
    memory).
[S] USDA National Nutrient Database for Standard Reference, Release 28.
[C] CRC Handbook of Chemistry and Physics, densities at 20 C (from memory).
"""

from __future__ import annotations

import pytest

from nutrilab.declaration import density, micronutrients
from nutrilab.foods import embedded
from nutrilab.law.levels import (
    REFERENCE_STATEMENT,
    band,
    limits,
    percent,
    percent_of_intake,
    reference_intakes,
    share_of_intake,
)
from nutrilab.law.rounding import ORDER, declared, declared_all, nrvs

ENERGY = "[G] section 6, table 4, energy: to the nearest 1 kJ or kcal"
COARSE = "[G] section 6, table 4, fat, carbohydrate, sugars, protein, fibre: 10 g and more to 1 g"
FINE = "[G] section 6, table 4, fat, carbohydrate, sugars, protein, fibre: over 0.5 g and under 10 g to 0.1 g"
NEGLIGIBLE = "[G] section 6, table 4, fat, carbohydrate, sugars, protein, fibre: 0.5 g and less"
SATURATES = "[G] section 6, table 4, saturates: the same steps, negligible to 0.1 g"
SALT = "[G] section 6, table 4, salt: 1 g and more to 0.1 g, over 0.0125 g to 0.01 g, less negligible"
THREE = "[G] section 6, table 4, vitamin A, folic acid, Cl, Ca, P, Mg, I, K: 3 significant figures"
TWO = "[G] section 6, table 4, all other vitamins and minerals: 2 significant figures"
ALIKE = ("fat", "carbohydrate", "sugars", "fibre", "protein")
OF_THREE = "vitamin_a folic_acid chloride calcium phosphorus magnesium iodine potassium".split()

ROUNDING: list[tuple[str, str, float, str]] = [
    *[(ENERGY, key, 0.0, f"0 {unit}") for key, unit in (("energy_kj", "kJ"), ("energy_kcal", "kcal"))],
    *[(ENERGY, key, 0.49, f"0 {unit}") for key, unit in (("energy_kj", "kJ"), ("energy_kcal", "kcal"))],
    *[(ENERGY, key, 0.5, f"1 {unit}") for key, unit in (("energy_kj", "kJ"), ("energy_kcal", "kcal"))],
    *[(ENERGY, key, 620.49, f"620 {unit}") for key, unit in (("energy_kj", "kJ"), ("energy_kcal", "kcal"))],
    *[(ENERGY, key, 620.5, f"621 {unit}") for key, unit in (("energy_kj", "kJ"), ("energy_kcal", "kcal"))],
    *[(ENERGY, key, 2345.6, f"2346 {unit}") for key, unit in (("energy_kj", "kJ"), ("energy_kcal", "kcal"))],
    *[(COARSE, key, 10.0, "10 g") for key in ALIKE],
    *[(COARSE, key, 10.49, "10 g") for key in ALIKE],
    *[(COARSE, key, 10.5, "11 g") for key in ALIKE],
    *[(COARSE, key, 99.4, "99 g") for key in ALIKE],
    *[(FINE, key, 9.94, "9.9 g") for key in ALIKE],
    *[(FINE, key, 9.95, "10 g") for key in ALIKE],
    *[(FINE, key, 9.99, "10 g") for key in ALIKE],
    *[(FINE, key, 0.51, "0.5 g") for key in ALIKE],
    *[(FINE, key, 0.501, "0.5 g") for key in ALIKE],
    *[(FINE, key, 0.55, "0.6 g") for key in ALIKE],
    *[(FINE, key, 1.0, "1.0 g") for key in ALIKE],
    *[(FINE, key, 2.675, "2.7 g") for key in ALIKE],
    *[(FINE, key, 1.15, "1.2 g") for key in ALIKE],
    *[(NEGLIGIBLE, key, 0.5, "<0.5 g") for key in ALIKE],
    *[(NEGLIGIBLE, key, 0.499, "<0.5 g") for key in ALIKE],
    *[(NEGLIGIBLE, key, 0.0001, "<0.5 g") for key in ALIKE],
    *[(NEGLIGIBLE, key, 0.0, "0 g") for key in ALIKE],
    (SATURATES, "saturates", 10.0, "10 g"),
    (SATURATES, "saturates", 10.5, "11 g"),
    (SATURATES, "saturates", 9.95, "10 g"),
    (SATURATES, "saturates", 9.94, "9.9 g"),
    (SATURATES, "saturates", 4.25, "4.3 g"),
    (SATURATES, "saturates", 0.5, "0.5 g"),
    (SATURATES, "saturates", 0.15, "0.2 g"),
    (SATURATES, "saturates", 0.14, "0.1 g"),
    (SATURATES, "saturates", 0.101, "0.1 g"),
    (SATURATES, "saturates", 0.1, "<0.1 g"),
    (SATURATES, "saturates", 0.099, "<0.1 g"),
    (SATURATES, "saturates", 0.0, "0 g"),
    (SALT, "salt", 12.34, "12.3 g"),
    (SALT, "salt", 12.35, "12.4 g"),
    (SALT, "salt", 1.25, "1.3 g"),
    (SALT, "salt", 1.05, "1.1 g"),
    (SALT, "salt", 1.04, "1.0 g"),
    (SALT, "salt", 1.005, "1.0 g"),
    (SALT, "salt", 1.0, "1.0 g"),
    (SALT, "salt", 0.999, "1.0 g"),
    (SALT, "salt", 0.995, "1.0 g"),
    (SALT, "salt", 0.994, "0.99 g"),
    (SALT, "salt", 0.285, "0.29 g"),
    (SALT, "salt", 0.015, "0.02 g"),
    (SALT, "salt", 0.0126, "0.01 g"),
    (SALT, "salt", 0.0125, "<0.01 g"),
    (SALT, "salt", 0.0124, "<0.01 g"),
    (SALT, "salt", 0.0, "0 g"),
    (THREE, "potassium", 1234.0, "1230 mg"),
    (THREE, "potassium", 1235.0, "1240 mg"),
    (THREE, "potassium", 1005.0, "1010 mg"),
    (THREE, "calcium", 120.4, "120 mg"),
    (THREE, "calcium", 120.5, "121 mg"),
    (THREE, "calcium", 99.95, "100 mg"),
    (THREE, "calcium", 99.94, "99.9 mg"),
    (THREE, "phosphorus", 105.0, "105 mg"),
    (THREE, "magnesium", 56.25, "56.3 mg"),
    (THREE, "chloride", 0.12345, "0.123 mg"),
    (THREE, "iodine", 22.5, "22.5 µg"),
    (THREE, "iodine", 9.995, "10.0 µg"),
    (THREE, "folic_acid", 30.0, "30.0 µg"),
    (THREE, "vitamin_a", 835.25, "835 µg"),
    (THREE, "vitamin_a", 0.0, "0 µg"),
    (TWO, "vitamin_c", 12.5, "13 mg"),
    (TWO, "vitamin_c", 12.49, "12 mg"),
    (TWO, "vitamin_c", 125.0, "130 mg"),
    (TWO, "vitamin_c", 99.5, "100 mg"),
    (TWO, "vitamin_c", 9.95, "10 mg"),
    (TWO, "vitamin_c", 9.94, "9.9 mg"),
    (TWO, "thiamin", 0.165, "0.17 mg"),
    (TWO, "thiamin", 1.0, "1.0 mg"),
    (TWO, "riboflavin", 0.2149, "0.21 mg"),
    (TWO, "iron", 2.15, "2.2 mg"),
    (TWO, "vitamin_b12", 0.375, "0.38 µg"),
    (TWO, "selenium", 8.25, "8.3 µg"),
    (TWO, "copper", 0.0, "0 mg"),
]


@pytest.mark.parametrize(("section", "component", "value", "text"), ROUNDING)
def test_rounding(section: str, component: str, value: float, text: str) -> None:
    assert declared(component, value) == text, section


def test_there_are_sixty_rounding_cases_and_each_names_its_section() -> None:
    """The acceptance; fat stands for the five that are rounded alike."""
    assert len(set(ROUNDING)) == len(ROUNDING)
    assert len([case for case in ROUNDING if case[1] not in ALIKE[1:]]) >= 60
    assert all(case[0].startswith("[G] section 6, table 4, ") for case in ROUNDING)
    assert {case[1] for case in ROUNDING} >= set(ORDER)


@pytest.mark.parametrize("component", nrvs())
def test_significant_figures_of_every_vitamin_and_mineral(component: str) -> None:
    """[G] section 6, table 4, its two groups."""
    unit = nrvs()[component].unit
    three = component in OF_THREE
    assert declared(component, 123.45) == (f"123 {unit}" if three else f"120 {unit}")
    assert declared(component, 0.98765) == (f"0.988 {unit}" if three else f"0.99 {unit}")


def test_order_is_annex_xv() -> None:
    """[R] Annex XV: energy, fat, saturates, carbohydrate, sugars, (fibre), protein, salt."""
    expected = "energy_kj energy_kcal fat saturates carbohydrate sugars fibre protein salt".split()
    assert list(ORDER) == expected
    assert list(declared_all(dict.fromkeys(expected, 1.0))) == expected


def test_reference_intakes_are_annex_xiii_part_b() -> None:
    assert reference_intakes() == {
        "energy_kj": 8400, "energy_kcal": 2000, "fat": 70, "saturates": 20, "carbohydrate": 260, "sugars": 90,
        "protein": 50, "salt": 6,
    }  # fmt: skip
    assert share_of_intake("salt", 1.5) == 0.25
    assert share_of_intake("fibre", 3.0) is None
    assert share_of_intake("salt", None) is None


def test_the_statement_beside_percentages_is_article_32_paragraph_5() -> None:
    intakes = reference_intakes()
    energy = f"{intakes['energy_kj']:.0f} kJ/{intakes['energy_kcal']:.0f} kcal"
    assert f"Reference intake of an average adult ({energy})" == REFERENCE_STATEMENT


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (0.0, "0%"), (0.0001, "<1%"), (0.00999, "<1%"), (0.01, "1%"), (0.0149, "1%"), (0.015, "2%"), (0.125, "13%"),
        (0.145, "15%"), (0.285, "29%"), (0.994, "99%"), (0.995, "100%"), (1.005, "101%"), (12.5, "1250%"),
        (None, "not known"),
    ],
)  # fmt: skip
def test_percentages_are_whole(share: float | None, text: str) -> None:
    """Whole per cent, halves up; "<1%" is common practice."""
    assert percent(share) == text


def test_percent_of_intake() -> None:
    """[R] Annex XIII part B."""
    assert percent_of_intake("energy_kcal", 640) == "32%"
    assert percent_of_intake("energy_kj", 2678) == "32%"
    assert percent_of_intake("fibre", 3.0) == ""
    assert percent_of_intake("fat", None) == "not known"


# [U] kind, component, low to, high above, a portion over, holds more than; table 2 for food, table 3 for drinks
BANDS = [
    (False, "fat", 3.0, 17.5, 100.0, 21.0), (False, "saturates", 1.5, 5.0, 100.0, 6.0),
    (False, "sugars", 5.0, 22.5, 100.0, 27.0), (False, "salt", 0.3, 1.5, 100.0, 1.8),
    (True, "fat", 1.5, 8.75, 150.0, 10.5), (True, "saturates", 0.75, 2.5, 150.0, 3.0),
    (True, "sugars", 2.5, 11.25, 150.0, 13.5), (True, "salt", 0.3, 0.75, 150.0, 0.9),
]  # fmt: skip


@pytest.mark.parametrize(("drink", "component", "low", "high", "over", "portion_high"), BANDS)
def test_bands(drink: bool, component: str, low: float, high: float, over: float, portion_high: float) -> None:
    """[U] tables 2 and 3: low up to and with the first, high above the second, exactly there and next to it."""
    found = [band(component, v, None, drink) for v in (0.0, low, low + 0.0001, high, high + 0.0001)]
    assert found == ["low", "low", "medium", "medium", "high"]
    known = limits(component, drink)
    assert known is not None
    assert [float(v) for v in (known.low_to, known.high_above, known.portion_over, known.portion_high)] == [
        low, high, over, portion_high,
    ]  # fmt: skip


@pytest.mark.parametrize(("drink", "component", "low", "high", "over", "portion_high"), BANDS)
def test_the_portion_rule(
    drink: bool, component: str, low: float, high: float, over: float, portion_high: float
) -> None:
    """[U] tables 2 and 3: a portion over 100 g or 150 ml that holds more than the last is high whatever 100 g hold."""
    for portion in (over * 1.5, 350.0, 650.0):
        exactly = portion_high / portion * 100
        below = "low" if exactly <= low else "medium"
        assert band(component, exactly, portion, drink) == below
        assert band(component, exactly * 1.0001, portion, drink) == "high"
        assert band(component, exactly * 1.0001, None, drink) == below
    # [U] the portion rule is for portions over 100 g (150 ml): at the limit itself only 100 g count
    just_high = portion_high / over * 100 * 1.001  # of a portion at its limit
    assert band(component, just_high, over, drink) == ("high" if just_high > high else "medium")
    assert band(component, high, over + 0.01, drink) == (
        "high" if high * (over + 0.01) / 100 > portion_high else "medium"
    )


def test_components_without_bands() -> None:
    """[U] table 2 has fat, saturates, sugars and salt only."""
    assert {c for c in ORDER if limits(c) is not None} == {"fat", "saturates", "sugars", "salt"}
    assert band("protein", 12, 100) is None
    assert band("fat", None, 100) is None


NRVS = {
    "vitamin_a": (800, "µg"), "vitamin_d": (5, "µg"), "vitamin_e": (12, "mg"), "vitamin_k": (75, "µg"),
    "vitamin_c": (80, "mg"), "thiamin": (1.1, "mg"), "riboflavin": (1.4, "mg"), "niacin": (16, "mg"),
    "vitamin_b6": (1.4, "mg"), "folic_acid": (200, "µg"), "vitamin_b12": (2.5, "µg"), "biotin": (50, "µg"),
    "pantothenic_acid": (6, "mg"), "potassium": (2000, "mg"), "chloride": (800, "mg"), "calcium": (800, "mg"),
    "phosphorus": (700, "mg"), "magnesium": (375, "mg"), "iron": (14, "mg"), "zinc": (10, "mg"), "copper": (1, "mg"),
    "manganese": (2, "mg"), "fluoride": (3.5, "mg"), "selenium": (55, "µg"), "chromium": (40, "µg"),
    "molybdenum": (50, "µg"), "iodine": (150, "µg"),
}  # fmt: skip


def test_nrvs_are_annex_xiii_part_a_point_1_in_its_order() -> None:
    assert [(key, (nrv.amount, nrv.unit)) for key, nrv in nrvs().items()] == list(NRVS.items())


@pytest.mark.parametrize(
    ("per_100", "per_portion", "drink", "single", "enough"),
    [
        # [R] Annex XIII part A point 2, vitamin C, 80 mg: 15 % are 12 mg, 7.5 % are 6 mg
        (12.0, 5.0, False, False, True),
        (11.999, 30.0, False, False, False),
        (11.999, 12.0, False, True, True),
        (11.999, 11.999, False, True, False),
        (12.0, 3.0, False, True, True),
        (6.0, 15.0, True, False, True),
        (5.999, 15.0, True, False, False),
        (5.999, 12.0, True, True, True),
    ],
)
def test_significant_amount(per_100: float, per_portion: float, drink: bool, single: bool, enough: bool) -> None:
    found = micronutrients({"VITC": per_100}, {"VITC": per_portion}, drink, single_portion=single)
    assert [m.component for m in found] == (["vitamin_c"] if enough else [])


@pytest.mark.parametrize("food_id", ["sr:11124", "sr:11457", "sr:09176", "sr:01001", "sr:01123", "sr:11821"])
def test_retinol_equivalents_agree_with_the_published_international_units(food_id: str) -> None:
    """[S] raw carrots, spinach, mango, butter, egg, red pepper: 1 IU is 0.3 µg of retinol, and 10 IU of carotene 1 RE.

    So RE = RETOL + (IU - RETOL / 0.3) / 10, from two columns of the table that our sum does not use but for RETOL.
    """
    values = embedded().food(food_id).values
    by_iu = values["RETOL"] + (values["VITA_IU"] - values["RETOL"] / 0.3) / 10
    (vitamin_a, *_) = micronutrients(values, values, all_=True)
    assert vitamin_a.per_100 == pytest.approx(by_iu, abs=1.0)
    assert by_iu >= values["VITA_RAE"] - 1.0
    assert vitamin_a.counts_as.startswith("retinol equivalents")


def test_folate_is_by_weight_not_in_dietary_folate_equivalents() -> None:
    """[S] SR28: DFE = folate + 0.7 x folic acid; [R] "folic acid" covers all forms, by weight."""
    flour = embedded().food("sr:20081").values  # wheat flour, white, all-purpose, enriched, bleached
    assert flour["FOLDFE"] == pytest.approx(flour["FOL"] + 0.7 * flour["FOLAC"], abs=1.0)
    folic_acid = next(m for m in micronutrients(flour, flour, all_=True) if m.component == "folic_acid")
    assert folic_acid.per_100 == flour["FOL"] < flour["FOLDFE"]


@pytest.mark.parametrize(
    ("parts", "published"),
    [
        ({"WATER": 100.0}, 0.9982),  # [C] water
        ({"WATER": 90.0, "CHOAVL": 10.0}, 1.0381),  # [C] sucrose in water, 10 % by weight
        ({"WATER": 60.0, "CHOAVL": 40.0}, 1.1765),  # [C] sucrose in water, 40 %
        ({"WATER": 90.0, "ALC": 10.0}, 0.9819),  # [C] ethanol in water, 10 %
        ({"WATER": 60.0, "ALC": 40.0}, 0.9352),  # [C] ethanol in water, 40 %
    ],
)
def test_density_of_mixtures(parts: dict[str, float], published: float) -> None:
    assert density(parts) == pytest.approx(published, rel=0.004)


@pytest.mark.parametrize(
    ("food_id", "grams", "millilitres"),
    [
        ("sr:01211", 244, 236.6),  # [S] whole milk, 1 cup
        ("sr:09206", 248, 236.6),  # [S] orange juice, raw, 1 cup
        ("sr:14084", 29.4, 29.57),  # [S] table wine, 1 fl oz
    ],
)
def test_density_of_drinks(food_id: str, grams: float, millilitres: float) -> None:
    values = dict(embedded().food(food_id).values)
    values["CHOAVL"] = values["CHOCDF"] - values["FIBTG"]
    assert density(values) == pytest.approx(grams / millilitres, rel=0.01)


@pytest.mark.parametrize(
    ("part", "published"),
    # Choi and Okos 1986 at 20 C (from memory); ethanol: what it adds to its mixtures with water [C]
    [("PROCNT", 1.320), ("FAT", 0.917), ("CHOAVL", 1.593), ("FIBTG", 1.304), ("ASH", 2.418), ("ALC", 0.855)],
)
def test_density_of_parts(part: str, published: float) -> None:
    assert density({"WATER": 0.0, part: 100.0}) == pytest.approx(published, abs=0.0005)
