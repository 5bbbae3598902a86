"""What stands half-written in the fields of the page: it stays until its own button has done its work."""

from __future__ import annotations

import html
import re
from pathlib import Path
from typing import Any

import pytest

from nutrilab.page.desk import MOST_LINES
from tests.page import test_recipe as using
from tests.page.serving import Client
from tests.page.test_recipe import STEW, parts

folder = using.folder
CUBE = {"line": "6", "of": "1 vegetable stock cube"}
PACK = {"pack-name": "Lantern stock cube", "pack-ingredients": "Salt, palm oil, **celery**", "pack-contains": "celery"}
TWO = "dish: Two pots\nportions: 4\nstages:\n{0}"
STAGES = (
    "  - stage: mash\n    ingredients: [1 kg potatoes]\n  - stage: top\n    ingredients: [all of mash, 100 g cheddar]\n"
)


def field(shown: dict[str, Any], name: str) -> str:
    """What stands in a field of the parts that came back."""
    found = "".join(shown["parts"].values())
    written = re.search(rf'<textarea [^>]*name="{name}"[^>]*>\n(.*?)</textarea>', found, re.DOTALL)
    if written:
        return html.unescape(written[1])
    value = re.search(rf'<input (?:id="[^"]*" |type="hidden" )?name="{name}" value="([^"]*)"', found)
    assert value, f"no field {name}"
    return html.unescape(value[1])


def picked(shown: dict[str, Any], name: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]*)" checked', shown["parts"]["lines"])
    return html.unescape(found[1]) if found else ""


# --- what is refused


def test_a_refused_pack_keeps_what_was_pasted(page: Client) -> None:
    shown = parts(page, "pack", **CUBE, **PACK | {"pack-contains": "wood", "pack-fat": "ten", "pack-per": "100 ml"})
    assert shown["failed"]
    assert field(shown, "pack-name") == "Lantern stock cube"
    assert field(shown, "pack-ingredients") == "Salt, palm oil, **celery**"
    assert field(shown, "pack-contains") == "wood"
    assert field(shown, "pack-fat") == "ten"
    assert '<option value="100 ml" selected>' in shown["parts"]["lines"]
    assert "<details open>" in shown["parts"]["lines"]


@pytest.mark.parametrize(
    ("do", "line", "name", "value"),
    [
        ("weight", {"line": "4", "of": "2 onions"}, "piece", "heavy"),
        ("words", {"line": "5", "of": "400 g zorblax paste"}, "words", ""),
        ("facts", {}, "fact--portions", "a few"),
        ("facts", {}, "fact--weight after", "a lot"),
        ("swap", {"line": "7", "of": "300 ml double cream"}, "swap", "= ="),
    ],
)
def test_a_refused_field_keeps_its_text(page: Client, do: str, line: dict[str, str], name: str, value: str) -> None:
    shown = parts(page, do, **line, **{name: value, f"was-{name}": line.get("of", "") if name == "words" else "x"})
    assert shown["failed"] or 'class="warning"' in shown["parts"]["lines"]
    assert field(shown, name) == value


# --- another button


def test_trying_a_swap_keeps_a_half_filled_pack_and_a_weight(page: Client) -> None:
    shown = parts(page, "swap", **CUBE, **PACK, swap="1 beef stock cube", **{"fact--weight after": "1.9 kg"})
    assert 'id="tried"' in shown["parts"]["lines"]
    assert field(shown, "pack-ingredients") == PACK["pack-ingredients"]
    assert field(shown, "fact--weight after") == "1.9 kg"


def test_weighing_one_keeps_the_choice_that_was_ticked(page: Client) -> None:
    onion = {"line": "4", "of": "2 onions"}
    shown = parts(page, "open:4")
    now = picked(shown, "choice-0")
    assert field(shown, "was-choice-0") == now
    other = next(
        one for one in re.findall(r'name="choice-0" value="(sr:[^"]+)"', shown["parts"]["lines"]) if one != now
    )
    fields = {"choice-0": other, "was-choice-0": now, "piece": "200 g", "was-piece": ""}
    shown = parts(page, "weight", **onion, **fields)
    assert not shown["failed"], shown["parts"]["said"]
    assert picked(shown, "choice-0") == other


def test_what_nobody_changed_follows_the_recipe(page: Client) -> None:
    shown = parts(
        page, "look", STEW.replace("Serves 4", "Serves 6"), **{"fact--portions": "4", "was-fact--portions": "4"}
    )
    assert field(shown, "fact--portions") == "6"
    shown = parts(
        page, "look", STEW.replace("Serves 4", "Serves 6"), **{"fact--portions": "8", "was-fact--portions": "4"}
    )
    assert field(shown, "fact--portions") == "8"
    assert field(shown, "was-fact--portions") == "6"


# --- done, and another line


def test_what_was_written_is_no_longer_half_written(page: Client, folder: Path) -> None:
    shown = parts(
        page, "pack", **CUBE, **PACK | {"pack-name": "Lantern  stock cube", "pack-aliases": "vegetable stock cube"}
    )
    assert not shown["failed"], shown["parts"]["said"]
    assert field(shown, "pack-name") == "Lantern stock cube"  # as it stands in the file
    shown = parts(page, "facts", **{"fact--portions": "06", "was-fact--portions": "4"})
    assert field(shown, "fact--portions") == "6"
    shown = parts(page, "words", line="5", of="400 g zorblax paste", words="350 g  tomato puree")
    assert field(shown, "words") == "350 g tomato puree"


def test_another_line_has_its_own_fields(page: Client) -> None:
    shown = parts(page, "open:7", **CUBE, **PACK, words="2 cubes", piece="9 g", swap="miso", **{"fact--portions": "9"})
    assert field(shown, "words") == "300 ml double cream"
    for name in ("pack-name", "pack-ingredients", "swap"):
        assert field(shown, name) == "", name
    assert field(shown, "fact--portions") == "9"  # which is of no line


def test_the_same_line_opened_again_keeps_its_fields(page: Client) -> None:
    assert field(parts(page, "open:6", **CUBE, **PACK), "pack-name") == "Lantern stock cube"


# --- a line, a stage or a recipe that is gone for a while


def test_a_line_that_is_gone_keeps_its_fields_and_says_so(page: Client, folder: Path) -> None:
    text = STEW.replace("1 vegetable stock cube", "2 vegetable stock cubes")
    shown = parts(page, "pack", text, **CUBE, **PACK)
    assert shown["failed"]
    assert "“1 vegetable stock cube” is not found" in shown["parts"]["lines"]
    assert field(shown, "pack-ingredients") == PACK["pack-ingredients"]
    assert not (folder / "products.yaml").exists()
    shown = parts(page, "open:6", text, **CUBE, **PACK, words="what only that line had")
    assert field(shown, "pack-ingredients") == PACK["pack-ingredients"]
    assert field(shown, "words") == "2 vegetable stock cubes"
    assert "data-gone hidden" in shown["parts"]["lines"]


def test_an_open_line_is_found_by_its_words_and_of_several_the_nearest_is_meant(page: Client) -> None:
    text = "Stew\nServes 4\n\n100 g flour\n2 onions\n200 g zorblax\n2 onions\n"
    shown = parts(page, "swap", text, line="5", of="200 g zorblax", swap="1 egg")
    assert field(shown, "of") == "200 g zorblax"
    assert field(shown, "line") == "6"
    shown = parts(page, "swap", text, line="8", of="2 onions", swap="1 leek")
    assert field(shown, "line") == "7"


def test_fields_of_a_stage_outlast_a_recipe_that_cannot_be_read_for_a_while(page: Client) -> None:
    half = {"fact-top-weight after": "1.1 kg", "was-fact-top-weight after": ""}
    broken = parts(page, "look", TWO.format(STAGES) + "  - stage: [\n", **half)
    assert 'id="fact-top' not in broken["parts"]["facts"]
    again = {name: field(broken, name) for name in half}
    assert again == half
    shown = parts(page, "look", TWO.format(STAGES), **again)
    assert field(shown, "fact-top-weight after") == "1.1 kg"


def test_a_recipe_of_more_lines_than_any_has_is_not_cooked_and_not_lost(page: Client, folder: Path) -> None:
    text = "Long list\nServes 4\n" + "\n".join(f"{n} g butter" for n in range(1, MOST_LINES + 2))
    shown = parts(page, "look", text)
    assert "These are 501 lines and steps, and no recipe has so many" in shown["parts"]["answer"]
    assert "These are 501 lines" in shown["spoken"]
    assert "kcal" not in shown["parts"]["answer"]
    parts(page, "save", text, name="long.txt")
    assert (folder / "long.txt").read_text().strip() == text
    for address in ("/", "/out/sheet/long.txt"):  # nor where it is a file already
        assert "501 lines and steps" in page.get(address).text, address
    assert "kcal" in parts(page, "look", text.rpartition("\n")[0])["parts"]["answer"]


def test_fields_of_a_recipe_that_cannot_be_read_say_why(page: Client) -> None:
    text = "dish: Pudding\nportions: 4\ncooking: baked\ningredients:\n  - 100 g butter\n"
    shown = parts(page, "facts", text, **{"fact-Pudding-minutes": "30", "was-fact-Pudding-minutes": ""})
    assert shown["failed"]
    assert "Line 3: cooking is written as" in html.unescape(shown["parts"]["said"])


def test_no_two_fields_have_one_id(page: Client) -> None:
    stages = "".join(
        f"  - stage: {name}\n    left over: true\n    ingredients: [100 g butter]\n" for name in ("a b", "a-b")
    )
    stages += "  - stage: top\n    ingredients: [100 g sugar]\n"
    shown = parts(page, "look", f"dish: Pudding\nportions: 4\nstages:\n{stages}")["parts"]["facts"]
    ids = re.findall(r'<(?:input|select)[^>]* id="([^"]+)"', shown)
    assert len(ids) == len(set(ids)) > 20
    assert set(re.findall(r'<label for="([^"]+)"', shown)) == set(ids)
