"""One thing of a recipe put right in its text: the place changes, and not a letter beside it."""

from __future__ import annotations

from pathlib import Path

import pytest

from nutrilab import decisions, products
from nutrilab.recipe import Line, Recipe, read_recipe, yaml_file
from nutrilab.recipe.editing import IN_TEXT, with_fact, with_line
from nutrilab.remarks import InputError

DEMOS = sorted(p for p in (Path(__file__).parents[1] / "demo_recipes").iterdir() if p.suffix in (".yaml", ".txt"))
COOKING = {
    "method": "baked", "minutes": "25", "weight before": "2 kg", "weight after": "1.9 kg", "drained": "yes",
    "covered": "no", "loss": "12%", "fat drained": "30 g", "frying oil left": "200 ml", "salted water": "10",
}  # fmt: skip


def lines(recipe: Recipe) -> list[Line]:
    entries = [entry for stage in recipe.stages for entry in stage.entries if isinstance(entry, Line)]
    return [*entries, *recipe.serve_with]


def changed(before: str, after: str) -> tuple[list[str], list[str]]:
    """The lines that are gone and those that are new."""
    old, new = before.splitlines(), after.splitlines()
    return [one for one in old if one not in new], [one for one in new if one not in old]


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.name)
@pytest.mark.parametrize("new", ["3 eggs", '1 "odd" line: with #signs, and more', "½ tsp salt", "- 2 dashes"])
def test_each_line_of_the_demos_takes_other_words(path: Path, new: str) -> None:
    text, is_yaml = path.read_text(encoding="utf-8"), path.suffix == ".yaml"
    for number, line in enumerate(lines(read_recipe(path))):
        assert line.line is not None
        try:
            found = with_line(text, is_yaml, line.line, line.text, new)
        except InputError:
            assert not is_yaml, "plain text may read these words as something else; it then stays as it is"
            continue
        gone, come = changed(text, found)
        assert (len(gone), len(come)) == (1, 1)
        assert lines(read_recipe(path, found.encode()))[number].text == new


@pytest.mark.parametrize("path", [p for p in DEMOS if p.suffix == ".yaml"], ids=lambda path: path.name)
@pytest.mark.parametrize("key", COOKING)
def test_each_stage_takes_and_loses_each_key(path: Path, key: str) -> None:
    text = path.read_text(encoding="utf-8")
    before = yaml_file.read(text, "x")
    for at, stage in enumerate(before.stages):
        found = with_fact(text, True, stage.name, key, COOKING[key])
        after = yaml_file.read(found, "x")
        assert getattr(after.stages[at].cooking, "method" if key == "method" else "line") is not None
        assert [one.cooking for n, one in enumerate(after.stages) if n < at] == [
            one.cooking for one in before.stages[:at]
        ]
        assert len(changed(text, found)[0]) <= 1
        without = with_fact(found, True, stage.name, key, "")
        assert f"{key}:" not in "".join(changed(text, without)[1])
        yaml_file.read(without, "x")


@pytest.mark.parametrize("path", [p for p in DEMOS if p.suffix == ".txt"], ids=lambda path: path.name)
def test_plain_text_says_what_it_has_words_for(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    found = with_fact(text, False, "", "portions", "9")
    assert read_recipe(path, found.encode()).portions == 9
    found = with_fact(found, False, "", "weight after", "1.9 kg")
    cooking = read_recipe(path, found.encode()).stages[-1].cooking
    assert cooking is not None
    assert cooking.weight_after == 1900
    assert with_fact(found, False, "", "weight after", "") == with_fact(text, False, "", "portions", "9")
    for key in COOKING:
        if key not in IN_TEXT:
            with pytest.raises(InputError, match="recipe file"):
                with_fact(text, False, "", key, COOKING[key])


@pytest.mark.parametrize(("key", "value"), [("portions", "0"), ("portions", "six"), ("weight after", "heavy")])
def test_a_value_that_cannot_be_changes_nothing(key: str, value: str) -> None:
    with pytest.raises(InputError):
        with_fact("Stew\nServes 4\n\n100 g butter\n", False, "", key, value)
    with pytest.raises(InputError):
        with_fact("dish: Stew\nportions: 4\ningredients:\n  - 100 g butter\n", True, "Stew", key, value)


def test_another_line_than_the_one_that_was_seen_is_not_touched() -> None:
    with pytest.raises(InputError, match="line 4"):
        with_line("Stew\nServes 4\n\n100 g butter\n", False, 4, "50 g butter", "60 g butter")
    with pytest.raises(InputError, match="line 4"):
        with_line("dish: Stew\nportions: 4\ningredients:\n  - 100 g butter\n", True, 4, "50 g butter", "60 g butter")


# --- the kitchen's lists


def test_a_decision_is_decided_anew_only_by_who_saw_it(tmp_path: Path) -> None:
    (tmp_path / decisions.NAME).write_text("# mine\nleek: sr:11246  # behind\n")
    decisions.decide(tmp_path, "leek", "none", "sr:11246")
    assert (tmp_path / decisions.NAME).read_text() == "# mine\nleek: none  # behind\n"
    with pytest.raises(InputError, match="meanwhile"):
        decisions.decide(tmp_path, "leek", "sr:11247", "sr:11246")
    decisions.decide(tmp_path, "leeks", "sr:11247", "none")
    decisions.decide(tmp_path, "leek", "180 g", "")
    assert "leek: {food: sr:11247, weight: 180 g}  # behind" in (tmp_path / decisions.NAME).read_text()


def test_packs_are_written_and_read_back_as_they_are(tmp_path: Path) -> None:
    from data_loaders.own_products import cells

    path = tmp_path / "products.yaml"
    first = {
        "name": "Lantern cube", "aliases": "stock cube, cube", "ingredients": "Salt, **celery**: 3%",
        "contains": "celery", "may contain": "milk", "salt": "52 g", "fat": "<0.5 g", "energy kcal": "200",
    }  # fmt: skip
    products.add(path, first)
    products.add(path, {"name": "Quay oil", "ingredients": "rapeseed oil", "contains": "none"})
    path.write_text(f"# head\n{path.read_text()}# foot\n")
    before = products.load(path).all
    products.add(path, cells(before[0]))
    after = products.load(path).all
    assert [one.values for one in after] == [one.values for one in before]
    assert [cells(one) for one in after] == [cells(one) for one in before]
    assert after[1].contains == ()
    assert path.read_text().startswith("# head\n")
    assert path.read_text().endswith("# foot\n")


def test_a_stage_in_braces_takes_a_fact_and_gives_it_back() -> None:
    text = "dish: Pots\nportions: 4\nstages:\n  - {stage: a, ingredients: [100 g butter]}\n"
    found = with_fact(text, True, "a", "minutes", "30")
    assert found == text.replace("butter]}", "butter], cooking: {minutes: 30}}")
    assert with_fact(found, True, "a", "method", "baked") == found.replace("minutes: 30", "minutes: 30, method: baked")
    assert with_fact(found, True, "a", "minutes", "") == text
