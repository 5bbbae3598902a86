"""Energy by the Regulation's factors, held against a table that publishes it.

Sources: Regulation (EU) No 1169/2011, Annex XIV (factors), Annex I (salt = sodium x 2.5); ANSES-CIQUAL French food
composition table, version 2020-07-07 (Licence Ouverte; credit: Anses), columns "Energy, Regulation EU No 1169/2011",
"Protein, crude, N x 6.25", "Carbohydrate", "Fat", "Fibres", "Polyols", "Alcohol", "Organic acids".
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest

from nutrilab.energy import FACTORS, available_carbohydrate, energy_regulation, salt

CIQUAL = Path(__file__).parents[3] / "shared" / "reference" / "ciqual-2020-eng.xls"
COLUMNS = {
    "PROCNT": "Protein, crude, N x 6.25 (g/100g)", "CHOAVL": "Carbohydrate (g/100g)", "FAT": "Fat (g/100g)",
    "FIBTG": "Fibres (g/100g)", "POLYL": "Polyols (g/100g)", "ALC": "Alcohol (g/100g)",
    "OA": "Organic acids (g/100g)",
}  # fmt: skip
KJ = "Energy, Regulation EU No 1169/2011 (kJ/100g)"
NAME = "alim_nom_eng"

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
    values = dict(zip(COLUMNS, (protein, carbohydrate, fat, fibre, polyols, alcohol, acids), strict=True))
    assert energy_regulation(values)[0] == pytest.approx(kj, rel=0.01), name


def value(text: object) -> float | None:
    """A published value: decimal comma, "-" missing, "traces" and "< x" as 0."""
    plain = str(text).strip().replace(",", ".")
    if plain in ("", "-"):
        return None
    return 0.0 if plain == "traces" or plain.startswith("<") else float(plain)


def ends(text: object) -> tuple[float, float]:
    """What a published value may stand for: three significant digits; traces and "< x" from 0 to 0.5 and x."""
    plain = str(text).strip().replace(",", ".")
    if plain == "traces":
        return 0.0, 0.5
    if plain.startswith("<"):
        return 0.0, float(plain[1:])
    number = float(plain)
    half = 0.0 if number == 0 else 10.0 ** (math.floor(math.log10(number)) - 2) / 2
    return number - half, number + half


@cache
def complete() -> list[dict[str, object]]:
    """Foods of CIQUAL with every component the energy needs."""
    xlrd = pytest.importorskip("xlrd", reason="xlrd reads the published .xls workbook")
    if not CIQUAL.exists():
        pytest.skip("the published CIQUAL workbook is not beside this project (../shared/reference)")
    sheet = xlrd.open_workbook(CIQUAL).sheet_by_index(0)
    head = sheet.row_values(0)
    found = (dict(zip(head, sheet.row_values(r), strict=True)) for r in range(1, sheet.nrows))
    needed = [KJ, *COLUMNS.values()]
    return [food for food in found if all(value(food[c]) is not None for c in needed)]


def computed(food: dict[str, object]) -> float:
    return energy_regulation({t: value(food[c]) or 0.0 for t, c in COLUMNS.items()})[0]


def close(food: dict[str, object]) -> bool:
    published = value(food[KJ]) or 0.0
    return abs(computed(food) - published) <= 0.01 * published


def test_nine_of_ten_within_one_per_cent() -> None:
    assert len(complete()) >= 2000
    assert sum(map(close, complete())) / len(complete()) >= 0.90


def test_the_rest_is_explained() -> None:
    """Rounding of the published components and "<" signs; rows that are averages of other rows; two that stay."""
    left = []
    for food in complete():
        if close(food) or any(w in str(food[NAME]) for w in ("average", "unknown", "not known")):
            continue
        spans = {t: ends(food[COLUMNS[t]]) for t in COLUMNS}
        low = sum(FACTORS[t][0] * spans[t][0] for t in FACTORS) - 7 * spans["POLYL"][1]
        high = sum(FACTORS[t][0] * spans[t][1] for t in FACTORS) - 7 * spans["POLYL"][0]
        published = ends(food[KJ])
        if high < published[0] or low > published[1]:
            left.append(str(food[NAME]))
    assert len(left) <= 2, left
