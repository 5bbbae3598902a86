"""A recipe in the window, without a browser: what each button does, and what ends in the kitchen's files."""

from __future__ import annotations

import html
import json
import re
import threading
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

from nutrilab import open_kitchen
from tests.page.serving import STEW, Client, act, hidden, of_file, parts

DEMOS = Path(__file__).parents[2] / "demo_recipes"


@pytest.fixture
def folder(folder: Path) -> Path:
    (folder / "stew.txt").write_text(STEW)
    return folder


# --- looking


def test_lines_stand_in_the_order_of_the_recipe_with_what_was_made_of_them(page: Client) -> None:
    found = html.unescape(parts(page, "look")["parts"]["lines"])
    order = [found.index(line) for line in STEW.splitlines()[3:]]
    assert order == sorted(order)
    assert "not understood: please look" in found
    assert "309 g" in found.replace("\xa0", " ") or "300 ml" in found
    assert '<span class="tag tag-check">check the pack</span>' in found


def test_without_portions_no_figure_of_a_portion_is_shown_and_lines_are(page: Client) -> None:
    found = parts(page, "look", "Stew\n\n100 g butter\n")["parts"]
    assert "Nobody said how many portions" in found["answer"]
    assert "kcal" not in found["answer"]
    assert "milk" in found["answer"]
    assert "100" in found["lines"]


def test_what_cannot_be_read_is_one_sentence_and_nothing_is_lost(page: Client) -> None:
    text = "dish: Stew\nportions: 0\ningredients:\n  - 100 g butter\n"
    shown = act(page, "look", text)
    assert shown.status == 200
    assert "Line 2" in shown.text
    assert html.escape(text) in shown.text


def test_every_text_comes_back_letter_for_letter(page: Client) -> None:
    text = 'Stew & <b>"tea"</b>\nServes 2\n\n600\u00a0g  flour\n\n  100 g\tbutter\u202e x\n'
    shown = act(page, "look", text)
    found = re.search(r'<textarea id="text"[^>]*>\n(.*?)</textarea>', shown.text, re.DOTALL)
    assert found
    assert html.unescape(found[1]) == text


# --- settling


def test_a_doubtful_line_is_settled_in_the_list_of_decisions_and_taken_back(page: Client, folder: Path) -> None:
    shown = parts(page, "open:5")["parts"]["lines"]
    assert 'id="panel"' in shown
    found = parts(page, "search:0", line="5", of="400 g zorblax paste", **{"search-0": "miso"})["parts"]["lines"]
    choices = re.findall(r'name="choice-0" value="([^"]+)"', found)
    assert "per 100 g" in found
    wanted = next(one for one in choices if one.startswith("sr:"))
    fields = {"line": "5", "of": "400 g zorblax paste", "search-0": "miso", "choice-0": wanted, "decided-0": ""}
    done = parts(page, "choose:0", **fields)
    assert f"zorblax paste: {wanted}" in (folder / "decisions.yaml").read_text()
    assert "as you decided" in done["parts"]["lines"]
    back = hidden(done["parts"]["file"], "back")
    taken = parts(page, "undo", back=back)
    assert "Taken back" in taken["parts"]["said"]
    assert not (folder / "decisions.yaml").exists()


def test_a_choice_that_was_not_offered_is_none(page: Client, folder: Path) -> None:
    for value in ("sr:99999", "own:x", "../x", "{food: x}", ""):
        found = parts(page, "choose:0", line="5", of="400 g zorblax paste", **{"choice-0": value, "decided-0": ""})
        assert found["failed"]
    assert not (folder / "decisions.yaml").exists()


def test_two_windows_that_decide_one_name_lose_nothing(page: Client, folder: Path) -> None:
    fields = {"line": "7", "of": "300 ml double cream", "decided-0": ""}
    shown = parts(page, "open:7")["parts"]["lines"]
    choices = [one for one in re.findall(r'name="choice-0" value="([^"]+)"', shown) if one != "none"]
    assert parts(page, "choose:0", **fields, **{"choice-0": choices[0]})["failed"] is False
    second = parts(page, "choose:0", **fields, **{"choice-0": "none"})
    assert second["failed"]
    assert "decided meanwhile" in second["parts"]["said"]
    assert f"double cream: {choices[0]}" in (folder / "decisions.yaml").read_text()


def test_windows_that_decide_at_once_all_come_to_stand(page: Client, folder: Path) -> None:
    names = ["zorblax", "quibble", "frimble", "wuzzle", "gromp", "snarf", "plonk", "dweezle"]
    text = "Stew\nServes 4\n\n" + "".join(f"100 g {name}\n" for name in names)
    failed: list[Any] = []

    def decide(at: int) -> None:
        fields = {"line": str(at + 4), "of": f"100 g {names[at]}", "choice-0": "none", "decided-0": ""}
        failed.append(parts(page, "choose:0", text, **fields)["failed"])

    threads = [threading.Thread(target=decide, args=(at,)) for at in range(len(names))]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert failed == [False] * len(names)
    decided = (folder / "decisions.yaml").read_text()
    assert all(f"{name}: none" in decided for name in names)


def test_what_one_weighs_counts_at_once(page: Client, folder: Path) -> None:
    found = parts(page, "weight", line="4", of="2 onions", piece="200 g", **{"piece-was": ""})
    assert not found["failed"], found["parts"]["said"]
    assert "onion" in (folder / "decisions.yaml").read_text()
    assert "weight" in (folder / "decisions.yaml").read_text() or "200 g" in (folder / "decisions.yaml").read_text()
    bad = parts(page, "weight", line="4", of="2 onions", piece="heavy", **{"piece-was": "200 g"})
    assert bad["failed"]


def test_a_pack_is_kept_beside_the_recipes_and_speaks_for_its_line(page: Client, folder: Path) -> None:
    fields = {
        "line": "6", "of": "1 vegetable stock cube", "pack-name": "Lantern stock cube",
        "pack-aliases": "vegetable stock cube", "pack-ingredients": "Salt, palm oil, **celery**, <script>x</script>",
        "pack-contains": "celery", "pack-per": "100 g", "pack-salt": "52",
    }  # fmt: skip
    done = parts(page, "pack", **fields)
    assert not done["failed"], done["parts"]["said"]
    assert "from your pack" in done["parts"]["lines"]
    assert "<script>" not in done["parts"]["lines"]
    assert "Lantern stock cube" in (folder / "products.yaml").read_text()
    changed = parts(page, "pack", **{**fields, "pack-contains": "celery, milk"})
    assert not changed["failed"]
    assert (folder / "products.yaml").read_text().count("name:") == 1
    assert "milk" in open_kitchen(folder).line("1 vegetable stock cube").findings.contains
    before = (folder / "products.yaml").read_text()
    for wrong in ({"pack-contains": "wood"}, {"pack-salt": "much"}, {"pack-name": ""}, {"pack-fat": "500"}):
        assert parts(page, "pack", **{**fields, **wrong})["failed"]
    assert (folder / "products.yaml").read_text() == before


def test_the_words_of_a_line_are_put_right_in_their_place(page: Client) -> None:
    done = parts(page, "words", line="5", of="400 g zorblax paste", words="350 g tomato puree")
    assert done["text"] == STEW.replace("400 g zorblax paste", "350 g tomato puree")
    back = parts(page, "undo", done["text"], back=hidden(done["parts"]["file"], "back"))
    assert back["text"] == STEW
    assert parts(page, "words", line="5", of="something else", words="1 egg")["failed"]


def test_portions_and_weighings_are_written_into_the_recipe(page: Client) -> None:
    fields = {"fact--portions": "6", "was-fact--portions": "4", "fact--weight after": "1.2 kg"}
    done = parts(page, "facts", **fields, **{"was-fact--weight after": ""})
    assert not done["failed"], done["parts"]["said"]
    assert "Serves 6" in done["text"]
    assert "Cooked weight: 1.2 kg" in done["text"]
    assert parts(page, "facts", **{"fact--portions": "none", "was-fact--portions": "4"})["failed"]


def test_a_text_becomes_a_recipe_file_whose_stages_say_more(page: Client, folder: Path) -> None:
    done = parts(page, "draft", was="stew.txt", name="stew.txt")
    assert done["text"].startswith("# Drafted by nutrilab from stew.txt")
    assert 'value="stew.yaml"' in done["parts"]["file"]
    fields = {"fact-Jetty stew-method": "simmered", "was-fact-Jetty stew-method": ""}
    more = parts(page, "facts", done["text"], **fields)
    assert "method: simmered" in more["text"]
    assert not (folder / "stew.yaml").exists()


def test_a_swap_shows_before_and_after_and_is_kept_on_request(page: Client) -> None:
    tried = parts(page, "swap", line="7", of="300 ml double cream", swap="oat cream")
    shown = html.unescape(tried["parts"]["lines"])
    assert "Calories fall by" in shown
    assert "milk: contained before" in shown
    new = hidden(tried["parts"]["lines"], "kept")
    done = parts(page, "keep", line="7", of="300 ml double cream", kept=new)
    assert new in done["text"]
    assert "double cream" not in done["text"]
    wrong = parts(page, "swap", line="7", of="300 ml double cream", swap="= =")["parts"]["lines"]
    assert 'id="tried"' in wrong
    assert "before" not in wrong.partition('id="tried"')[2].partition("</div>")[0].partition("warning")[2]


# --- files


def test_saved_opened_changed_and_saved_again(page: Client, folder: Path) -> None:
    text = "Quay toast\nServes 2\n\n2 slices white bread\n20 g butter\n"
    first = act(page, "save", text)
    assert (first.status, first.headers["location"]) == (303, "/recipe/quay-toast.txt")
    assert (folder / "quay-toast.txt").read_text() == text
    held = of_file(page, "quay-toast.txt")
    assert held["text"] == text
    again = page.post("/recipe", **{**held, "do": "save", "text": text.replace("20 g", "30 g")})
    assert again.status == 303
    assert "30 g butter" in (folder / "quay-toast.txt").read_text()
    assert sorted(one.name for one in folder.iterdir()) == ["quay-toast.txt", "stew.txt"]


def test_two_windows_lose_nothing(page: Client, folder: Path) -> None:
    one, other = of_file(page, "stew.txt"), of_file(page, "stew.txt")
    mine, yours = STEW.replace("2 onions", "3 onions"), STEW.replace("2 onions", "5 onions")
    assert page.post("/recipe", **{**one, "do": "save", "text": yours}).status == 303
    refused = page.post("/recipe", **{**other, "do": "save", "text": mine})
    assert (folder / "stew.txt").read_text() == yours
    assert "nothing is lost: both stand below" in refused.text
    assert "5 onions" in refused.text
    assert "3 onions" in refused.text
    over = re.search(r'name="do" value="(save:[0-9a-f]+)"', refused.text)
    assert over
    assert page.post("/recipe", **{**other, "do": over[1], "text": mine}).status == 303
    assert (folder / "stew.txt").read_text() == mine


def test_a_new_recipe_never_takes_the_place_of_another(page: Client, folder: Path) -> None:
    refused = act(page, "save", "Other\nServes 1\n\n1 egg\n", name="stew.txt")
    assert "not written over" in refused.text
    assert (folder / "stew.txt").read_text() == STEW


def test_what_was_saved_is_taken_back_unless_it_was_changed_since(page: Client, folder: Path) -> None:
    held = of_file(page, "stew.txt")
    done = parts(page, "save", **{**held, "text": STEW.replace("2 onions", "3 onions")})
    back = hidden(done["parts"]["file"], "back")
    (folder / "stew.txt").write_text("by hand\n")
    assert parts(page, "undo", back=back)["failed"]
    (folder / "stew.txt").write_text(STEW.replace("2 onions", "3 onions"))
    assert not parts(page, "undo", back=back)["failed"]
    assert (folder / "stew.txt").read_text() == STEW


@pytest.mark.parametrize(
    "name", ["../out.txt", "/tmp/out.txt", "a/b.txt", "a\\b.txt", ".hidden.txt", "decisions.yaml", "x.py", "x",
             "x\n.txt", "nul.txt", "x" * 200 + ".txt", "x.html"],
)  # fmt: skip
def test_no_name_writes_outside_the_folder_or_over_its_own_files(page: Client, folder: Path, name: str) -> None:
    there = sorted(str(one) for one in folder.parent.rglob("*"))
    assert act(page, "save", name=name).status == 200
    assert act(page, "save", name=name, was=name, read="x").status in (200, 422)
    assert sorted(str(one) for one in folder.parent.rglob("*")) == there


def test_a_link_out_of_the_folder_is_not_written_through(page: Client, folder: Path) -> None:
    outside = folder.parent / "outside.yaml"
    outside.write_text("- name: Mine\n  ingredients: salt\n")
    (folder / "products.yaml").symlink_to(outside)
    fields = {"line": "6", "of": "1 vegetable stock cube", "pack-name": "X", "pack-ingredients": "salt"}
    assert "leads out" in parts(page, "pack", **fields)["parts"]["said"]
    assert outside.read_text() == "- name: Mine\n  ingredients: salt\n"


def test_windows_line_ends_stay(page: Client, folder: Path) -> None:
    (folder / "stew.txt").write_bytes(STEW.replace("\n", "\r\n").encode())
    held = of_file(page, "stew.txt")
    page.post("/recipe", **{**held, "do": "save", "text": held["text"].replace("2 onions", "3 onions")})
    assert (folder / "stew.txt").read_bytes() == STEW.replace("2 onions", "3 onions").replace("\n", "\r\n").encode()


# --- what is dropped


@pytest.mark.parametrize("name", ["lighthouse-plum-crumble.html", "sluice-gate-supper.srt", "harbour-fish-pie.yaml"])
def test_a_file_that_is_dropped_stands_in_the_window(page: Client, folder: Path, name: str) -> None:
    found = page.ask("POST", f"/drop?name={name}", (DEMOS / name).read_bytes(), {"X-Part": "1"})
    shown = json.loads(found.text)
    assert shown["text"].lstrip("#").strip()
    assert "dish: " in shown["text"]
    assert sorted(one.name for one in folder.iterdir()) == ["stew.txt"]
    if name.endswith(".html"):
        (folder / name).write_bytes((DEMOS / name).read_bytes())
        dish = open_kitchen(folder).dish(folder / name)
        kcal = dish.to_dict()["declared_per_portion"]["energy_kcal"]
        assert kcal in shown["parts"]["answer"].replace("\xa0", " ")


@pytest.mark.parametrize("data", [b"\x89PNG\r\n\x1a\n" + b"\0" * 100, b"\xff\xfea\0b\0", b"", b"%PDF-1.7", b"{" * 5000])
def test_what_is_no_recipe_is_refused_in_a_sentence(page: Client, data: bytes) -> None:
    for name in ("x.txt", "x.html", "x.json", "x.srt", "../../x.yaml", ""):
        found = page.ask("POST", f"/drop?name={name}", data, {"X-Part": "1"})
        assert found.status in (200, 422), found.text
        assert "Traceback" not in found.text


# --- whatever stands in the fields

HOSTILE = (
    "<script>alert(1)</script>", "\"'><img src=x onerror=alert(1)>", "{{ 1234567 * 7 }}", "{% raw %}", "\x00\x1b[31m",
    "\u202eabc", "a: &x [*x]", "!!python/object:os.system x", "= 1\n= 2", "x" * 20_000, "\xed\xa0\x80",
)  # fmt: skip


ACTIONS = (
    "look", "open:5", "words", "search:0", "choose:0", "weight", "pack", "facts", "swap", "keep", "draft", "save",
    "undo", "take",
)  # fmt: skip


@pytest.mark.parametrize("hostile", HOSTILE, ids=range(len(HOSTILE)))
def test_script_in_every_field_is_text_and_never_a_fault(page: Client, hostile: str, capfd: Any) -> None:
    names = [
        "do", "was", "read", "name", "back", "line", "of", "words", "choice-0", "search-0", "decided-0", "piece",
        "piece-was", "pack-name", "pack-aliases", "pack-ingredients", "pack-contains", "pack-fat", "swap", "kept",
        "fact--portions", "fact-Jetty stew-minutes",
    ]  # fmt: skip
    own = {"line": "5", "of": "400 g zorblax paste", "was": "", "text": STEW}
    for do in ACTIONS:
        fields = dict.fromkeys(names, hostile) | own | {"do": do}
        found = page.post("/recipe", **fields)
        assert found.status in (200, 303, 422), (do, found.status)
        assert "<script>alert" not in found.text
        assert "<img src=x" not in found.text
        assert "8641969" not in found.text
    yaml = f"dish: {hostile}\nportions: 2\ningredients:\n - 1 egg\n"
    texts = (hostile, f"{hostile}\nServes 2\n\n100 g {hostile}\n", yaml)
    for text in texts:
        found = page.post("/recipe", text=text, do="open:4")
        assert found.status in (200, 422)
        assert "<script>alert" not in found.text
    assert capfd.readouterr().err == ""


def test_fields_without_number_are_refused(page: Client) -> None:
    body = urlencode([("do", "look"), *((f"f{n}", "x") for n in range(5000))]).encode()
    assert page.ask("POST", "/recipe", body).status == 422
    assert page.get("/").status == 200
