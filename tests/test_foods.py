"""Foods: composing and restating them."""

from __future__ import annotations

import pytest

from nutrilab.foods import Food, compose, embedded, restated


def food(**values: float) -> Food:
    return Food("x:1", "x", "g", "s", None, values)


def test_a_mix_misses_what_one_part_misses() -> None:
    mix = compose("mix:x", "x", [(food(FAT=10, NA=100), 0.25), (food(FAT=20), 0.75)])
    assert mix.values == {"FAT": 17.5}
    with pytest.raises(ValueError, match="add up"):
        compose("mix:x", "x", [(food(FAT=10), 0.5)])


def test_cooked_rice_by_the_raw_row() -> None:
    """USDA SR28, rice, white, long-grain: raw 20444, cooked 20045; by dry matter 1 g cooked is 31.6/88.4 g raw."""
    raw, cooked = embedded().food("sr:20444"), embedded().food("sr:20045")
    factor = (100 - cooked.values["WATER"]) / (100 - raw.values["WATER"])
    weighed = restated(raw, factor)
    assert weighed.values["WATER"] == pytest.approx(cooked.values["WATER"])
    assert weighed.values["ENERC_KCAL"] == pytest.approx(cooked.values["ENERC_KCAL"], rel=0.02)
    assert weighed.values["PROCNT"] == pytest.approx(cooked.values["PROCNT"], rel=0.06)
    assert "WATER" not in restated(food(FAT=1), 0.5).values
