"""The page on a phone and in large print, in headless Chromium: nothing lies under the answer, nothing runs out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.page import test_browser as using
from tests.page.serving import Client
from tests.page.test_browser import acted, line, opened, press

chromium = using.chromium
PLATTER = (
    "Harbour platter\nServes 8\n\n2 onions\n100 g zorblax\n1 stock cube\n3 eggs\n200 g flour\n1 tbsp mustard\n"
    "2 sticks celery\n50 g sesame seeds\n1 tbsp soy sauce\n100 g mixed nuts\n500 g mussels\na knob of butter\n"
)
PHONE = {"width": 390, "height": 800}


def ends(window: Any, of: str) -> tuple[float, float]:
    """Top and bottom of something in the window [px]."""
    found = window.evaluate(
        f"(({{top, bottom}}) => [top, bottom])(document.querySelector('{of}').getBoundingClientRect())"
    )
    return found[0], found[1]


def test_what_is_opened_on_a_phone_does_not_lie_under_the_answer(chromium: Any, page: Client, folder: Path) -> None:
    (folder / "platter.txt").write_text(PLATTER)
    window = opened(chromium, page, "/recipe/platter.txt", viewport=PHONE)
    for words in ("mussels", "zorblax", "mixed nuts"):
        acted(window, lambda words=words: line(window, words).locator("button.open").click())
        assert ends(window, "#panel")[0] >= ends(window, "#answer")[1] - 1, words
        assert ends(window, "#panel")[0] < PHONE["height"]


def test_what_is_not_named_may_still_be_in_it_is_never_cut_off(chromium: Any, page: Client, folder: Path) -> None:
    (folder / "platter.txt").write_text(PLATTER + "".join(f"{n} g zorblax number {n}\n" for n in range(20)))
    window = opened(chromium, page, "/recipe/platter.txt", viewport=PHONE)
    for y in (0, 100_000):
        window.evaluate(f"scrollTo(0, {y})")
        assert window.evaluate(
            "document.getElementById('answer').scrollHeight > document.getElementById('answer').clientHeight"
        )
        (top, bottom), (first, last) = ends(window, "#answer"), ends(window, "#not-named")
        assert top <= first < last <= bottom <= PHONE["height"]


def test_large_print_on_a_phone_runs_out_of_no_window(chromium: Any, page: Client, folder: Path) -> None:
    """Letters of twice the size, 390 px: a line that is not understood, opened, everything unfolded."""
    (folder / "open.txt").write_text("Open stew\n\n2 onions\n100 g zorblax\n2 fishcakes\n1 stock cube\n")
    window = opened(chromium, page, "/recipe/open.txt", viewport=PHONE)
    window.evaluate("document.documentElement.style.fontSize = '200%'")
    for number in (5, 6, 4):
        press(window, f"open:{number}")
        window.fill("#swap", "oat drink")
        press(window, "swap")
        window.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        assert window.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, number
        cut = "(one) => one.scrollWidth > one.clientWidth + 1"
        assert window.evaluate(f"[...document.querySelectorAll('.choice strong')].filter({cut}).length") == 0
