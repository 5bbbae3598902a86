"""`nutrilab lines` on a recipe: what is read of it, what --ask asks first, what it writes; also through a terminal."""

from __future__ import annotations

import json
import os
import select
import signal
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from nutrilab import decisions
from nutrilab.asking import Question, answer, answer_weight
from nutrilab.asking_dish import of_dish
from nutrilab.cli import main
from nutrilab.folder import Folder
from nutrilab.measures import PORTIONS
from nutrilab.recipe import lines_of, read_recipe
from nutrilab.recipe.recognised import holds_recipe, says_recipe
from nutrilab.remarks import InputError
from tests.accuracy import read

DEMOS = Path("demo_recipes")
BOWL = """Harbour relish bowl
Serves 4

3 gribbles
2 onions, sliced
500 ml stock
200 g zorblax with peanuts
2 tbsp harbour relish
3 cloves garlic

Method
Simmer it all for 20 minutes.
"""


def run(*arguments: object, text: str | None = None) -> Any:
    return CliRunner().invoke(main, [str(one) for one in arguments], input=text, prog_name="nutrilab")


def write(folder: Path, text: str = BOWL, name: str = "bowl.txt") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def asked(path: Path) -> list[Question]:
    opened = Folder(path.parent)
    recipe = read_recipe(path)
    dish = opened.dish(recipe, None if recipe.portions else PORTIONS)
    return of_dish(dish, opened.kitchen(opened.packs_of(recipe)))


# --- a recipe or a list ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "Breakwater salad\nServes 4\n2 eggs\n",
        "Carrot soup (serves 4)\n500 g carrots\n",
        "# Quay pie\n\n## Ingredients\n- 2 eggs\n",
        "Soup\n2 eggs\nMethod\nBoil them.\n",
        "Soup\n2 eggs\nMethod: boil them.\n",
        "Buns\nMakes 12\n2 eggs\n",
        "Chips\n800 g potatoes\nOil left: 600 ml\n",
        "Broth\nPortion: 350 g\n2 leeks\n",
        '{"@context": "https://schema.org", "@type": "Recipe", "name": "Soup", "recipeIngredient": ["2 leeks"]}',
    ],
)
def test_a_text_that_says_what_only_a_recipe_says_is_one(tmp_path: Path, text: str) -> None:
    assert holds_recipe(write(tmp_path, text))


@pytest.mark.parametrize(
    "text",
    [
        "2 eggs\n3 leeks\n",
        "2 onions\nServes 4\n1 leek\n",  # its first line would be lost as the name of a dish
        "- half a lemon\nMakes 12\n",
        "Ingredients:\n2 eggs\n",
        "For the salad:\n2 eggs\nFor the dressing:\n1 tbsp oil\n",
        "Shopping\n500 g carrots\n1 l milk\n",
        "salt\npepper\n",
        "",
        "\n\n",
    ],
)
def test_a_list_of_lines_is_none(tmp_path: Path, text: str) -> None:
    assert not holds_recipe(write(tmp_path, text))


def test_no_line_of_the_gold_lists_makes_a_recipe_of_a_list() -> None:
    texts = [
        next(iter(row.values()))
        for name in ("lines", "foods", "allergens")
        for row in read(Path(f"tests/gold/{name}.csv"))
    ]
    assert len(texts) > 1500
    assert [text for text in texts if says_recipe(f"salt\n{text}")] == []


def test_what_is_no_text_is_left_to_who_reads_it(tmp_path: Path) -> None:
    (tmp_path / "photo").write_bytes(b"\xff\xd8\xff\xe0" + bytes(20))
    for path in (tmp_path / "photo", tmp_path / "nosuch.txt", tmp_path, Path("nul\0.txt")):
        assert not holds_recipe(path)
    os.mkfifo(tmp_path / "pipe")
    assert not holds_recipe(tmp_path / "pipe")  # and does not wait for it


@pytest.mark.parametrize("path", sorted(p for p in DEMOS.iterdir() if p.is_file()), ids=lambda path: path.name)
def test_of_a_recipe_its_ingredients_are_read(path: Path) -> None:
    ran = run("lines", path, "--format", "jsonl")
    assert ran.exit_code == 0, ran.stderr
    texts = [json.loads(line)["text"] for line in ran.stdout.splitlines()]
    assert ran.stderr.startswith(f'{path}: read as the recipe "')
    assert f"{len(texts)} lines of ingredients" in ran.stderr
    if path.suffix != ".srt":
        assert texts == [line.text for line in lines_of(read_recipe(path))]
    assert not {"portions", "dish", "Serves 4", "stages:"} & set(texts)


def test_a_share_of_a_line_and_the_cups_of_a_recipe_count(tmp_path: Path) -> None:
    path = write(
        tmp_path,
        "dish: Cake\nportions: 2\ncups: metric\ningredients: [half of 50 g butter, 1 cup water]\nserve with: [1 egg]\n",
        "cake.yaml",
    )
    butter, water, egg = map(json.loads, run("lines", path, "--format", "jsonl").stdout.splitlines())
    assert (butter["text"], butter["grams"]) == ("50 g butter", 25)
    assert water["grams"] == pytest.approx(250, rel=0.01)
    assert egg["text"] == "1 egg"
    us = run("lines", path, "--format", "jsonl", "--cups", "us").stdout.splitlines()[1]
    assert json.loads(us)["grams"] == pytest.approx(236.6, rel=0.01)


def test_own_products_of_a_recipe_count(tmp_path: Path) -> None:
    (tmp_path / "packs.yaml").write_text("- {name: Quay relish, salt: 1 g, contains: [mustard]}\n", "utf-8")
    path = write(tmp_path, "dish: S\nportions: 1\nproducts: packs.yaml\ningredients: [20 g quay relish]\n", "s.yaml")
    (line,) = map(json.loads, run("lines", path, "--format", "jsonl").stdout.splitlines())
    assert line["food_id"] == "own:quay-relish"


def test_a_list_of_lines_is_read_and_asked_about_as_ever(tmp_path: Path) -> None:
    path = write(tmp_path, "60 g butter\n50 g zorblax\n3 cloves garlic\n", "lines.txt")
    ran = run("lines", path, "--ask", text="none\n")
    assert ran.exit_code == 0, ran.stderr
    assert ran.stderr.count(" in: ") == 1  # the likely butter and the weight of a clove are not asked about
    assert "read as the recipe" not in ran.stderr
    assert len(ran.stdout.split("\n\n")[0].splitlines()) == 4


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("soup.yaml", "dish: Soup\nportions: 4\n", "soup.yaml"),
        ("soup.yaml", "- 2 onions\n", "soup.yaml, line 1"),
        ("soup.yaml", "dish: [\n", "not written as YAML"),
        ("page.html", "<p>no recipe</p>", "page.html"),
        ("film.srt", "no captions", "film.srt"),
        ("saved.mhtml", "x", "web archives are not read"),
        ("broken.txt", "Soup\nServes 0\n2 onions\n", "portions must be a number above 0"),
    ],
)
def test_a_broken_recipe_is_one_sentence(tmp_path: Path, name: str, text: str, words: str) -> None:
    path = write(tmp_path, text, name)
    for more in ((), ("--ask",)):
        ran = run("lines", path, *more)
        assert (ran.exit_code, ran.stdout) == (2, "")
        assert words in ran.stderr
        assert ran.stderr.count("\n") == 1
    assert os.listdir(tmp_path) == [name]


# --- what is asked, in which order ----------------------------------------------------------------------------------


def test_what_may_hold_an_allergen_comes_first_then_what_moves_most(tmp_path: Path) -> None:
    found = asked(write(tmp_path))
    names = [(one.name, one.of_weight) for one in found]
    assert names[0][0] in ("zorblax with peanuts", "gribbles", "harbour relish")
    assert {name for name, _ in names[:3]} == {"zorblax with peanuts", "gribbles", "harbour relish"}
    later = found[3:]
    assert ("stock", False) in [(one.name, one.of_weight) for one in later]
    assert ("gribbles", True) in names
    shares = [1.0 if one.moves is None else one.moves for one in later]
    assert shares == sorted(shares, reverse=True)
    assert len(names) == len(set(names))


def test_sure_names_are_not_asked_and_likely_ones_are() -> None:
    found = {one.name: one for one in asked(DEMOS / "harbour-fish-pie.yaml")}
    assert {"undyed smoked haddock fillet", "butter"} <= set(found)
    assert not {"whole milk", "plain flour", "mature cheddar"} & set(found)
    first = found["butter"].choices[0]
    assert (first.food_id, first.now) == ("sr:01001", True)
    assert not any(choice.now for choice in found["butter"].choices[1:])


def test_a_weight_is_asked_for_where_it_is_the_doubt(tmp_path: Path) -> None:
    def weights(*lines: str) -> list[Question]:
        return [one for one in asked(write(tmp_path, "\n".join(("Dish", "Serves 2", *lines)))) if one.of_weight]

    (flatbread,) = weights("2 small flatbreads")
    assert (flatbread.name, flatbread.unit) == ("small flatbreads", "")
    assert flatbread.one is not None
    assert flatbread.one.startswith("42 g (")
    (rasher,) = weights("100 g oats", "4 rashers smoked streaky bacon")
    assert (rasher.name, rasher.unit) == ("rasher of smoked streaky bacon", "rasher")
    assert rasher.of == "smoked streaky bacon"
    (gribble,) = weights("100 g oats", "3 gribbles")
    assert gribble.moves is None
    for line in (
        "200 g onions",
        "2 onions (150 g each)",
        "2 tbsp oil",
        "juice of 1 lemon",
        "5 cm piece of ginger",
        "salt",
    ):
        assert weights(line) == [], line
    (tmp_path / "decisions.yaml").write_text("small flatbread: 60 g\n", encoding="utf-8")
    assert weights("2 small flatbreads") == []
    assert len(weights("2 large flatbreads")) == 1


def test_a_little_of_next_to_nothing_moves_nothing(tmp_path: Path) -> None:
    (pepper,) = asked(write(tmp_path, "Pears\nServes 2\n400 g pears\n1 pinch pepper\n"))[-1:]
    assert pepper.moves is not None
    assert pepper.moves < 0.01


def test_every_name_sure_leaves_nothing_to_ask(tmp_path: Path) -> None:
    path = write(tmp_path, "Oats\nServes 2\n100 g porridge oats\n300 ml whole milk\n")
    ran = run("lines", path, "--ask")
    assert ran.exit_code == 0, ran.stderr
    assert ran.stderr.splitlines()[-1].startswith("every name is sure")


# --- answers --------------------------------------------------------------------------------------------------------


def test_answers_in_words_and_weights(tmp_path: Path) -> None:
    kitchen = Folder(None).kitchen()
    found = answer("home-made stock, no salt", (), kitchen, "stock")
    assert not isinstance(found, str)
    assert (found[0].food_id, found[0].written) == ("sr:06970", "home-made stock, no salt")
    assert answer("1", found, kitchen) == "home-made stock, no salt"
    assert answer("2", found, kitchen) == found[1].food_id
    inside = answer("home-made, no salt", (), kitchen, "stock")
    assert not isinstance(inside, str)
    assert inside[0].written == "home-made, no salt"
    with pytest.raises(InputError, match="is a weight; first say which food"):
        answer("180 g", (), kitchen)
    assert answer_weight(" 180 g ") == "180 g"
    assert answer_weight("0.2 kg") == "0.2 kg"
    for wrong in ("180", "heavy", "200 ml", "", "0 g", "1.500 g", "900 kg", "-5 g", "sr:01001"):
        with pytest.raises(InputError):
            answer_weight(wrong)


def test_answers_about_a_recipe_are_kept_and_counted(tmp_path: Path) -> None:
    path = write(tmp_path)
    write(tmp_path, "rye flakes: sr:20063\n# ours\nonoin: 20 g\n", "decisions.yaml")
    write(tmp_path, "Rye\nServes 2\n100 g rye flakes\n", "rye.txt")
    questions = asked(path)
    said = {
        ("zorblax with peanuts", False): ["40 g", "none"],
        ("gribbles", False): ["skip"],
        ("harbour relish", False): ["mango chutney", "1"],
        ("stock", False): ["home-made, no salt", "1"],
        ("gribbles", True): ["heavy", "30 g"],
    }
    text = "\n".join(line for one in questions for line in said.get((one.name, one.of_weight), [""])) + "\n"
    ran = run("lines", path, "--ask", "--format", "jsonl", text=text)
    assert ran.exit_code == 0, ran.stderr
    kept = decisions.read_decisions(tmp_path)
    assert dict(kept) == {
        "rye flakes": "sr:20063",
        "zorblax with peanuts": "none",
        "harbour relish": "mix:sweet-chutney",
        "stock": "home-made, no salt",
    }
    assert dict(kept.weights) == {"onoin": 20, "gribbles": 30}
    assert "moves the calories or the salt of a portion by about" in ran.stderr
    assert ran.stderr.splitlines()[-1] == (  # of a folder-wide file nothing is said that another recipe uses
        f'{tmp_path / "decisions.yaml"}, line 3: "onoin" matches no ingredient of the recipes in this folder; '
        'did you mean "onions"?'
    )
    lines = {record["text"]: record for record in map(json.loads, ran.stdout.splitlines())}
    assert lines["500 ml stock"]["food_id"] == "sr:06970"
    assert lines["3 gribbles"]["grams_from"] == "your decision"


def test_no_weight_is_asked_of_what_is_no_food(tmp_path: Path) -> None:
    path = write(tmp_path, "Bun\nServes 2\n100 g flour\n3 gribbles\n")
    ran = run("lines", path, "--ask", text="none\n" * 9)
    assert ran.stderr.count('"gribbles" in:') == 1
    assert dict(decisions.read_decisions(tmp_path))["gribbles"] == "none"


def test_a_recipe_that_cannot_be_counted_yet_is_asked_about_all_the_same(tmp_path: Path) -> None:
    text = (
        "dish: Pie\nportions: 2\nstages:\n- stage: mash\n  ingredients: [3 gribbles, 100 g zorblax]\n"
        "- stage: pie\n  ingredients: [600 g of mash, 1 egg]\n"
    )
    path = write(tmp_path, text, "pie.yaml")
    ran = run("lines", path, "--ask", text="none\nnone\n")
    assert ran.exit_code == 0, ran.stderr
    assert "so the questions stand in the order of the lines" in ran.stderr
    assert set(decisions.read_decisions(tmp_path)) == {"gribbles", "zorblax"}


def test_standard_input_cannot_be_asked_about() -> None:
    ran = run("lines", "--ask", text="2 eggs\n")
    assert (ran.exit_code, ran.stdout, ran.stderr.count("\n")) == (2, "", 1)


@pytest.mark.skipif(sys.platform == "win32", reason="no terminal of this kind on Windows")
def test_through_a_terminal_answers_are_kept_when_the_cook_leaves(tmp_path: Path) -> None:
    """As a cook uses it: a terminal of 80 columns, answers typed, and Ctrl-C in the middle."""
    import pty

    path = write(tmp_path, "Bun\nServes 2\n100 g flour\n50 g zorblax\n3 gribbles\n")
    pid, terminal = pty.fork()
    if pid == 0:
        signal.signal(signal.SIGINT, signal.SIG_DFL)  # tests that are started in the background have it ignored
        os.execve(sys.executable, [sys.executable, "-m", "nutrilab", "lines", str(path), "--ask"], {**os.environ})
    shown = b""
    try:
        for typed in (b"none\n", b""):
            shown = _until(terminal, b"skip): ")
            os.write(terminal, typed)
        for _ in range(
            60
        ):  # a terminal may miss a key that is struck the moment it asks: struck again, as a cook would
            os.write(terminal, b"\x03")
            shown += _until(terminal, b"stopped", 1)
            if b"stopped" in shown:
                break
    finally:
        for _ in range(100):
            gone, status = os.waitpid(pid, os.WNOHANG)
            if gone:
                break
            time.sleep(0.1)
        else:
            os.kill(pid, signal.SIGKILL)
            _, status = os.waitpid(pid, 0)
    assert os.waitstatus_to_exitcode(status) == 1
    assert b"Traceback" not in shown
    assert list(decisions.read_decisions(tmp_path).values()) == ["none"]


def _until(terminal: int, end: bytes, seconds: float = 60) -> bytes:
    """What a terminal shows up to some words."""
    found, last = b"", time.monotonic() + seconds
    while end not in found and time.monotonic() < last:
        ready, _, _ = select.select([terminal], [], [], 0.2)
        try:
            found += os.read(terminal, 65536) if ready else b""
        except OSError:  # the other end has gone
            break
    return found
