"""What if: which lines a swap means, what it changes and what not, the three forms, every sentence of refusal."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import nutrilab as nl
from nutrilab.cli import main
from nutrilab.comparing import WhatIf, span_of_difference
from nutrilab.records import dish_record
from nutrilab.swapping import spots
from tests import browser

ROOT = Path(__file__).parents[1]
DEMOS = sorted(p for p in (ROOT / "demo_recipes").iterdir() if p.suffix in (".yaml", ".txt"))
PIE = ROOT / "demo_recipes" / "harbour-fish-pie.yaml"
FIGURES = "energy_kj energy_kcal fat saturates carbohydrate sugars fibre protein salt".split()

CHOWDER = """Breakwater chowder
Serves 4

400 g potatoes, diced
1 onion, chopped
500 ml whole milk
300 g smoked haddock
salt and pepper

Method
Simmer the onion and potatoes in the milk for 15 minutes.
Add the haddock and simmer for 5 minutes.
"""


@pytest.fixture(autouse=True)
def _no_tables_of_this_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NUTRILAB_TABLES", str(tmp_path / "tables"))


@cache
def kitchen() -> nl.Folder:
    return nl.open_kitchen(None)


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, ["swap", *map(str, arguments)])


def written(folder: Path, text: str, name: str = "dish.txt") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def listed(folder: Path, *lines: str, portions: int = 4) -> Path:
    return written(folder, "\n".join(["Slipway supper", f"Serves {portions}", "", *lines]))


def texts(found: WhatIf) -> list[str]:
    """The lines of the dish after the swap."""
    return [record.parsed.text for stage in found.after.stages for record in stage.records]


def figures(dish: nl.Dish) -> dict:
    record = dish_record(dish)
    return {key: record[key] for key in ("per_portion", "per_100g", "per_portion_range", "allergens", "coverage")}


# --- what stays as it was


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_a_thing_for_itself_changes_nothing_to_the_last_digit(path: Path) -> None:
    opened = nl.open_kitchen(path.parent)
    recipe = nl.read_recipe(path)
    names = {name.written for spot in spots(recipe, opened.kitchen()) for name in spot.names}
    assert names
    before = dish_record(opened.dish(recipe))
    for name in names:
        found = opened.swap(recipe, f"{name} = {name}")
        assert dish_record(found.after) == before, name
        assert not any(change.difference for change in found.changes)


@pytest.mark.parametrize(
    ("path", "there", "back"),
    [
        ("harbour-fish-pie.yaml", "whole milk = oat drink", "oat drink = whole milk"),
        ("harbour-fish-pie.yaml", "butter = sunflower oil", "sunflower oil = butter"),
        ("low-tide-leek-soup.yaml", "leeks = onions", "onions = leeks"),
        ("breakwater-beetroot-salad.txt", "walnuts = almonds", "almonds = walnuts"),
        ("slipway-ginger-squares.yaml", "self-raising flour = rye flour", "rye flour = self-raising flour"),
        ("breakwater-beetroot-salad.txt", "pepper = celery salt", "celery salt = pepper"),
    ],
)
def test_there_and_back_changes_nothing(path: str, there: str, back: str) -> None:
    opened = nl.open_kitchen(PIE.parent)
    recipe = nl.read_recipe(PIE.parent / path)
    once, twice = opened.swap(recipe, there), opened.swap(recipe, [there, back])
    assert texts(once) != texts(twice)
    assert figures(twice.after) == figures(twice.before)  # type: ignore[arg-type]


def test_the_old_grams_stand_to_the_last_digit() -> None:
    found = kitchen().swap(PIE, "whole milk = double cream")
    before, after = ([r.grams for stage in dish.stages for r in stage.records] for dish in (found.before, found.after))
    assert before == after
    assert texts(found)[2] == "100 ml double cream"
    assert found.after.per_portion["fat"] > found.before.per_portion["fat"]  # type: ignore[operator]


def test_a_knob_stays_what_a_knob_of_the_old_weighs(tmp_path: Path) -> None:
    found = kitchen().swap(listed(tmp_path, "a good knob of butter", "3 leeks"), "butter = lard")
    old, new = found.before.stages[-1].records[0], found.after.stages[-1].records[0]
    assert (old.grams, old.low, old.high) == (new.grams, new.low, new.high)
    assert new.foods[0].link.food is not None
    assert "ard" in new.foods[0].link.food.name


def test_an_amount_of_its_own_counts(tmp_path: Path) -> None:
    found = kitchen().swap(listed(tmp_path, "60 g butter", "500 g potatoes"), "butter = 40 g margarine")
    assert [record.grams for record in found.after.stages[-1].records] == [40, 500]


def test_a_weighing_of_the_old_ingredients_holds_in_proportion() -> None:
    found = kitchen().swap(PIE, "whole milk = 350 ml oat drink")
    before, after = ([stage.result.cooked.mass for stage in dish.stages] for dish in (found.before, found.after))
    went_in = [
        [sum(put.grams for put in stage.puts) + sum(stage.taken) for stage in dish.stages]
        for dish in (found.before, found.after)
    ]
    for old, new, old_in, new_in in zip(before, after, *went_in, strict=True):
        assert new / old == pytest.approx(new_in / old_in)
    assert after[1] < before[1]
    assert any("in proportion" in note for note in found.notes)


# --- which lines are meant


@pytest.mark.parametrize(
    ("lines", "old", "new"),
    [
        (("2 courgettes, sliced", "1 onion"), "zucchini", ["2 leek, sliced", "1 onion"]),
        (("1 aubergine", "1 onion"), "eggplants", ["1 leek", "1 onion"]),
        (("400 g smoked haddock fillets", "1 onion"), "fillet smoked haddock", ["400 g leek", "1 onion"]),
        (("400 g haddock fillet, smoked", "1 onion"), "smoked haddock", ["400 g leek", "1 onion"]),
        (("3 Spring Onions", "100 g butter"), "spring onion", ["3 leek", "100 g butter"]),
        (("1 onion", "3 spring onions"), "onions", ["1 leek", "3 spring onions"]),
        (("60 g butter", "700 ml whole milk"), "700 ml whole milk", ["60 g butter", "700 ml leek"]),
        (("50 g butter or peanut butter", "1 onion"), "butter", ["50 g leek or peanut butter", "1 onion"]),
        (("50 g peanut butter", "30 g butter"), "butter", ["50 g peanut butter", "30 g leek"]),
    ],
)
def test_words_in_any_order_and_number_and_other_words_for_the_same(
    tmp_path: Path, lines: tuple[str, ...], old: str, new: list[str]
) -> None:
    assert texts(kitchen().swap(listed(tmp_path, *lines), f"{old} = leek")) == new


def test_turned_words_are_not_taken_for_the_first_of_them(tmp_path: Path) -> None:
    path = listed(tmp_path, "400 ml milk, coconut", "200 ml milk")
    assert texts(kitchen().swap(path, "milk = oat drink")) == ["400 ml milk, coconut", "200 ml oat drink"]
    after = texts(kitchen().swap(path, "coconut milk = oat drink"))
    assert "oat drink" in after[0]
    assert "coconut" not in after[0]
    assert after[1] == "200 ml milk"


def test_a_name_in_several_stages_is_swapped_in_all() -> None:
    found = kitchen().swap(PIE, "milk = soya drink")
    assert [(one.stage, one.line) for one in found.done] == [("mash", 3), ("white sauce", 3)]
    assert not any("milk" in text for text in texts(found))


def test_of_two_foods_only_the_named_one_goes(tmp_path: Path) -> None:
    path = listed(tmp_path, "500 g potatoes", "salt and freshly ground black pepper")
    assert texts(kitchen().swap(path, "salt = celery salt"))[1] == "celery salt and freshly ground black pepper"
    apart = kitchen().swap(path, "salt = 5 g celery salt")
    assert texts(apart)[1:] == ["freshly ground black pepper", "5 g celery salt"]
    assert "celery" in apart.after.allergens.contains
    old = apart.before.stages[-1].records[1].foods[1]
    assert apart.after.stages[-1].records[1].foods[0].weight == old.weight
    both = kitchen().swap(path, ["salt = celery salt", "black pepper = white pepper"])
    assert texts(both)[1] == "celery salt and white pepper"


@pytest.mark.parametrize(
    ("line", "swaps", "after", "stays"),
    [
        ("100 g flour and salt", ["salt = soy sauce"], ["flour", "3 g soy sauce"], "gluten"),
        ("100 g flour and salt", ["salt = 2 g celery salt"], ["flour", "2 g celery salt"], "gluten"),
        ("400 g cod, coated in flour", ["cod = 300 g haddock"], ["300 g haddock, coated in flour"], "gluten"),
        ("400 g cod, coated in flour", ["cod = haddock"], ["400 g haddock, coated in flour"], "gluten"),
        ("300 g chicken, dipped in egg", ["chicken = 250 g tofu"], ["250 g tofu, dipped in egg"], "eggs"),
        ("60 g lard or butter", ["lard = 50 g olive oil"], ["50 g olive oil or butter"], "milk"),
        ("60 g lard or butter", ["butter = 50 g walnut oil"], ["lard or walnut oil"], "nuts"),
        (
            "salt and pepper",
            ["salt = 3 g celery salt", "pepper = 1 g mustard powder"],
            ["1 g mustard powder", "3 g celery salt"],
            "celery",
        ),
    ],
)
def test_nothing_else_of_a_line_is_lost(
    tmp_path: Path, line: str, swaps: list[str], after: list[str], stays: str
) -> None:
    found = kitchen().swap(listed(tmp_path, "500 g potatoes", line), swaps)
    assert texts(found)[1:] == after
    assert stays in {**found.after.allergens.contains, **found.after.allergens.check}


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_no_allergen_of_another_line_goes_with_a_swap(path: Path) -> None:
    opened = nl.open_kitchen(path.parent)
    recipe = nl.read_recipe(path)
    there = spots(recipe, opened.kitchen())
    for name in {name.written for spot in there for name in spot.names}:
        for new in ("coconut milk", "300 ml coconut milk"):
            found = opened.swap(recipe, f"{name} = {new}")
            gone = {(one.stage, one.line) for one in found.done}
            others = [spot for spot in there if (spot.stage, spot.number) not in gone]
            stay = {allergen for spot in others for allergen in spot.record.findings.contains}
            assert stay <= set(found.after.allergens.contains), (name, new)


def test_an_egg_and_its_yolk_are_two_things(tmp_path: Path) -> None:
    path = listed(tmp_path, "100 g flour", "1 egg plus 1 egg yolk")
    assert texts(kitchen().swap(path, "egg yolk = double cream"))[1] == "1 egg plus 1 double cream"
    found = kitchen().swap(path, "egg = tofu")
    assert texts(found)[1] == "1 tofu plus 1 egg yolk"
    assert "eggs" in found.after.allergens.contains


def test_what_has_nearly_the_same_name_and_stays_is_said(tmp_path: Path) -> None:
    found = kitchen().swap(listed(tmp_path, "60 g butter", "20 g unsalted butter", "1 onion"), "butter = lard")
    assert any("not swapped" in note and "unsalted butter" in note for note in found.notes)
    assert "milk" in found.after.allergens.contains


# --- recipes of every kind


def test_a_line_of_another_file_is_swapped_and_said(tmp_path: Path) -> None:
    written(tmp_path, "dish: Mash\nportions: 4\ningredients:\n  - 1 kg potatoes\n  - 60 g butter\n", "mash.yaml")
    path = written(
        tmp_path, "dish: Pie\nportions: 4\ningredients:\n  - all of Mash from mash.yaml\n  - 400 g cod\n", "pie.yaml"
    )
    found = kitchen().swap(path, "butter = olive oil")
    assert [one.file for one in found.done] == ["mash.yaml"]
    assert any("only in mash.yaml" in note for note in found.notes)
    assert found.moved.gone == ("milk",)
    assert "60 g butter" in (tmp_path / "mash.yaml").read_text()
    with_more = written(
        tmp_path,
        "dish: Pie\nportions: 4\ningredients:\n  - all of Mash from mash.yaml\n  - 20 g butter\n",
        "pie.yaml",
    )
    found = kitchen().swap(with_more, "butter = olive oil")
    assert [one.file for one in found.done] == ["mash.yaml", None]
    assert any("also in mash.yaml" in note for note in found.notes)


RECIPE = {
    "@context": "https://schema.org",
    "@type": "Recipe",
    "name": "Tidewater rice pudding",
    "recipeYield": "4 servings",
    "recipeIngredient": ["100 g pudding rice", "1 litre whole milk", "50 g caster sugar"],
    "recipeInstructions": "Simmer the rice in the milk for 40 minutes. Stir in the sugar.",
}


@pytest.mark.parametrize("name", ["pudding.json", "pudding.html"])
def test_pages_and_json(tmp_path: Path, name: str) -> None:
    data = json.dumps(RECIPE)
    page = f'<html><head><script type="application/ld+json">{data}</script></head><body></body></html>'
    path = written(tmp_path, data if name.endswith("json") else page, name)
    found = kitchen().swap(path, "milk = coconut milk")
    assert "1 litre coconut milk" in texts(found)
    assert found.moved.gone == ("milk",)


def test_the_method_speaks_of_the_new_by_the_old_words(tmp_path: Path) -> None:
    found = kitchen().swap(written(tmp_path, CHOWDER), "whole milk = coconut milk")
    before, after = (
        [(s.stage.name, s.result.weight_from) for s in dish.stages] for dish in (found.before, found.after)
    )
    assert before == after
    assert [stage.stage.cooking and stage.stage.cooking.method for stage in found.after.stages] == [
        stage.stage.cooking and stage.stage.cooking.method for stage in found.before.stages
    ]
    assert "milk" in found.moved.gone
    assert "milk" not in found.after.allergens.check
    codes = {remark.code for remark in found.after.remarks}
    assert "method-names-unlisted" not in codes


def test_what_only_the_method_names_is_not_lost_with_the_swap(tmp_path: Path) -> None:
    path = written(tmp_path, CHOWDER + "Dot with butter and serve.\n")
    found = kitchen().swap(path, "whole milk = coconut milk")
    assert "milk" in found.before.allergens.contains
    assert "milk" in found.after.allergens.check
    assert "milk" not in found.moved.gone
    assert "milk" in found.moved.check_new


# --- allergens


def test_nothing_is_gone_that_depends_on_the_pack(tmp_path: Path) -> None:
    found = kitchen().swap(listed(tmp_path, "60 g butter", "500 g potatoes"), "butter = margarine")
    assert found.moved.gone == ()
    assert "milk" in found.moved.check_new
    page = run(listed(tmp_path, "60 g butter", "500 g potatoes"), "--swap", "butter = margarine").stdout
    assert "contained before, and now it depends on the product" in " ".join(page.split())


def test_other_cereals_are_said_though_gluten_stays(tmp_path: Path) -> None:
    found = kitchen().swap(listed(tmp_path, "200 g wheat flour", "1 egg"), "wheat flour = rye flour")
    assert found.moved.kinds == {"gluten": ("gluten (wheat)", "gluten (rye)")}
    assert found.moved.new == () == found.moved.gone


def test_a_pack_of_your_own_and_its_traces(tmp_path: Path) -> None:
    pack = "- name: Net Loft spread\n  per: 100 g\n  fat: 60 g\n  contains: [soya]\n  may contain: [milk]\n"
    written(tmp_path, pack, "products.yaml")
    path = listed(tmp_path, "60 g butter", "500 g potatoes")
    found = nl.open_kitchen(tmp_path).swap(path, "butter = Net Loft spread")
    assert (found.moved.new, found.moved.may_new, found.moved.gone) == (("soya",), ("milk",), ())
    back = nl.open_kitchen(tmp_path).swap(listed(tmp_path, "60 g Net Loft spread"), "net loft spread = olive oil")
    assert (back.moved.gone, back.moved.may_gone) == (("soya",), ("milk",))


def test_a_line_nobody_understands_leaves_the_answer_open(tmp_path: Path) -> None:
    path = listed(tmp_path, "60 g butter", "500 g potatoes")
    found = kitchen().swap(path, "butter = 60 g zorbleflax")
    assert not found.moved.sure
    shown = " ".join(run(path, "--swap", "butter = 60 g zorbleflax").stdout.split())
    assert "NOT COMPLETE" in shown
    assert "a line was not understood, so it may still be there" in shown


# --- portions, a weighing, guests


def test_portions_and_a_weighing_act_on_after_only() -> None:
    found = kitchen().swap(PIE, (), portions=8, weight_after="2.4 kg")
    assert (found.before.portions, found.after.portions) == (6, 8)
    assert (found.before.cooked_mass, found.after.cooked_mass) == (2560, 2400)
    assert found.before.per_portion["salt"] * 6 == pytest.approx(found.after.per_portion["salt"] * 8)  # type: ignore


def test_a_weighing_of_a_dish_that_has_none(tmp_path: Path) -> None:
    found = kitchen().swap(written(tmp_path, CHOWDER), [], weight_after=1100)
    assert found.after.cooked_mass == pytest.approx(1100)
    assert found.before.cooked_mass != pytest.approx(1100)


def test_a_list_for_guests_keeps_the_portion() -> None:
    found = kitchen().swap(PIE, "whole milk = oat drink", guests=9)
    assert found.after.portions == 6
    lines = {one.text: one.scaled for one in found.scaled}
    assert lines["1.2 kg floury potatoes, peeled"] == "1.8 kg floury potatoes, peeled"
    assert lines["700 ml oat drink"] == "1050 ml oat drink"
    assert lines["80% of white sauce"] == "80% of white sauce"


# --- the doubt


def test_a_difference_stands_beside_the_doubt() -> None:
    by_key = {change.key: change for change in kitchen().swap(PIE, "whole milk = skimmed milk").changes}
    assert by_key["fat"].more_than_doubt
    assert not by_key["salt"].more_than_doubt
    low, high = by_key["fat"].span or (0.0, 0.0)
    assert low < (by_key["fat"].difference or 0.0) < high < 0


def test_a_doubt_that_both_share_cancels_in_the_difference(tmp_path: Path) -> None:
    """A cake nobody weighed and a handful nobody counted blur both dishes, not the swap of the milk."""
    recipe = tmp_path / "cake.yaml"
    recipe.write_text(
        "dish: Cake\nportions: 8\ningredients: [250 g plain flour, a handful of walnuts, 2 apples, 200 ml whole milk]\n"
        "cooking: {method: baked, minutes: 40}\n"
    )
    found = kitchen().swap(recipe, "whole milk = skimmed milk")
    for key, span in span_of_difference(found.before, found.after).items():
        (low, high), (was_low, was_high) = (
            one.whole.per_portion_range[key] or (0.0, 0.0) for one in (found.after, found.before)
        )
        assert span is not None
        wide = span[1] - span[0]
        assert wide <= (high - low) + (was_high - was_low) + 1e-9
        if key in ("energy_kcal", "fat", "protein"):
            assert wide < 0.2 * ((high - low) + (was_high - was_low))
    same = span_of_difference(found.before, found.before)
    assert all(span == (0.0, 0.0) for span in same.values())


# --- the command


def test_the_record_key_for_key() -> None:
    result = run(PIE, "--swap", "whole milk = oat drink", "--format", "json", "--scale-to", "12")
    assert result.exit_code == 0, result.stderr
    record = json.loads(result.stdout)
    assert {"before", "after", "difference", "allergens"} <= set(record)
    assert {"gone", "new", "check_gone", "check_new"} <= set(record["allergens"])
    assert list(record["difference"]) == FIGURES
    for key in FIGURES:
        old, new = (record[when]["per_portion"][key] for when in ("before", "after"))
        assert record["difference"][key] == new - old
    analysed = CliRunner().invoke(main, ["analyse", str(PIE), "--format", "json"])
    made = json.loads(analysed.stdout)
    del made["made_by"]
    assert record["before"] == made
    assert record["allergens"]["cautions"]
    assert record["allergens"]["still_to_check"] == ["sulphites"]
    assert record["scaled"]["lines"][0]["scaled"].startswith("2.4 kg")


@pytest.mark.parametrize("form", ["text", "json", "html"])
def test_every_form_carries_the_cautions(form: str) -> None:
    out = " ".join(run(PIE, "--swap", "prawns = cod", "--format", form).stdout.split())
    for words in ("Cross-contact", "Check every pack", "food law", "registered dietitian"):
        assert words in out


def test_the_words_of_the_answer() -> None:
    out = " ".join(run(PIE, "--swap", "whole milk = oat drink").stdout.split())
    assert "a portion, less than the doubt" in out
    out = " ".join(run(PIE, "--swap", "smoked haddock = cod").stdout.split())
    assert '"200 g undyed smoked haddock fillet" becomes "200 g cod"; the old grams stand' in out


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["--swap", "venison = beef"], '"venison" is in no line; it could be floury potatoes, butter, whole milk'),
        (["--swap", "fillet = tofu"], '"fillet" could be skinless cod fillet, undyed smoked haddock fillet; say which'),
        (["--swap", "butter"], '"butter" is no swap; say what goes and what comes'),
        (["--swap", "butter ="], "is no swap"),
        (["--swap", "= lard"], "is no swap"),
        (["--swap", "butter = lard = oil"], "more than one ="),
        (["--swap", "butter = 100 g"], "names no ingredient"),
        (["--swap", "butter = all of mash"], "is a stage of the recipe"),
        (["--swap", "butter = lard", "--swap", "butter = oil"], '"butter" is swapped twice'),
        (["--weight-after", "heavy"], '--weight-after: "heavy" is no weight'),
        (["--weight-after", "-5 g"], "--weight-after:"),
        (["--weight-after", "9 kg"], "harbour-fish-pie.yaml"),
        (["--swap", "milk = olive oil"], "after the swap: it cannot lose 90 g of water"),
        (["--scale-to", "1e30"], "--scale-to:"),
        (["--portions", "1e30"], "--portions: 1e+30 portions cannot be; no dish is cut"),
        (["--portions", "0"], "must be above 0"),
        ([], "there is nothing to try"),
    ],
)
def test_every_refusal_is_a_sentence(arguments: list[str], sentence: str) -> None:
    result = run(PIE, *arguments)
    assert (result.exit_code, result.stdout) == (2, "")
    assert sentence in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1


def test_all_names_it_could_be_are_said() -> None:
    said = run(PIE, "--swap", "venison = beef").stderr
    assert all(name in said for name in ("frozen peas", "mature cheddar", "flat-leaf parsley", "prawns"))


def test_it_never_writes_over_a_file(tmp_path: Path) -> None:
    path = listed(tmp_path, "60 g butter", "500 g potatoes")
    other = written(tmp_path, "mine", "mine.html")
    for target in (other, path):
        result = run(path, "--swap", "butter = lard", "--format", "html" if target is other else "text", "-o", target)
        assert result.exit_code == 2
    assert other.read_text() == "mine"
    assert "60 g butter" in path.read_text()
    assert run(path, "--swap", "butter = lard", "-o", tmp_path / "new.html").exit_code == 0


def test_the_page_escapes_and_fits(tmp_path: Path) -> None:
    text = "<script>window.pwned()</script> {{7*7}} butter"
    path = listed(tmp_path, "60 g butter", "1 <b>onion</b>")
    out = tmp_path / "what-if.html"
    assert run(path, "--swap", f"butter = {text}", "--scale-to", "7", "-o", out).exit_code == 0
    page = out.read_text()
    assert "<script>window" not in page
    assert "&lt;script&gt;window.pwned()" in page
    assert "{{7*7}}" in page
    for width in (1280, 390):
        with browser.page(out, width=width) as shown:
            assert (shown.errors, shown.requests, shown.sideways()) == ([], [], 0)
