"""What the page writes is what was tried and shown: a swap whole, a pack in its place, lines in order."""

from __future__ import annotations

import html
from pathlib import Path
from typing import Any

import pytest

from nutrilab import decisions, open_kitchen
from nutrilab.messages import say
from nutrilab.page.shelf import Shelf
from nutrilab.recipe import read_recipe
from nutrilab.recipe.editing import with_fact
from nutrilab.remarks import InputError
from nutrilab.writing import Written
from tests import html_tree
from tests.html_tree import Element
from tests.page.serving import STEW, Client, act, hidden, parts

LEEKS = "Slipway leeks\nServes 4\n\n500 g leeks\n50 g butter\n\nTo finish:\n20 g chives\n20 g butter\n"
FISH = """dish: Harbour bake
portions: 4
stages:
  - stage: sauce
    ingredients:
      - 50 g butter
      - 500 ml whole milk
  - stage: bake
    ingredients:
      - all of sauce
      - 400 g cod fillet
      - 30 g butter, melted
      - 100 ml whole milk
"""


def tree(shown: dict[str, Any], name: str) -> Element:
    return html_tree.read(shown["parts"][name])


def ingredients(path: Path, text: str) -> dict[str, Any]:
    """What a text comes to, as a file of its own."""
    path.write_text(text)
    return open_kitchen(path.parent).dish(path).to_dict()


# --- a swap


@pytest.mark.parametrize(
    ("text", "line", "words", "new"),
    [
        (FISH, 6, "50 g butter", "olive oil"),
        (FISH, 13, "100 ml whole milk", "oat drink"),
        (FISH, 12, "30 g butter, melted", "2 tbsp rapeseed oil"),
        (LEEKS, 5, "50 g butter", "margarine"),
        ("Toast\nServes 2\n\n2 slices bread\n50 g butter and olive oil\n", 5, "50 g butter and olive oil", "lard"),
        ("Toast\nServes 2\n\n2 slices bread\n37.5 g butter\n", 5, "37.5 g butter", "walnut oil"),
    ],
)
def test_a_swap_that_is_kept_comes_to_the_figures_it_was_tried_with(
    page: Client, folder: Path, text: str, line: int, words: str, new: str
) -> None:
    """Every line of the name, with the amounts that were counted: else the dish is not the one that was shown."""
    end = ".yaml" if text is FISH else ".txt"
    path = folder / f"dish{end}"
    path.write_text(text)
    old = open_kitchen(folder).dish(path)
    name = next(
        food.name
        for stage in old.stages
        for _, record in stage.lines
        if record.parsed.text.strip() == words
        for food in record.foods
    )
    tried = open_kitchen(folder).swap(path, f"{name} = {new}")
    of = {"line": str(line), "of": words, "was": path.name, "name": path.name}
    shown = parts(page, "swap", text, swap=new, **of)
    told = tree(shown, "lines").one(id="tried")
    assert len(told.all("ul", class_="small")[0].all("li")) == len(tried.done)
    if told.all("input", name="kept"):
        kept = parts(page, "keep", text, kept=hidden(shown["parts"]["lines"], "kept"), **of)
        assert not kept["failed"], kept["parts"]["said"]
        after = ingredients(folder / f"after{end}", kept["text"])
        wanted = tried.after.to_dict()
        for key, value in wanted["per_portion"].items():
            assert after["per_portion"][key] == pytest.approx(value, rel=2e-3, abs=1e-6), key
        for kind in ("contains", "check"):
            assert set(after["allergens"][kind]) == set(wanted["allergens"][kind])
        changed = [a for a, b in zip(text.splitlines(), kept["text"].splitlines(), strict=True) if a != b]
        assert len(changed) == len(tried.done)
    else:
        assert say("desk.swap-elsewhere") in told.text


def test_all_lines_of_the_name_are_changed_and_said(page: Client) -> None:
    of = {"line": "6", "of": "50 g butter", "was": "", "name": "dish.yaml"}
    shown = parts(page, "swap", FISH, swap="olive oil", **of)
    said = [one.text for one in tree(shown, "lines").one(id="tried").all("ul", class_="small")[0].all("li")]
    assert len(said) == 2
    assert "50 g butter" in said[0]
    assert "30 g butter" in said[1]
    kept = parts(page, "keep", FISH, kept=hidden(shown["parts"]["lines"], "kept"), **of)
    assert "butter" not in kept["text"]
    assert kept["text"].count("olive oil") == 2
    back = parts(page, "undo", kept["text"], back=hidden(kept["parts"]["file"], "back"))
    assert back["text"] == FISH


def test_two_foods_of_one_line_are_not_half_lost(page: Client) -> None:
    """ "50 g butter and olive oil": what becomes of both is written as it was tried, or nothing is written."""
    text = "Toast\nServes 2\n\n2 slices bread\n50 g butter and olive oil\n"
    of = {"line": "5", "of": "50 g butter and olive oil"}
    shown = parts(page, "swap", text, swap="lard", **of)
    told = tree(shown, "lines").one(id="tried")
    if told.all("input", name="kept"):
        kept = parts(page, "keep", text, kept="lard", **of)["text"]
        assert "lard" in kept
        assert "olive oil" in kept
    else:
        assert told.all("p", class_="warning") or say("desk.swap-elsewhere") in told.text


def test_a_line_of_another_recipe_is_not_half_swapped(page: Client, folder: Path) -> None:
    """One of the lines stands in another file: no button, the reason, and who sends it all the same is refused."""
    sauce = "dish: Sauce\nportions: 4\ningredients:\n  - 50 g butter\n  - 300 ml milk\n"
    (folder / "sauce.yaml").write_text(sauce)
    text = "dish: Hake\nportions: 4\nstages:\n  - stage: hake\n    ingredients:\n      - all of sauce from sauce.yaml\n"
    text += "      - 400 g hake\n      - 20 g butter\n"
    (folder / "hake.yaml").write_text(text)
    of = {"line": "8", "of": "20 g butter", "was": "hake.yaml", "name": "hake.yaml"}
    shown = parts(page, "swap", text, swap="olive oil", **of)
    told = tree(shown, "lines").one(id="tried")
    assert say("desk.swap-elsewhere") in told.text
    assert not told.all("input", name="kept")
    assert not told.all("button", value="keep")
    kept = parts(page, "keep", text, kept="olive oil", **of)
    assert kept["failed"]
    assert "text" not in kept
    assert say("desk.swap-elsewhere").rstrip(".") in html.unescape(kept["parts"]["said"])
    assert (folder / "sauce.yaml").read_text() == sauce
    assert (folder / "hake.yaml").read_text() == text


def test_a_swap_says_what_it_promises_not_and_which_allergens_come(page: Client) -> None:
    shown = parts(page, "swap", swap="cashew cream", line="7", of="300 ml double cream")
    told = tree(shown, "lines").one(id="tried").text
    assert say("desk.no-promise") in told
    after = told.partition(say("desk.after-it"))[2]
    assert "nuts" in after
    assert "milk: contained before" in told


# --- packs


def products(*packs: dict[str, str]) -> str:
    """A list of packs as a cook writes it."""
    return "".join("- " + "\n  ".join(f"{key}: {text}" for key, text in pack.items()) + "\n" for pack in packs)


CUBE = {"name": "Lantern cube", "aliases": "vegetable stock cube", "ingredients": "salt, celery", "contains": "celery"}
CREAM = {"name": "Quay cream", "aliases": "double cream", "ingredients": "cream", "contains": "milk"}
BROTH = "dish: Broth\nportions: 4\nproducts: packs/x.yaml\ningredients:\n  - 1 vegetable stock cube\n  - 2 leeks\n"


def fields(**more: str) -> dict[str, str]:
    pack = {"pack-name": "Lantern cube", "pack-aliases": "vegetable stock cube", "pack-ingredients": "salt, milk"}
    return {"line": "5", "of": "1 vegetable stock cube", **pack, "pack-contains": "milk", "pack-per": "100 g", **more}


def test_a_pack_goes_into_the_list_that_the_recipe_names_and_holds_its_name(page: Client, folder: Path) -> None:
    """Not beside it: a second list would leave the old allergens speaking for the line."""
    (folder / "packs").mkdir()
    here, there = folder / "products.yaml", folder / "packs" / "x.yaml"
    here.write_text(products(CREAM))
    there.write_text(products(CUBE, CREAM))
    (folder / "broth.yaml").write_text(BROTH)
    done = parts(page, "pack", BROTH, was="broth.yaml", name="broth.yaml", **fields())
    assert not done["failed"], done["parts"]["said"]
    assert here.read_text() == products(CREAM)
    assert there.read_text() == products(CUBE | {"ingredients": "salt, milk", "contains": "milk"}, CREAM)
    told = open_kitchen(folder).dish(folder / "broth.yaml").to_dict()["allergens"]
    assert set(told["contains"]) == {"milk"}


def test_of_two_lists_the_one_that_holds_the_name_is_written(page: Client, folder: Path) -> None:
    """A recipe with a list of its own that takes a stage from one with another: both lists speak for its lines."""
    (folder / "packs").mkdir()
    (folder / "packs" / "a.yaml").write_text(products(CREAM))
    (folder / "packs" / "b.yaml").write_text(products(CUBE))
    (folder / "sauce.yaml").write_text(
        "dish: Sauce\nportions: 4\nproducts: packs/b.yaml\ningredients:\n  - 1 vegetable stock cube\n"
    )
    text = "dish: Broth\nportions: 4\nproducts: packs/a.yaml\nstages:\n  - stage: broth\n    ingredients:\n"
    text += "      - all of sauce from sauce.yaml\n      - 2 vegetable stock cubes\n"
    (folder / "broth.yaml").write_text(text)
    of = {"line": "8", "of": "2 vegetable stock cubes"}
    done = parts(page, "pack", text, was="broth.yaml", name="broth.yaml", **{**fields(), **of})
    assert not done["failed"], done["parts"]["said"]
    assert "Lantern" not in (folder / "packs" / "a.yaml").read_text()
    assert (folder / "packs" / "b.yaml").read_text().count("name:") == 1
    told = open_kitchen(folder).dish(folder / "broth.yaml").to_dict()["allergens"]
    assert set(told["contains"]) == {"milk"}


def test_another_pack_keeps_nothing_of_the_one_before_it(page: Client, folder: Path) -> None:
    """A size or a dose of sulphites that the form does not show belongs to the pack whose name it stands under."""
    text = "Broth\nServes 4\n\n\n1 vegetable stock cube\n2 leeks\n"
    old = CUBE | {"pack size": "90 g", "sulphites": "200 mg/kg"}
    (folder / "products.yaml").write_text(products(old))
    same = parts(page, "pack", text, **fields())
    assert not same["failed"], same["parts"]["said"]
    written = (folder / "products.yaml").read_text()
    assert "pack size: 90 g" in written
    assert "sulphites: 200 mg/kg" in written
    other = parts(page, "pack", text, **fields(**{"pack-name": "Jetty cube", "pack-aliases": "jetty stock"}))
    assert not other["failed"], other["parts"]["said"]
    jetty = (folder / "products.yaml").read_text().partition("Jetty cube")[2]
    assert jetty
    assert "90 g" not in jetty
    assert "sulphites" not in jetty


@pytest.mark.parametrize("key", ["contains", "may contain"])
def test_everything_that_a_pack_says_counts(page: Client, folder: Path, key: str) -> None:
    """What was typed into a field of the pack stands in the list and in the answer, under its own word."""
    cells = fields(**{"pack-contains": "none", "pack-ingredients": "salt"} | {f"pack-{key}": "lupin, molluscs"})
    done = parts(page, "pack", **{**cells, "line": "6"})
    assert not done["failed"], done["parts"]["said"]
    line = open_kitchen(folder).line("1 vegetable stock cube").findings
    assert set(line.contains if key == "contains" else line.may) == {"lupin", "molluscs"}
    word = "contains" if key == "contains" else "may"
    group = next(one.text for one in tree(done, "answer").all("p", class_="group") if one.all(class_=f"tag-{word}"))
    assert "lupin" in group
    assert "molluscs" in group


# --- what is written is shown at once


def test_an_answer_is_that_of_what_was_just_written(page: Client) -> None:
    """Each action answers with the dish as it is after it, not before."""
    before = tree(parts(page, "look"), "answer").text
    assert "eggs" not in before
    done = parts(page, "words", line="5", of="400 g zorblax paste", words="400 g mayonnaise")
    assert "eggs" in tree(done, "answer").text
    assert "eggs" in done["spoken"]
    gone = parts(page, "undo", done["text"], back=hidden(done["parts"]["file"], "back"))
    assert "eggs" not in tree(gone, "answer").text
    cells = fields(**{"line": "6", "pack-contains": "sesame", "pack-ingredients": "salt"})
    pack = parts(page, "pack", **cells)
    assert "sesame" in tree(pack, "answer").text
    assert "sesame" in pack["spoken"]
    taken = parts(page, "undo", back=hidden(pack["parts"]["file"], "back"))
    assert "sesame" not in tree(taken, "answer").text
    decided = parts(page, "choose:0", line="7", of="300 ml double cream", **{"choice-0": "none", "decided-0": ""})
    assert say("desk.no-food-decided") in tree(decided, "lines").text
    back = parts(page, "undo", back=hidden(decided["parts"]["file"], "back"))
    assert say("desk.no-food-decided") not in tree(back, "lines").text


def test_a_portion_is_said_in_one_way_alone(page: Client) -> None:
    """Six portions, or portions of 300 g: whichever was said last, and the figures are of it."""
    text = "dish: Soup\nportions: 4\ningredients:\n  - 2 kg leeks\n  - 200 g butter\n"
    done = parts(page, "facts", text, **{"fact--portion weight": "300 g", "was-fact--portion weight": ""})
    assert "portion weight: 300 g" in done["text"]
    assert "portions:" not in done["text"]
    fact = {"fact--portions": "8", "was-fact--portions": "", "fact--portion weight": "300 g"}
    again = parts(page, "facts", done["text"], **fact, **{"was-fact--portion weight": "300 g"})
    assert "portions: 8" in again["text"]
    assert "portion weight" not in again["text"]


def test_no_figure_of_a_portion_is_invented(page: Client) -> None:
    """Where nobody said how many portions there are, nothing that is shown or read out is of one."""
    shown = parts(page, "look", "Stew\n\n100 g butter\n500 g leeks\n")
    for name in ("answer", "more"):
        assert "kcal" not in shown["parts"][name]
    assert "kcal" not in shown["spoken"]
    assert say("desk.how-many") in shown["spoken"]
    assert "milk" in shown["spoken"]


def test_the_words_after_a_problem_are_the_problem(page: Client) -> None:
    """What was there before it does not stay: no answer on a text that cannot be read, on the page or read out."""
    shown = parts(page, "look", "dish: Stew\nportions: 0\ningredients:\n  - 100 g butter\n")
    assert not tree(shown, "answer").all(class_="group")
    assert "milk" not in shown["parts"]["answer"]
    assert "Line 2" in shown["spoken"]


# --- rows


def test_rows_stand_in_the_order_of_the_cook(page: Client) -> None:
    """A heading further down makes a stage of its own; the lines above it still come first, and nothing is added."""
    shown = parts(page, "look", LEEKS)
    words = [one.text for one in tree(shown, "lines").all("p", class_="words")]
    assert words == ["500 g leeks", "50 g butter", "20 g chives", "20 g butter"]
    heads = [one.text for one in tree(shown, "lines").all("h3")]
    assert heads[-1:] == ["To finish"]


def test_rows_of_a_recipe_file_stand_in_its_order(page: Client) -> None:
    shown = parts(page, "look", FISH, name="dish.yaml")
    words = [one.text for one in tree(shown, "lines").all("p", class_="words")]
    assert words == [line.strip("- ") for line in FISH.splitlines() if line.startswith("      - ")]
    numbers = [int(one.attributes["data-line"]) for one in tree(shown, "lines").all("li", class_="line")]
    assert numbers == sorted(numbers)


# --- names and texts


@pytest.mark.parametrize("name", ["chowder.yaml", "chowder.yml", "CHOWDER.YAML"])
def test_plain_text_is_not_saved_under_a_name_that_hides_it(page: Client, folder: Path, name: str) -> None:
    refused = act(page, "save", STEW, name=name)
    assert refused.status == 200
    assert html.escape(say("desk.end-text", name='"x"').partition(";")[0][1:]) in refused.text
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize("name", ["chowder.txt", "chowder.md"])
def test_a_recipe_file_is_not_saved_as_plain_text(page: Client, folder: Path, name: str) -> None:
    refused = act(page, "save", FISH, name=name)
    assert refused.status == 200
    assert "has to end in .yaml" in refused.text
    assert list(folder.iterdir()) == []


def test_what_is_saved_reads_back_as_what_was_shown(page: Client, folder: Path) -> None:
    for text, end in ((STEW, ".txt"), (FISH, ".yaml"), (LEEKS, ".txt")):
        assert act(page, "save", text).status == 303
        path = next(one for one in folder.iterdir() if one.suffix == end and one.read_text() == text)
        assert read_recipe(path).dish in text
        path.unlink()


@pytest.mark.parametrize(
    ("text", "stage", "key"),
    [
        ("A portion: 300 g\n100 g peanut butter\n2 leeks\n", "", "portion weight"),
        ("Cooked weight: 1 kg\n100 g butter\n2 leeks\n", "Cooked weight", "weight after"),
    ],
)
def test_a_fact_taken_out_takes_no_ingredient_along(text: str, stage: str, key: str) -> None:
    """Without its first line the next one would be the name of the dish, and its allergen gone from the list."""
    with pytest.raises(InputError, match="cannot be changed from outside"):
        with_fact(text, False, stage, key, "")


def test_many_kilos_are_swapped_in_plain_digits(page: Client) -> None:
    text = "Village feast\nServes 300\n\n12.34 kg butter\n20 kg plain flour\n"
    shown = parts(page, "swap", text, swap="lard", line="4", of="12.34 kg butter")
    kept = parts(page, "keep", text, kept=hidden(shown["parts"]["lines"], "kept"), line="4", of="12.34 kg butter")
    assert "12340 g lard" in kept["text"]


def test_what_another_decides_meanwhile_is_not_taken_back_with_a_step(folder: Path) -> None:
    """A step knows what stood in the file when it was written, not when it was asked for."""
    shelf = Shelf(folder)

    def decide() -> Written:
        decisions.add(folder, "quay relish", "sr:01001")  # another, between the click and the writing
        return decisions.add(folder, "jetty oil", "sr:04053")

    step = shelf.write(folder / decisions.NAME, "decided", decide)
    shelf.back(step)
    assert dict(decisions.read_decisions(folder)) == {"quay relish": "sr:01001"}
