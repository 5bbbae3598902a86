"""Energy by the Regulation's factors, held against the law and eight foods of a table that publishes it.

Sources: Regulation (EU) No 1169/2011, Annex XIV (factors), Annex I (salt = sodium x 2.5); ANSES-CIQUAL French food
composition table, version 2020-07-07 (Licence Ouverte; credit: Anses), columns "Energy, Regulation EU No 1169/2011",
"Protein, crude, N x 6.25", "Carbohydrate", "Fat", "Fibres", "Polyols", "Alcohol", "Organic acids". The whole of that
table is held against its own energy in test_fr_ciqual.py.
"""

from __future__ import annotations

import pytest

from nutrilab.law.energy import available_carbohydrate, energy_regulation, salt

COMPONENTS = ("PROCNT", "CHOAVL", "FAT", "FIBTG", "POLYL", "ALC", "OA")

# Regulation (EU) No 1169/2011, Annex XIV, one gram of each: kJ, kcal
ANNEX_XIV = [
    ({"CHOAVL": 1.0}, 17, 4), ({"CHOAVL": 1.0, "POLYL": 1.0}, 10, 2.4), ({"PROCNT": 1.0}, 17, 4), ({"FAT": 1.0}, 37, 9),
    ({"ALC": 1.0}, 29, 7), ({"OA": 1.0}, 13, 3), ({"FIBTG": 1.0}, 8, 2),
]  # fmt: skip


@pytest.mark.parametrize(("values", "kj", "kcal"), ANNEX_XIV)
def test_annex_xiv(values: dict[str, float], kj: float, kcal: float) -> None:
    assert energy_regulation(values) == pytest.approx((kj, kcal))


def test_salt_is_sodium_by_two_and_a_half() -> None:
    assert salt(400) == pytest.approx(1.0)


def test_available_carbohydrate() -> None:
    """USDA SR28 20649 flour, wheat, all-purpose: carbohydrate by difference 76.31 g, fibre 2.7 g."""
    assert available_carbohydrate({"CHOCDF": 76.31, "FIBTG": 2.7}) == pytest.approx(73.61)
    assert available_carbohydrate({"CHOCDF": 76.31}) == pytest.approx(76.31)  # no fibre known: too high, never too low
    assert available_carbohydrate({"CHOAVL": 70.0, "CHOCDF": 76.31}) == pytest.approx(70.0)
    assert available_carbohydrate({"FAT": 3.0}) is None


# Typed from CIQUAL 2020: name, kJ, protein N x 6.25, carbohydrate, fat, fibre, polyols, alcohol, organic acids
TYPED = [
    ("Prune", 969, 1.63, 55.4, 0.4, 5.1, 9.6, 0, 0.9),
    ("Salmon, cooked (average)", 854, 23, 0, 12.5, 0, 0, 0, 0),
    ("Egg, raw", 584, 12.7, 0.27, 9.83, 0, 0, 0, 0),
    ("Camembert cheese, from cow's milk", 1160, 19.1, 0, 22.5, 0, 0, 0, 0.26),
    ("Rum", 1060, 0, 0, 0, 0, 0, 36.6, 0),
    ("Chewing gum, without sugar", 955, 0.69, 78.1, 0.45, 1.98, 59.7, 0, 0),
    ("Butter, 82% fat, unsalted", 3100, 0.69, 0.9, 82.9, 0, 0, 0, 0.1),
    ("Sunflower oil", 3700, 0, 0, 100, 0, 0, 0, 0),
]


@pytest.mark.parametrize("food", TYPED, ids=lambda f: f[0])
def test_typed_food(food: tuple[str, float, float, float, float, float, float, float, float]) -> None:
    name, kj, protein, carbohydrate, fat, fibre, polyols, alcohol, acids = food
    values = dict(zip(COMPONENTS, (protein, carbohydrate, fat, fibre, polyols, alcohol, acids), strict=True))
    assert energy_regulation(values)[0] == pytest.approx(kj, rel=0.01), name
