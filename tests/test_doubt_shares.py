"""What a range is made of: shares that add to 1, what to weigh next, and whether the range is what draws give.

Method: JCGM 100:2008 (GUM), 5.1 and 5.2; JCGM 101:2008, propagation of distributions by a Monte Carlo method.
"""

from __future__ import annotations

import json
from dataclasses import replace
from math import log
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

from nutrilab import nutrition
from nutrilab.cli import main
from nutrilab.cooking import errors
from nutrilab.cooking.errors import Cause
from nutrilab.cooking.steps import ENERGY_KCAL
from nutrilab.doubt import doubts, in_words
from nutrilab.law.energy import energy_regulation, reconciled
from nutrilab.nutrition import declared_values, ranges, squares
from nutrilab.recipe import read_recipe
from nutrilab.results import DishResult
from tests.dishes import kitchen

DEMOS = sorted(p for p in (Path(__file__).parents[1] / "demo_recipes").iterdir() if p.suffix in (".yaml", ".txt"))
NINE_IN_TEN = 1.6449  # standard deviations


def dish(path: Path) -> DishResult:
    return kitchen().dish(read_recipe(path))


def typed(tmp_path: Path, text: str) -> DishResult:
    path = tmp_path / "dish.txt"
    path.write_text(text)
    return dish(path)


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_shares_with_the_rest_add_to_one(path: Path) -> None:
    for found in doubts(dish(path)).values():
        assert sum(one.share for one in found) == pytest.approx(1)
        assert [one.cause for one in found].count("rest") == 1
        assert (found[-1].cause, found[-1].advice, found[-1].line) == ("rest", None, None)
        shares = [one.share for one in found[:-1]]
        assert shares == sorted(shares, reverse=True)
        assert all(one.advice is None for one in found if one.narrows < 0.1)


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
@pytest.mark.parametrize("key", ["energy_kcal", "salt"])
def test_without_its_first_source_a_range_is_as_narrow_as_was_said(path: Path, key: str) -> None:
    result = dish(path)
    first = doubts(result)[key][0]
    by_square = squares(result.batch, key)
    source = max(by_square, key=lambda one: by_square[one])
    left = {one: effects for one, effects in result.batch.spread.items() if one != source}
    before, after = ranges(result.batch)[key], ranges(replace(result.batch, spread=errors.spread_of(left)))[key]
    assert before is not None
    assert after is not None

    def wide(ends: tuple[float, float]) -> float:
        value = declared_values(result.batch)[key] or 1.0
        return (log(ends[1] / value) ** 2 + log(value / ends[0]) ** 2) ** 0.5

    assert wide(after) / wide(before) == pytest.approx(1 - first.narrows, abs=0.1)


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
@pytest.mark.parametrize("key", ["energy_kcal", "fat", "protein", "salt"])
def test_the_range_is_what_twenty_thousand_draws_give(path: Path, key: str) -> None:
    """Every source drawn by itself, from a distribution whose 5 % and 95 % points are its ends, in the logarithm.

    In the logarithm, as no figure falls below zero; the largest of single sources makes it lopsided.
    """
    result = dish(path)
    value, ends = declared_values(result.batch)[key] or 0.0, ranges(result.batch)[key]
    assert ends is not None
    random = np.random.default_rng(20261128)
    scale = nutrition.salt(1.0) if key == "salt" else 1.0
    total = np.zeros(20_000)
    for effects in result.batch.spread.values():
        less, more = (end * scale for end in errors.ends(effects, nutrition._NAMES[key]))
        z = random.standard_normal(total.size) / NINE_IN_TEN
        down = -log(max(1 - less / value, 0.05))
        total += np.where(z > 0, z * log(1 + more / value), z * down)
    low, high = value * np.exp(np.quantile(total, [0.05, 0.95]))
    assert (high - low) == pytest.approx(ends[1] - ends[0], rel=0.05)


@pytest.mark.parametrize("key", ["energy_kcal", "fat", "protein", "salt"])
def test_another_library_reckons_the_same_range(tmp_path: Path, key: str) -> None:
    """Correlated first-order propagation by `uncertainties` (E.O. Lebigot), from weights and values, not our spread.

    Two lines of one food share what the food varies by; half of a stage twice is the whole stage, and water boils off
    by a doubtful share. The range is its standard deviation, 1.645 times to each side.
    """
    uncertainties = pytest.importorskip("uncertainties", reason="the library uncertainties reckons ranges too")
    path = tmp_path / "dish.yaml"
    path.write_text(STAGES)
    result = dish(path)
    told: dict[str, Any] = {}

    def variable(name: str, value: float, less: float, more: float) -> Any:
        return told.setdefault(name, uncertainties.ufloat(value, (less + more) / 2 / NINE_IN_TEN))

    total: Any = 0.0
    tagname = {"energy_kcal": "ENERC_KCAL", "fat": "FAT", "protein": "PROCNT", "salt": "NA"}[key]
    scale = nutrition.salt(1.0) if key == "salt" else 1.0
    for stage, one in ((cooked.stage.name, put) for cooked in result.stages for put in cooked.puts):
        assert one.food is not None
        grams = variable(f"{stage} {one.line}", one.grams, one.grams - one.low, one.high - one.grams)
        known = reconciled(one.food.values)
        value = energy_regulation(known)[1] if key == "energy_kcal" else known.get(tagname, 0.0)
        name = {"energy_kcal": ENERGY_KCAL}.get(key, tagname)
        total += grams * scale * value / 100
        for what, ends in (("varies", one.varies), ("which", one.which)):
            less, more = (0.0, 0.0) if ends is None else (ends[:, errors.COLUMN[name]] * (-1, 1)).tolist()
            total += one.grams * scale * variable(f"{one.food.food_id} {what}", 0.0, less, more) / 100
    share = variable("division", 1.0, 0.1, 0.1)
    reckoned = total * share
    value = declared_values(result.batch)[key] or 0.0
    assert reckoned.nominal_value == pytest.approx(value, rel=1e-6)
    low, high = ranges(result.batch)[key] or (0.0, 0.0)
    assert NINE_IN_TEN * 2 * reckoned.std_dev == pytest.approx(high - low, rel=0.05)


STAGES = """\
dish: Harbour chowder
portions: 4
stages:
  - stage: base
    ingredients:
      - 2 onions
      - 300 g potatoes, peeled
      - 30 g butter
      - 1 tsp salt
  - stage: chowder
    ingredients:
      - half of base
      - 50% of base
      - 300 g cod fillet
      - 20 g butter, to finish
      - 200 ml double cream
"""


def test_what_to_weigh_next_is_said_in_words(tmp_path: Path) -> None:
    chilli = typed(
        tmp_path, "Chilli\nServes 4\n500 g beef mince\n1 onion\n400 g tin chopped tomatoes\nMethod\nFry for 20 minutes."
    )
    assert any('write the fat of the beef mince in its line, such as "12% fat"' in words for words in in_words(chilli))
    told = typed(tmp_path, "Chilli\nServes 4\n500 g beef mince (12% fat)\n1 onion\nMethod\nFry for 20 minutes.")
    wide = [(r.whole.per_portion_range["fat"] or (0, 0)) for r in (told, chilli)]
    assert (wide[0][1] - wide[0][0]) < (wide[1][1] - wide[1][0])
    cake = typed(tmp_path, "Cake\nServes 8\n250 g flour\n250 g butter\n3 big handfuls of walnuts\n")
    first = doubts(cake)["energy_kcal"][0]
    assert (first.cause, first.line) == (Cause.AMOUNT, 3)
    assert first.advice == 'weigh "3 big handfuls of walnuts" and write the grams'


def test_nothing_is_advised_of_what_is_sold_without_figures(tmp_path: Path) -> None:
    found = doubts(typed(tmp_path, "Salad\nServes 2\n400 g potatoes\n200 g apples\n"))["energy_kcal"]
    assert {one.cause for one in found} == {"variation", "amount", "rest"} or found[0].cause == "variation"
    assert all(one.advice is None for one in found if one.cause == "variation")


def test_the_record_and_the_outputs_say_it(tmp_path: Path) -> None:
    path = tmp_path / "dish.txt"
    path.write_text("Cake\nServes 8\n250 g flour\n250 g butter\n3 big handfuls of walnuts\n")
    record = json.loads(CliRunner().invoke(main, ["analyse", str(path), "--format", "json"]).stdout)
    first, *_, last = record["doubt"]["energy_kcal"]
    assert set(first) == {"stage", "line", "cause", "share", "advice"}
    assert set(last) == {"cause", "share"}
    text = " ".join(CliRunner().invoke(main, ["analyse", str(path)]).stdout.split())
    page = CliRunner().invoke(main, ["analyse", str(path), "--format", "html"]).stdout
    for said in (text, page):
        assert "of what is unsure in the calories." in said
        assert "and write the grams." in said
    assert {one["do"] for one in record["settle_first"]} > {f"{first['advice'][:1].upper()}{first['advice'][1:]}."}


def test_two_lines_of_one_food_vary_together(tmp_path: Path) -> None:
    def wide(text: str) -> float:
        low, high = typed(tmp_path, text).whole.per_portion_range["fat"] or (0.0, 0.0)
        return high - low

    one = wide("Mince\nServes 1\n400 g beef mince\n")
    two = wide("Mince\nServes 1\n200 g beef mince\n200 g beef mince, for the top\n")
    assert two == pytest.approx(one, rel=0.02)
