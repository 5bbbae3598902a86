"""The declaration against published rules.

[G] European Commission, guidance document on tolerances for nutrient values declared on a label, December
    2012, section 6 (rounding guidelines).
[R] Regulation (EU) No 1169/2011, Annex XIII part B, Annex XIV, Annex XV, Annex I.
[U] UK government, guide to creating a front of pack nutrition label, November 2016, tables 2 and 3.
"""

from __future__ import annotations

import pytest

from nutrilab.declaration import ORDER, band, declaration, declared, reference_intakes, share_of_intake

ROUNDING = [
    # [G] section 6, energy: to the nearest 1 kJ / kcal
    ("energy_kj", 620.4, "620 kJ"),
    ("energy_kj", 620.5, "621 kJ"),
    ("energy_kcal", 0.4, "0 kcal"),
    ("energy_kcal", 147.5, "148 kcal"),
    # [G] section 6, fat, carbohydrate, sugars, protein, fibre: >= 10 g to 1 g
    *[(key, 10.0, "10 g") for key in ("fat", "carbohydrate", "sugars", "protein", "fibre")],
    *[(key, 12.5, "13 g") for key in ("fat", "carbohydrate", "sugars", "protein", "fibre")],
    *[(key, 99.4, "99 g") for key in ("fat", "carbohydrate", "sugars", "protein", "fibre")],
    # ... > 0.5 g and < 10 g to 0.1 g
    *[(key, 9.44, "9.4 g") for key in ("fat", "carbohydrate", "sugars", "protein", "fibre")],
    *[(key, 0.51, "0.5 g") for key in ("fat", "carbohydrate", "sugars", "protein", "fibre")],
    *[(key, 9.96, "10 g") for key in ("fat", "carbohydrate", "sugars", "protein", "fibre")],
    # ... <= 0.5 g "0 g" or "<0.5 g"
    *[(key, 0.5, "<0.5 g") for key in ("fat", "carbohydrate", "sugars", "protein", "fibre")],
    *[(key, 0.0, "0 g") for key in ("fat", "carbohydrate", "sugars", "protein", "fibre")],
    # [G] section 6, saturates: the same steps, negligible at 0.1 g
    ("saturates", 10.5, "11 g"),
    ("saturates", 4.25, "4.3 g"),
    ("saturates", 0.14, "0.1 g"),
    ("saturates", 0.1, "<0.1 g"),
    ("saturates", 0.0, "0 g"),
    # [G] section 6, salt: >= 1 g to 0.1 g; > 0.0125 g and < 1 g to 0.01 g; below negligible
    ("salt", 12.34, "12.3 g"),
    ("salt", 1.0, "1.0 g"),
    ("salt", 1.25, "1.3 g"),
    ("salt", 0.996, "1.0 g"),
    ("salt", 0.994, "0.99 g"),
    ("salt", 0.0126, "0.01 g"),
    ("salt", 0.0125, "<0.01 g"),
    ("salt", 0.0, "0 g"),
]


@pytest.mark.parametrize(("component", "value", "text"), ROUNDING)
def test_rounding(component: str, value: float, text: str) -> None:
    assert declared(component, value) == text


def test_missing_is_never_zero_and_below_zero_is_no_value() -> None:
    assert declared("fat", None) == "not known"
    with pytest.raises(ValueError, match="below zero"):
        declared("fat", -0.1)


def test_order_is_annex_xv() -> None:
    """[R] Annex XV: energy, fat, saturates, carbohydrate, sugars, (fibre), protein, salt."""
    expected = "energy_kj energy_kcal fat saturates carbohydrate sugars fibre protein salt".split()
    assert list(ORDER) == expected
    assert list(declaration(dict.fromkeys(expected, 1.0))) == expected


def test_reference_intakes_are_annex_xiii_part_b() -> None:
    assert reference_intakes() == {
        "energy_kj": 8400, "energy_kcal": 2000, "fat": 70, "saturates": 20, "carbohydrate": 260, "sugars": 90,
        "protein": 50, "salt": 6,
    }  # fmt: skip
    assert share_of_intake("salt", 1.5) == 0.25
    assert share_of_intake("fibre", 3.0) is None
    assert share_of_intake("salt", None) is None


@pytest.mark.parametrize(
    ("component", "low", "high", "portion_high"),
    [("fat", 3.0, 17.5, 21.0), ("saturates", 1.5, 5.0, 6.0), ("sugars", 5.0, 22.5, 27.0), ("salt", 0.3, 1.5, 1.8)],
)
def test_bands_of_food(component: str, low: float, high: float, portion_high: float) -> None:
    """[U] table 2: low up to and with the first, high above the second, or above the third a portion over 100 g."""
    assert [band(component, value, 100) for value in (low, low * 1.01, high, high * 1.01)] == [
        "low",
        "medium",
        "medium",
        "high",
    ]
    per_100 = portion_high / 3
    assert band(component, per_100, 300) == ("medium" if per_100 > low else "low")
    assert band(component, per_100 * 1.01, 300) == "high"
    assert band(component, per_100 * 1.01, None) == ("medium" if per_100 * 1.01 > low else "low")


def test_bands_of_drinks_are_stricter_and_other_components_have_none() -> None:
    assert band("sugars", 12, 100) == "medium"
    assert band("sugars", 12, 100, drink=True) == "high"
    assert band("protein", 12, 100) is None
    assert band("fat", None, 100) is None
