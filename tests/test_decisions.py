"""decisions.yaml: what it may hold, what "none" means, and the questions that fill it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from nutrilab import decisions
from nutrilab.asking import answer, questions
from nutrilab.cli import main
from nutrilab.foods import embedded
from nutrilab.ingredients import as_text
from nutrilab.kitchen import Kitchen
from nutrilab.products import load
from nutrilab.recipe import read_recipe
from nutrilab.remarks import InputError
from nutrilab.results import DishResult
from nutrilab.sheets.sentences import doubts, portion_figures
from nutrilab.tracing import ingredients


def kept(folder: Path, text: str) -> decisions.Decisions:
    (folder / "decisions.yaml").write_text(text, encoding="utf-8")
    return decisions.read_decisions(folder)


def run(*arguments: str, text: str | None = None) -> Any:
    return CliRunner().invoke(main, list(arguments), input=text, prog_name="nutrilab")


def test_a_mapping_is_read_with_its_lines(tmp_path: Path) -> None:
    found = kept(tmp_path, "# ours\ndouble cream: sr:01053\n\nedible glitter: None\n")
    assert dict(found) == {"double cream": "sr:01053", "edible glitter": "none"}
    assert dict(found.lines) == {"double cream": 2, "edible glitter": 4}
    assert dict(decisions.without(found, ["double cream"])) == {"edible glitter": "none"}
    for nothing in ("", "# nothing yet\n", "---\n", "{}"):
        assert dict(kept(tmp_path, nothing)) == {}


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("just a text", 1, "a decision is one line"),
        ("# ours\n\nnull", 3, "a decision is one line"),
        ('""', 1, "a decision is one line"),
        ("- double cream: sr:01053", 1, "a decision is one line"),
        ("[]", 1, "a decision is one line"),
        ("a: {b: sr:01053}", 1, '"b" is no word of a decision; a decision knows: food, weight'),
        ("a: {food: sr:01053, food: none}", 1, '"food" stands here a second time'),
        ("a: {food: [sr:01053]}", 1, '"food" takes one value'),
        ("a: {food: home-made stock, no salt}", 1, "in braces words with a comma stand in quotes"),
        ("a: {food: 180 g}", 1, "is a weight, and no food"),
        ("a: {weight: sr:01053}", 1, 'weight: "sr:01053" is no weight'),
        ("a: {weight: }", 1, '"weight" has no value'),
        ("a: {}", 1, '"a" has nothing beside it'),
        ("# x\na: {food: none, weight: 5 g}", 2, "is no food and has a weight"),
        ("a: [180 g]", 1, "a decision is one line"),
        ("a: 0 g", 1, '"a": "0 g" must be above 0'),
        ("a: 1.500 g", 1, "can be 1500 or 1.5"),
        ("a: 900 kg", 1, "more than one of anything weighs"),
        ("a: {weight: 900 kg}", 1, "more than one of anything weighs"),
        ("onion: sr:11282\nmy onions: 180 g", 2, "decided twice; a food and a weight go on one line"),
        ("a: sr:01053\n---\nb: sr:01053", 2, "a second document begins here"),
        ("a: sr:01053\nb:\n", 2, '"b" has nothing beside it'),
        ("'': sr:01053", 1, "no name stands here"),
        ("double cream: sr:01053\nDouble creams: none", 2, "decided twice"),
    ],
)
def test_what_is_no_mapping_gets_one_sentence(tmp_path: Path, text: str, line: int, words: str) -> None:
    with pytest.raises(InputError) as error:
        kept(tmp_path, text)
    said = str(error.value)
    assert said.startswith(f"{tmp_path / 'decisions.yaml'}, line {line}: ")
    assert words in said
    assert "\n" not in said


def test_an_id_that_is_not_there_is_told_with_its_line(tmp_path: Path) -> None:
    for food_id in ("sr:99999", "own:nothing", "mix:nothing", "SR:01001"):
        found = kept(tmp_path, f"# ours\nbutter: sr:01001\nhouse powder: {food_id}\n")
        with pytest.raises(InputError, match=rf"decisions\.yaml, line 3: your decision .*{food_id}"):
            Kitchen([embedded()], found, alternatives=False)
    with pytest.raises(InputError, match=r"^your decision"):
        Kitchen([embedded()], {"house powder": "sr:99999"}, alternatives=False)


# --- none -----------------------------------------------------------------------------------------------------------

LINES = ["100 g butter", "1 tsp edible glitter", "baking parchment", "2 tbsp zorblax with peanuts"]


def dish(folder: Path, decided: str) -> DishResult:
    path = folder / "bun.txt"
    path.write_text("\n".join(["Bun", "Serves 4", *LINES]), encoding="utf-8")
    return Kitchen([embedded()], kept(folder, decided), alternatives=False).dish(read_recipe(path))


def test_no_food_by_decision_leaves_nothing_open(tmp_path: Path) -> None:
    before = dish(tmp_path, "")
    assert {"1 tsp edible glitter", "2 tbsp zorblax with peanuts"} <= set(before.allergens.unresolved)
    after = dish(tmp_path, "edible glitter: none\nbaking parchment: none\nzorblax with peanuts: none\n")
    assert after.allergens.complete
    assert after.unweighed == ()
    assert [text for text, _ in doubts(after) if "butter" not in text] == []
    assert set(after.whole.coverage.values()) == {1.0}
    assert after.whole.mass == pytest.approx(100)
    assert not portion_figures(after)["salt"].startswith("at least")
    records = after.stages[0].records
    assert [record.grams for record in records] == [100, None, None, None]
    assert [record.resolved for record in records] == [True] * 4


def test_its_words_still_count_for_allergens_and_it_is_said(tmp_path: Path) -> None:
    result = dish(tmp_path, "edible glitter: none\nbaking parchment: none\nzorblax with peanuts: none\n")
    assert set(result.allergens.contains) == {"milk", "peanuts"}
    told = [remark.message for remark in result.remarks if remark.code == "decided-no-food"]
    assert [message.split(" is no food")[0] for message in told] == [
        "edible glitter",
        "baking parchment",
        "zorblax with peanuts",
    ]
    listed = as_text(ingredients(result))
    assert "butter" in listed
    assert "glitter" not in listed
    assert "parchment" not in listed
    assert "zorblax" in listed  # it brings an allergen, so it is named


def test_a_food_nobody_knows_beside_it_still_keeps_the_answer_open(tmp_path: Path) -> None:
    result = dish(tmp_path, "edible glitter: none\nbaking parchment: none\n")
    assert result.allergens.unresolved == ("2 tbsp zorblax with peanuts",)


# --- questions ------------------------------------------------------------------------------------------------------


def test_answers_are_numbers_ids_none_or_a_new_search(tmp_path: Path) -> None:
    packs = tmp_path / "products.yaml"
    packs.write_text("- {name: Quay relish, salt: 1 g, contains: []}\n", encoding="utf-8")
    kitchen = Kitchen([embedded()], alternatives=True, products=load(packs))
    (question,) = questions([kitchen.line("100 g harbour relish")], kitchen)
    assert 3 <= len(question.choices) <= 5
    assert answer(" 2 ", question.choices, kitchen) == question.choices[1].food_id
    assert answer("NONE", question.choices, kitchen) == "none"
    for food_id in ("sr:01001", "mix:double-cream", "own:quay-relish"):
        assert answer(food_id, question.choices, kitchen) == food_id
    found = answer("mango chutney", question.choices, kitchen)
    assert not isinstance(found, str)
    assert "hutney" in found[0].food_name
    for wrong, words in (
        ("9", "no 9"),
        ("0", "no 0"),
        ("sr:99999", "no food has the id"),
        ("xq", "nothing in the food"),
    ):
        with pytest.raises(InputError, match=words):
            answer(wrong, question.choices, kitchen)


def test_a_decided_name_is_not_asked_again(tmp_path: Path) -> None:
    kitchen = Kitchen([embedded()], {"zorblax": "none"}, alternatives=False)
    assert list(questions([kitchen.line("50 g zorblax")], kitchen)) == []
    assert len(list(questions([kitchen.line("50 g gribble")], kitchen))) == 1


def test_the_questions_go_on_until_the_cook_is_content(tmp_path: Path) -> None:
    lines = tmp_path / "lines.txt"
    lines.write_text("100 g harbour relish\n50 g zorblax\n20 g gribble\n", encoding="utf-8")
    said = "sr:99999\n9\nmango chutney\n1\nskip\nnone\n"
    asked = run("lines", str(lines), "--ask", "--format", "jsonl", text=said)
    assert asked.exit_code == 0, asked.stderr
    assert 'no food has the id "sr:99999"' in asked.stderr
    assert "there is no 9 in the list" in asked.stderr
    assert dict(decisions.read_decisions(tmp_path)) == {"harbour relish": "mix:sweet-chutney", "gribble": "none"}
    first, *_ = map(json.loads, asked.stdout.splitlines())
    assert (first["food_id"], first["sureness"]) == ("mix:sweet-chutney", "sure")


def test_answers_given_before_the_input_ends_are_kept(tmp_path: Path) -> None:
    lines = tmp_path / "lines.txt"
    lines.write_text("100 g harbour relish\n50 g zorblax\n", encoding="utf-8")
    asked = run("lines", str(lines), "--ask", text="sr:01001\n")
    assert (asked.exit_code, asked.stderr.splitlines()[-1].endswith("stopped")) == (1, True)
    assert dict(decisions.read_decisions(tmp_path)) == {"harbour relish": "sr:01001"}


# --- mistakes on the command line -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ("analyse", "Missing argument 'RECIPES...'; see nutrilab analyse --help"),
        ("analyse soup.txt --portions x", "'x' is no number; see"),
        ("analyse soup.txt --portions 0", "must be above 0; see"),
        ("analyse soup.txt --portions", "requires an argument"),
        ("analyse soup.txt --format foo", "'foo' is not one of 'text', 'json'"),
        ("analyse soup.txt --portion 3", "No such option '--portion'"),
        ("frob", "No such command 'frob'; see nutrilab --help"),
        ("foods egg --limit 0", "'--limit': 0 is not in the range"),
        ("lines a b", "unexpected extra argument (b); see nutrilab lines --help"),
        ("lines nosuch.txt", "nosuch.txt: there is no such file"),
        ("tables import", "Missing argument 'NAME'; see nutrilab tables import --help"),
        ("tables frob", "No such command 'frob'"),
    ],
)
def test_a_wrong_command_line_is_one_sentence(arguments: str, words: str) -> None:
    result = run(*arguments.split())
    assert (result.exit_code, result.stdout) == (2, "")
    assert words in result.stderr
    assert result.stderr.count("\n") == 1


def test_help_and_version_end_well_and_nothing_shows_the_help() -> None:
    assert (run("--version").exit_code, run("analyse", "--help").exit_code) == (0, 0)
    nothing = run()
    assert (nothing.exit_code, nothing.stdout) == (2, "")
    assert "Commands:" in nothing.stderr
