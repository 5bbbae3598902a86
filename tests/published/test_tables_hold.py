"""The published tables against what 100 g can hold: nothing is left out, no whole is below its part, units show.

Sources: CoFID = UK Composition of Foods Integrated Dataset, proximates of 2015 and minerals of 2021 (Open Government
Licence v3); ANSES-CIQUAL 2020 (Licence Ouverte; credit: Anses). USDA SR28: tests/test_impossible_tables.py.
"""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from data_loaders import checking, registry, schema
from data_loaders.leaving_out import leave_out
from data_loaders.schema import TableData
from nutrilab import nutrition
from nutrilab.cooking.steps import of_food
from nutrilab.foods import FoodTable

REFERENCE = Path(__file__).parents[3] / "shared" / "reference"
FILES = {
    "fr-ciqual": ("ciqual-2020-eng.xls",),
    "uk-cofid": ("cofid-2015-proximates.csv", "cofid-2021-minerals-vitamins.xlsx"),
}


@pytest.fixture(scope="module", params=FILES)
def table(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> TableData:
    names = FILES[request.param]
    if not all((REFERENCE / name).exists() for name in names):
        pytest.skip(f"../shared/reference/{names[0]} is not here: what the table holds is not looked at")
    folder = tmp_path_factory.mktemp(request.param)
    for name in names:
        (folder / name).symlink_to(REFERENCE / name)
    return registry.load(request.param, folder if len(names) > 1 else folder / names[0])


def test_nothing_published_is_left_out(table: TableData) -> None:
    """Sugar is 105 g of monosaccharide equivalents in 100 g there, and dried rosemary 107 g of macronutrients."""
    assert leave_out(table, "the table").left_out == ()


def test_no_whole_is_below_its_part(table: TableData, tmp_path: Path) -> None:
    foods = FoodTable(schema.write(table, tmp_path, "table"))
    assert len(foods.ids) > 2500
    for food_id in foods.ids:
        found = nutrition.declared_values(of_food(foods.food(food_id), 100.0))
        for part, whole in (("sugars", "carbohydrate"), ("saturates", "fat")):
            inner, outer = found[part], found[whole]
            assert inner is None or outer is None or inner <= outer, food_id


def test_anchors_and_middles_are_as_published_and_show_a_wrong_unit(table: TableData) -> None:
    foods: pd.DataFrame = table.foods
    report = checking.check_foods(foods)
    assert report.sound
    assert report.looked["anchors"] == 7
    assert report.faults["anchors"] == report.faults["middles"] == ()
    for tagname in ("NA", "CA", "SUGAR"):
        for factor in (1000.0, 0.001):
            assert not checking.check_foods(foods.assign(**{tagname: foods[tagname] * factor})).sound
