"""The weight change chosen from the method alone against FNDDS 2015-2016; see tests/published/moisture.py."""

from __future__ import annotations

from statistics import median

import pytest

from nutrilab.cooking import yields
from nutrilab.datafiles import AT, rows
from tests.derive import dish_moisture
from tests.published import moisture


@pytest.fixture(autouse=True)
def workbook() -> None:
    pytest.importorskip("openpyxl", reason="openpyxl reads the published workbooks")
    if not moisture.WORKBOOK.exists():
        pytest.skip("the FNDDS workbook (../shared/reference) is not here: moisture changes are not compared")


def test_the_page_shows_what_comes_out() -> None:
    assert moisture.written() == moisture.page(), "run: python -m tests.published.moisture --write"


def test_the_method_tells_more_than_the_kind_of_dish() -> None:
    found = moisture.other_half()
    assert len(found) >= 1000
    assert median(one.error for one in found) <= 3.5
    assert median(one.error for one in found) <= median(one.kind_error for one in found) - 1.5


def test_energy_per_100_g_by_the_method_alone() -> None:
    """As far as published moisture changes tell it, within the 8 % that a told yield leaves."""
    assert moisture.energy_error(lambda one: one.chosen) <= 0.05
    assert moisture.energy_error(lambda one: 0.0) >= 0.1


def test_no_kind_of_dish_is_much_worse_off_than_by_its_median() -> None:
    for kind, own in moisture.by_kind().items():
        error, of_kind = median(one.error for one in own), median(one.kind_error for one in own)
        assert error <= of_kind + 1.0, kind


def test_hardly_a_dish_is_without_a_change() -> None:
    """FNDDS has one for every dish here."""
    none = [one for one in moisture.other_half() if one.ground == "none"]
    assert len(none) <= 0.02 * len(moisture.other_half()), [one.dish.name for one in none]


def test_halves_share_no_family_and_no_median() -> None:
    first = {code // 1000 for code in moisture.dishes() if moisture.in_first_half(code)}
    second = {one.dish.code // 1000 for one in moisture.other_half()}
    assert first.isdisjoint(second)
    whole = yields.dish_rows()
    with moisture.medians_of_the_first_half():
        assert yields.dish_rows() != whole
    assert yields.dish_rows() == whole


def test_the_table_is_what_the_script_makes_of_the_workbook() -> None:
    made = dish_moisture.table(dish_moisture.dishes(moisture.WORKBOOK))
    assert made == [{k: v for k, v in row.items() if k != AT} for row in rows("dish_moisture.csv")]
