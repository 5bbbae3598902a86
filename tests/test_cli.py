"""The command line: the records of docs/records.md key for key, and one sentence for every mistake."""

from __future__ import annotations

import csv
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from nutrilab.cli import main

HERE = Path(__file__).parents[1]
DEMOS = sorted(p for p in (HERE / "demo_recipes").iterdir() if p.suffix in (".yaml", ".txt"))

LINE_KEYS = (
    "text quantity quantity_max unit name preparation grams grams_low grams_high grams_from food_id food_name "
    "sureness alternatives allergens warnings"
).split()
DISH_KEYS = (
    "dish portions cooked_weight_g portion_weight_g per_portion per_100g per_portion_range declared_per_100g "
    "declared_per_portion allergens coverage stages food_tables warnings"
).split()
FIGURES = "energy_kj energy_kcal fat saturates carbohydrate sugars fibre protein salt".split()
ALLERGENS = set(
    "gluten crustaceans eggs fish peanuts soya milk nuts celery mustard sesame sulphites lupin molluscs".split()
)


@pytest.fixture(autouse=True)
def _no_tables_of_this_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NUTRILAB_TABLES", str(tmp_path / "tables"))


def run(*arguments: str, text: str | bytes | None = None) -> Result:
    return CliRunner().invoke(main, arguments, input=text)


def records(text: str) -> list[dict]:
    result = run("lines", "--format", "jsonl", text=text)
    assert result.exit_code == 0, result.stderr
    return [json.loads(line) for line in result.stdout.splitlines()]


def check_line(record: dict) -> None:
    assert set(LINE_KEYS) <= set(record)
    assert record["sureness"] in ("sure", "likely", "doubtful", "none")
    assert (record["food_id"] is None) == (record["sureness"] == "none")
    assert set(record["allergens"]["contains"]) | set(record["allergens"]["check"]) <= ALLERGENS
    for alternative in record["alternatives"]:
        assert set(alternative) == {"food_id", "food_name", "score"}
    if record["grams"] is not None:
        assert record["grams_low"] <= record["grams"] <= record["grams_high"]
    if "parts" in record:
        assert sum(part["share"] for part in record["parts"]) == pytest.approx(1)


def test_a_line_becomes_the_record_of_the_contract() -> None:
    (record,) = records("2 x 400g tins chopped tomatoes\n")
    check_line(record)
    assert (record["quantity"], record["unit"], record["name"]) == (2, "tin", "chopped tomatoes")
    assert record["grams"] == 800
    assert record["food_id"] == "sr:11531"  # SR28: Tomatoes, red, ripe, canned, packed in tomato juice
    assert record["allergens"] == {"contains": {}, "check": {}}


def test_lines_keep_their_order_and_blank_ones_are_left_out() -> None:
    found = records("175g/6oz butter\n\n2-3 tbsp olive oil\nedible glitter\n")
    assert [r["text"] for r in found] == ["175g/6oz butter", "2-3 tbsp olive oil", "edible glitter"]
    for record in found:
        check_line(record)
    assert (found[0]["quantity"], found[0]["unit"], found[0]["grams"]) == (175, "g", 175)
    assert "milk" in found[0]["allergens"]["contains"]
    assert (found[1]["quantity"], found[1]["quantity_max"]) == (2, 3)
    assert found[2]["sureness"] == "none"


def test_a_line_with_a_food_nobody_knows_names_none() -> None:
    found = records("100 g butter and zorblax\nzorblax and butter\n20 g butter, plus 1 gribbleworth\n")
    assert len(found) == 3
    for record in found:
        check_line(record)
        assert (record["sureness"], record["food_id"]) == ("none", None)
        assert {part["food_id"] for part in record["parts"]} == {None, "sr:01001"}
        assert record["allergens"]["contains"].keys() == {"milk"}


def test_parts_say_which_amount_is_of_which_food() -> None:
    lines = ("225 g plain flour and a pinch of salt", "200 ml double cream", "100 g flour, 2 eggs")
    salted, creamy, unsaid = records("\n".join(lines))
    for record in (salted, creamy, unsaid):
        check_line(record)
    assert [(p["name"], p["grams"]) for p in salted["parts"]] == [("plain flour", 225), ("salt", pytest.approx(0.4))]
    assert sum(part["grams"] for part in creamy["parts"]) == pytest.approx(creamy["grams"])
    assert [p["food_id"] for p in unsaid["parts"]] == ["sr:20581", "sr:01123"]


def test_what_is_served_beside_is_not_in_the_pot(tmp_path: Path) -> None:
    def weights(beside: str) -> tuple[float, float]:
        (tmp_path / "stew.yaml").write_text(f"dish: Stew\nportions: 4\ningredients: [1 kg carrots]\n{beside}")
        dish = json.loads(run("analyse", str(tmp_path / "stew.yaml"), "--format", "json").stdout)
        return dish["cooked_weight_g"], dish["portion_weight_g"]

    pot, portion = weights("")
    assert weights("serve with: [50 g bread]\n") == pytest.approx((pot, portion + 50))


def test_several_foods_share_a_record() -> None:
    (record,) = records("salt and freshly ground black pepper\n")
    check_line(record)
    assert {part["food_id"] for part in record["parts"]} == {"sr:02047", "sr:02030"}


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.name)
def test_demo_recipes_match_the_contract(path: Path) -> None:
    result = run("analyse", str(path), "--format", "json")
    assert result.exit_code == 0, result.stderr
    dish = json.loads(result.stdout)
    assert set(DISH_KEYS) <= set(dish)
    for key in ("per_portion", "per_100g", "per_portion_range", "declared_per_100g", "declared_per_portion"):
        assert list(dish[key]) == FIGURES, key
    assert {"contains", "check", "unresolved"} <= set(dish["allergens"])
    assert "mass_linked" in dish["coverage"]
    for stage in dish["stages"]:
        assert {"stage", "raw_weight_g", "cooked_weight_g", "weight_from", "lines"} <= set(stage)
        for record in stage["lines"]:
            check_line(record)
    for table in dish["food_tables"]:
        assert {"source", "version", "licence"} <= set(table)
    for warning in dish["warnings"]:
        assert set(warning) == {"code", "stage", "line", "message"}
    for key in FIGURES:
        low, high = dish["per_portion_range"][key]
        assert low <= dish["per_portion"][key] <= high, key
    assert dish["allergens"]["unresolved"] == []


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.name)
def test_the_terminal_view_says_first_what_matters(path: Path) -> None:
    text = run("analyse", str(path)).stdout
    top = "\n".join(text.splitlines()[:6])
    for word in ("kcal", "salt", "Contains"):
        assert word in top
    assert "cross-contact" in text.lower()
    assert "free from" not in text.lower()


def test_the_terminal_says_which_figures_are_too_low(tmp_path: Path) -> None:
    (tmp_path / "d.txt").write_text("Cod\nServes 1\n\n50 g butter\ncod fillet\n", encoding="utf-8")
    shown = " ".join(run("analyse", str(tmp_path / "d.txt")).stdout.split())
    assert "A portion: at least " in shown
    assert 'Counted too low without these lines: "cod fillet".' in shown


def test_several_recipes_at_once_and_portions_asked_for() -> None:
    both = json.loads(run("analyse", *map(str, DEMOS[:2]), "--format", "json").stdout)
    assert len(both) == 2
    one = json.loads(run("analyse", str(DEMOS[0]), "--portions", "1", "--format", "json").stdout)
    assert one["per_portion"]["energy_kcal"] == pytest.approx(
        both[0]["per_portion"]["energy_kcal"] * both[0]["portions"]
    )


def test_mistakes_write_one_sentence_and_nothing_else(tmp_path: Path) -> None:
    bad, good, out = tmp_path / "bad.yaml", tmp_path / "good.yaml", tmp_path / "out.json"
    bad.write_text("dish: Soup\nportions: 0\ningredients: [1 leek]\n")
    good.write_text("dish: Soup\ningredients: [1 leek]\n")
    for arguments, words in [
        (["analyse", str(bad)], "line 2: portions"),
        (["analyse", str(good)], "how many portions"),
        (["analyse", str(tmp_path / "no.yaml")], "no such file"),
        (["analyse", str(DEMOS[0]), str(bad), "--format", "json", "-o", str(out)], "line 2"),
        (["analyse", str(DEMOS[0]), "-o", str(tmp_path / "no" / "out.txt")], "cannot be written"),
        (["lines", str(tmp_path / "no.txt")], "no such file"),
        (["foods"], "say what to search"),
        (["foods", "--id", "sr:99999"], "no food has the id"),
        (["tables", "import", "usda-sr", str(tmp_path / "no.zip")], "no such file"),
        (["tables", "import", "martian", str(tmp_path)], "no such kind"),
    ]:
        result = run(*arguments)
        assert (result.exit_code, result.stdout) == (2, ""), arguments
        assert words in result.stderr
        assert len(result.stderr.splitlines()) == 1
        assert "Traceback" not in result.stderr
    assert not out.exists()


def test_bad_lines_are_refused_before_any_is_answered() -> None:
    result = run("lines", "--format", "jsonl", text=b"1 egg\ncaf\xe9\n")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "line 2" in result.stderr
    result = run("lines", "--format", "jsonl", text="1 egg\n" + "x" * 10_001)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "line 2" in result.stderr


def test_more_of_a_stage_than_was_made(tmp_path: Path) -> None:
    path = tmp_path / "pie.yaml"
    path.write_text(
        "dish: Pie\nportions: 2\nstages:\n"
        "- stage: mash\n  ingredients: [500 g potatoes]\n  cooking: {weight after: 480 g}\n"
        "- stage: pie\n  ingredients:\n  - 300 g of mash\n  - 200 g of mash\n"
    )
    result = run("analyse", str(path))
    assert result.exit_code == 2
    assert f'{path}, line 10: more than all of "mash" is used' in result.stderr


def test_foods_finds_and_shows() -> None:
    found = run("foods", "smoked haddock").stdout
    assert found.startswith("sr:15035")
    shown = run("foods", "--id", "sr:15035").stdout
    assert "Fish, haddock, smoked" in shown
    assert "NA" in shown


def test_tables_list_names_source_licence_and_credit() -> None:
    text = run("tables", "list").stdout
    for word in ("usda-sr", "USDA SR28", "8,789 foods", "public domain", "credit"):
        assert word in text


def test_it_starts_as_a_module_and_without_heavy_imports() -> None:
    heavy = "{'pandas', 'pint', 'pyarrow', 'rich', 'yaml', 'numpy'}"
    code = f"import nutrilab.cli, sys; print(sorted({heavy} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"
    done = subprocess.run(
        [sys.executable, "-m", "nutrilab", "--version"], capture_output=True, text=True, check=True, env=os.environ
    )
    assert done.stdout.startswith("nutrilab")


def test_what_is_added_in_the_same_line_counts() -> None:
    once, more, again = records("20 g butter\n20 g butter, plus 230g/8oz butter\n1 onion, plus 1 extra to serve\n")
    assert (once["grams"], more["grams"]) == (20, 250)
    assert "parts" not in more  # the same food again is no mixture
    assert again["sureness"] == "sure"
    assert again["grams"] == 2 * records("1 onion\n")[0]["grams"]


def test_the_cook_decides_once(tmp_path: Path) -> None:
    lines = tmp_path / "lines.txt"
    lines.write_text("100 g harbour relish\n1 egg\n2 tbsp harbour relish\n")
    before = json.loads(run("lines", str(lines), "--format", "jsonl").stdout.splitlines()[0])
    assert before["sureness"] in ("doubtful", "none")
    asked = run("lines", str(lines), "--ask", "--format", "jsonl", text="1\n")
    assert asked.exit_code == 0, asked.stderr
    assert asked.stderr.count("which") == 1  # one name, one question
    kept = (tmp_path / "decisions.yaml").read_text()
    assert "harbour relish: " in kept
    after = [json.loads(line) for line in run("lines", str(lines), "--format", "jsonl").stdout.splitlines()]
    assert [r["sureness"] for r in after] == ["sure", after[1]["sureness"], "sure"]
    assert f"harbour relish: {after[0]['food_id']}" in kept
    assert run("lines", str(lines), "--ask").stderr == ""  # nothing left to ask


def test_decisions_are_kept_to_by_analyse_and_faults_in_them_are_told(tmp_path: Path) -> None:
    recipe, decisions = tmp_path / "soup.yaml", tmp_path / "decisions.yaml"
    recipe.write_text("dish: Soup\nportions: 2\ningredients: [1 leek, 100 ml double cream]\n")
    decisions.write_text('"double cream": sr:01053\n')
    dish = json.loads(run("analyse", str(recipe), "--format", "json").stdout)
    assert dish["stages"][0]["lines"][1]["food_id"] == "sr:01053"
    for text, words in [
        ("double cream: sr:99999\n", "sr:99999"),
        ("double cream: [sr:01053]\n", "decisions.yaml, line 1: a decision is one line"),
        ("a: sr:01053\na: sr:01001\n", "line 2"),
        ("- double cream\n", "a decision is one line"),
        ("a: &x sr:01053\nb: *x\n", "line 1: YAML anchors"),
        ('"double cream: sr:01053\n', "not written as YAML"),
    ]:
        decisions.write_text(text)
        result = run("analyse", str(recipe))
        assert (result.exit_code, result.stdout) == (2, ""), text
        assert words in result.stderr


SOUP = "dish: Soup\nportions: 2\ningredients: [1 leek, 1 vegetable stock cube, 50 g butter]\n"


def test_an_own_product_overrides_the_rules_both_ways(tmp_path: Path) -> None:
    recipe = tmp_path / "soup.yaml"
    recipe.write_text(SOUP)
    before = json.loads(run("analyse", str(recipe), "--format", "json").stdout)
    assert "celery" in before["allergens"]["check"]
    (tmp_path / "products.yaml").write_text(
        "- name: vegetable stock cube\n  salt: 50 g\n  energy kcal: 200\n  ingredients: Salt, ground **mustard** seed\n"
        "  may contain: [eggs]\n"
    )
    after = json.loads(run("analyse", str(recipe), "--format", "json").stdout)
    assert set(after["allergens"]["contains"]) == {"milk", "mustard"}
    assert "celery" not in after["allergens"]["check"]
    assert set(after["allergens"]["may_contain"]) == {"eggs"}
    assert after["stages"][0]["lines"][1]["food_id"].startswith("own:")
    (tmp_path / "before.json").write_text(json.dumps(before))
    said = run("allergens", str(recipe), "--since", str(tmp_path / "before.json")).stdout
    assert "mustard" in said
    assert "eggs" in said
    (tmp_path / "products.yaml").write_text("- name: x\n  fat: lots\n")
    bad = run("analyse", str(recipe))
    assert (bad.exit_code, bad.stdout) == (2, "")
    assert "products.yaml, line 2" in bad.stderr


def test_the_chart_shows_every_dish_and_allergen_and_the_cautions(tmp_path: Path) -> None:
    strange = tmp_path / "strange.yaml"
    strange.write_text('dish: "=HYPERLINK(1)"\nportions: 1\ningredients: [2 spoons of frobnicate, 1 egg]\n')
    text = run("allergens", *map(str, DEMOS), str(strange)).stdout
    for word in [*ALLERGENS, "NOT COMPLETE", "Cross-contact", "Made "]:
        assert word in text
    assert "free from" not in text.lower()
    told = run("allergens", str(DEMOS[1]), str(strange), "--format", "csv").stdout
    rows = list(csv.DictReader(told.removeprefix("\ufeff").splitlines()))
    assert rows[0]["dish"] == "Harbour fish pie"
    assert (rows[0]["fish"], rows[0]["peanuts"], rows[0]["complete"]) == ("contains", "", "yes")
    assert (rows[1]["dish"], rows[1]["eggs"], rows[1]["complete"]) == ("'=HYPERLINK(1)", "contains", "NO")
    assert rows[1]["peanuts"] == "open"  # a line was not understood: nobody knows


def test_the_balance_of_every_stage_is_shown() -> None:
    text = run("analyse", str(DEMOS[1]), "--balance").stdout
    for words in ("Balance of mash", "Balance of white sauce", "Balance of pie", "left over", "sodium [mg]"):
        assert words in text
    assert "Balance" not in run("analyse", str(DEMOS[1])).stdout


def test_a_decision_may_point_to_an_own_product(tmp_path: Path) -> None:
    recipe, decisions = tmp_path / "soup.yaml", tmp_path / "decisions.yaml"
    recipe.write_text("dish: Soup\nportions: 2\ningredients: [1 leek, 10 g house powder]\n")
    (tmp_path / "products.yaml").write_text("- name: Harbour bouillon\n  salt: 50 g\n  contains: [celery]\n")
    decisions.write_text("house powder: own:harbour-bouillon\n")
    dish = json.loads(run("analyse", str(recipe), "--format", "json").stdout)
    assert dish["stages"][0]["lines"][1]["food_id"] == "own:harbour-bouillon"
    assert "celery" in dish["allergens"]["contains"]
    decisions.write_text("house powder: own:nothing\n")
    result = run("analyse", str(recipe))
    assert (result.exit_code, result.stdout) == (2, "")
    assert "own:nothing" in result.stderr


def test_energy_stands_by_the_regulation_and_by_the_table(tmp_path: Path) -> None:
    """Olive oil, USDA SR28 04053: 884 kcal by the table, 100 g fat x 9 kcal by Annex XIV; 236.6 or 250 ml a cup."""
    recipe = tmp_path / "oil.yaml"
    recipe.write_text("dish: Oil\nportions: 1\ningredients: [100 g olive oil]\n")
    dish = json.loads(run("analyse", str(recipe), "--format", "json").stdout)
    assert dish["per_portion"]["energy_kcal"] == pytest.approx(900)
    assert dish["energy_by_table"]["per_portion_kcal"] == pytest.approx(884)
    recipe.write_text("dish: Milk\nportions: 1\ncups: metric\ningredients: [1 cup whole milk]\n")
    dish = json.loads(run("analyse", str(recipe), "--format", "json").stdout)
    metric = dish["cooked_weight_g"]
    assert dish["cups"] == "metric"
    recipe.write_text("dish: Milk\nportions: 1\ningredients: [1 cup whole milk]\n")
    assert metric / json.loads(run("analyse", str(recipe), "--format", "json").stdout)[
        "cooked_weight_g"
    ] == pytest.approx(250 / 236.588, rel=1e-3)
    assert "A cup is the US one" in run("analyse", str(recipe)).stdout


def test_lines_are_numbered_as_they_stand_in_the_stage() -> None:
    dish = json.loads(run("analyse", str(DEMOS[1]), "--format", "json").stdout)
    assert dish["dish"] == "Harbour fish pie"
    assert any("[pie, line 3: 400 g skinless cod" in words for words in dish["allergens"]["contains"]["fish"])


def test_the_kitchens_own_files_are_no_recipes(tmp_path: Path) -> None:
    """A pattern like *.yaml takes them in; alone they are told to be none."""
    (tmp_path / "soup.yaml").write_text("dish: Soup\nportions: 1\ningredients: [100 g leeks]\n")
    (tmp_path / "products.yaml").write_text("- {name: tart relish, per: 100 g, salt: 1 g, contains: []}\n")
    both = run("analyse", str(tmp_path / "products.yaml"), str(tmp_path / "soup.yaml"), "--format", "json")
    assert json.loads(both.stdout)["dish"] == "Soup"
    alone = CliRunner().invoke(main, ["analyse", str(tmp_path / "products.yaml")])
    assert alone.exit_code == 2


def test_a_folder_of_sheets_has_an_index_and_a_chart(tmp_path: Path) -> None:
    out = tmp_path / "sheets"
    result = run("analyse", *map(str, DEMOS[:3]), "--format", "html", "-o", str(out))
    assert result.stdout == ""
    names = {path.name for path in out.iterdir()}
    assert names == {f"{path.stem}.html" for path in DEMOS[:3]} | {"index.html", "chart.html"}
    page = (out / "index.html").read_text(encoding="utf-8")
    assert all(f'{name}"' in page for name in names - {"index.html"})


def test_a_form_with_a_file_a_dish_needs_a_folder_for_several(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["analyse", *map(str, DEMOS[:2]), "--format", "html"])
    assert (result.exit_code, result.stdout) == (2, "")
    assert "-o FOLDER" in result.stderr
    one = run("analyse", str(DEMOS[0]), "--format", "html", "-o", str(tmp_path / "one.html"))
    assert one.stdout == ""
    assert (tmp_path / "one.html").read_text(encoding="utf-8").startswith("<!doctype html>")
    binary = CliRunner().invoke(main, ["analyse", str(DEMOS[0]), "--format", "pdf"])
    assert binary.exit_code == 2


def test_two_recipes_of_one_name_do_not_overwrite_each_other(tmp_path: Path) -> None:
    for folder in ("a", "b"):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / "index.yaml").write_text(f"dish: {folder}\nportions: 1\ningredients: [100 g leeks]\n")
    paths = [str(tmp_path / folder / "index.yaml") for folder in ("a", "b")]
    run("analyse", *paths, "--format", "html", "-o", str(tmp_path / "out"))
    assert {p.name for p in (tmp_path / "out").iterdir()} == {"dish.html", "dish-2.html", "index.html", "chart.html"}


def test_the_chart_as_a_page(tmp_path: Path) -> None:
    run("allergens", str(DEMOS[1]), "--format", "html", "-o", str(tmp_path / "chart.html"))
    assert "Harbour fish pie" in (tmp_path / "chart.html").read_text(encoding="utf-8")


def test_a_recipe_is_never_written_over(tmp_path: Path) -> None:
    recipe = tmp_path / "soup.yaml"
    text = "dish: Soup\nportions: 1\ningredients: [100 g leeks]\n"
    recipe.write_text(text)
    for command in (["analyse", str(recipe), "-o", str(recipe)], ["allergens", str(recipe), "-o", str(recipe)]):
        result = CliRunner().invoke(main, command)
        assert result.exit_code == 2
        assert "this is one of the recipes" in result.stderr
        assert recipe.read_text() == text


def test_a_disk_that_fails_is_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OSError(30, "Read-only file system", "out.txt")

    monkeypatch.setattr(Path, "write_bytes", refuse)
    monkeypatch.setattr(Path, "unlink", refuse)
    result = CliRunner().invoke(main, ["analyse", str(DEMOS[0]), "-o", str(tmp_path / "out.txt")])
    assert (result.exit_code, result.stdout) == (2, "")
    assert "cannot be written (Read-only file system)" in result.stderr


def test_the_packs_of_another_recipe_speak_too(tmp_path: Path) -> None:
    (tmp_path / "packs.yaml").write_text("- {name: shore paste, salt: 1 g, ingredients: 'almonds, salt'}\n")
    (tmp_path / "base.yaml").write_text(
        "dish: Base\nportions: 2\nproducts: packs.yaml\ningredients: [50 g shore paste]\n"
    )
    (tmp_path / "dish.yaml").write_text(
        "dish: Dish\nportions: 2\ningredients: [all of base from base.yaml, 100 g leeks]\n"
    )
    found = json.loads(run("analyse", str(tmp_path / "dish.yaml"), "--format", "json").stdout)
    assert found["allergens"]["named"] == ["nuts (almond)"]
    assert found["allergens"]["complete"]
