"""Our kitchen units against pint's own registry and against the documents that define them.

[W] UK Weights and Measures Act 1985, Schedule 1: pound = 0.45359237 kg, gallon = 4.54609 cubic decimetres.
[N] NIST Handbook 44, Appendix C: US gallon = 231 cubic inches, inch = 2.54 cm.
[S] BIPM, The International System of Units, 9th edition: litre = cubic decimetre.
[M] metric spoons and cup: 5, 10, 15 and 250 ml, common practice of British kitchens.
"""

from __future__ import annotations

import subprocess
import sys

import pint
import pytest

from nutrilab.datafiles import FOLDER, rows
from nutrilab.weighing import units
from tests.derive import unit_factors

OURS: pint.UnitRegistry[float] = pint.UnitRegistry(str(FOLDER / "kitchen_units.txt"), cache_folder=None)
THEIRS: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=None)

# our unit, pint's own unit, base of both
SAME = [
    ("kilogram", "kilogram", "gram"),
    ("milligram", "milligram", "gram"),
    ("pound", "pound", "gram"),
    ("ounce", "ounce", "gram"),
    ("stone", "stone", "gram"),
    ("litre", "liter", "millilitre"),
    ("decilitre", "deciliter", "millilitre"),
    ("centilitre", "centiliter", "millilitre"),
    ("uk_gallon", "imperial_gallon", "millilitre"),
    ("uk_quart", "imperial_quart", "millilitre"),
    ("uk_pint", "imperial_pint", "millilitre"),
    ("uk_gill", "imperial_gill", "millilitre"),
    ("uk_fluid_ounce", "imperial_fluid_ounce", "millilitre"),
    ("us_gallon", "gallon", "millilitre"),
    ("us_quart", "liquid_quart", "millilitre"),
    ("us_pint", "liquid_pint", "millilitre"),
    ("us_cup", "cup", "millilitre"),
    ("us_fluid_ounce", "fluid_ounce", "millilitre"),
    ("us_tablespoon", "tablespoon", "millilitre"),
    ("us_teaspoon", "teaspoon", "millilitre"),
    ("inch", "inch", "centimetre"),
    ("millimetre", "millimeter", "centimetre"),
]
BASE = {"gram": "gram", "millilitre": "milliliter", "centimetre": "centimeter"}


@pytest.mark.parametrize(("ours", "theirs", "base"), SAME)
def test_against_pint(ours: str, theirs: str, base: str) -> None:
    mine = OURS.Quantity(1, ours).to(base).magnitude
    assert mine == pytest.approx(THEIRS.Quantity(1, theirs).to(BASE[base]).magnitude, rel=1e-12)


PUBLISHED = [
    ("lb", "mass", 453.59237),  # [W]
    ("oz", "mass", 453.59237 / 16),  # [W]
    ("stone", "mass", 14 * 453.59237),  # [W]
    ("pint", "volume", 4546.09 / 8),  # [W]
    ("fl oz", "volume", 4546.09 / 160),  # [W]
    ("gill", "volume", 4546.09 / 32),  # [W]
    ("cup", "volume", 231 * 2.54**3 / 16),  # [N]
    ("quart", "volume", 231 * 2.54**3 / 4),  # [N]
    ("l", "volume", 1000),  # [S]
    ("cl", "volume", 10),  # [S]
    ("tsp", "volume", 5),  # [M]
    ("dsp", "volume", 10),  # [M]
    ("tbsp", "volume", 15),  # [M]
    ("inch", "length", 2.54),  # [N]
]


@pytest.mark.parametrize(("unit", "kind", "value"), PUBLISHED)
def test_against_the_documents(unit: str, kind: str, value: float) -> None:
    factor = {"mass": units.grams, "volume": units.millilitres, "length": units.centimetres}[kind]
    assert units.dimension(unit) == kind
    assert factor(unit) == pytest.approx(value, rel=1e-12)


def test_the_recipe_chooses_cup_quart_and_gallon() -> None:
    assert units.millilitres("cup", "metric") == 250  # [M]
    assert units.millilitres("quart", "metric") == pytest.approx(4546.09 / 4)  # [W]
    assert units.millilitres("gallon", "us") == pytest.approx(231 * 2.54**3)  # [N]
    assert units.table_millilitres("cup") == pytest.approx(units.millilitres("cup", "us"))


def test_every_measured_word_of_the_parser_has_a_size() -> None:
    for row in rows("units.csv"):
        if row["kind"] in ("mass", "length") or (row["kind"] == "spoon" and row["unit"] != "scoop"):
            assert units.dimension(row["unit"]), row


def test_importing_the_scales_does_not_import_pint() -> None:
    code = (
        "import sys\n"
        "from nutrilab.lines import parse_line\n"
        "from nutrilab.measures import weigh\n"
        "assert 'pint' not in sys.modules, 'import'\n"
        "weigh(parse_line('200 g flour'), 'flour', None)\n"
        "assert 'pint' not in sys.modules, 'grams'\n"
        "assert weigh(parse_line('1 tbsp flour'), 'flour', None).grams\n"
        "assert 'pint' not in sys.modules, 'spoons'\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_the_factors_worked_out_are_those_of_pint() -> None:
    known = {row["unit"]: float(row["factor"]) for row in rows("unit_factors.csv")}
    assert known == unit_factors.factors()


def test_a_unit_not_worked_out_is_asked_of_pint(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(units, "_worked_out", dict)
    assert units._factor.__wrapped__("pound") == pytest.approx(453.59237)
