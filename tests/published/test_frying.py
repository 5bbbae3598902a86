"""Fat of fried food against the UK table; see tests/published/frying.py."""

from __future__ import annotations

from statistics import median

import pytest

from tests.published import frying
from tests.published.frying import FOODS, Fried

pytestmark = pytest.mark.skipif(
    not frying.HERE, reason="../shared/reference/cofid-* is not here: fried food is not compared with the UK table"
)


def test_the_page_shows_what_comes_out() -> None:
    assert frying.written() == frying.page(), "run: python -m tests.published.frying --write"


@pytest.mark.parametrize("seen", [True, False], ids=["seen", "not seen"])
def test_fat_within_15_per_cent_in_the_middle(seen: bool) -> None:
    some = [one for one in FOODS if one.seen == seen]
    assert len(some) >= 15
    assert median(abs(frying.off(one)) for one in some) <= 0.15


def test_two_of_three_are_within_15_per_cent() -> None:
    assert sum(abs(frying.off(one)) <= 0.15 for one in FOODS) >= 2 * len(FOODS) / 3


@pytest.mark.parametrize("one", FOODS, ids=lambda one: one.code)
def test_no_wording_eats_the_oil_whole(one: Fried) -> None:
    """No wording brings more than half as much again as the published row; a litre eaten would bring many times it."""
    assert max(fat for fat, _ in frying.fried(one)) <= 1.5 * frying.published(one.code)[1]
