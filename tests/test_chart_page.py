"""The chart as a page, read as HTML: a word in every cell, nothing left out, the same on every sheet."""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path

import pytest

from nutrilab.allergens import ALLERGENS
from nutrilab.messages import say
from nutrilab.sheets.chart_page import KINDS, LONGEST_NAME, chart_page, kinds_of
from nutrilab.sheets.index_page import index
from tests.dishes import demos, dish, kitchen

WORDS = {kind: say(f"chart.{kind}") for kind in KINDS}

TODAY = datetime.date(2026, 11, 25)
MIXED = ("50 g plain flour", "100 g mixed nuts", "30 g almonds", "2 tbsp pesto", "20 g Slipway seed crackers")


@dataclass
class Read(HTMLParser):
    """A page's body rows: the head cell and the 14 cells of each; the foot of each table; all text."""

    rows: list[list[str]] = field(default_factory=list)
    feet: list[str] = field(default_factory=list)
    heads: list[list[str]] = field(default_factory=list)
    text: str = ""
    tags: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self._open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        if tag in ("meta", "col", "br", "input"):
            return
        self._open.append(tag)
        if tag == "tr":
            {"tbody": self.rows, "thead": self.heads}.get(self._open[-2], []).append([])
        if tag in ("td", "th") and self._open[-3] in ("tbody", "thead"):
            (self.rows if self._open[-3] == "tbody" else self.heads)[-1].append("")
        if tag == "tfoot":
            self.feet.append("")

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" in self._open or "script" in self._open:
            return
        self.text += data.replace("\xa0", " ")
        if "tfoot" in self._open:
            self.feet[-1] += data
        elif "tbody" in self._open and ("td" in self._open or "th" in self._open):
            self.rows[-1][-1] += data
        elif "thead" in self._open and ("td" in self._open or "th" in self._open):
            self.heads[-1][-1] += data


def read(html: str) -> Read:
    page = Read()
    page.feed(html)
    page.close()
    return page


def cells(row: list[str]) -> dict[str, str]:
    """Allergen -> what its cell says, without the name of the allergen that narrow screens show in it."""
    return {a: text.removeprefix(f"{a.capitalize()}: ").strip() for a, text in zip(ALLERGENS, row[1:15], strict=True)}


def test_every_cell_says_in_words_what_the_dish_says() -> None:
    rows = read(chart_page(demos(), TODAY)).rows
    assert [row[0].split(" NOT COMPLETE")[0] for row in rows] == [result.recipe.dish for result in demos()]
    said = set()
    for row, result in zip(rows, demos(), strict=True):
        for allergen, text in cells(row).items():
            kind = result.allergens.cell(allergen) or ("" if result.allergens.complete else "open")
            assert text.startswith(WORDS[kind]) if kind else not text, (result.recipe.dish, allergen)
            said.add(kind)
    assert {"contains", "check", ""} <= said


def test_the_head_names_the_fourteen_in_the_order_of_annex_ii() -> None:
    heads = read(chart_page(demos(), TODAY)).heads[1]
    assert heads[0].endswith("Dish")
    assert [head.lower() for head in heads[1:]] == list(ALLERGENS)


@pytest.mark.parametrize(("dishes", "sheets"), [(1, 1), (12, 1), (40, 1), (100, 3)])
def test_a_sheet_has_all_that_must_stand_on_it(dishes: int, sheets: int) -> None:
    page = read(chart_page([demos()[n % len(demos())] for n in range(dishes)], TODAY))
    assert len(page.rows) == dishes
    assert len(page.feet) == sheets
    for foot in page.feet:
        assert "Made 25 November 2026" in foot
        assert "USDA SR28, Release 28" in foot
        assert "no promise that it is absent" in foot
        assert all(caution in foot for caution in demos()[0].cautions)
    for number, (legend, head) in enumerate(zip(page.heads[::2], page.heads[1::2], strict=True), 1):
        assert f"Sheet {number} of {sheets}" in head[0]
        assert all(word in legend[0] for word in WORDS.values())


def test_the_legend_is_drawn_as_the_cells_are(tmp_path: Path) -> None:
    """The very same mark-up, above the table and on every sheet, and one style for both."""
    odd = dish(tmp_path, "Crackers", "20 g Slipway seed crackers", "2 tbsp pesto", "100 g zorblax")
    html = chart_page([odd], TODAY)
    body = html[html.index("<tbody") : html.index("</tbody>")]
    for kind, word in WORDS.items():
        tag = f'<span class="tag tag-{kind}">{word}</span>'
        assert tag in body
        assert html.count(tag, 0, html.index("<tbody")) == 2
    style = html[html.index("@font-face") : html.index("</style>")]
    rules = [rule.strip() for rule in re.findall(r"([^{}]+)\{[^{}]*\}", style) if "tag-" in rule]
    assert len(rules) > 8
    assert [rule for rule in rules if re.search("tbody|td|legend|key", rule)] == [
        ".marked td > .tag-open"
    ]  # its padding


def test_the_cereal_and_the_nut_are_named_and_hide_no_other(tmp_path: Path) -> None:
    result = dish(tmp_path, "Regatta platter", *MIXED)
    assert kinds_of(result, "gluten") == "wheat"
    assert kinds_of(result, "nuts") == "almond and a kind not known; check for others; may: others"
    assert kinds_of(result, "milk") == ""
    page = read(chart_page([result], TODAY))
    assert cells(page.rows[0])["nuts"] == "contains almond and a kind not known check others may others"
    after = page.text.rsplit("What to check", 1)[1]
    assert "check nuts (other kinds): " in " ".join(after.split())
    assert "pesto" in after


def test_a_kind_nobody_names_is_said_to_be_unknown(tmp_path: Path) -> None:
    assert kinds_of(dish(tmp_path, "Platter", "100 g mixed nuts"), "nuts") == "kind not known"


def test_the_cereal_of_another_stage_and_of_what_is_served_counts() -> None:
    pie, stew = (
        next(r for r in demos() if r.recipe.dish == name) for name in ("Harbour fish pie", "Lamplight chickpea stew")
    )
    assert kinds_of(pie, "gluten").startswith("wheat")  # the flour stands in the sauce
    assert kinds_of(stew, "gluten").startswith("wheat")  # the flatbread is served with it


def test_check_and_may_stand_side_by_side(tmp_path: Path) -> None:
    result = dish(tmp_path, "Crackers", "20 g Slipway seed crackers", "2 tbsp pesto")
    page = read(chart_page([result], TODAY))
    found = cells(page.rows[0])
    assert found["milk"].split() == ["check", "may"]
    assert found["sesame"] == "contains"
    after = " ".join(page.text.rsplit("What to check", 1)[1].split())
    assert "may milk: " in after
    assert "Slipway seed crackers" in after


def test_a_dish_that_is_not_complete_has_no_empty_cell(tmp_path: Path) -> None:
    result = dish(tmp_path, "Riddle", "100 g zorblax", "20 g butter")
    assert not result.allergens.complete
    page = read(chart_page([result], TODAY))
    assert page.rows[0][0] == "Riddle NOT COMPLETE"
    found = cells(page.rows[0])
    assert found.pop("milk") == "contains"
    assert set(found.values()) == {"not known"}
    assert "NOT COMPLETE: lines were not understood, so allergens may be missing, in Riddle." in page.text
    assert "100 g zorblax" in page.text.split("these lines were not understood, so allergens may be missing")[1]
    assert "NOT COMPLETE" in page.feet[0]
    assert "NOT COMPLETE" not in read(chart_page([dish(tmp_path, "Toast", "20 g butter")], TODAY)).text


def test_a_long_name_is_cut_in_the_chart_and_whole_below(tmp_path: Path) -> None:
    name = "Slow " * 50 + "stew"
    page = read(chart_page([dish(tmp_path, name, "1 stock cube")], TODAY))
    assert len(page.rows[0][0]) <= LONGEST_NAME
    assert page.rows[0][0].endswith("…")
    assert name in page.text


def test_text_of_a_recipe_is_inert(tmp_path: Path) -> None:
    result = dish(tmp_path, 'Pie <script>alert(1)</script> "\u202egnp', "1 stock cube <img src=x onerror=alert(1)>")
    for html in (chart_page([result], TODAY), index([('a"b <i>.html', result)], TODAY)):
        page = read(html)
        assert "img" not in page.tags
        assert html.count("<script") == html.count("<script>{") + html.count("<script>// ")
        assert "\u202e" not in html
        assert "<script>alert(1)</script>" in page.text  # shown as text
    assert 'href="./a%22b%20%3Ci%3E.html"' in html


def test_no_page_promises_that_something_is_absent() -> None:
    for html in (chart_page(demos(), TODAY), index([("a.html", result) for result in demos()], TODAY)):
        text = " ".join(read(html).text.lower().split())
        assert "free from" not in text
        assert "free-from" not in text
        assert "no promise that it is absent" in text


def test_no_dish_makes_a_page_all_the_same() -> None:
    assert "There is no dish to show" in chart_page([], TODAY)
    assert "Dishes: 0." in index([], TODAY)


def test_the_same_dishes_make_the_same_page() -> None:
    assert chart_page(demos(), TODAY) == chart_page(demos(), TODAY)


def test_an_address_never_leaves_the_folder() -> None:
    result = demos()[0]
    for name in ("//example.org/x.html", "javascript:alert(1)", "https://example.org"):
        html = index([(name, result)], TODAY)
        address = html.split('<a href="')[1].split('"')[0]
        assert address.startswith("./")
        assert ":" not in address


def test_the_list_marks_what_the_filter_reads(tmp_path: Path) -> None:
    result = dish(tmp_path, "Crackers", "20 g Slipway seed crackers", "2 tbsp pesto")
    html = index([("a.html", result)], TODAY)
    has = html.split('data-has="')[1].split('"')[0].split()
    named = {*result.allergens.contains, *result.allergens.check, *result.allergens.may}
    assert has == [allergen for allergen in ALLERGENS if allergen in named]
    assert 'data-complete="yes"' in html
    assert 'data-complete="no"' in index([("a.html", dish(tmp_path, "Riddle", "100 g zorblax"))], TODAY)


def test_a_figure_nobody_knows_is_not_zero(tmp_path: Path) -> None:
    result = dish(tmp_path, "Riddle", "100 g zorblax")
    assert result.whole.per_portion["salt"] is None
    html = index([("a.html", result)], TODAY)
    assert 'data-salt=""' in html
    assert "not known" in read(html).rows[0][2]
    assert kitchen().tables  # the same kitchen throughout


def test_the_list_of_dishes_says_which_figures_are_too_low(tmp_path: Path) -> None:
    def told(*lines: str) -> str:
        return index([("dish.html", dish(tmp_path, "Plate", *lines))])

    assert "too low: lines not counted: 1" in told("100 g butter", "cod fillet")
    weighed = told("2 kg butter", "5 g zorblax paste")
    assert "too low: lines not counted: 1; known for over 99% of the weight" in weighed
    assert "too low" not in told("100 g butter")
