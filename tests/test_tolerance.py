"""Whether a declared value holds: the steps of the guidance, either side, and where it gives none."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from nutrilab.cli import main
from nutrilab.datafiles import rows
from nutrilab.holding import label_holds
from nutrilab.law.rounding import ORDER, stated
from nutrilab.law.tolerance import held, limits
from nutrilab.recipe import read_recipe
from tests.dishes import kitchen


@pytest.mark.parametrize(
    ("component", "declared", "around"),
    [
        ("fat", 9.9, (8.4, 11.4)),
        ("fat", 10, (8, 12)),
        ("fat", 41, (33, 49)),
        ("saturates", 3.9, (3.1, 4.7)),
        ("saturates", 5, (4, 6)),
        ("sugars", 1, (0, 3)),
        ("protein", 40, (32, 48)),
        ("fibre", 6, (4, 8)),
        ("salt", 1.2, (0.825, 1.575)),
        ("salt", 1.25, (1.0, 1.5)),
    ],
)
def test_the_steps(component: str, declared: float, around: tuple[float, float]) -> None:
    assert limits(component, declared) == pytest.approx(around)


@pytest.mark.parametrize("component", [key for key in ORDER if not key.startswith("energy")])
def test_the_steps_leave_no_gap_and_name_their_source(component: str) -> None:
    steps = [row for row in rows("tolerances.csv") if row["component"] == component]
    assert steps[0]["from"] == "0"
    assert steps[-1]["below"] == ""
    assert [one["below"] for one in steps[:-1]] == [one["from"] for one in steps[1:]]
    assert all("2012" in one["source"] for one in steps)


def test_a_range_inside_and_one_that_sticks_out() -> None:
    assert held("salt", 1.0, (0.7, 1.3)).words == "the label would hold"
    over = held("salt", 1.0, (0.7, 1.4), "weigh the salt of the water")
    assert (over.holds, over.words) == (False, "first weigh the salt of the water")
    assert held("salt", 1.0, (0.6, 1.3)).holds is False
    assert held("fat", 10.0, (8.0, 12.0)).holds is True
    assert "may not hold" in held("fat", 10.0, (7.9, 12.0)).words


def test_energy_and_what_is_not_known_are_not_judged() -> None:
    energy = held("energy_kcal", 120, (100, 900))
    assert (energy.holds, energy.words) == (None, "the guidance gives it no tolerance of its own")
    assert held("fibre", None, None).holds is None


def test_what_is_stated_is_what_is_declared() -> None:
    assert stated("fat", 9.96) == 10
    assert stated("salt", 1.25) == 1.3
    assert stated("fat", 0.5) == 0
    assert stated("fat", None) is None


def test_a_dish_says_of_each_figure_whether_its_label_would_hold(tmp_path: Path) -> None:
    path = tmp_path / "dish.txt"
    path.write_text("Mash\nServes 4\n1 kg potatoes, peeled\n100 g butter\n5 handfuls of salt\n")
    found = {one.key: one for one in label_holds(kitchen().dish(read_recipe(path)))}
    assert list(found) == list(ORDER)
    assert found["salt"].holds is False
    assert found["salt"].words == 'first weigh "5 handfuls of salt" and write the grams'
    path.write_text("Mash\nServes 4\n1 kg potatoes, peeled\n100 g unsalted butter\n5 g salt\n")
    told = {one.key: one for one in label_holds(kitchen().dish(read_recipe(path)))}
    assert told["protein"].words == "the label would hold"
    for one in told.values():
        if one.limits and one.span:
            assert one.holds is (one.limits[0] <= one.span[0] and one.span[1] <= one.limits[1])
    record = json.loads(CliRunner().invoke(main, ["analyse", str(path), "--format", "json"]).stdout)
    assert record["label_holds"]["protein"]["holds"] is True
    page = CliRunner().invoke(main, ["analyse", str(path), "--format", "label"]).stdout
    assert "the label would hold" in page


def test_100_g_on_a_label_are_of_the_pot(tmp_path: Path) -> None:
    path = tmp_path / "dish.yaml"
    dish = "dish: Mash\nportions: 4\ningredients: [1 kg potatoes, 5 g salt]\n"
    path.write_text(dish)
    alone = label_holds(kitchen().dish(read_recipe(path)))
    path.write_text(dish + "serve with: [a handful of salted butter]\n")
    assert label_holds(kitchen().dish(read_recipe(path))) == alone


@pytest.mark.parametrize(("component", "value"), [("fat", -1.0), ("fat", float("nan")), ("ash", 1.0)])
def test_what_cannot_be_declared_is_refused(component: str, value: float) -> None:
    with pytest.raises(ValueError, match=component):
        limits(component, value)
