"""Sheet, chart and index opened in headless Chromium: what a reader sees, what a printer prints, what a click does."""

from __future__ import annotations

import datetime
import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest

from nutrilab.allergens import ALLERGENS
from nutrilab.messages import say
from nutrilab.records import dish_record
from nutrilab.results import DishResult
from nutrilab.sheets.chart_page import KINDS, chart_page
from nutrilab.sheets.index_page import index
from nutrilab.sheets.label import label
from nutrilab.sheets.page import sheet
from tests import browser
from tests.browser import Page
from tests.dishes import DEMOS, demos, dish

WORDS = {kind: say(f"chart.{kind}") for kind in KINDS}

TODAY = datetime.date(2026, 11, 25)
WIDTHS = (360, 800, 1280)
NAMES = ("chart", "index", "label", *(path.stem for path in DEMOS))
HOSTILE = "<script>document.title='run'</script><img src=http://127.0.0.1:9/x onerror=\"document.title='run'\">"

# Texts whose ink has less than 4.5:1 on what stands behind it (WCAG 2.1, 1.4.3 and its definition of contrast ratio).
PALE = """(() => {
  const parts = (colour) => colour.match(/[0-9.]+/g).map(Number);
  const light = (colour) => {
    const linear = (v) => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
    const [r, g, b] = parts(colour).map((v) => linear(v / 255));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const behind = (e) => {
    for (; e; e = e.parentElement) {
      const colour = getComputedStyle(e).backgroundColor;
      if (parts(colour)[3] !== 0) return colour;
    }
    return "rgb(255, 255, 255)";
  };
  const found = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const e = walk.currentNode.parentElement;
    if (!walk.currentNode.data.trim() || !e.getClientRects().length) continue;
    const style = getComputedStyle(e);
    const ink = e.closest("svg") ? style.fill : style.color;
    const [a, b] = [light(ink), light(behind(e))].sort((x, y) => y - x);
    if ((a + 0.05) / (b + 0.05) < 4.5) found.push(`${walk.currentNode.data.trim()}: ${ink} on ${behind(e)}`);
  }
  return found;
})()"""

# Cells of the chart that do not stand under their allergen, or whose words run out of them.
MISPLACED = """(() => {
  const found = [];
  for (const table of document.querySelectorAll("table")) {
    const heads = [...table.querySelectorAll("thead th")].map((e) => e.getBoundingClientRect());
    for (const row of table.tBodies[0].rows) {
      for (const [n, head] of heads.entries()) {
        const cell = row.cells[n];
        const box = cell.getBoundingClientRect();
        if (Math.abs(box.left - head.left) > 1 || Math.abs(box.right - head.right) > 1) found.push(cell.innerText);
        for (const word of cell.querySelectorAll("span")) {
          const inside = word.getBoundingClientRect();
          if (inside.right > box.right + 1 || inside.bottom > box.bottom + 1) found.push(word.innerText);
        }
      }
    }
  }
  return found;
})()"""

# Faults of a page's structure: headings that skip a level, table heads without scope, pictures without a name.
UNNAMED = """(() => {
  const found = [];
  let level = 0;
  for (const e of document.querySelectorAll("h1, h2, h3, h4, h5, h6")) {
    const next = Number(e.tagName[1]);
    if (next > level + 1) found.push(`h${next} after h${level}`);
    level = next;
  }
  if (document.querySelectorAll("h1").length !== 1) found.push("not one h1");
  if (document.documentElement.lang !== "en-GB") found.push("language");
  if (!document.title) found.push("title");
  for (const e of document.querySelectorAll("th:not([scope])")) found.push(`th without scope: ${e.innerText}`);
  for (const e of document.querySelectorAll("svg:not(svg svg, [aria-hidden])")) {
    const named = e.querySelector("title") || e.ariaLabel || e.getAttribute("aria-labelledby");
    if (e.getAttribute("role") !== "img" || !named) found.push(`picture without a name: ${e.outerHTML.slice(0, 200)}`);
  }
  for (const e of document.querySelectorAll("img:not([alt]), table:not(:has(caption))")) found.push(e.tagName);
  for (const e of document.querySelectorAll("input, select")) if (!e.labels.length) found.push(e.outerHTML);
  return found;
})()"""


def list_of(results: tuple[DishResult, ...]) -> str:
    return index([(f"{result.recipe.dish}.html", result) for result in results], TODAY)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Every page of the demo recipes, by name, as `nutrilab analyse ... -o` would leave them."""
    made = tmp_path_factory.mktemp("sheets")
    pages = {"chart": chart_page(demos(), TODAY), "index": list_of(demos()), "label": label(demos()[0])}
    pages |= {path.stem: sheet(result, TODAY) for path, result in zip(DEMOS, demos(), strict=True)}
    for name, html in pages.items():
        (made / f"{name}.html").write_text(html, encoding="utf-8")
    return made


def squeezed(text: str) -> str:
    """Text without spaces and hyphens, as a printer sets and breaks it as it likes."""
    return "".join(unicodedata.normalize("NFKC", text).split()).replace("\u00ad", "").replace("\u2010", "")


def written(path: Path, html: str) -> Path:
    path.write_text(html, encoding="utf-8")
    return path


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", NAMES)
def test_a_page_opens_without_fault_at_every_width(folder: Path, name: str, width: int) -> None:
    with browser.page(folder / f"{name}.html", width) as page:
        assert page.errors == []
        assert page.requests == []
        assert page.sideways() == 0
        assert page.js(PALE) == []
        assert page.js(UNNAMED) == []


@pytest.mark.parametrize("name", NAMES)
def test_a_page_needs_no_script(folder: Path, name: str) -> None:
    with browser.page(folder / f"{name}.html") as page, browser.page(folder / f"{name}.html", script=False) as bare:
        assert bare.errors == []
        for line in bare.text("main" if name in ("chart", "index") else "body").splitlines():
            assert line.strip() in page.text()


def test_the_sheets_show_the_figures_of_the_record(folder: Path) -> None:
    for path, result in zip(DEMOS, demos(), strict=True):
        record = dish_record(result)
        with browser.page(folder / f"{path.stem}.html") as page:
            shown = page.text()
            for figures in (record["declared_per_portion"], record["declared_per_100g"]):
                for key, figure in figures.items():
                    assert figure in shown, (path.stem, key)
            for found in ("contains", "check", "may_contain"):
                for allergen in record["allergens"][found]:
                    assert allergen in shown


def test_the_list_shows_the_figures_of_the_record(folder: Path) -> None:
    with browser.page(folder / "index.html", 1280) as page:
        rows = page.js("[...document.querySelectorAll('#dishes tr')].map(r => [...r.cells].map(c => c.innerText))")
    shown = [[cell.replace("\xa0", " ") for cell in row] for row in rows]
    assert len(shown) == len(demos())
    for row, result in zip(shown, demos(), strict=True):
        record = dish_record(result)
        assert row[0].splitlines()[0] == record["dish"]
        assert row[1].splitlines()[0] == record["declared_per_portion"]["energy_kcal"]
        assert row[2].splitlines()[0] == record["declared_per_portion"]["salt"]
        assert [named.split(" (")[0] for named in parted(row[3])] == list(record["allergens"]["contains"])
        assert parted(row[4]) == list(record["allergens"]["check"])
        assert parted(row[5]) == list(record["allergens"]["may_contain"])
        assert ("NOT COMPLETE" in row[0]) == bool(record["allergens"]["unresolved"])


def parted(text: str) -> list[str]:
    """A list in a cell, apart at the commas that stand in no bracket."""
    depth, parts = 0, [""]
    for character in text:
        depth += (character == "(") - (character == ")")
        if character == "," and not depth:
            parts.append("")
        else:
            parts[-1] += character
    return [part.strip() for part in parts if part.strip()]


def test_the_chart_shows_the_answer_of_the_record_as_table_and_as_cards(folder: Path) -> None:
    with browser.page(folder / "chart.html", 1280) as wide, browser.page(folder / "chart.html", 360) as narrow:
        table = wide.js("[...document.querySelectorAll('tbody tr')].map(r => [...r.cells].map(c => c.innerText))")
        cards = narrow.texts("tbody tr")
    for row, card, result in zip(table, cards, demos(), strict=True):
        answer = dish_record(result)["allergens"]
        lines = card.splitlines()
        for allergen, text in zip(ALLERGENS, row[1:15], strict=True):
            kinds = {"contains": "contains", "check": "check", "may_contain": "may"}
            kind = next((kind for key, kind in kinds.items() if allergen in answer[key]), "")
            word = WORDS[kind] if kind else "" if answer["complete"] else WORDS["open"]
            assert text.split("\n")[0].startswith(word)
            assert bool(text) == bool(word)
            said = [line for line in lines if line.startswith(f"{allergen.capitalize()}:")]
            assert [line.split()[1] for line in said] == ([WORDS[kind]] if kind else [])
        assert ("not known" if not answer["complete"] else "no promise that they are absent") in card
        assert ("NOT COMPLETE" in card) != answer["complete"]


def test_every_cell_stands_under_its_allergen(tmp_path: Path) -> None:
    long = dish(tmp_path, "Regatta platter", *(f"20 g {x}" for x in ("wheat flour", "barley", "almonds", "zorblax")))
    path = written(tmp_path / "chart.html", chart_page((*demos(), long), TODAY))
    for width in (1280, 1600):
        with browser.page(path, width) as page:
            assert page.texts("thead th")[1] == "Gluten"
            assert page.js(MISPLACED) == []
    with browser.page(path, 1077, media="print") as page:  # the 285 mm an upended A4 sheet leaves
        assert page.js(MISPLACED) == []


def test_a_dozen_of_long_rows_lose_nothing_on_paper(tmp_path: Path) -> None:
    lines = ("wheat flour", "barley", "rye flour", "almonds", "hazelnuts", "cashews", "zorblax", "stock cube", "pesto")
    name = "The captain's platter of the regatta with everything on it"
    result = dish(tmp_path, name, *(f"20 g {x}" for x in lines))
    with browser.page(written(tmp_path / "chart.html", chart_page([result] * 12, TODAY))) as page:
        texts = [squeezed(text) for text in browser.pdf_texts(page.pdf())]
    assert sum(text.count(squeezed(name)) for text in texts) == 12
    assert all(squeezed(caution) in text for text in texts for caution in result.cautions)


def left(page: Page) -> list[str]:
    return page.texts("#dishes th a")


def test_a_tick_hides_every_dish_that_might_hold_the_allergen(tmp_path: Path) -> None:
    results = (
        *demos(),
        dish(tmp_path, "Riddle", "100 g zorblax"),
        dish(tmp_path, "Crackers", "20 g Slipway seed crackers"),
        dish(tmp_path, "Boiled potatoes", "1 kg potatoes"),
    )
    with browser.page(written(tmp_path / "index.html", list_of(results)), 1280) as page:
        everything = left(page)
        assert everything == [result.recipe.dish for result in results]
        assert page.text("#count") == f"Dishes: {len(results)}."
        for allergen in ALLERGENS:
            page.click(f"input[value={allergen}]")
            stay = [
                result.recipe.dish
                for result in results
                if result.allergens.complete and not result.allergens.cell(allergen)
            ]
            assert left(page) == stay, allergen
            assert "Boiled potatoes" in stay
            said = page.text("#count")
            assert said.startswith(f"Left: {len(stay)}. Hidden: {len(results) - len(stay)}.")
            assert f"contain {allergen}," in said
            assert "A dish left in the list is not a promise" in said
            page.click(f"input[value={allergen}]")
            assert left(page) == everything
        page.click("input[value=nuts]")
        assert "Crackers" not in left(page)  # its pack says that it may contain them
        page.click("input[value=gluten]")
        both = [r for r in results if r.allergens.complete and not {"nuts", "gluten"} & {*r.allergens.contains,
                *r.allergens.check, *r.allergens.may}]  # fmt: skip
        assert left(page) == [result.recipe.dish for result in both]
        page.click("button[type=reset]")
        page.wait("!document.querySelector('#dishes tr[hidden]')")
        assert left(page) == everything
        assert page.errors == []


def test_what_cannot_be_read_is_hidden_by_any_tick(tmp_path: Path) -> None:
    plain = dish(tmp_path, "Boiled potatoes", "1 kg potatoes")
    for gone in ('data-has=""', 'data-complete="yes"'):
        html = list_of((plain,))
        assert gone in html
        with browser.page(written(tmp_path / "index.html", html.replace(gone, "")), 1280) as page:
            assert left(page) == ["Boiled potatoes"]
            page.click("input[value=lupin]")
            assert left(page) == []
            assert page.text("#count").startswith("No dish is left.")


@pytest.mark.parametrize("width", [360, 1280])
def test_the_list_is_worked_by_keys_alone(folder: Path, width: int) -> None:
    with browser.page(folder / "index.html", width) as page:
        page.press("Tab")
        assert page.js("document.activeElement.value") == "gluten"
        page.press("Space")
        expected = [r.recipe.dish for r in demos() if r.allergens.complete and not r.allergens.cell("gluten")]
        assert left(page) == expected
        assert len(expected) < len(demos())
        for _ in ALLERGENS:
            page.press("Tab")
        assert page.js("document.activeElement.id") == "order"
        page.press("Tab")
        page.press("Enter")
        page.wait("!document.querySelector('#dishes tr[hidden]')")
        assert left(page) == [result.recipe.dish for result in demos()]
        assert page.js("document.querySelector('#count').ariaLive") == "polite"


def test_the_list_is_put_in_order_and_what_is_not_known_stands_last(tmp_path: Path) -> None:
    results = (*demos(), dish(tmp_path, "A riddle", "100 g zorblax"))
    values = {r.recipe.dish: (r.whole.per_portion["energy_kcal"], r.whole.per_portion["salt"]) for r in results}
    known = [name for name, (kcal, _) in values.items() if kcal is not None]
    unknown = [name for name in values if name not in known]
    assert unknown == ["A riddle"]
    with browser.page(written(tmp_path / "index.html", list_of(results)), 1280) as page:
        for number, key in enumerate(("energy", "salt")):
            for way in ("up", "down"):
                choose(page, f"{key} {way}")
                by_value = sorted(known, key=lambda name: values[name][number] or 0, reverse=way == "down")
                assert left(page) == by_value + unknown
        choose(page, "dish up")
        assert left(page) == sorted(values)
        choose(page, "")
        assert left(page) == list(values)


def choose(page: Page, value: str) -> None:
    """An order chosen from the list of orders."""
    page.js(
        f"(() => {{ const e = document.querySelector('#order'); e.value = '{value}';"
        "e.dispatchEvent(new Event('change', {bubbles: true})); return e.value; })()"
    )


def test_without_script_the_list_has_no_controls_and_every_dish(folder: Path) -> None:
    with browser.page(folder / "index.html", script=False) as page:
        assert page.texts("form") == []
        assert left(page) == [result.recipe.dish for result in demos()]


def test_the_dishes_of_the_list_lead_to_their_sheets(tmp_path: Path) -> None:
    result = demos()[0]
    name = "100% beetroot & goat's #1?.html"
    (tmp_path / name).write_text("<title>the sheet</title>", encoding="utf-8")
    with browser.page(written(tmp_path / "index.html", index([(name, result)], TODAY))) as page:
        page.click("#dishes a")
        page.wait("document.title === 'the sheet'")


@pytest.mark.parametrize("make", [lambda r: chart_page([r], TODAY), lambda r: list_of((r,)), lambda r: sheet(r, TODAY)])
def test_a_hostile_recipe_runs_nothing_and_asks_for_nothing(tmp_path: Path, make: Callable[[DishResult], str]) -> None:
    result = dish(tmp_path, f"Pie {HOSTILE}", f"1 stock cube {HOSTILE}", f"20 g {'x' * 3000} {HOSTILE}")
    for width in (360, 1280):
        with browser.page(written(tmp_path / "page.html", make(result)), width) as page:
            assert page.errors == []
            assert page.requests == []
            assert page.js("document.title") != "run"
            assert page.sideways() == 0
            assert "document.title='run'" in page.text()  # shown as text
