"""Which food it is, how a dish is divided, and what 100 g leave open: what each adds to a range, and what it does not.

Sources beside the checks: rows and household measures of USDA SR28.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from nutrilab.cooking.errors import Cause
from nutrilab.datafiles import rows
from nutrilab.doubt import _OPEN, doubts
from nutrilab.foods import embedded
from nutrilab.lines import parse_line
from nutrilab.linking.kin import cooked_row, head
from nutrilab.nutrition import ranges, ranges_per_100g
from nutrilab.recipe import read_recipe
from nutrilab.results import DishResult
from nutrilab.variation.which import kin_of, pairs, unsaid
from tests.dishes import kitchen

KIN = kin_of(embedded())


def typed(tmp_path: Path, *lines: str, head: str = "Serves 4") -> DishResult:
    path = tmp_path / "dish.txt"
    path.write_text("\n".join(("Quay plate", head, *lines)) + "\n")
    return kitchen().dish(read_recipe(path))


def span(result: DishResult, key: str) -> tuple[float, float]:
    found = result.whole.per_portion_range[key]
    assert found is not None
    return found


def which(result: DishResult) -> list[str]:
    """What the spread of a dish holds of other foods."""
    return [source.what for source in result.batch.spread if source.cause == Cause.FOOD and " " not in source.what]


def test_a_likely_food_reaches_to_its_kind_and_a_sure_one_to_nothing(tmp_path: Path) -> None:
    """SR28: butter with salt has 643 mg of sodium in 100 g, without 11; "butter" is likely the salted one."""
    low, high = span(typed(tmp_path, "100 g butter", head="Serves 1"), "salt")
    assert low < 0.2 < 1.6 < high < 2.5
    assert which(typed(tmp_path, "100 g salted butter")) == []
    assert which(typed(tmp_path, "100 g plain flour")) == []


def test_a_decided_food_leaves_nothing_open(tmp_path: Path) -> None:
    assert which(typed(tmp_path, "100 g butter"))
    (tmp_path / "decisions.yaml").write_text("butter: sr:01001\n")
    from nutrilab import open_kitchen

    assert which(open_kitchen(tmp_path).dish(read_recipe(tmp_path / "dish.txt"))) == []


@pytest.mark.parametrize(
    ("open_", "settled", "key"),
    [
        ("500 g lamb shoulder", "500 g lamb shoulder, trimmed", "fat"),
        ("500 g lamb shoulder", "500 g lamb shoulder, with its fat", "fat"),
        ("4 chicken thighs", "4 chicken thighs, skin on", "fat"),
        ("500 ml milk", "500 ml whole milk", "fat"),
    ],
)
def test_what_words_leave_open_is_open_until_they_say_it(tmp_path: Path, open_: str, settled: str, key: str) -> None:
    """SR28 has both: lamb shoulder with its fat and lean, chicken thighs with skin and without, milk of 3.3 and 2 %."""

    def wide(line: str) -> float:
        low, high = span(typed(tmp_path, line, head="Serves 1"), key)
        return high / low

    assert wide(open_) > 1.15 * wide(settled)


def test_a_pair_is_of_two_rows_and_has_something_to_ask() -> None:
    names = embedded().names
    for pair in pairs():
        assert any(pair.holds in name for name in names)
        assert pair.other in embedded() or any(pair.other in name for name in names)
        assert pair.asks in _OPEN
    assert all(row["source"] for row in rows("which_pairs.csv"))
    assert all(row["source"] for row in rows("which_words.csv"))


def test_the_other_row_is_the_same_cut() -> None:
    lamb = embedded().food("sr:17035")
    pair = unsaid(lamb, parse_line("500 g lamb shoulder"), "lamb shoulder")
    assert pair is not None
    other = KIN._other(lamb, pair)
    assert other is not None
    assert other.name == lamb.name.replace("separable lean and fat", "separable lean only")


@pytest.mark.parametrize(
    ("name", "thing"),
    [
        ("Butter, salted", "butter"),
        ("Sauce, tartar, ready-to-serve", "sauce tartar"),
        ("Cheeses, cheddar", "cheese cheddar"),
    ],
)
def test_what_a_thing_is_called(name: str, thing: str) -> None:
    assert head(name) == thing


@pytest.mark.parametrize(
    ("line", "food"),
    [
        ("100 g cooked veal leg", "Veal, leg (top round), separable lean and fat, cooked"),
        ("100 g cooked cauliflower", "Cauliflower, cooked"),
        ("100 g veal leg", "Veal, leg (top round), separable lean and fat, raw"),
    ],
)
def test_what_is_said_to_be_cooked_is_not_counted_raw(line: str, food: str) -> None:
    found = kitchen().line(line).foods[0].link.food
    assert found is not None
    assert found.name.startswith(food)


def test_no_row_is_cooked_of_what_is_cooked_already() -> None:
    assert cooked_row(embedded(), "sr:17095", frozenset()) is None


@pytest.mark.parametrize(
    ("line", "grams"),
    [("1 cup dry nonfat milk", 120), ("1 cup milk", 244), ("1 cup whole milk mozzarella, shredded", 112)],
)
def test_a_powder_is_no_drink_and_cheese_no_milk(line: str, grams: float) -> None:
    """SR28: 01091 dry nonfat milk 30 g in 1/4 cup; 01077 whole milk 244 g; 01026 mozzarella 112 g of shreds a cup."""
    assert kitchen().line(line).grams == pytest.approx(grams, rel=0.03)


def test_portions_are_as_even_as_they_are_divided(tmp_path: Path) -> None:
    def wide(*lines: str, head: str) -> float:
        low, high = span(typed(tmp_path, *lines, head=head), "carbohydrate")
        return high / low

    whole = wide("1 kg sugar", head="Serves 1")
    assert wide("1 kg sugar", head="Serves 4") > whole * 1.1
    path = tmp_path / "dish.yaml"
    path.write_text("dish: Sugar\nportion weight: 250 g\ningredients: [1 kg sugar]\n")
    low, high = span(kitchen().dish(read_recipe(path)), "carbohydrate")
    assert whole < high / low < wide("1 kg sugar", head="Serves 4")


def test_what_is_served_beside_is_not_divided(tmp_path: Path) -> None:
    path = tmp_path / "dish.yaml"
    path.write_text("dish: Bowl\nportions: 4\ningredients: [400 g water]\nserve with: [100 g sugar]\n")
    beside = span(kitchen().dish(read_recipe(path)), "carbohydrate")
    alone = span(typed(tmp_path, "100 g sugar", head="Serves 1"), "carbohydrate")
    assert beside == pytest.approx(alone, rel=1e-6)


def test_100_g_know_nothing_of_how_much_there_is(tmp_path: Path) -> None:
    """Of one food 100 g are 100 g, however doubtful its amount and its portions."""
    one = typed(tmp_path, "3 big handfuls of sugar", head="Serves 6")
    low, high = ranges_per_100g(one.pot)["carbohydrate"] or (0, 0)
    whole = ranges(one.batch)["carbohydrate"] or (0, 0)
    assert high / low < 1.05 < 1.5 < whole[1] / whole[0]
    first = doubts(one)["energy_kcal"][0]
    assert (first.cause, first.line) == ("amount", 1)
