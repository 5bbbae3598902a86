"""The table of differences in docs/food-tables.md, recomputed from the published CIQUAL workbook.

Source: Anses. 2020. Ciqual French food composition table (English workbook), beside USDA SR28.
"""

from __future__ import annotations

import pytest

from tests.derive import table_differences


@pytest.fixture(autouse=True)
def workbook() -> None:
    pytest.importorskip("xlrd", reason="xlrd reads .xls workbooks")
    if not table_differences.WORKBOOK.exists():
        pytest.skip("the CIQUAL workbook is not beside this project (../shared/reference)")


def test_the_page_shows_what_comes_out() -> None:
    assert table_differences.written() == table_differences.page(), (
        "run: python -m tests.derive.table_differences --write"
    )


def test_what_the_words_below_the_table_say() -> None:
    soup = next(path for path in table_differences.DEMOS if "soup" in path.name)
    squares = next(path for path in table_differences.DEMOS if "squares" in path.name)
    american, alone, stacked = table_differences.results(soup)
    assert alone.whole.coverage["mass_linked"] == stacked.whole.coverage["mass_linked"] == 1
    assert alone.whole.per_portion["salt"] < 0.8 * american.whole.per_portion["salt"]
    assert table_differences.results(squares)[1].whole.coverage["salt"] == pytest.approx(0.74, abs=0.02)
