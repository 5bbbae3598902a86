"""Hostile and mistaken input of every kind ends in one sentence that helps: short, harmless, with file and line."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import unicodedata
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from data_loaders.schema import TableError
from nutrilab.cli import main
from nutrilab.files import LONGEST_LINE
from nutrilab.plain import LONGEST_MESSAGE, QUOTED, brief, nearest, quoted, sentence
from nutrilab.recipe import METHODS, read_recipe
from nutrilab.recipe.amounts import part_of
from nutrilab.recipe.checks import MOST_LINES, MOST_TEXT
from nutrilab.recipe.meant import method, of_key
from nutrilab.remarks import Code, InputError, NutrilabError, Remark

SOUP = "dish: Soup\nportions: 4\ningredients: [1 egg, 1 leek]\n"


def run(*arguments: object, text: str | bytes | None = None) -> Any:
    return CliRunner().invoke(main, [str(one) for one in arguments], input=text, prog_name="nutrilab")


def refused(*arguments: object, text: str | bytes | None = None) -> str:
    """The one sentence that a command ends in."""
    result = run(*arguments, text=text)
    assert (result.exit_code, result.stdout) == (2, ""), (result.output, result.exception)
    assert result.stderr.count("\n") == 1, result.stderr
    said: str = result.stderr.removesuffix("\n")
    assert said.isprintable(), said
    assert all(len(quote) <= QUOTED for quote in re.findall(r'"([^"]*)"', said)), said
    return said


def write(folder: Path, text: str | bytes, name: str = "dish.yaml") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass"))
    return path


# --- what once ended in a traceback ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "count", ["1e-300", "1e300", "1e-5", "nan", ".inf", "0x10", "1_000", "9999999", "1,500", "four"]
)
def test_portions_that_cannot_be_are_refused_in_the_file_and_as_an_option(tmp_path: Path, count: str) -> None:
    path = write(tmp_path, SOUP.replace("portions: 4", f"portions: {count}"))
    assert f"{path}, line 2: portions: " in refused("analyse", path)
    if count in ("1e-300", "1e300", "1e-5", "nan", "9999999"):
        assert "portions cannot be" in refused("analyse", write(tmp_path, SOUP), "--portions", count)


@pytest.mark.parametrize(
    ("ingredient", "lines"),
    [
        ({"@id": ["x"]}, ['{"@id": ["x"]}']),
        ({"@id": {"a": 1}}, ['{"@id": {"a": 1}}']),
        ([["1 egg", ["2 leeks"]]], ["1 egg", "2 leeks"]),
        ({"name": "flour", "requiredQuantity": {"value": 200, "unitText": "g"}}, ["200 g flour"]),
        ({"name": "flour", "requiredQuantity": {"value": 200, "unitCode": "GRM"}}, ["200 g flour"]),
        ({"amount": "2 tbsp", "ingredient": "milk"}, ["2 tbsp milk"]),
        ({"name": {"name": {"text": ["butter"]}}}, ["butter"]),
        ({"name": ["a", "b"]}, ['{"name": ["a", "b"]}']),
        ({"quantity": {}, "name": "milk"}, ["milk"]),
    ],
)
def test_an_ingredient_that_is_an_object_or_a_list_is_read_or_kept_as_it_stands(
    tmp_path: Path, ingredient: object, lines: list[str]
) -> None:
    page = {"@context": "https://schema.org", "@type": "Recipe", "name": "S", "recipeYield": 4}
    path = write(tmp_path, json.dumps(page | {"recipeIngredient": ingredient}), "dish.json")
    assert [entry.text for entry in read_recipe(path).stages[0].entries] == lines
    assert run("analyse", path).exit_code == 0


@pytest.mark.parametrize("dish", [["Soup"], {"name": "Soup"}, None, 7, [["Soup"]]])
def test_an_earlier_result_whose_dish_is_no_name(tmp_path: Path, dish: object) -> None:
    earlier = write(tmp_path, json.dumps([{"dish": dish, "allergens": {}}]), "old.json")
    assert str(earlier) in refused("allergens", write(tmp_path, SOUP), "--since", earlier)


@pytest.mark.parametrize(
    "name", ['"a\\0b.yaml"', '"\\0"', "x" * 300 + ".yaml", '"\\ud800.yaml"', '"a\\u202e\\e[31mb.yaml"']
)
def test_files_of_impossible_names(tmp_path: Path, name: str) -> None:
    path = write(tmp_path, SOUP + f"products: {name}\n")
    assert f"{path}, line 4: " in refused("analyse", path)
    text = name.strip('"')
    path = write(tmp_path, SOUP.replace("1 leek", f'"all of mash from {text}"'))
    assert f"{path}, line 3: " in refused("analyse", path)


@pytest.mark.skipif(os.name == "nt", reason="needs links")
def test_links_that_lead_round_in_a_circle_or_nowhere(tmp_path: Path) -> None:
    for name in ("loop.yaml", "decisions.yaml", "products.yaml", "kitchen.yaml"):
        (tmp_path / name).symlink_to(name)
        path = tmp_path / name if name == "loop.yaml" else write(tmp_path, SOUP)
        said = refused("analyse", path)
        assert str(tmp_path / name) in said
        assert "round in a circle" in said
        (tmp_path / name).unlink()
        (tmp_path / name).symlink_to("nowhere")
        assert "leads nowhere" in refused("analyse", path)
        (tmp_path / name).unlink()
    (tmp_path / "one").symlink_to("two")
    (tmp_path / "two").symlink_to("one")
    assert "circle" in refused("analyse", tmp_path / "one" / "dish.yaml")
    (tmp_path / "loop.yaml").symlink_to("loop.yaml")
    for line in ("products: loop.yaml", "serve with: [1 egg]\nproducts: one/two"):
        assert "circle" in refused("analyse", write(tmp_path, f"{SOUP}{line}\n"))
    assert "circle" in refused("analyse", write(tmp_path, SOUP.replace("1 leek", "all of mash from loop.yaml")))


@pytest.mark.skipif(os.name == "nt", reason="needs named pipes")
@pytest.mark.parametrize("name", ["decisions.yaml", "kitchen.yaml", "products.yaml", "dish.yaml"])
def test_a_pipe_in_the_place_of_a_file_is_not_waited_for(tmp_path: Path, name: str) -> None:
    path = tmp_path / "dish.yaml" if name == "dish.yaml" else write(tmp_path, SOUP)
    os.mkfifo(tmp_path / name)
    assert f"{tmp_path / name}: this is not a file" in refused("analyse", path)


# --- one reader of YAML, one set of refusals ------------------------------------------------------------------------

HOSTILE_YAML = [
    ("!!timestamp x", "tags"),
    ("!!int x", "tags"),
    ("[!!bool x]", "tags"),
    ("!!python/object/apply:os.system [ls]", "tags"),
    ("&a x", "anchors"),
    ("*a", "anchors"),
    ("\tx", "a tab stands in this line"),
    ("x\x1b[31m", "cannot be shown stands in this line (U+001B)"),
    ("x\x07", "(U+0007)"),
    ("'x", "not written as YAML wants it"),
    ("[" * 200 + "]" * 200, "too deeply"),
    ("x\n---\na: b", "a second document begins here"),
]
KINDS = {"dish.yaml": "dish", "kitchen.yaml": "tables", "decisions.yaml": "butter", "products.yaml": "- name"}


@pytest.mark.parametrize(("value", "words"), HOSTILE_YAML)
@pytest.mark.parametrize("name", KINDS)
def test_every_file_of_yaml_is_refused_alike(tmp_path: Path, name: str, value: str, words: str) -> None:
    recipe = write(tmp_path, SOUP)
    path = write(tmp_path, f"{KINDS[name]}: {value}\n", name)
    said = refused("analyse", recipe)
    assert said.startswith(f"{path}, line "), said
    assert words in said


def test_no_other_module_reads_yaml_or_decodes_a_file_of_the_cook() -> None:
    """One door each: a second one would refuse other things."""
    root = Path(__file__).parents[1]
    sources = {path: path.read_text(encoding="utf-8") for path in (root / "nutrilab").rglob("*.py")}
    packs = root / "data_loaders" / "pack_files.py"
    sources[packs] = packs.read_text(encoding="utf-8")
    readers = {
        path.name for path, text in sources.items() if re.search(r"yaml\.(safe_load|load|compose|parse)\(", text)
    }
    assert readers == {"yaml_reader.py"}
    decoders = {
        path.name for path, text in sources.items() if re.search(r'decode\(\s*"utf-8|encoding="utf-8-sig', text)
    }
    # An earlier result may be UTF-16, and is JSON; the list of what nutrilab wrote is its own; names of files are read
    # out of a recipe whatever its letters are; a form of the page is UTF-8 by the standard, whatever comes.
    assert decoders <= {"files.py", "earlier.py", "marks.py", "bundles.py", "sources.py", "recipe_view.py", "state.py"}


# --- messages -------------------------------------------------------------------------------------------------------

RUDE = "\x1b[31mred\x1b]0;title\x07\x9b2J\0\u202egpj\u2066\u200b\r\n\u2028\x85end"


def test_escape_sequences_bidi_marks_and_nuls_are_cleaned_in_every_message() -> None:
    for made in (InputError(RUDE, RUDE), TableError(RUDE, RUDE, 3), NutrilabError(RUDE)):
        said = str(made)
        assert said.isprintable()
        assert not {c for c in said if unicodedata.category(c) in ("Cc", "Cf", "Cs", "Zl", "Zp")}
        assert "red" in said
        assert "[31m" not in said
    assert Remark(Code.IMPROBABLE, RUDE).message.isprintable()
    assert Remark(Code.IMPROBABLE, RUDE).at("stage", 3).message.isprintable()
    assert sentence("Ölsardinen, 250 g Öl, „Käse“") == "Ölsardinen, 250 g Öl, „Käse“"


@pytest.mark.skipif(os.name == "nt", reason="needs such names")
@pytest.mark.parametrize(
    "name", ["a\x1b[31mb.yaml", "a\u202eb.yaml", "a\nb.yaml", "a\x07b.yaml", os.fsdecode(b"a\xffb.yaml")]
)
def test_a_file_name_is_cleaned_and_still_named(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_text("dish: Soup\n", encoding="utf-8")
    said = refused("analyse", path)
    assert re.search(r"/a.?b\.yaml, line 1: ", said), said
    assert "no such file" in refused("analyse", tmp_path / f"z{name}")
    out = run("analyse", write(tmp_path, SOUP), "--format", "html", "-o", f"{tmp_path / name}-sheets/")
    assert out.exit_code == 0
    assert out.stderr.removesuffix("\n").isprintable()


LONG = "x" * 5_000


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (f"{LONG}: 4\n", 1),
        (SOUP + f"cups: {LONG}\n", 4),
        (SOUP + f"cooking: {{method: {LONG}}}\n", 4),
        (SOUP + f"cooking: {{loss: {LONG}}}\n", 4),
        (SOUP + f"cooking: {{weight after: {LONG}}}\n", 4),
        (SOUP.replace("4", LONG), 2),
        (SOUP.replace("1 leek", f"all of {LONG}"), 3),
        (SOUP.replace("1 leek", f"the rest of {LONG}"), 3),
        (SOUP + f"products: {LONG[:200]}/{LONG[:200]}\n", 4),
        ("dish: S\nportions: 4\nstages:\n" + f"- stage: {LONG}\n  ingredients: [1 egg]\n" * 2, 6),
        ("dish: S\nportions: 4\nstages:\n" + "".join(f"- stage: {LONG}{i}\n  ingredients: [1 egg]\n" for i in "ab"), 4),
    ],
)
def test_a_message_quotes_at_most_80_characters(tmp_path: Path, text: str, line: int) -> None:
    path = write(tmp_path, text)
    said = refused("analyse", path)
    assert said.startswith(f"{path}, line {line}: ")
    assert "x" * (QUOTED + 1) not in said.removeprefix(str(path))
    assert len(said) < 500 + len(str(path))


def test_long_words_elsewhere_are_cut_too(tmp_path: Path) -> None:
    recipe = write(tmp_path, SOUP)
    for arguments in (
        ("foods", LONG),
        ("foods", "--id", LONG),
        ("tables", "import", LONG, recipe),
        ("tables", "check", LONG),
        ("tables", "fetch", LONG),
        ("analyse", recipe, "--tables", LONG),
        ("analyse", recipe, "--portions", LONG),
        ("analyse", recipe, "--format", LONG),
        (LONG,),
    ):
        said = refused(*arguments)
        assert "x" * (QUOTED + 1) not in said, arguments
    for name, text in (
        ("decisions.yaml", f"{LONG}: sr:01001\n{LONG}: sr:01001\n"),
        ("decisions.yaml", f"butter: sr:{LONG}\n"),
        ("kitchen.yaml", f"{LONG}: a\n"),
        ("products.yaml", f"- name: {LONG}\n  contains: {LONG}\n"),
        ("products.yaml", f"- name: {LONG}\n- name: {LONG}\n"),
    ):
        path = write(tmp_path, text, name)
        said = refused("analyse", recipe)
        assert str(path) in said
        assert "x" * (QUOTED + 1) not in said, name
        path.unlink()
    record = json.loads(run("lines", "--format", "jsonl", text=f"1 g {LONG} or {'y' * 4_000}\n").stdout)
    assert all(len(warning["message"]) < 400 for warning in record["warnings"])


def test_quoting() -> None:
    assert quoted("milk") == '"milk"'
    assert len(brief("é" * 1_000)) == QUOTED
    assert len(brief("\x1b[31m" * 10_000 + "x")) <= QUOTED
    assert brief("two\nlines \x1b[1mbold") == "two lines bold"
    assert len(str(InputError("word " * 5_000, "f"))) <= LONGEST_MESSAGE + 3
    assert nearest("PEI.yaml", ["pie.yaml", "tart.yaml"]) == "pie.yaml"
    assert nearest("stage 77", [f"stage {n}" for n in range(500)]) == "stage 77"
    assert nearest("zorblax", [f"stage {n}" for n in range(500)]) is None


@pytest.mark.parametrize("encoding", ["cp1252", "latin-1", "ascii", "utf-8"])
def test_no_letter_ends_a_command_whatever_the_screen_or_pipe_can_show(tmp_path: Path, encoding: str) -> None:
    path = write(tmp_path, "dish: Soup ⅓ 🍞\nportions: 4\ningredients: [⅓ cup flour, 1 egg]\n")
    for arguments in (
        ("analyse", path),
        ("analyse", path, "--format", "json"),
        ("lines", path),
        ("analyse", tmp_path / "⅔"),
    ):
        done = subprocess.run(
            [sys.executable, "-m", "nutrilab", *map(str, arguments)],
            capture_output=True,
            env={**os.environ, "PYTHONIOENCODING": encoding},
        )
        assert b"Traceback" not in done.stderr, arguments
        if arguments[1] == path:
            assert "⅓" in done.stdout.decode("utf-8")


# --- what a cook hands over by mistake ------------------------------------------------------------------------------

NO_TEXT = {
    "photo": b"\xff\xd8\xff\xe0\x00\x10JFIF\x00",
    "picture": b"\x89PNG\r\n\x1a\n\x00\x00",
    "word processor": b"PK\x03\x04\x14\x00\x06\x00word/document.xml",
    "rich text": b"{\\rtf1\\ansi Soup\\par 2 eggs}",
    "old word processor": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1\x00",
    "pdf": b"%PDF-1.7\n%\xe2\xe3\n1 0 obj",
    "noise": bytes(range(256)) * 4,
    "noise without NUL": bytes(range(1, 256)) * 4,
    "beeps": b"Soup\n" + b"\x01\x02\x03\x07" * 40,
}


@pytest.mark.parametrize("kind", NO_TEXT)
def test_a_photo_or_word_processor_file_under_another_name_is_no_text_file(tmp_path: Path, kind: str) -> None:
    for name in ("dish.txt", "dish.yaml", "dish.html", "dish.json"):
        path = write(tmp_path, NO_TEXT[kind], name)
        said = refused("analyse", path)
        assert said.startswith(str(path))
        if name in ("dish.txt", "dish.yaml") or kind not in ("beeps",):
            assert "this is no text file" in said, (name, said)
    path = write(tmp_path, NO_TEXT[kind], "list.txt")
    assert f"{path}" in refused("lines", path)
    assert "this is no text file" in refused("lines", path)
    recipe = write(tmp_path, SOUP)
    for name in ("decisions.yaml", "kitchen.yaml", "products.yaml"):
        path = write(tmp_path, NO_TEXT[kind], name)
        assert "this is no text file" in refused("analyse", recipe)
        path.unlink()


def test_other_letters_are_told_with_their_line(tmp_path: Path) -> None:
    assert "line 2: a letter here is not UTF-8" in refused("analyse", write(tmp_path, b"Soup\n1 cr\xe8me\n", "a.txt"))
    for text in ("Soup\n1 egg\n".encode("utf-16"), "Soup\n1 egg\n".encode("utf-16-be")):
        assert "UTF-8" in refused("analyse", write(tmp_path, b"\xfe\xff" * (text[:1] == b"\0") + text, "a.txt"))
    assert run("analyse", write(tmp_path, "\ufeffSoup\nServes 4\n1 egg\n", "a.txt")).exit_code == 0
    assert run("analyse", write(tmp_path, "Soup\rServes 4\r1 egg\r", "a.txt")).exit_code == 0  # an old Mac's line ends
    assert len(run("lines", "--format", "jsonl", text="1 egg\r2 leeks\r\n3 eggs\n").stdout.splitlines()) == 3


def test_the_recipes_of_a_folder_are_taken(tmp_path: Path) -> None:
    assert "no recipe stands in this folder" in refused("analyse", tmp_path)
    (tmp_path / "soups").mkdir()
    assert 'look into "soups"' in refused("analyse", tmp_path)
    write(tmp_path, SOUP, "soup.yaml")
    write(tmp_path, "Pie\nServes 4\n200 g flour\n", "pie.txt")
    page = {"@context": "https://schema.org", "@type": "Recipe", "name": "Stew", "recipeYield": 4}
    write(tmp_path, json.dumps(page | {"recipeIngredient": ["500 g mussels"]}), "stew.json")
    write(tmp_path, "- {name: Quay relish, salt: 1 g, contains: []}\n", "packs.yaml")
    write(tmp_path, SOUP.replace("Soup", "Broth") + "products: packs.yaml\n", "broth.yaml")
    write(tmp_path, "butter: sr:01001\n", "decisions.yaml")
    write(tmp_path, NO_TEXT["photo"], "soup.jpg")
    write(tmp_path, SOUP, ".hidden.yaml")
    run("analyse", tmp_path / "soup.yaml", "-o", tmp_path / "result.json")
    for name in ("sheet.html", "screen.txt", "page.jsonld"):
        assert run("analyse", tmp_path / "soup.yaml", "-o", tmp_path / name).exit_code == 0
    found = json.loads(run("analyse", tmp_path, "--format", "json").stdout)
    assert [dish["dish"] for dish in found] == ["Broth", "Pie", "Soup", "Stew"]
    chart = run("allergens", tmp_path, "--format", "csv")
    assert chart.exit_code == 0
    assert "Stew" in chart.stdout
    write(tmp_path, "no recipe at all", "broken.yaml")
    assert "broken.yaml, line 1: " in refused("analyse", tmp_path)
    assert "pie.txt: this is one of the recipes" in refused("analyse", tmp_path / "pie.txt", "-o", tmp_path / "pie.txt")


@pytest.mark.parametrize(
    ("wrong", "near"),
    [
        ("harbour-pei.yaml", "harbour-pie.yaml"),
        ("harbour-pie.yml", "harbour-pie.yaml"),
        ("harbour-pie", "harbour-pie.yaml"),
        ("Harbour Pie.yaml", "harbour-pie.yaml"),
        ("shoping.txt", "shopping.txt"),
        ("nothing-like-it.md", None),
    ],
)
def test_a_wrong_file_name_gets_the_nearest_one(tmp_path: Path, wrong: str, near: str | None) -> None:
    write(tmp_path, SOUP, "harbour-pie.yaml")
    write(tmp_path, "1 egg\n", "shopping.txt")
    for command in (("analyse",), ("allergens",), ("lines",), ("tables", "import", "usda-sr")):
        said = refused(*command, tmp_path / wrong)
        assert f"{tmp_path / wrong}: there is no such file" in said
        assert (f'did you mean "{near}"?' in said) if near else ("did you mean" not in said)


def test_names_inside_a_recipe_and_of_folders_get_theirs_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(tmp_path, SOUP, "mash.yaml")
    path = write(tmp_path, SOUP.replace("1 leek", "all of mash from mahs.yaml"))
    assert f'{path}, line 3: "mahs.yaml": there is no such file; did you mean "mash.yaml"?' in refused("analyse", path)
    path = write(tmp_path, SOUP + "products: mahs.yaml\n")
    assert 'did you mean "mash.yaml"?' in refused("analyse", path)
    (tmp_path / "recipes").mkdir()
    monkeypatch.chdir(tmp_path)
    assert 'its folder "recipies" is not there; did you mean "recipes"?' in refused("analyse", "recipies/pie.yaml")
    said = refused("allergens", path, "--since", tmp_path / "mahs.yaml")
    assert "there is no such file" in said


@pytest.mark.parametrize(
    "address",
    ["https://example.org/pie", "http://example.org", "www.example.org/pie.html", "HTTPS://example.org/p.yaml"],
)
def test_a_web_address_is_told_what_to_do(address: str) -> None:
    for command in (("analyse",), ("allergens",), ("lines",), ("tables", "import", "uk-cofid")):
        said = refused(*command, address)
        assert said.startswith(f"{address}: this is a web address")
        assert "save" in said
    assert 'without "file:"' in refused("analyse", "file:///home/cook/pie.yaml")


# --- words a recipe file does not know ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "cure"),
    [
        ("serves: 4", 'write "portions: 4"'),
        ("servings: 6", 'write "portions: 6"'),
        ("Yield: 12 scones", 'write "portions: 12"'),
        ("makes: a lot", 'write "portions: 6"'),
        ("title: Harbour pie", 'write "dish: Harbour pie"'),
        ("method: air-fried", 'write how it is cooked as "cooking: {method: baked}"'),
        ("weight after: 2 kg", 'it stands under "cooking:"'),
        ("url: https://example.org", 'write "source: https://example.org"'),
        ("potions: 4", 'did you mean "portions"?'),
        ("serving_size: 350 g", 'write "portion weight: 350 g"'),
        ("zorblax: 4", "a recipe knows: dish, portions"),
    ],
)
def test_a_word_it_does_not_know_gets_the_one_it_knows(tmp_path: Path, line: str, cure: str) -> None:
    path = write(tmp_path, f"dish: Soup\ningredients: [1 egg]\n{line}\n")
    said = refused("analyse", path)
    assert said.startswith(f"{path}, line 3: ")
    assert cure.lower() in said.lower()


@pytest.mark.parametrize(
    ("written", "cure"),
    [
        ("air-fried", "roasted"),
        ("Air fryer", "roasted"),
        ("airfried", "roasted"),
        ("fried", "pan-fried, stir-fried or deep-fried"),
        ("sautéed", "pan-fried"),
        ("barbecued", "grilled"),
        ("slow-cooked", "stewed"),
        ("sous vide", "poached"),
        ("bake", 'did you mean "baked"?'),
        ("oven", "baked"),
        ("no-cook", "raw"),
        ("juggled", "it knows: raw, boiled"),
    ],
)
def test_a_cooking_method_it_does_not_know_gets_an_answer(tmp_path: Path, written: str, cure: str) -> None:
    path = write(tmp_path, SOUP + f"cooking: {{method: {written}}}\n")
    said = refused("analyse", path)
    assert said.startswith(f"{path}, line 4: ")
    assert f'"{written}" is no cooking method it knows; ' in said
    assert cure in said


def test_what_is_told_instead_is_something_it_knows() -> None:
    from nutrilab.datafiles import rows

    keys = {"recipe": RECIPE, "stage": STAGE, "cooking": COOKING}
    for row in rows("recipe_meant.csv"):
        for written in row["written"].split("|"):
            if row["of"] == "method":
                said = method(written)
                assert said is not None, written
                assert any(known in said for known in METHODS) or "methods" in said or "flamed" in said
            else:
                assert written not in keys[row["of"]], written
                said = of_key(row["of"], written, "4")
                assert said
                assert "{" not in said.replace("{method", "")


def _keys() -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    from nutrilab.recipe import yaml_file

    return yaml_file.RECIPE_KEYS, yaml_file.STAGE_KEYS, yaml_file.COOKING_KEYS


RECIPE, STAGE, COOKING = _keys()

# --- how much is read -----------------------------------------------------------------------------------------------


def test_a_line_is_as_long_in_a_recipe_as_on_standard_input(tmp_path: Path) -> None:
    for much, fits in ((LONGEST_LINE, True), (LONGEST_LINE + 1, False)):
        text = "1 g " + "x" * (much - 4)
        answers = [
            run("lines", "--format", "jsonl", text=f"1 egg\n{text}\n"),
            run("lines", write(tmp_path, f"1 egg\n{text}\n", "list.txt")),
            run("analyse", write(tmp_path, f"dish: S\nportions: 4\ningredients:\n- 1 egg\n- {text}\n")),
            run("analyse", write(tmp_path, f"dish: S\nportions: 4\ningredients: [1 egg]\nserve with:\n- {text}\n")),
            run("analyse", write(tmp_path, f"S\nServes 4\n1 egg\n{text}\n", "dish.txt")),
            run(
                "analyse",
                write(tmp_path, f"dish: S\nportions: 4\ningredients:\n- >-\n  {text[:5_000]}\n  {text[5_001:]}\n"),
            ),
            run(
                "analyse",
                write(
                    tmp_path, json.dumps({"@type": "Recipe", "recipeIngredient": [text], "recipeYield": 4}), "d.json"
                ),
            ),
        ]
        for answer in answers:
            assert answer.exit_code == (0 if fits else 2), answer.stderr[:300]
            assert fits or f"this line has {much:,} characters" in answer.stderr


def test_a_recipe_that_no_kitchen_cooks_is_refused_before_it_is_cooked(tmp_path: Path) -> None:
    much = "dish: S\nportions: 4\ningredients:\n" + "- 1 egg\n" * (MOST_LINES + 1)
    assert f"{MOST_LINES + 1:,} ingredients; at most {MOST_LINES:,} are read" in refused(
        "analyse", write(tmp_path, much)
    )
    long = "dish: S\nportions: 4\ningredients:\n" + f"- {'egg ' * 2_400}\n" * (MOST_TEXT // 9_600 + 1)
    assert "no recipe is that long" in refused("analyse", write(tmp_path, long))
    assert "lines; a recipe has at most" in refused("analyse", write(tmp_path, "S\n" + "(\n" * 5_001, "dish.txt"))


@pytest.mark.parametrize(
    "text", ["9" * 400 + "/1 of mash", "1/" + "9" * 400 + " of mash", "9" * 400 + "% of mash", "1e5 of mash"]
)
def test_shares_of_endless_figures_are_no_shares(text: str) -> None:
    assert part_of(text) is None


def test_parts_of_stages_are_read_as_before() -> None:
    for text, stage, share, grams, file in (
        ("all of the mash", "mash", 1.0, None, None),
        ("3 / 4 of  white sauce", "white sauce", 0.75, None, None),
        ("½ of mash from mash.yaml", "mash", 0.5, None, "mash.yaml"),
        ("600 g of mash", "mash", None, 600.0, None),
        ("0.6 kg of the mash", "mash", None, 600.0, None),
        ("half of a lemon from the tree", "a lemon from the tree", 0.5, None, None),
        ("all of x from a.yaml from b.yaml", "x from a.yaml", 1.0, None, "b.yaml"),
    ):
        part = part_of(text)
        assert part is not None
        assert (part.stage, part.share, part.grams, part.file) == (stage, share, grams, file)
