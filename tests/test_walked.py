"""The dish walked by hand in docs/how-figures-are-computed.md: recomputed, and held against the product."""

from __future__ import annotations

from pathlib import Path

import pytest

from nutrilab.foods import embedded
from nutrilab.kitchen import DishResult, Kitchen
from nutrilab.recipe import read_recipe
from tests import walked

DEMO = Path(__file__).parents[1] / "demo_recipes" / "harbour-fish-pie.yaml"


@pytest.fixture(scope="module")
def result() -> DishResult:
    return Kitchen([embedded()]).dish(read_recipe(DEMO))


def test_every_number_of_the_page_is_recomputed() -> None:
    assert walked.written() == walked.page(), "run: python -m tests.walked --write"


def test_the_product_comes_out_where_the_hand_does(result: DishResult) -> None:
    _, whole = walked.dish()
    one = whole.times(1 / walked.PORTIONS)
    want = {
        "energy_kcal": one.kcal,
        "energy_kj": one.kj,
        "fat": one.fat,
        "carbohydrate": one.carbohydrate,
        "protein": one.protein,
        "fibre": one.fibre,
        "salt": one.sodium * 2.5 / 1000,
    }
    for key, value in want.items():
        assert result.whole.per_portion[key] == pytest.approx(value, rel=1e-9), key
    assert result.whole.mass == whole.grams


def test_the_hand_weighs_the_lines_as_the_product_does(result: DishResult) -> None:
    for stage in result.stages:
        weighed = []
        for food in (food for record in stage.records for food in record.foods):
            assert food.link.food is not None
            grams = food.weight.grams or 0.0
            parts = food.link.food.parts or ((food.link.food, 1.0),)
            weighed += [(part.food_id, share * grams) for part, share in parts]
        by_hand = walked.LINES[stage.stage.name]
        assert [food_id for food_id, _ in weighed] == [food_id for _, food_id, _, _ in by_hand]
        assert [grams for _, grams in weighed] == pytest.approx([grams for _, _, grams, _ in by_hand])
