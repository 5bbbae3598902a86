"""What stands half-written in the fields while a cook types on, in headless Chromium."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from nutrilab.messages import say
from tests.page import test_browser as using
from tests.page.serving import Client
from tests.page.test_browser import acted, line, opened, press, until

chromium = using.chromium
TOAST = "Quay toast\nServes 2\n\n2 slices white bread\n20 g butter\n"
AFTER = '[name="fact--weight after"]'


def at(window: Any, path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8")
    window.goto(window.url.rpartition("/")[0] + f"/recipe/{path.name}")


def looked(window: Any, do: Any) -> None:
    """Do something and wait until the page has looked at it."""
    window.evaluate("() => { window.seen = 0; document.addEventListener('looked', () => { window.seen = 1; }); }")
    do()
    until(window, "window.seen === 1")


def under(window: Any) -> str:
    """The words of the line that the open panel is part of."""
    return str(window.inner_text(".line:has(#panel) .words")).replace("\xa0", " ")


def test_a_half_written_weight_stays_while_the_recipe_is_typed_on(chromium: Any, page: Client, folder: Path) -> None:
    window = opened(chromium, page)
    at(window, folder / "toast.txt", TOAST)
    window.fill(AFTER, "150")
    window.focus("#text")
    window.keyboard.press("Control+End")
    window.keyboard.type("10 g honey\n")
    window.wait_for_selector('.line:has-text("10 g honey")')
    assert window.input_value(AFTER) == "150"
    window.focus(AFTER)
    window.keyboard.press("End")
    window.keyboard.type(" g")
    press(window, "facts")
    assert "Cooked weight: 150 g" in window.input_value("#text")
    assert window.input_value('[name="was-fact--weight after"]') == "150 g"
    assert window.errors == []


def test_what_is_typed_while_an_answer_is_on_its_way_stays(chromium: Any, page: Client, folder: Path) -> None:
    window = opened(chromium, page)
    at(window, folder / "toast.txt", TOAST)
    window.route("**/recipe", lambda route: (window.wait_for_timeout(400), route.continue_()))
    looked(
        window,
        lambda: (
            window.locator("#text").press_sequentially("x"),
            window.wait_for_timeout(150),
            window.locator(AFTER).press_sequentially("140 g"),
        ),
    )
    assert window.input_value(AFTER) == "140 g"
    assert window.evaluate("document.activeElement.name") == "fact--weight after"
    assert window.errors == []


def test_an_open_line_goes_with_its_words(chromium: Any, page: Client, folder: Path) -> None:
    window = opened(chromium, page)
    at(window, folder / "toast.txt", TOAST + "2 slices white bread\n")
    acted(window, lambda: line(window, "20 g butter").locator("button.open").click())
    window.click("#panel summary:has-text('pack')")
    window.fill("#pack-ingredients", "cream, salt")
    looked(window, lambda: window.fill("#text", window.input_value("#text").replace("2 slices", "1 egg\n2 slices", 1)))
    assert under(window) == "20 g butter"
    assert window.locator("[data-gone]").is_hidden()

    # its words changed in the recipe: the panel stays, says so, and is no other line's
    looked(window, lambda: window.fill("#text", window.input_value("#text").replace("20 g", "25 g")))
    assert window.locator(".line #panel").count() == 0
    assert window.inner_text("[data-gone]").replace("\xa0", " ") == say("desk.gone-kept", line="20 g butter")
    press(window, "pack")
    assert window.input_value("#pack-ingredients") == "cream, salt"
    assert not (folder / "products.yaml").exists()

    # and goes to the line that is opened
    acted(window, lambda: line(window, "25 g butter").locator("button.open").click())
    assert window.input_value("#pack-ingredients") == "cream, salt"
    assert under(window) == "25 g butter"
    assert window.errors == []


def test_of_two_like_lines_the_one_that_was_opened_stays_open(chromium: Any, page: Client, folder: Path) -> None:
    window = opened(chromium, page)
    at(window, folder / "toast.txt", "Quay toast\nServes 2\n\n20 g butter\n1 egg\n20 g butter\n")
    acted(window, lambda: window.click("#open-6"))
    looked(window, lambda: window.fill("#text", window.input_value("#text") + "1 leek\n"))
    assert window.get_attribute(".line:has(#panel)", "data-line") == "6"


def test_a_dropped_file_and_a_save_taken_back_lose_nothing(chromium: Any, page: Client, folder: Path) -> None:
    window = opened(chromium, page)
    at(window, folder / "toast.txt", TOAST)
    mine = TOAST + "10 g hon\u00e9y\n"
    looked(window, lambda: window.fill("#text", mine))
    other = {"name": "other.txt", "mimeType": "text/plain", "buffer": b"Other\nServes 1\n\n1 egg\n"}
    acted(window, lambda: window.set_input_files("#file", [other]))
    assert window.input_value("#text").startswith("Other")
    assert window.url.endswith("/new")
    press(window, "undo")
    assert window.input_value("#text") == mine
    assert window.url.endswith("/recipe/toast.txt")
    press(window, "save")
    assert leaves_freely(window)
    press(window, "undo")
    assert (folder / "toast.txt").read_text(encoding="utf-8") == TOAST
    assert window.input_value("#text") == mine
    assert not leaves_freely(window)


def leaves_freely(window: Any) -> bool:
    """Whether the window can be closed without a question, for nothing in it would be lost."""
    return bool(window.evaluate("window.dispatchEvent(new Event('beforeunload', { cancelable: true }))"))
