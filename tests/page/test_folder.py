"""The folder as a list, and what is handed on of all: nothing old, nothing left out, nothing of another dish."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest

from nutrilab import open_kitchen
from nutrilab.allergens import ALLERGENS
from nutrilab.messages import as_grams, say
from nutrilab.settling import settle_first
from tests import html_tree
from tests.html_tree import Element
from tests.page.serving import Client, parts

ROOT = Path(__file__).parents[2]
PACK = (
    "- name: Lantern chocolate\n  aliases: dark chocolate\n  ingredients: cocoa mass, sugar\n  contains: {contains}\n"
)
RECIPES = {
    "cod.yaml": "dish: Cod in sauce\nportions: 4\ningredients:\n  - 400 g cod\n  - 200 ml milk\n  - 1 tsp mustard\n",
    "toast.txt": "Quay toast\nServes 2\n\n2 slices white bread\n20 g butter\n",
    "pots.txt": "Tide pots\nServes 4\n\n200 g dark chocolate\n100 g sugar\n",
    "slack.txt": "Slack water stew\nServes 4\n\n400 g zorblax\n2 sausages\n",
    "broth.txt": "Oat broth\nServes 4\n\n150 g oat cream\n2 onions\n",
    "crème & (brûlée) 50%.txt": "Burnt cream\nServes 4\n\n4 eggs\n500 ml double cream\n",
}
KINDS = ("contains", "check", "may", "open")
WORDS = {**{f"is-{kind}": say(f"chart.{kind}") for kind in KINDS}, "is-empty": ""}


@pytest.fixture
def folder(folder: Path) -> Path:
    for name, text in RECIPES.items():
        (folder / name).write_text(text)
    (folder / "products.yaml").write_text(PACK.format(contains="soya") + "  may contain: hazelnuts, milk\n")
    return folder


def the_list(page: Client) -> Element:
    """The list, once all is looked at: on a busy machine it is shown in part first, and says so."""
    for _ in range(20):
        found = page.get("/")
        assert found.status == 200
        tree = html_tree.read(found.text.replace("\xa0", " "))
        if not tree.all(data_again="1000"):
            return tree
    raise AssertionError("the list was never whole")


def rows(page: Client) -> dict[str, Element]:
    """Rows of the list by their dish."""
    return {row.attributes["data-dish"]: row for row in the_list(page).one("tbody", id="dishes").all("tr")}


def record(folder: Path, name: str) -> dict[str, Any]:
    """What the command line's own function says, opened anew."""
    return open_kitchen(folder).dish(folder / name).to_dict()


def test_every_dish_is_listed_with_its_figures_and_its_allergens(page: Client, folder: Path) -> None:
    found = rows(page)
    records = {one["dish"]: one for one in (record(folder, name) for name in RECIPES)}
    assert set(found) == set(records)
    for dish, one in records.items():
        cells = [cell.text for cell in found[dish].all("td")]
        told = one["allergens"]
        assert one["declared_per_portion"]["energy_kcal"] in cells[0]
        assert one["declared_per_portion"]["salt"] in cells[1]
        for cell, key, word in zip(cells[2:], ("contains", "check", "may_contain"), ("contains", "check", "may"),
                                   strict=True):  # fmt: skip
            assert bool(cell) is bool(told[key])
            words = cell.removeprefix(say(f"sheet.{word}"))
            assert [name for name in ALLERGENS if name in words] == [name for name in ALLERGENS if name in told[key]]
        hidden = {*told["contains"], *told["check"], *told["may_contain"]}
        assert set(found[dish].attributes["data-has"].split()) == hidden, "a tick has to hide what may hold it"
        assert found[dish].attributes["data-complete"] == ("yes" if one["complete"] else "no")
        assert (say("sheet.not-complete") in found[dish].text) is not one["complete"]


def test_what_is_not_complete_or_cannot_be_read_needs_attention_and_nothing_else(page: Client, folder: Path) -> None:
    (folder / "broken.yaml").write_text("dish: Broken\nportions: 0\ningredients:\n  - 1 egg\n")
    found = {one.one("a").text: one for one in the_list(page).one(id="attention").all("li")}
    assert set(found) == {"Slack water stew", "Oat broth", "broken.yaml"}
    kitchen = open_kitchen(folder)
    for dish, name in (("Slack water stew", "slack.txt"), ("Oat broth", "broth.txt")):
        assert settle_first(kitchen.dish(folder / name))[0].what in found[dish].text
        assert found[dish].one("a").attributes["href"] == f"./recipe/{name}"
    assert "line 2" in found["broken.yaml"].text.lower()
    for name in ("slack.txt", "broth.txt", "broken.yaml"):
        (folder / name).unlink()
    assert not the_list(page).all(id="attention")


def test_a_link_of_the_list_opens_its_own_recipe(page: Client, folder: Path) -> None:
    """Whatever letters the name has: the link as it stands, followed as a browser does."""
    for dish, row in rows(page).items():
        opened = page.ask("GET", "/" + row.one("a").attributes["href"].removeprefix("./"))
        assert opened.status == 200
        assert html_tree.read(opened.text).one("h1").text == dish
    name = "crème & (brûlée) 50%.txt"
    tree = html_tree.read(page.open(name).text)
    assert tree.one("input", name="was").attributes["value"] == name
    link = next(one for one in tree.all("a") if one.attributes["href"].startswith("/hand-on/"))
    assert link.attributes["href"] == f"/hand-on/{quote(name)}"
    handed = page.ask("GET", link.attributes["href"])
    assert "Burnt cream" in handed.text
    out = next(one for one in html_tree.read(handed.text).all("a") if "figures.json" in one.attributes["href"])
    assert json.loads(page.ask("GET", out.attributes["href"]).text)["dish"] == "Burnt cream"


# --- nothing stays from earlier


def rewrite(path: Path, text: str) -> None:
    """As an editor saves: another content, and a time that differs even where the clock is coarse."""
    path.write_text(text)
    now = path.stat().st_mtime_ns + 5_000_000
    os.utime(path, ns=(now, now))


def agrees(page: Client, folder: Path, name: str) -> dict[str, Any]:
    """Everything that the page says of a file now is what the command line says now."""
    one = record(folder, name)
    row = rows(page)[one["dish"]]
    shown = parts(page, "look", (folder / name).read_text(), was=name, name=name)
    answer = html_tree.read(shown["parts"]["answer"]).text
    for said in (row.text, answer, shown["spoken"].replace("\xa0", " ")):
        assert one["declared_per_portion"]["energy_kcal"] in said
        assert one["declared_per_portion"]["salt"] in said
        for allergen in (*one["allergens"]["contains"], *one["allergens"]["may_contain"]):
            assert allergen in said
    told = one["allergens"]
    assert set(row.attributes["data-has"].split()) == {*told["contains"], *told["check"], *told["may_contain"]}
    assert json.loads(page.get(f"/out/figures.json/{quote(name)}").text)["per_portion"] == one["per_portion"]
    in_chart = chart(page)[one["dish"]]
    assert {name for name, kind in in_chart.items() if kind == "contains"} == set(told["contains"])
    return one


def test_a_recipe_changed_by_hand_shows_its_new_figures_everywhere(page: Client, folder: Path) -> None:
    before = agrees(page, folder, "toast.txt")
    rewrite(folder / "toast.txt", RECIPES["toast.txt"].replace("20 g butter", "90 g butter\n50 g walnuts"))
    after = agrees(page, folder, "toast.txt")
    assert after["per_portion"] != before["per_portion"]
    assert "nuts" in after["allergens"]["contains"]


def test_a_pack_changed_by_hand_counts_at_once_everywhere(page: Client, folder: Path) -> None:
    assert set(agrees(page, folder, "pots.txt")["allergens"]["contains"]) == {"soya"}
    rewrite(folder / "products.yaml", PACK.format(contains="soya, peanuts"))
    after = agrees(page, folder, "pots.txt")["allergens"]
    assert set(after["contains"]) == {"soya", "peanuts"}
    assert after["may_contain"] == {}


def test_packs_of_a_file_that_a_recipe_names_are_read_anew_too(page: Client, folder: Path) -> None:
    (folder / "packs").mkdir()
    (folder / "packs" / "x.yaml").write_text(PACK.format(contains="soya"))
    recipe = "dish: Deep pots\nportions: 4\nproducts: packs/x.yaml\ningredients:\n  - 200 g dark chocolate\n"
    (folder / "deep.yaml").write_text(recipe)
    assert set(agrees(page, folder, "deep.yaml")["allergens"]["contains"]) == {"soya"}
    rewrite(folder / "packs" / "x.yaml", PACK.format(contains="soya, sesame"))
    assert set(agrees(page, folder, "deep.yaml")["allergens"]["contains"]) == {"soya", "sesame"}


def test_decisions_and_settings_changed_by_hand_count_at_once(page: Client, folder: Path) -> None:
    agrees(page, folder, "toast.txt")
    (folder / "decisions.yaml").write_text("butter: {food: sr:04053}\n")
    decided = agrees(page, folder, "toast.txt")
    lines = [line for stage in decided["stages"] for line in stage["lines"]]
    assert next(line["food_id"] for line in lines if "butter" in line["text"]) == "sr:04053"
    rewrite(folder / "decisions.yaml", "butter: {food: sr:04047}\n")
    assert agrees(page, folder, "toast.txt")["per_portion"] != decided["per_portion"]
    (folder / "decisions.yaml").unlink()
    agrees(page, folder, "toast.txt")


def test_a_stage_of_another_recipe_changed_by_hand_counts_at_once(page: Client, folder: Path) -> None:
    (folder / "sauce.yaml").write_text("dish: Sauce\nportions: 4\ningredients:\n  - 50 g butter\n")
    text = "dish: Hake\nportions: 4\nstages:\n  - stage: hake\n    ingredients:\n"
    (folder / "hake.yaml").write_text(f"{text}      - all of sauce from sauce.yaml\n      - 400 g hake\n")
    before = agrees(page, folder, "hake.yaml")
    sauce = "dish: Sauce\nportions: 4\ningredients:\n  - 90 g butter\n  - 40 g almonds\n"
    rewrite(folder / "sauce.yaml", sauce)
    after = agrees(page, folder, "hake.yaml")
    assert "nuts" in after["allergens"]["contains"]
    assert after["per_portion"]["fat"] > before["per_portion"]["fat"]


def test_what_failed_for_another_file_is_tried_again_once_that_is_there(page: Client, folder: Path) -> None:
    """The recipe itself stays as it was: what was wrong stood in a file that the list could not know of."""
    text = "dish: Hake\nportions: 4\nstages:\n  - stage: hake\n    ingredients:\n"
    (folder / "hake.yaml").write_text(f"{text}      - all of sauce from sauce.yaml\n      - 400 g hake\n")
    assert "hake.yaml" in the_list(page).one(id="attention").text
    assert "Hake" not in rows(page)
    (folder / "sauce.yaml").write_text("dish: Sauce\nportions: 4\ningredients:\n  - 50 g butter\n")
    assert "hake.yaml" not in the_list(page).one(id="attention").text
    assert "milk" in rows(page)["Hake"].attributes["data-has"].split()


def test_a_recipe_that_is_gone_or_new_is_so_in_the_list(page: Client, folder: Path) -> None:
    assert "Quay toast" in rows(page)
    (folder / "toast.txt").unlink()
    (folder / "eggs.txt").write_text("Eggs\nServes 2\n\n4 eggs\n")
    found = rows(page)
    assert "Quay toast" not in found
    assert "Eggs" in found


# --- all together


def chart(page: Client, form: str = "chart") -> dict[str, dict[str, str]]:
    """Dish -> allergen -> the word of its cell."""
    found = page.get(f"/together/{form}")
    assert found.status == 200, found.text
    said = {}
    for body in html_tree.read(found.text).all("tbody"):
        for row in body.all("tr"):
            heads = row.all("th")
            cells = [cell for cell in row.all("td") if not cell.has("class", "others")]
            if heads and len(cells) == len(ALLERGENS):
                kinds = [next(word for name, word in WORDS.items() if cell.has("class", name)) for cell in cells]
                for kind, cell, allergen in zip(kinds, cells, ALLERGENS, strict=True):
                    assert not kind or (allergen.capitalize() in cell.text and kind in cell.text)
                name = heads[0].text.split(f" {say('sheet.not-complete').split(':')[0]}")[0]
                said[name] = dict(zip(ALLERGENS, kinds, strict=True))
    return said


@pytest.mark.parametrize("form", ["chart", "chart-a3"])
def test_the_chart_has_every_dish_with_the_cells_of_the_command_line(page: Client, folder: Path, form: str) -> None:
    command = [sys.executable, "-m", "nutrilab", "allergens", str(folder), "--format", "csv"]
    ended = subprocess.run(command, capture_output=True, encoding="utf-8-sig", check=True, cwd=ROOT)
    table = [row for row in csv.DictReader(io.StringIO(ended.stdout)) if row.get("complete")]
    assert len(table) == len(RECIPES)
    wanted = {
        row["dish"]: {name: row[name].split(";")[0].replace("open", "not known") for name in ALLERGENS} for row in table
    }
    assert chart(page, form) == wanted
    assert {kind for row in wanted.values() for kind in row.values()} == set(WORDS.values())


@pytest.mark.parametrize("form", ["chart", "chart-a3"])
def test_the_chart_says_which_dishes_are_not_complete(page: Client, folder: Path, form: str) -> None:
    tree = html_tree.read(page.get(f"/together/{form}").text)
    heads = [one.text for body in tree.all("tbody") for one in body.all("th")]
    for name in RECIPES:
        one = record(folder, name)
        head = next(head for head in heads if head.startswith(one["dish"]))
        assert (say("sheet.not-complete").rstrip(":") in head) is not one["allergens"]["complete"]


def test_csv_and_json_of_all_hold_every_dish(page: Client, folder: Path) -> None:
    records = {one["dish"]: one for one in (record(folder, name) for name in RECIPES)}
    found = page.get("/together/dishes.csv").text.lstrip("\ufeff")
    table = {row["dish"]: row for row in csv.DictReader(io.StringIO(found))}
    assert set(table) == set(records)
    for dish, one in records.items():
        told = one["allergens"]
        for name in ALLERGENS:
            kind = table[dish][name]
            assert kind.startswith("contains") is (name in told["contains"])
            assert (kind == "check") is (name in told["check"] and name not in told["contains"])
            named = any(name in told[key] for key in ("contains", "check", "may_contain", "check_too"))
            assert bool(kind) is (named or not told["complete"])
        salt = one["per_portion"]["salt"]
        assert float(table[dish]["salt a portion (g)"]) == pytest.approx(salt, abs=0.006)
        assert table[dish]["complete"] == ("yes" if one["complete"] else "NO")
    listed = json.loads(page.get("/together/dishes.json").text)
    assert {one["dish"]: one["per_portion"] for one in listed} == {
        dish: one["per_portion"] for dish, one in records.items()
    }


@pytest.mark.parametrize("form", ["chart", "chart-a3", "chart.pdf", "chart-a3.pdf", "dishes.csv", "dishes.json"])
def test_what_would_miss_a_recipe_is_refused_and_names_it(page: Client, folder: Path, form: str) -> None:
    (folder / "broken.yaml").write_text("dish: Broken\nportions: 0\ningredients:\n  - 1 egg\n")
    (folder / "odd.txt").write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00")
    found = page.get(f"/together/{form}")
    assert found.status == 422
    assert "broken.yaml" in found.text
    assert "odd.txt" in found.text
    assert "Quay toast" not in found.text
    assert "Traceback" not in found.text


def test_the_grams_of_a_row_are_those_of_the_saved_file(page: Client, folder: Path) -> None:
    """A weight decided by hand shows in the row, not the one that was counted before."""
    (folder / "decisions.yaml").write_text("egg: {weight: 70 g}\n")
    name = "crème & (brûlée) 50%.txt"
    lines = [line for stage in record(folder, name)["stages"] for line in stage["lines"]]
    grams = next(line["grams"] for line in lines if line["text"] == "4 eggs")
    tree = html_tree.read(page.open(name).text.replace("\xa0", " "))
    row = next(one for one in tree.all("li", class_="line") if one.one("p", class_="words").text == "4 eggs")
    assert row.one("li", class_="grams").text == as_grams(grams).replace("\xa0", " ")
