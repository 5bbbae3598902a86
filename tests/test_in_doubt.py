"""Numbers that can be read in two ways, or that no kitchen writes, are asked about and never weighed in silence."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from nutrilab.cli import main
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.lines import parse_line
from nutrilab.lines.in_doubt import first_in_doubt, in_doubt
from nutrilab.plain import two_numbers
from nutrilab.products import load
from nutrilab.recipe import read_recipe
from nutrilab.recipe.portions import read_yield
from nutrilab.remarks import InputError

ASKED = {"amount-ambiguous", "amount-absurd", "amount-not-understood"}


@cache
def kitchen() -> Kitchen:
    return Kitchen([embedded()], alternatives=False)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("1.234,5 g flour", "amount-ambiguous"),
        ("1.234,5 kg flour", "amount-ambiguous"),
        ("12.345,67 ml milk", "amount-ambiguous"),
        ("1.500 g flour", "amount-ambiguous"),
        ("1.500 g salt", "amount-ambiguous"),  # salt without an amount would count by habit
        ("salt, 1.500 g", "amount-ambiguous"),
        ("flour 1.500 g", "amount-ambiguous"),
        ("12.500g flour", "amount-ambiguous"),
        ("1.000 ml milk", "amount-ambiguous"),
        ("2 x 1.500 g tins tomatoes", "amount-ambiguous"),
        ("2x1.500g tins tomatoes", "amount-ambiguous"),
        ("1.000 eggs", "amount-ambiguous"),
        ("about 1.500 g flour", "amount-ambiguous"),
        ("3lb 5oz/1.500g flour", "amount-ambiguous"),
        ("1,500 kg flour", "amount-ambiguous"),  # 1,500 g are a kilo and a half; 1,500 kg are a slip or 1½
        ("1,250 l stock", "amount-ambiguous"),
        ("1 500 g flour", "amount-ambiguous"),
        ("½½ cup flour", "amount-ambiguous"),
        ("1 ½½ cup flour", "amount-ambiguous"),
        ("1½½ cups flour", "amount-ambiguous"),
        ("½ ½ cup flour", "amount-ambiguous"),
        ("1/2½ cup flour", "amount-ambiguous"),
        ("½1 cup flour", "amount-ambiguous"),
        ("1 1/2 1/2 cup flour", "amount-ambiguous"),
        ("½ 1/4 cup milk", "amount-ambiguous"),
        ("1//2 tsp salt", "amount-not-understood"),
        ("1/2/3 cup flour", "amount-not-understood"),
        ("1.2.3 g salt", "amount-not-understood"),
        ("1,5,5 g salt", "amount-not-understood"),
        ("1,000,00 g flour", "amount-not-understood"),
        ("1.,5 g salt", "amount-not-understood"),
        ("1e3 g salt", "amount-not-understood"),
        ("1e309 g salt", "amount-not-understood"),
        ("1'500 g flour", "amount-not-understood"),
        ("999999999999 kg flour", "amount-absurd"),
        ("9999999 g salt", "amount-absurd"),
        ("1,234,567 g flour", "amount-absurd"),
        ("10000000000000000000000000 g salt", "amount-absurd"),
        ("999999 eggs", "amount-absurd"),  # 54 tonnes
        ("100000 kg flour", "amount-absurd"),
    ],
)
def test_it_is_asked_and_not_weighed(text: str, code: str) -> None:
    record = kitchen().line(text)
    assert record.grams is None
    said = [remark for remark in record.remarks if remark.code == code]
    assert said
    assert "write" in said[0].message
    if code != "amount-absurd" or record.parsed.in_doubt:
        assert record.parsed.in_doubt
        assert record.parsed.quantity is record.parsed.pack is record.parsed.other is None
    assert record.foods[0].link.food is not None  # what it is of is known all the same
    assert record.foods[0].left_out


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("1.5 g salt", 1.5),
        ("1,5 g salt", 1.5),
        ("1.50 kg flour", 1500),
        ("1.500 kg flour", 1500),
        ("0.500 g salt", 0.5),
        ("0,500 kg flour", 500),
        ("1,500 g flour", 1500),
        ("1,234.5 g flour", 1234.5),
        ("12,500 g flour", 12500),
        ("1.25 kg flour", 1250),
        ("1.125 oz butter", 31.9),
        ("2,5-3 kg flour", 2750),
        ("1 1/2 lb butter", 680.4),
        ("1-1/2 lb butter", 680.4),
        ("1 ½ lb butter", 680.4),
        ("2½ lb butter", 1134),
        ("5/2 lb butter", 1134),
        ("2 x 250 g butter", 500),
        ("2 250 g sirloin steaks", 500),
        ("1 400 g tin chopped tomatoes", 400),
        ("175g/6oz butter", 175),
        ("80/20 mince 500 g", 500),
    ],
)
def test_clear_numbers_are_read_as_before(text: str, grams: float) -> None:
    record = kitchen().line(text)
    assert record.grams == pytest.approx(grams, rel=0.001)
    assert not ASKED & {remark.code for remark in record.remarks}


@pytest.mark.parametrize(
    "text",
    [
        "½ 400g/14 oz can flageolet beans, rinsed and drained",
        "2 tbsp omega 3,6,9 oil",
        "1 ½ ½-inch thick steaks",
        "500 g flour (type 1.600)",
        "1 tin E220,221,222 free apricots",
        "2 eggs, best before 01/02/2031",
        "250 g cream cheese, EAN 5012345678900",
    ],
)
def test_numbers_that_are_no_amounts_raise_no_question(text: str) -> None:
    assert not parse_line(text).in_doubt


def test_a_line_that_is_asked_about_still_has_its_food_and_its_allergens(tmp_path: Path) -> None:
    path = tmp_path / "dish.txt"
    path.write_text("Shortbread\nServes 4\n200 g flour\n1.500 g butter\n", encoding="utf-8")
    dish = json.loads(CliRunner().invoke(main, ["analyse", str(path), "--format", "json"]).stdout)
    line = dish["stages"][-1]["lines"][1]
    assert (line["grams"], line["quantity"], line["food_id"]) == (None, None, "sr:01001")
    assert "milk" in line["allergens"]["contains"]
    assert [warning["code"] for warning in line["warnings"]] == ["amount-ambiguous"]
    assert line["warnings"][0]["message"] == '"1.500" can be 1,500 or 1.5; write it so that it is clear'
    assert any(warning["code"] == "amount-ambiguous" for warning in dish["warnings"])
    added = kitchen().line("100 g flour plus 1.500 g salt")
    assert [food.weight.grams for food in added.foods] == [None, None]
    assert "gluten" in added.findings.contains


# --- the same number in a recipe file and on a pack -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("portions: 1.500", '"1.500" can be 1500 or 1.5'),
        ("portions: 4\ncooking: {method: baked, weight after: '1,500 g'}", '"1,500" can be 1500 or 1.5'),
        ("portions: 4\ncooking: {method: baked, weight before: 2.350}", '"2.350" can be 2350 or 2.35'),
        ("portion weight: 1.000 g", '"1.000" can be 1000 or 1'),
    ],
)
def test_weights_and_portions_of_two_meanings_are_refused(tmp_path: Path, line: str, words: str) -> None:
    path = tmp_path / "dish.yaml"
    path.write_text(f"dish: S\ningredients: [1 egg]\n{line}\n", encoding="utf-8")
    with pytest.raises(InputError) as error:
        read_recipe(path)
    assert words in str(error.value)
    assert ", line " in str(error.value)


def test_clear_weights_are_read(tmp_path: Path) -> None:
    path = tmp_path / "dish.yaml"
    for written, grams in (
        ("1.350 kg", 1350),
        ("1,35 kg", 1350),
        ("1350", 1350),
        ("1350.5 g", 1350.5),
        ("0.500 g", 0.5),
    ):
        path.write_text(
            f"dish: S\nportions: 2\ningredients: [2 kg leeks]\ncooking: {{weight after: '{written}'}}\n",
            encoding="utf-8",
        )
        cooking = read_recipe(path).stages[0].cooking
        assert cooking is not None
        assert cooking.weight_after == pytest.approx(grams)


@pytest.mark.parametrize("said", ["Serves 1,500", "Serves 1.500", "makes 1.200 scones"])
def test_a_yield_of_two_meanings_is_no_number_of_portions(said: str) -> None:
    assert read_yield([said])[0] is None


@pytest.mark.parametrize(
    "line", ["energy kJ: 1.234", "energy kJ: '1,234'", "pack size: 1,000 g", "sulphites: 1.000 mg/kg"]
)
def test_a_pack_of_two_meanings_is_refused(tmp_path: Path, line: str) -> None:
    path = tmp_path / "products.yaml"
    path.write_text(f"- name: Quay relish\n  {line}\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"line 2: .* can be "):
        load(path)


def test_two_numbers() -> None:
    assert two_numbers("1.500") == ("1500", "1.5")
    assert two_numbers("12,345") == ("12345", "12.345")
    assert [two_numbers(text) for text in ("1.5", "0.500", "1500", "1,50", "1.5000", "1.234,5")] == [None] * 6


# --- volumes weigh the same, however they are divided ---------------------------------------------------------------

THINGS = (
    "whole milk", "double cream", "olive oil", "honey", "soy sauce", "water", "vegetable stock", "red wine", "flour",
    "coconut milk", "tomato ketchup", "maple syrup", "icing sugar", "salt", "basil leaves", "chopped parsley", "rice",
    "black treacle", "lime juice", "mustard", "grated parmesan", "spinach leaves",
)  # fmt: skip


@pytest.mark.parametrize("thing", THINGS)
def test_volumes_weigh_the_same_however_they_are_written(thing: str) -> None:
    def grams(amount: str) -> float:
        found = kitchen().line(f"{amount} {thing}").grams
        assert found is not None
        return found

    hundred = grams("100 ml")
    for amount in ("2 x 50 ml", "10 cl", "0.1 l", "1 dl", "4 x 25 ml", "0.1 litre"):
        assert grams(amount) == pytest.approx(hundred, rel=1e-9), amount
    for amount, times in (
        ("50 ml", 0.5),
        ("10 ml", 0.1),
        ("500 ml", 5),
        ("0.5 l", 5),
        ("½ litre", 5),
        ("2 x 250 ml", 5),
        ("1 l", 10),
    ):
        assert grams(amount) == pytest.approx(hundred * times, rel=1e-9), amount


@settings(max_examples=400)
@given(st.lists(st.sampled_from([*"0123456789½¼⅔.,'/ e+-xg", " g ", " kg", "000", "1/2", "1 ", " flour"]), max_size=14))
def test_the_quick_look_passes_over_no_doubtful_number(pieces: list[str]) -> None:
    low = "".join(pieces).strip()
    assert in_doubt(low) == first_in_doubt(low)
