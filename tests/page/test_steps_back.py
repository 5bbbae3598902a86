"""Steps taken back: each leads to what stood there before, and none takes with it what was written since."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from nutrilab.messages import say
from tests.page import test_recipe as using
from tests.page.serving import Client, hidden
from tests.page.test_recipe import STEW, of_file, parts

folder = using.folder
CHANGED = say("desk.step-changed")[1:]


def back(shown: dict[str, Any]) -> dict[str, str]:
    """The hidden fields of what came back."""
    return {name: hidden(shown["parts"]["file"], name) for name in ("was", "read", "back")}


def dropped(page: Client, file: str, data: bytes, **fields: str) -> dict[str, Any]:
    """A file dropped into a window that holds something."""
    form = urlencode({"do": "drop", **fields}).encode()
    found = page.ask("POST", f"/drop?name={file}&form={len(form)}", form + data, {"X-Part": "1"})
    assert found.status == 200, found.text
    shown: dict[str, Any] = json.loads(found.text)
    shown["parts"] = {name: text.replace("\xa0", " ") for name, text in shown["parts"].items()}
    return shown


def test_what_was_typed_since_is_not_taken_back_with_a_step(page: Client) -> None:
    done = parts(page, "words", line="5", of="400 g zorblax paste", words="350 g tomato puree")
    typed = done["text"] + "20 g chives\n"
    refused = parts(page, "undo", typed, **back(done))
    assert refused["failed"]
    assert CHANGED in refused["parts"]["said"]
    assert "text" not in refused  # the window keeps its own
    assert back(refused)["back"] == back(done)["back"]
    again = parts(page, "undo", done["text"], **back(refused))
    assert again["text"] == STEW


def test_an_open_line_stays_open_when_its_words_are_taken_back(page: Client) -> None:
    done = parts(page, "words", line="5", of="400 g zorblax paste", words="350 g tomato puree")
    taken = parts(page, "undo", done["text"], line="5", of="350 g tomato puree", **back(done))
    assert hidden(taken["parts"]["lines"], "of") == "400 g zorblax paste"


def test_a_dropped_file_takes_no_recipe_with_it(page: Client, folder: Path) -> None:
    held = of_file(page, "stew.txt")
    mine = held["text"] + "20 g chives\n"
    shown = dropped(page, "toast.txt", b"Toast\nServes 1\n\n1 egg\n", **held | {"text": mine})
    assert shown["text"] == "Toast\nServes 1\n\n1 egg\n"
    assert shown["address"] == "/new"
    assert hidden(shown["parts"]["file"], "was") == ""
    taken = parts(page, "undo", shown["text"], **back(shown) | {"name": "toast.txt"})
    assert taken["text"] == mine
    assert taken["address"] == "/recipe/stew.txt"
    assert hidden(taken["parts"]["file"], "read") == held["read"]
    assert 'value="stew.txt"' in taken["parts"]["file"]
    assert not parts(page, "save", mine, **back(taken) | {"name": "stew.txt"})["failed"]
    assert (folder / "stew.txt").read_text() == mine


def test_a_step_before_a_dropped_file_can_still_be_taken_back(page: Client) -> None:
    done = parts(page, "words", line="5", of="400 g zorblax paste", words="350 g tomato puree")
    shown = dropped(page, "toast.txt", b"Toast\nServes 1\n\n1 egg\n", text=done["text"], **back(done))
    first = parts(page, "undo", shown["text"], **back(shown))
    assert first["text"] == done["text"]
    assert parts(page, "undo", first["text"], **back(first))["text"] == STEW


def test_a_recipe_file_taken_back_has_its_old_name_and_file_again(page: Client) -> None:
    held = of_file(page, "stew.txt")
    done = parts(page, "draft", **held)
    assert hidden(done["parts"]["file"], "was") == ""
    taken = parts(page, "undo", done["text"], **back(done) | {"name": "stew.yaml"})
    assert taken["text"] == STEW
    assert taken["address"] == "/recipe/stew.txt"
    assert hidden(taken["parts"]["file"], "read") == held["read"]


def test_a_save_taken_back_leaves_the_window_unsaved_and_the_next_save_goes_through(page: Client, folder: Path) -> None:
    held = of_file(page, "stew.txt")
    mine = STEW.replace("2 onions", "3 onions")
    done = parts(page, "save", **{**held, "text": mine})
    assert (done["saved"], done["unsaved"]) == (True, False)
    taken = parts(page, "undo", mine, **back(done) | {"name": "stew.txt"})
    assert (taken["saved"], taken["unsaved"]) == (False, True)
    assert (folder / "stew.txt").read_text() == STEW
    assert not parts(page, "save", mine, **back(taken) | {"name": "stew.txt"})["failed"]
    assert (folder / "stew.txt").read_text() == mine


def test_a_first_save_taken_back_leaves_no_file_and_a_new_recipe(page: Client, folder: Path) -> None:
    text = "Quay toast\nServes 2\n\n20 g butter\n"
    done = parts(page, "save", text)
    taken = parts(page, "undo", text, **back(done) | {"name": "quay-toast.txt"})
    assert not (folder / "quay-toast.txt").exists()
    assert taken["address"] == "/new"
    assert taken["unsaved"]


def test_a_decision_taken_back_says_nothing_of_the_text(page: Client) -> None:
    done = parts(page, "choose:0", line="5", of="400 g zorblax paste", **{"choice-0": "none", "decided-0": ""})
    taken = parts(page, "undo", STEW + "1 egg\n", **back(done))
    assert not taken["failed"]
    assert not taken["unsaved"]
    assert "text" not in taken
