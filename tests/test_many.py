"""Many dishes at a time: the same figures as one by one, as before the sums became arrays, and within bounds."""

from __future__ import annotations

import csv
import gc
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import Any

import pytest

import nutrilab as nl
from nutrilab import bench, nutrition
from nutrilab.cooking.errors import COLUMN, NAMES, Cause, Source, spread_of, together
from nutrilab.cooking.steps import RANGED, Batch, lose_fat, mix, of_food, retain
from nutrilab.folder import OPEN_AT_ONCE
from nutrilab.foods import embedded
from nutrilab.law.energy import reconciled
from nutrilab.once import Remembered
from tests.benchmarks import corpus
from tests.engine_cases import COUNT, KEPT, cases, figures

SAME = 1e-9


def test_figures_are_those_of_the_sums_line_by_line() -> None:
    with KEPT.open(encoding="utf-8", newline="") as file:
        kept = {(int(row["case"]), row["key"]): row["figures"] for row in csv.DictReader(file)}
    assert len({case for case, _ in kept}) > 0.6 * COUNT  # the others are refused
    found = {(number, key): some for number, case in enumerate(cases()) for key, some in figures(case).items()}
    assert found.keys() == kept.keys()
    for place, some in found.items():
        before = [None if one == "-" else float(one) for one in kept[place].split()]
        assert some == pytest.approx(before, rel=SAME, abs=1e-10), place


def test_a_batch_holds_what_its_foods_hold_component_by_component() -> None:
    """Against plain sums over the values of the table, for every component it has."""
    parts = [
        (embedded().food(f"sr:{ndb}"), grams) for ndb, grams in (("11124", 137.0), ("01123", 55.0), ("15015", 420.0))
    ]
    whole = mix([of_food(food, grams) for food, grams in parts]).scaled(0.25)
    tagnames = {tagname for food, _ in parts for tagname in reconciled(food.values)}
    assert whole.amounts.keys() == tagnames
    assert len(tagnames) > 100
    for tagname in tagnames:
        holding = [(food, grams) for food, grams in parts if tagname in reconciled(food.values)]
        amount = sum(reconciled(food.values)[tagname] * grams / 100 for food, grams in holding) / 4
        assert whole.get(tagname) == pytest.approx(amount, rel=SAME), tagname
        assert whole.known[tagname] == pytest.approx(sum(grams for _, grams in holding) / 4, rel=SAME), tagname


def test_vitamins_are_worked_out_late_by_the_same_steps() -> None:
    beef = of_food(embedded().food("sr:23572"), 300)
    kept, _ = retain(beef, {"THIA": 0.7, "NA": 0.5, "FE": 0.9})
    left, _ = lose_fat(kept, 20)
    share = 1 - 20 / beef.get("FAT")
    for batch in (left, left.scaled(0.5) + left.scaled(0.5)):
        assert batch.get("THIA") == pytest.approx(0.7 * beef.get("THIA"), rel=SAME)
        assert batch.get("FE") == pytest.approx(0.9 * beef.get("FE"), rel=SAME)
        assert batch.get("FASAT") == pytest.approx(share * beef.get("FASAT"), rel=SAME)
        assert batch.get("F18D1") == pytest.approx(share * beef.get("F18D1"), rel=SAME)
        assert batch.get("FAT") == pytest.approx(beef.get("FAT") - 20, rel=SAME)
        assert {name: batch.amounts[name] for name in batch.core} == pytest.approx(batch.core, rel=SAME)


def test_ten_thousand_steps_one_after_another_are_no_depth() -> None:
    batch = of_food(embedded().food("sr:01123"), 100)
    for _ in range(10_000):
        batch = batch.scaled(1.0)
    assert batch.get("VITD") == pytest.approx(of_food(embedded().food("sr:01123"), 100).get("VITD"))


def test_effects_of_one_source_add_and_others_stay_apart() -> None:
    one, other = Source(Cause.AMOUNT, "", "pot", 1), Source(Cause.FOOD, "x")
    first = spread_of({one: {"FAT": (-1.0, 2.0)}, other: {"NA": (-3.0, 4.0)}})
    both = together((first.scaled(0.5), spread_of({one: {"FAT": (-1.0, 1.0), "mass": (-5.0, 5.0)}})))
    assert dict(both) == {one: {"FAT": (-1.5, 2.0), "mass": (-5.0, 5.0)}, other: {"NA": (-1.5, 2.0)}}
    assert set(RANGED) < set(NAMES) == set(COLUMN)
    with pytest.raises(KeyError):
        both[Source(Cause.FOOD, "y")]


def test_many_dishes_are_those_cooked_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """In a memory so small that lines are forgotten and read again, and in any order."""
    asked = list(islice(corpus.recipes(40, seed=7, method=True), 40))
    many = nl.open_kitchen(None).dishes(asked)
    monkeypatch.setattr(bench, "MOST_LINES", 5)
    for recipe, dish in zip(reversed(asked), reversed(many), strict=True):
        alone = nl.open_kitchen(None).dish(recipe) if recipe is asked[3] else many_in_little(recipe)
        assert alone.to_dict() == dish.to_dict()
        assert alone.whole == dish.whole


_little: list[nl.Folder] = []


def many_in_little(recipe: nl.Recipe) -> nl.Dish:
    _little[:] = _little or [nl.open_kitchen(None)]
    assert len(_little[0].kitchen()._lines) <= 5
    return _little[0].dish(recipe)


def test_many_lines_are_those_read_one_by_one() -> None:
    kitchen = nl.open_kitchen(None)
    texts = ["2 leeks", "salt, to taste", "2 leeks", "gribbles"]
    assert [one.to_dict() for one in kitchen.lines(texts, portions=2)] == [
        nl.open_kitchen(None).line(text, portions=2).to_dict() for text in texts
    ]
    with pytest.raises(nl.NutrilabError, match=r"lines\(\) takes a list"):
        kitchen.lines("2 leeks")


def test_what_depends_on_portions_is_not_remembered_for_others() -> None:
    kitchen = nl.open_kitchen(None)
    two, twelve = (kitchen.line("salt, to taste", portions=portions).grams for portions in (2, 12))
    assert two is not None
    assert twelve == pytest.approx(6 * two)
    assert kitchen.line("2 leeks", portions=2).grams == kitchen.line("2 leeks", portions=12).grams


def test_a_cup_is_not_remembered_for_the_other() -> None:
    kitchen = nl.open_kitchen(None)
    assert kitchen.line("1 cup water", "us").grams != kitchen.line("1 cup water", "metric").grams


def test_a_memory_forgets_what_was_not_asked_for_longest() -> None:
    memory: Remembered[str, int] = Remembered(2)
    memory.keep("a", 1)
    memory.keep("b", 2)
    assert memory.get("a") == 1
    memory.keep("c", 3)
    assert [memory.get(key) for key in "abc"] == [1, None, 3]
    memory.keep("c", 4)
    assert (len(memory), memory.get("a"), memory.get("c")) == (2, 1, 4)


@pytest.mark.parametrize("searching", [True, False])
def test_the_search_for_circles_is_afterwards_as_it_was_even_when_a_dish_is_refused(searching: bool) -> None:
    kitchen, before = nl.open_kitchen(None), gc.isenabled()
    try:
        (gc.enable if searching else gc.disable)()
        with pytest.raises(nl.NutrilabError):
            kitchen.dishes(["no-such-soup.yaml"])
        assert gc.isenabled() is searching
    finally:
        (gc.enable if before else gc.disable)()


def test_no_search_for_circles_goes_on_while_many_are_cooked_or_read() -> None:
    """It costs as much as the work."""
    kitchen, before = nl.open_kitchen(None), gc.isenabled()
    searching: list[bool] = []

    def noting(one: nl.Recipe | str) -> Iterator[Any]:
        searching.append(gc.isenabled())
        yield one

    try:
        gc.enable()
        kitchen.dishes(noting(next(corpus.recipes(1, seed=3))))
        kitchen.lines(noting("2 leeks"))
    finally:
        (gc.enable if before else gc.disable)()
    assert searching == [False, False]


def test_a_kept_error_holds_nothing_of_the_kitchen() -> None:
    (error,) = nl.open_kitchen(None).dishes(["no-such-soup.yaml"], errors="keep")
    assert isinstance(error, nl.NutrilabError)
    assert error.__traceback__ is None


def test_no_more_than_a_few_lists_of_packs_are_kept_open(tmp_path: Path) -> None:
    kitchen = nl.open_kitchen(tmp_path)
    paths = []
    for number in range(OPEN_AT_ONCE + 3):
        pack = f"- name: Slipway spread\n  per: 100 g\n  salt: {number} g\n"
        (tmp_path / f"packs-{number}.yaml").write_text(pack, encoding="utf-8")
        paths.append(tmp_path / f"dish-{number}.yaml")
        text = f"dish: D\nportions: 1\nproducts: packs-{number}.yaml\ningredients:\n  - 100 g Slipway spread\n"
        paths[-1].write_text(text, encoding="utf-8")
    for _ in range(2):  # those that were closed are opened again
        assert [dish.per_portion["salt"] for dish in kitchen.dishes(paths)] == pytest.approx(range(len(paths)))
        assert len(kitchen._kitchens) == OPEN_AT_ONCE
    kitchen.dishes([paths[-2], paths[0]])
    assert (paths[-2].with_name(f"packs-{len(paths) - 2}.yaml"),) in kitchen._kitchens, "what was asked for last stays"


def test_a_dish_that_nobody_looks_at_has_no_remarks_made() -> None:
    """Remarks, allergens and vitamins cost as much as the figures: a collection pays for what it asks for."""
    recipe = next(corpus.recipes(1, seed=3))
    dish = nl.open_kitchen(None).dish(recipe)
    assert not {"remarks", "allergens", "tables"} & vars(dish.looked).keys()
    assert dish.remarks is dish.remarks
    assert "remarks" in vars(dish.looked)
    assert isinstance(dish.batch, Batch)
    assert nutrition.declared_values(dish.batch) is nutrition.declared_values(dish.batch)


def test_the_corpus_is_the_same_each_time_and_a_fifth_of_it_new() -> None:
    one, two = (list(corpus.recipes(200, seed=4)) for _ in range(2))
    assert one == two
    lines = [entry.text for recipe in one for entry in recipe.stages[0].entries]
    assert len(lines) == 2000
    fresh = len(set(lines)) - len({line for line in lines if lines.count(line) > 1})
    assert fresh > 0.2 * len(lines)
    known = list(corpus.recipes(200, seed=4, fresh=0.0))
    assert len({entry.text for recipe in known for entry in recipe.stages[0].entries}) < 0.8 * len(lines)
