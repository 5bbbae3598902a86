"""A malicious recipe, and a pack to match, in every format: what it says is shown, and nothing of it acts.

Its texts hold script tags, quotes, the ends of scripts and CDATA, template syntax, terminal escapes and markup,
direction and invisible marks, formulas, and names of 10,000 characters.
"""

from __future__ import annotations

import csv
import io
import json
import unicodedata
from collections.abc import Callable
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest

from nutrilab.comparing import WhatIf
from nutrilab.foods import embedded
from nutrilab.kitchen import DishResult, Kitchen
from nutrilab.products import load
from nutrilab.recipe import read_recipe
from nutrilab.records import dish_record
from nutrilab.scaling import Scaled
from nutrilab.sheets import captions, chart, csv_dishes, csv_figures, jsonld, terminal, writer
from nutrilab.sheets.chart_page import chart_page
from nutrilab.sheets.index_page import index
from nutrilab.sheets.label import label
from nutrilab.sheets.page import sheet
from nutrilab.sheets.safe import FORMULA, json_text
from nutrilab.sheets.swap_page import swap_page
from nutrilab.sheets.swap_text import swap
from nutrilab.swapping import Done
from tests import browser
from tests.pdf_here import pdf_maker

PAYLOADS = (
    "<script>window.pwned=1</script>",
    "</script><script>window.pwned=2</script>",
    "<img src=x onerror=window.pwned=3>",
    '"><svg onload=window.pwned=4>',
    "' onmouseover='window.pwned=5",
    "]]><b>bold</b><!--",
    "--><style>*{display:none}</style>",
    "</title></textarea></style></svg>",
    "{{7*7}}{% raw %}{# x #}${7*7}",
    "&lt;script&gt;window.pwned=6&lt;/script&gt;",
    "[bold red]markup[/bold red][link=https://example.org]here[/link]",
    "\x1b[31mred\x1b]0;title\x07\x9b2J",
    "\u202egnp.exe\u2066\u200f\u061c",
    "mi\u200blk\u00ad\ufeff\u2060",
    "line\u2028break\u2029and\x0b\x0c\x85more",
    "=HYPERLINK(1)",
    "+1+1",
    "@SUM(A1)",
    "\t=1",
    "soup;=1+1",
    "javascript:window.pwned=7",
    "e" + "\u0301" * 60,
)
SHOWN = (  # payloads of plain letters: a sheet shows them as they stand, which proves they were there
    "<script>window.pwned=1</script>",
    "{{7*7}}{% raw %}{# x #}${7*7}",
)
LONG = "Tidewater " * 1000
FLAWS = {unicodedata.category(c) for c in "\u202e\x1b\ud800"} | {"Zl", "Zp"}  # Cf, Cc, Cs


@cache
def hostile() -> DishResult:
    """A dish whose every text is hostile: its name, its stages, its lines, its notes, its packs."""
    folder = Path(cache_folder())
    quoted = [json.dumps(payload) for payload in PAYLOADS]
    long = json.dumps(LONG)
    stages = "".join(
        f"- stage: {text}\n  ingredients:\n  - {json.dumps(f'50 g butter {payload}')}\n  - {text}\n  - {long}\n"
        for payload, text in zip(PAYLOADS, quoted, strict=True)
    )
    taken = "".join(f"  - {json.dumps(f'all of {payload}')}\n" for payload in PAYLOADS)
    lines = "".join(f"  - {json.dumps(f'100 g {payload} crackers')}\n" for payload in PAYLOADS)
    (folder / "dish.yaml").write_text(
        f"dish: {json.dumps(''.join(PAYLOADS[:4]) + PAYLOADS[8] + LONG)}\nportions: 4\n"
        f"notes: {quoted[0]}\nsource: {quoted[1]}\nserve with:\n  - {quoted[0]}\nstages:\n"
        f"{stages}- stage: dish\n  ingredients:\n{taken}{lines}  - 2 eggs\n",
        encoding="utf-8",
    )
    packs = "".join(
        f"- name: {json.dumps(f'{payload} crackers')}\n  energy kcal: 400\n  salt: 1 g\n"
        f"  ingredients: {json.dumps(f'Flour (**wheat**), {payload}')}\n  may contain: [milk]\n"
        for payload in PAYLOADS
    )
    (folder / "products.yaml").write_text(packs, encoding="utf-8")
    kitchen = Kitchen([embedded()], alternatives=False, products=load(folder / "products.yaml"))
    return kitchen.dish(read_recipe(folder / "dish.yaml"))


@cache
def cache_folder() -> str:
    import tempfile

    return tempfile.mkdtemp(prefix="nutrilab-hostile-")


def plainly_named() -> DishResult:
    """The hostile dish under the name that is a formula."""
    from dataclasses import replace

    result = hostile()
    return replace(result, recipe=replace(result.recipe, dish="=HYPERLINK(1)"))


def what_if() -> WhatIf:
    """The hostile dish swapped: every text of a swap is hostile too."""
    done = tuple(Done(one, one, one, 1, one, True) for one in PAYLOADS)
    lines = tuple(Scaled(one, one, LONG + one) for one in PAYLOADS)
    return WhatIf(hostile(), plainly_named(), done, PAYLOADS, 9, lines)


def flaws(text: str) -> set[str]:
    """Characters that control a device, turn or hide text; line ends are none."""
    return {c for c in text if c not in "\n\r" and unicodedata.category(c) in FLAWS}


def test_the_dish_is_hostile_and_still_answered() -> None:
    result = hostile()
    assert len(result.recipe.dish) > 10_000
    assert {"eggs", "milk", "gluten"} <= set(result.allergens.contains)
    assert len(result.stages) == len(PAYLOADS) + 2
    assert result.allergens.unresolved


@pytest.mark.parametrize("colour", [False, True])
def test_terminal(colour: bool) -> None:
    text = terminal.dish(hostile(), 100, colour, balance=True)
    if colour:
        import re

        text = re.sub(r"\x1b\[[0-9;]*m", "", text)  # our own colours
    assert not flaws(text)
    assert "[bold red]markup[/bold red]" in "".join(text.split("\n")).replace("  ", "")
    assert "{{7*7}}" in text
    assert terminal.lines(hostile().stages[0].records, 100).count("\n") < 400


def test_a_swap_on_the_terminal() -> None:
    text = swap(what_if(), 100)
    assert not flaws(text)
    assert "{{7*7}}" in text


def test_json_reads_back_the_same_and_holds_nothing_raw() -> None:
    record = dish_record(hostile())
    text = json_text(record)
    assert json.loads(text) == json.loads(json.dumps(record))
    assert not flaws(text)
    text.encode("utf-8")
    assert json.loads(json_text({"a": "\ud800"})) == {"a": "\ud800"}
    assert json_text("\U000e0041", None) == '"\\udb40\\udc41"'


def cells(text: str) -> list[str]:
    assert text[0] == "\ufeff"  # it says that the letters are UTF-8, and no cell holds it
    return [cell for row in csv.reader(io.StringIO(text[1:], newline="")) for cell in row]


def begins_formula(cell: str) -> bool:
    """Whether a spreadsheet may take it for a formula, also one that drops spaces and a quote in front of it."""
    return cell[:1] != "'" and cell.lstrip(' "\t\r\n')[:1] in tuple(FORMULA)


def is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


@pytest.mark.parametrize(
    "make", [csv_dishes.as_csv, csv_figures.as_csv, chart.as_csv], ids=["dishes", "figures", "chart"]
)
def test_no_cell_is_a_formula(make: Callable[[list[DishResult]], str]) -> None:
    text = make([hostile(), plainly_named()])
    found = cells(text)
    assert not flaws(text[1:])
    assert not [cell for cell in found if begins_formula(cell) and not is_number(cell)]
    assert any(cell.startswith("'=HYPERLINK(1)") for cell in found)


def test_no_cell_becomes_a_formula_where_a_semicolon_divides_a_row() -> None:
    for make in (csv_dishes.as_csv, csv_figures.as_csv):
        for cell in ";".join(cells(make([hostile()]))).split(";"):
            assert not begins_formula(cell) or is_number(cell)


def test_captions_stay_on_their_lines() -> None:
    for length in captions.LENGTHS:
        for text in captions.texts(hostile(), length):
            assert text.count("\n") <= 12
            assert not flaws(text)
            assert text.startswith("NOT COMPLETE: ")
            assert "eggs" in text.lower().split("contains ")[1].split(".")[0]


class Markup(HTMLParser):
    """The tags and attributes of a page, and its text outside scripts and styles."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.text = ""
        self._raw = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        self._raw = tag if tag in ("script", "style") else self._raw

    def handle_endtag(self, tag: str) -> None:
        self._raw = "" if tag == self._raw else self._raw

    def handle_data(self, data: str) -> None:
        if not self._raw:
            self.text += data


def test_jsonld_is_one_script_and_nothing_else() -> None:
    text = jsonld.as_script(hostile())
    page = Markup(f"<p>before</p>{text}<p>after</p>")
    assert page.tags == ["p", "script", "p"]
    assert page.text.split() == ["before", "after"]
    assert not flaws(text)
    assert json.loads(jsonld.as_text(hostile()))["@type"] == "Recipe"


PAGES: dict[str, Callable[[], str]] = {
    "sheet": lambda: sheet(hostile()),
    "label": lambda: label(hostile()),
    "chart": lambda: chart_page([hostile(), plainly_named()]),
    "swap": lambda: swap_page(what_if()),
    "index": lambda: index([("a%22%3E.html", hostile()), ("b.html", plainly_named())]),
}


@pytest.mark.parametrize("name", PAGES)
def test_pages_show_it_and_none_of_it_acts(name: str) -> None:
    text = PAGES[name]()
    page = Markup(text)
    assert not flaws(text)
    assert page.tags.count("script") == (1 if name == "index" else 0)
    assert not {"img", "textarea", "iframe", "object", "embed", "base"} & set(page.tags)
    assert not [payload for payload in PAYLOADS if "<" in payload and payload in text]
    assert page.tags.count("style") == text.count("<style>")
    assert not [name for name, _ in page.attributes if name.startswith("on")]
    assert not [value for _, value in page.attributes if value.strip().lower().startswith(("javascript:", "data:text"))]
    shown = " ".join(page.text.split())
    for payload in SHOWN:
        assert payload in shown


@pytest.mark.parametrize("name", PAGES)
def test_pages_stay_inert_in_a_browser(name: str, tmp_path: Path) -> None:
    path = tmp_path / "page.html"
    path.write_text(PAGES[name](), encoding="utf-8")
    with browser.page(path, width=360) as page:
        assert page.errors == []
        assert page.requests == []
        assert page.js("typeof window.pwned") == "undefined"
        assert page.sideways() == 0


def test_a_label_as_pdf_holds_no_script_and_no_address() -> None:
    data = pdf_maker()(label(hostile()))
    assert data.startswith(b"%PDF")
    assert not [word for word in (b"/JavaScript", b"/JS", b"/URI", b"/Launch", b"/EmbeddedFile") if word in data]


def test_its_json_ld_stays_inert_in_a_browser(tmp_path: Path) -> None:
    path = tmp_path / "page.html"
    path.write_text(f"<!DOCTYPE html><title>x</title>{jsonld.as_script(hostile())}<p>after", encoding="utf-8")
    with browser.page(path) as page:
        assert page.errors == []
        assert page.js("typeof window.pwned") == "undefined"
        assert (
            page.js("JSON.parse(document.querySelector('script').textContent).name") == jsonld.jsonld(hostile())["name"]
        )
        assert page.js("document.body.innerText.trim()") == "after"


def test_files_are_named_without_leaving_the_folder() -> None:
    from dataclasses import replace

    result = hostile()
    for name in ("../../x", "..", "con/../y", "<script>", "\u202e", "index", ""):
        nameless = replace(result, recipe=replace(result.recipe, dish=name, path=None))
        for file in writer.folder([nameless, nameless], "jsonld"):
            assert Path(file).name == file
            assert file.isascii()
            assert not file.startswith(".")
