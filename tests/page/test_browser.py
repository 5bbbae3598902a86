"""The page as a cook uses it, in headless Chromium driven by Playwright; skipped where either is missing.

axe-core, a checker of the WCAG rules, is run on every view where it is found: NUTRILAB_AXE names its axe.min.js
(npm install axe-core), else it is looked for in node_modules/ beside the checkout.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from nutrilab.messages import say
from tests import browser, layout
from tests.page.serving import Client

api = pytest.importorskip(
    "playwright.sync_api", reason="Playwright is not installed, so the page was not used (pip install playwright)"
)

ROOT = Path(__file__).parents[2]
DEMOS = ROOT / "demo_recipes"
STEW = (DEMOS / "ropewalk-chicken-curry.txt").read_text(encoding="utf-8")
AXE = (os.environ.get("NUTRILAB_AXE", ""), ROOT / "node_modules/axe-core/axe.min.js")
WAIT = 10_000  # [ms]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    command = browser.executable()
    if command is None:
        pytest.skip("no Chromium on this machine (Debian: apt-get install chromium), so the page was not used")
    with api.sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=command, args=["--no-sandbox", "--disable-dev-shm-usage"])
        yield running
        running.close()


def opened(chromium: Any, page: Client, path: str = "/", **how: Any) -> Any:
    """A window of the page, whose errors fail the test that looks at `errors`."""
    context = chromium.new_context(**({"viewport": {"width": 1280, "height": 900}} | how))
    context.set_default_timeout(WAIT)
    window = context.new_page()
    window.errors = []
    window.on("console", lambda said: window.errors.append(said.text) if said.type in ("error", "warning") else None)
    window.on("pageerror", lambda error: window.errors.append(str(error)))
    window.goto(page.serving.address())
    if path != "/":
        window.goto(f"http://{page.host}{path}")
    return window


def acted(window: Any, do: Any) -> None:
    """Do something and wait until its answer stands in the page."""
    window.evaluate("() => { window.over = 0; document.addEventListener('acted', () => { window.over = 1; }); }")
    do()
    until(window, "window.over === 1")


def until(window: Any, true: str) -> None:
    """Wait for a condition: the policy of the page lets no test evaluate in it by itself."""
    end = time.monotonic() + WAIT / 1000
    while not window.evaluate(true):
        assert time.monotonic() < end, f"never came true: {true}"
        window.wait_for_timeout(20)


def press(window: Any, value: str) -> None:
    """The button that does something."""
    acted(window, lambda: window.click(f'button[value="{value}"]'))


def analysed(path: Path) -> dict[str, Any]:
    """What the command line says of a file."""
    command = [sys.executable, "-m", "nutrilab", "analyse", str(path), "--format", "json"]
    ended = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT)
    found: dict[str, Any] = json.loads(ended.stdout)
    return found


def line(window: Any, words: str) -> Any:
    """A row of the lines."""
    return window.locator(".line", has_text=words).first


def test_a_supper_from_paste_to_paper(chromium: Any, page: Client, folder: Path) -> None:
    window = opened(chromium, page, "/new")
    text = STEW.replace("30 g ginger, grated", "30 g zorblax paste")
    text = text.replace("300 ml chicken stock", "1 chicken stock cube")
    window.fill("#text", text)
    window.wait_for_selector('.line:has-text("zorblax")')
    assert "NOT COMPLETE" in window.inner_text("#part-answer")

    # a doubtful line, settled by a search
    acted(window, lambda: line(window, "zorblax").locator("button.open").click())
    assert window.evaluate("document.activeElement.id") == "panel"
    window.fill("#search-0", "ginger root")
    acted(window, lambda: window.press("#search-0", "Enter"))
    window.locator('label.choice:has-text("Ginger root")').first.click()
    press(window, "choose:0")
    assert "zorblax paste:" in (folder / "decisions.yaml").read_text()
    assert "as you decided" in line(window, "zorblax").inner_text()
    assert "NOT COMPLETE" not in window.inner_text("#part-answer")

    # a pack
    acted(window, lambda: line(window, "stock cube").locator("button.open").click())
    window.click("#panel summary:has-text('pack')")
    window.fill("#pack-name", "Lantern chicken cube")
    window.fill("#pack-ingredients", "Salt, palm oil, chicken fat, **celery** seed, turmeric")
    window.fill("#pack-contains", "celery")
    for key, value in (("kcal", "180"), ("fat", "10"), ("carbohydrate", "12"), ("protein", "8"), ("salt", "50")):
        window.fill(f"#pack-energy-{key}" if key == "kcal" else f"#pack-{key}", value)
    press(window, "pack")
    assert "from your pack" in line(window, "stock cube").inner_text()
    assert "celery" in window.inner_text("#part-answer .group >> nth=0")

    # weighed, and one onion weighed too
    acted(window, lambda: line(window, "2 large onions").locator("button.open").click())
    window.fill("#piece", "190 g")
    press(window, "weight")
    assert "380" in line(window, "2 large onions").inner_text()
    window.fill('[name="fact--weight after"]', "2.1 kg")
    press(window, "facts")
    assert "Cooked weight: 2.1 kg" in window.input_value("#text")

    # a swap, tried and taken
    acted(window, lambda: line(window, "150 ml double cream").locator("button.open").click())
    window.fill("#swap", "coconut milk")
    press(window, "swap")
    assert "Calories fall by" in window.inner_text("#tried")
    press(window, "keep")
    assert "coconut milk" in window.input_value("#text")

    # saved, loaded anew, the same figures as those of the command line
    press(window, "save")
    assert window.url.endswith("/recipe/ropewalk-chicken-curry.txt")
    window.reload()
    record = analysed(folder / "ropewalk-chicken-curry.txt")
    said = window.inner_text("#part-answer").replace("\xa0", " ")
    assert record["declared_per_portion"]["energy_kcal"] in said
    assert record["declared_per_portion"]["salt"] in said
    assert record["complete"] is ("NOT COMPLETE" not in said)
    for allergen in record["allergens"]["contains"]:
        assert allergen in said
    grams = {one["text"]: one["grams"] for stage in record["stages"] for one in stage["lines"]}
    assert f"{grams['30 g zorblax paste']:.0f} g" in line(window, "zorblax").inner_text().replace("\xa0", " ")

    # to paper, and out
    window.click("text=Sheet, label")
    window.wait_for_selector("#caption-short")
    with window.context.expect_page() as shown:
        window.click("text=The sheet of the dish")
    sheet = shown.value
    sheet.wait_for_load_state()
    assert record["declared_per_portion"]["energy_kcal"] in sheet.inner_text("body").replace("\xa0", " ")
    printed = sheet.pdf(format="A4")
    assert "Ropewalk" in browser.pdf_texts(printed)[0]
    with window.expect_download() as kept:
        window.click("text=For a program (JSON)")
    assert json.loads(Path(kept.value.path()).read_text())["per_portion"] == record["per_portion"]
    assert window.errors == []


def test_as_it_is_typed_the_answer_follows_and_an_open_line_stays_open(chromium: Any, page: Client) -> None:
    window = opened(chromium, page, "/new")
    window.click("#text")
    window.keyboard.type("Quay toast\nServes 2\n\n2 slices white bread\n")
    window.wait_for_selector('.line:has-text("white bread")')
    acted(window, lambda: line(window, "white bread").locator("button.open").click())
    window.fill("#swap", "half written")
    window.focus("#text")
    window.keyboard.press("Control+End")
    window.keyboard.type("20 g butter\n")
    window.wait_for_selector('.line:has-text("20 g butter")')
    assert window.input_value("#swap") == "half written"
    button = line(window, "white bread").locator("button.open")
    assert button.inner_text() == say("desk.close")
    assert button.get_attribute("aria-label") == say("desk.close-line", line="2 slices white bread")
    assert "milk" in window.inner_text("#part-answer")
    assert window.evaluate("document.activeElement.id") == "text"
    until(window, "document.getElementById('spoken').textContent.includes('milk')")
    assert window.errors == []


def test_by_keyboard_alone(chromium: Any, page: Client, folder: Path) -> None:
    (folder / "toast.txt").write_text("Quay toast\nServes 2\n\n2 slices white bread\n20 g zorblax\n")
    window = opened(chromium, page, "/recipe/toast.txt")

    def tab_to(there: str) -> None:
        for _ in range(60):
            window.keyboard.press("Tab")
            if window.evaluate(f"document.activeElement.matches({json.dumps(there)})"):
                return
        raise AssertionError(f"never came to {there}")

    tab_to("#open-5")
    acted(window, lambda: window.keyboard.press("Enter"))
    assert window.evaluate("document.activeElement.id") == "panel"
    tab_to('input[value="none"]')
    window.keyboard.press("Space")
    tab_to('button[value="choose:0"]')
    acted(window, lambda: window.keyboard.press("Enter"))
    assert "zorblax: none" in (folder / "decisions.yaml").read_text()
    window.focus("#swap")
    acted(window, lambda: window.keyboard.press("Escape"))
    assert window.query_selector("#panel") is None
    assert window.evaluate("document.activeElement.id") == "open-5"


def test_two_windows_at_once_lose_nothing(chromium: Any, page: Client, folder: Path) -> None:
    (folder / "toast.txt").write_text("Quay toast\nServes 2\n\n2 slices white bread\n20 g butter\n")
    one, other = (opened(chromium, page, "/recipe/toast.txt") for _ in range(2))
    one.fill("#text", one.input_value("#text").replace("20 g", "30 g"))
    other.fill("#text", other.input_value("#text").replace("2 slices", "3 slices"))
    press(one, "save")
    press(other, "save")
    assert "30 g" in (folder / "toast.txt").read_text()
    assert "2 slices" in (folder / "toast.txt").read_text()
    assert "3 slices" in other.input_value("#text")
    assert "30 g" in other.input_value("#theirs")
    acted(other, lambda: other.click("text=Save mine in its place"))
    assert "3 slices" in (folder / "toast.txt").read_text()
    acted(other, lambda: other.click("text=Take back"))
    assert "30 g" in (folder / "toast.txt").read_text()
    assert "3 slices" in other.input_value("#text")


def test_a_file_dropped_into_the_window(chromium: Any, page: Client) -> None:
    window = opened(chromium, page, "/new")
    acted(window, lambda: window.set_input_files("#file", DEMOS / "lighthouse-plum-crumble.html"))
    assert "dish: Lighthouse plum crumble" in window.input_value("#text")
    assert "kcal" in window.inner_text("#part-answer")
    assert window.errors == []


def test_the_list_is_searched_and_filtered(chromium: Any, page: Client, folder: Path) -> None:
    for name in ("harbour-fish-pie.yaml", "low-tide-leek-soup.yaml", "ropewalk-chicken-curry.txt"):
        (folder / name).write_bytes((DEMOS / name).read_bytes())
    (folder / "broken.yaml").write_text("dish: Broken\n")
    window = opened(chromium, page)
    rows = window.locator("#dishes tr:visible")
    assert rows.count() == 3
    assert "broken.yaml" in window.inner_text("#attention")
    window.fill("#search", "basmati")
    assert rows.count() == 1
    window.fill("#search", "")
    window.check('input[value="fish"]')
    assert "Harbour" not in window.inner_text("#dishes")
    assert "not a promise" in window.inner_text("#count")
    assert window.errors == []


def test_without_scripts_it_still_looks_opens_and_saves(chromium: Any, page: Client, folder: Path) -> None:
    window = opened(chromium, page, "/new", java_script_enabled=False)
    window.fill("#text", "Quay toast\nServes 2\n\n2 slices white bread\n20 g zorblax\n")
    window.click("text=Look at it")
    assert "NOT COMPLETE" in window.inner_text("#part-answer")
    window.click("#open-5")
    window.check('input[name="choice-0"][value="none"]')
    window.click('button[value="choose:0"]')
    assert "zorblax: none" in (folder / "decisions.yaml").read_text()
    window.click('button[value="save"]')
    assert window.url.endswith("/recipe/quay-toast.txt")
    assert (folder / "quay-toast.txt").exists()


# --- how it looks


def views(folder: Path) -> list[tuple[str, str]]:
    """Every view, with what is clicked in it."""
    for name in ("harbour-fish-pie.yaml", "ropewalk-chicken-curry.txt"):
        (folder / name).write_bytes((DEMOS / name).read_bytes())
    (folder / "open.txt").write_text("Open stew\n\n2 onions\n100 g zorblax\n2 fishcakes\n1 stock cube\n")
    (folder / "broken.yaml").write_text("dish: Broken\nportions: 0\n")
    return [
        ("/", ""), ("/new", ""), ("/recipe/harbour-fish-pie.yaml", "open:9"), ("/recipe/open.txt", "open:4"),
        ("/recipe/ropewalk-chicken-curry.txt", ""), ("/recipe/broken.yaml", ""), ("/recipe/nowhere.txt", ""),
        ("/hand-on/harbour-fish-pie.yaml", ""),
    ]  # fmt: skip


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_view_runs_out_of_the_window_or_breaks_a_rule(
    chromium: Any, page: Client, folder: Path, width: int, scheme: str
) -> None:
    axe = next((Path(one) for one in AXE if one and Path(one).is_file()), None)
    window = opened(chromium, page, viewport={"width": width, "height": 800}, color_scheme=scheme)
    for path, click in views(folder):
        window.goto(f"http://{page.host}{path}")
        if click:
            press(window, click)
            window.fill("#swap", "oat drink")
            press(window, "swap")
        window.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        aside = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        assert window.evaluate(aside) == 0, path
        window.evaluate("document.getElementById('answer')?.style.setProperty('position', 'static')")
        assert window.evaluate(layout.COLLISIONS) == [], path
        if axe:
            window.evaluate(axe.read_text(encoding="utf-8"))
            found = window.evaluate("axe.run().then((r) => r.violations.map((v) => v.id + ': ' + v.nodes[0].html))")
            assert found == [], path
    if axe is None:
        pytest.skip("axe-core is not there (npm install axe-core), so its rules were not looked at; the width was")


def test_large_print_runs_out_of_no_window(chromium: Any, page: Client, folder: Path) -> None:
    """Letters of twice the size, as a browser is set: the answer goes with the rest, nothing is cut off."""
    window = opened(chromium, page, viewport={"width": 640, "height": 450})
    for path, click in views(folder):
        window.goto(f"http://{page.host}{path}")
        window.evaluate("document.documentElement.style.fontSize = '200%'")
        if click:
            press(window, click)
        assert window.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, path


def test_the_pdf_of_the_page_itself_has_the_answer(chromium: Any, page: Client, folder: Path) -> None:
    (folder / "harbour-fish-pie.yaml").write_bytes((DEMOS / "harbour-fish-pie.yaml").read_bytes())
    window = opened(chromium, page, "/recipe/harbour-fish-pie.yaml")
    text = " ".join(browser.pdf_texts(window.pdf(format="A4")))
    assert re.search(r"523\s*kcal", text)
    assert "crustaceans" in text
