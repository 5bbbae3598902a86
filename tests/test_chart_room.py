"""The chart on its paper and in a terminal: one sheet for 12 and for 40 dishes, letters for a wall, no word cut.

Dishes and their names are invented. Paper sizes: ISO 216.
"""

from __future__ import annotations

import base64
import datetime
import io
import random
import re
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from nutrilab.allergens import ALLERGENS
from nutrilab.cli import PAPERS as SAID
from nutrilab.cli import main
from nutrilab.results import DishResult
from nutrilab.sheets import chart, chart_page, chart_room
from nutrilab.sheets.chart_page import Cell, Row
from nutrilab.sheets.chart_room import PAPERS, columns, lines
from tests import browser
from tests.dishes import DEMOS, demos, dish
from tests.layout import collisions
from tests.pdf_here import pdf_maker

TODAY = datetime.date(2026, 11, 25)
PLACES = "Harbour Quayside Lantern Breakwater Ropewalk Slipway Lighthouse Boathouse Sandbar Driftwood".split()
SUPPERS = (
    ("smoked haddock chowder", "300 g smoked haddock", "500 ml whole milk", "1 stick celery"),
    ("prawn and leek tart", "200 g prawns", "150 g plain flour", "80 g butter", "2 eggs", "20 g zorblax"),
    ("almond and plum cake", "150 g ground almonds", "100 g butter", "3 eggs", "100 g plain flour"),
    ("lentil stew with mustard", "200 g red lentils", "1 tbsp Dijon mustard", "1 vegetable stock cube"),
    ("seed crackers with pesto", "20 g Slipway seed crackers", "2 tbsp pesto", "50 g plain flour"),
)
SIZES = {"a4": (297, 210), "a3": (420, 297)}  # [mm] on its long side, ISO 216
DARK = 128  # of 255


@cache
def suppers(number: int) -> tuple[DishResult, ...]:
    """So many dishes, each with a name of its own; one in five is not complete."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        made = (SUPPERS[n % len(SUPPERS)] for n in range(number))
        return tuple(
            dish(Path(folder), f"{PLACES[n // 4 % len(PLACES)]} {name} {n + 1}", *lines)
            for n, (name, *lines) in enumerate(made)
        )


@pytest.fixture(params=["weasyprint", "browser"])
def printed(request: pytest.FixtureRequest, tmp_path: Path) -> Callable[[str], bytes]:
    """A page as PDF: by WeasyPrint, and by a browser that prints no backgrounds."""
    if request.param == "weasyprint":
        return pdf_maker()
    browser.shared()
    return lambda html: by_browser(html, tmp_path)


def by_browser(html: str, folder: Path) -> bytes:
    path = folder / "chart.html"
    path.write_text(html, "utf-8")
    with browser.page(path) as page:
        made = page.call("Page.printToPDF", preferCSSPageSize=True, printBackground=False)
    return base64.b64decode(made["data"])


def squeezed(text: str) -> str:
    return "".join(unicodedata.normalize("NFKC", text).split()).replace("\u00ad", "")


def sizes(data: bytes) -> Iterator[tuple[float, str]]:
    """Every stretch of text of a PDF with the size of its letters [pt]."""
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed, so the PDF was not read")
    found: list[tuple[float, str]] = []

    def seen(text: str, cm: list[float], tm: list[float], _: object, size: float) -> None:
        if text.strip():
            turned = [tm[0] * cm[0] + tm[1] * cm[2], tm[0] * cm[1] + tm[1] * cm[3]]
            found.append((size * (turned[0] ** 2 + turned[1] ** 2) ** 0.5, text))

    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        page.extract_text(visitor_text=seen)
    yield from found


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("number", [12, 40])
def test_a_menu_stands_on_one_sheet(number: int, paper: str, printed: Callable[[str], bytes]) -> None:
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed, so the PDF was not read")
    made = printed(chart_page.chart_page(suppers(number), TODAY, paper))
    reader = pypdf.PdfReader(io.BytesIO(made))
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    assert (float(box.width) / 72 * 25.4, float(box.height) / 72 * 25.4) == pytest.approx(SIZES[paper], abs=0.5)
    text = squeezed(reader.pages[0].extract_text())
    assert [one.recipe.dish for one in suppers(number) if squeezed(one.recipe.dish) not in text] == []
    assert [allergen for allergen in ALLERGENS if allergen.capitalize() not in text] == []
    assert [caution for caution in suppers(number)[0].cautions if squeezed(caution) not in text] == []
    said = Counter(one.allergens.cell(allergen) for one in suppers(number) for allergen in ALLERGENS)
    assert text.count("contains") >= said["contains"] + 1  # and once in the legend
    assert text.count("check") >= said["check"] + 1
    assert text.count("notknown") == 1 + sum(
        not one.allergens.cell(allergen) for one in suppers(number) for allergen in ALLERGENS if not one.complete
    )


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("number", [12, 40])
def test_letters_are_as_large_as_is_said(number: int, paper: str, printed: Callable[[str], bytes]) -> None:
    """All of 6 points and more, on A3 as much larger as the sheet is; names as large as the page itself says."""
    html = chart_page.chart_page(suppers(number), TODAY, paper)
    told = {key: float(mm) / 25.4 * 72 for key, mm in re.findall(r"--(names|words): ([\d.]+)mm", html)}
    found = list(sizes(printed(html)))
    assert min(size for size, _ in found) >= (6 if number == 40 else 7) * SIZES[paper][1] / 210 - 0.05
    names = {squeezed(one.recipe.dish) for one in suppers(number)}
    of_names = [size for size, text in found if squeezed(text) in names or "chowder" in text]
    assert of_names
    assert of_names == pytest.approx([told["names"]] * len(of_names), rel=0.01)
    of_words = [size for size, text in found if text.strip() == "contains"]
    assert len(of_words) > number
    assert of_words == pytest.approx([told["words"]] * len(of_words), rel=0.01)


def test_letters_grow_with_the_room_there_is() -> None:
    """What docs/files.md says of a wall: capitals of 2.9 mm and more are read at two metres (see chart_room)."""

    def capitals(number: int, paper: str) -> tuple[float, float]:
        html = chart_page.chart_page(suppers(number), TODAY, paper)
        told = dict(re.findall(r"--(names|words): ([\d.]+)mm", html))
        return float(told["names"]) * chart_room.CAP, float(told["words"]) * chart_room.CAP

    assert min(capitals(12, "a3")) >= 3.3
    assert min(capitals(20, "a3")) >= 2.9
    assert capitals(12, "a4")[0] >= 2.9
    assert capitals(40, "a3")[0] >= 2.5
    for paper in PAPERS:
        few, more, many = (capitals(number, paper) for number in (5, 12, 40))
        assert few[0] > more[0] > many[0]
        assert more[1] > many[1]


def test_pdf_and_browser_print_the_same(tmp_path: Path) -> None:
    to_pdf = pdf_maker()
    browser.shared()
    for number in (5, 12, 40):
        html = chart_page.chart_page(suppers(number), TODAY)
        one, other = browser.pdf_texts(to_pdf(html)), browser.pdf_texts(by_browser(html, tmp_path))
        assert [Counter(squeezed(text)) for text in one] == [Counter(squeezed(text)) for text in other]


def test_more_dishes_than_a_sheet_holds_stand_on_several_alike(printed: Callable[[str], bytes]) -> None:
    results = suppers(30) * 4
    texts = [squeezed(text) for text in browser.pdf_texts(printed(chart_page.chart_page(results, TODAY)))]
    assert len(texts) == 4
    for number, text in enumerate(texts, 1):
        assert f"Sheet{number}of4" in text
        assert all(allergen.capitalize() in text for allergen in ALLERGENS)
        assert all(squeezed(caution) in text for caution in results[0].cautions)
        assert all(squeezed(one.recipe.dish) in text for one in suppers(30))


WORDS = "harbour chowder with a crust of thyme-and-lemon crumbs jalapeño crème fraîche brown butter and leeks".split()


def any_row(roll: random.Random) -> Row:
    """A row as odd as it may be: a name of up to 12 words, any answers, up to three cereals."""
    name = " ".join(roll.choice(WORDS) for _ in range(roll.randint(1, 12)))
    open_ = roll.random() < 0.2
    cells = []
    for allergen in ALLERGENS:
        kinds = roll.choice([("contains",), ("check",), ("check", "may"), (), (), ()]) or (("open",) if open_ else ())
        named = allergen in ("gluten", "nuts") and kinds == ("contains",)
        note = ", ".join(roll.sample(["wheat", "barley", "Brazil nut", "oats"], roll.randint(1, 3))) if named else ""
        cells.append(Cell(allergen, kinds, note, roll.choice([(), ("check",), ("check", "may")]) if named else ()))
    return Row(name, name, tuple(cells), ("1 riddle",) if open_ else (), ())


@pytest.mark.parametrize("seed", range(6))
def test_what_is_fitted_fits(seed: int, printed: Callable[[str], bytes], monkeypatch: pytest.MonkeyPatch) -> None:
    roll = random.Random(seed)
    number = roll.choice([1, 3, 8, 17, 33, 60])
    rows = [any_row(roll) for _ in range(number)]
    left = iter(rows)
    monkeypatch.setattr(chart_page, "_row", lambda _: next(left))
    html = chart_page.chart_page(demos()[:1] * number, TODAY, roll.choice(list(PAPERS)))
    texts = browser.pdf_texts(printed(html))
    assert len(texts) == html.count('<section class="sheet"')
    said = Counter(squeezed(row.name) for row in rows)
    together = "".join(squeezed(text) for text in texts)
    assert all(together.count(name) >= count for name, count in said.items())


@pytest.mark.parametrize(("paper", "width"), [("a4", 1077), ("a3", 1524)])  # [px] the sheet less its margins
@pytest.mark.parametrize("number", [5, 12, 40])
def test_nothing_overlaps_nor_leaves_the_sheet(number: int, paper: str, width: int, tmp_path: Path) -> None:
    path = tmp_path / "chart.html"
    path.write_text(chart_page.chart_page(suppers(number), TODAY, paper), "utf-8")
    with browser.page(path, width, media="print") as page:
        assert collisions(page) == []
        assert page.sideways() == 0
        heads = page.js("[...document.querySelectorAll('.allergen-head span')].map(e => e.getClientRects().length)")
        assert heads == [1] * len(ALLERGENS)  # each on one line


def test_what_is_contained_is_dark_without_any_background(tmp_path: Path) -> None:
    image = pytest.importorskip("PIL.Image", reason="Pillow is not installed, so no picture was looked at")
    path = tmp_path / "chart.html"
    html = chart_page.chart_page(suppers(12), TODAY)
    path.write_text(html.replace("</style>", "* { background: none !important; }</style>", 1), "utf-8")

    def darkness(page: browser.Page, kind: str) -> float:
        """Share of a mark's box that is dark [1]."""
        found = f"document.querySelector('tbody .tag-{kind}').getBoundingClientRect()"
        box = page.js(f"(() => {{ const r = {found}; return [r.x + scrollX, r.y + scrollY, r.width, r.height]; }})()")
        page.screenshot(tmp_path / "mark.png", tuple(box), 4)
        pixels = image.open(tmp_path / "mark.png").convert("L").tobytes()
        return sum(pixel < DARK for pixel in pixels) / len(pixels)

    with browser.page(path, 1077, media="print") as page:
        contains, check = darkness(page, "contains"), darkness(page, "check")
        ink = page.js("getComputedStyle(document.querySelector('tbody .tag-contains')).color")
    assert ink == "rgb(22, 25, 29)"  # of the word too: nothing of it hangs on a background
    assert contains > 0.4
    assert contains > 2 * check


class TestTerminal:
    @pytest.mark.parametrize("width", range(36, 121, 4))
    def test_no_word_is_cut(self, width: int) -> None:
        text = chart.as_text(suppers(12), width)
        assert "…" not in text
        assert max(map(len, text.splitlines())) <= width
        said = text.split()
        assert all(said.count(allergen) >= 1 for allergen in ALLERGENS)
        for one in suppers(12):
            assert [word for word in one.recipe.dish.split() if word not in said] == []

    def test_eighty_columns_hold_six_dishes_a_table(self) -> None:
        assert [len(table) for table in columns(["Harbour fish pie"] * 12, 80 - len("crustaceans"))] == [6, 6]

    def test_nothing_is_left_blank_of_a_dish_that_is_not_complete(self, tmp_path: Path) -> None:
        text = chart.as_text([dish(tmp_path, "Riddle", "100 g zorblax", "20 g butter")], 80)
        marks = dict(line.split() for line in text.splitlines()[1:15] if line.strip())
        assert marks.pop("milk") == "X"
        assert set(marks.values()) == {"open"}
        assert "open: not known" in " ".join(text.split())


class TestLines:
    def test_words_go_on_a_line_while_there_is_room(self) -> None:
        assert lines([3, 3, 3], 10, 0.5) == 1
        assert lines([3, 3, 3], 9.9, 0.5) == 2
        assert lines([], 10, 0.5) == 1

    def test_a_word_wider_than_the_room_is_broken(self) -> None:
        assert lines([25], 10, 1) == 3
        assert lines([2, 25], 10, 1) == 4


class TestCommand:
    def test_the_papers_of_the_command_are_those_of_the_chart(self) -> None:
        assert set(SAID) == set(PAPERS)

    def test_paper_is_for_paper(self) -> None:
        told = CliRunner().invoke(main, ["allergens", str(DEMOS[0]), "--paper", "a3"])
        assert told.exit_code == 2
        assert "--paper" in told.output
        assert told.output.count("\n") == 1

    def test_the_paper_asked_for_is_the_pages(self, tmp_path: Path) -> None:
        for said, size in ((("--paper", "a3"), "420mm 297mm"), ((), "297mm 210mm")):
            target = tmp_path / "chart.html"
            told = CliRunner().invoke(main, ["allergens", str(DEMOS[0]), *said, "-o", str(target)])
            assert told.exit_code == 0, told.output
            assert f"size: {size}" in target.read_text("utf-8")
