"""The shipped font: its licence, its letters, its widths, that pages carry it and hold together in any other."""

from __future__ import annotations

import base64
import csv
import datetime
import io
import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from nutrilab.sheets import lettering, pictures
from nutrilab.sheets.chart_page import chart_page
from nutrilab.sheets.index_page import index
from nutrilab.sheets.label import label
from nutrilab.sheets.page import sheet
from tests import browser
from tests.dishes import DEMOS, demos, dish
from tests.html_tree import read
from tests.layout import LETTERS, collisions, lettered
from tests.pdf_here import pdf_maker

TODAY = datetime.date(2026, 11, 25)
SHEETS = Path(lettering.__file__).parent
FACES = ("regular", "bold")
WIDTHS = (320, 390, 800, 960, 1280)  # [px]
# What a cook of Europe may write, and every sign our own words use
WRITTEN = "crème fraîche, jalapeño, smørrebrød, gruyère, köttbullar, żurek, kołduny, čevapi, tőke, ağız, ţuică, Ærø, ß"
SIGNS = "½ ¼ ¾ ⅓ ⅔ ⅛ ⅜ ⅝ ⅞ ⁄ × ° µ ± ² ³ £ € ¢ % ‰ – — ‘’ “” „ … • · − ≤ ≥ ≈ ™ ® © ′ ″ & < > [ ] { } ~ ^ | \\ @ # *"


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Every kind of page, of demo recipes and of a dish that is hard to lay out."""
    long = dish(
        tmp_path_factory.mktemp("long"),
        "The captain's platter of the regatta with everything on it",
        *(f"20 g {food}" for food in ("wheat flour", "barley", "almonds", "hazelnuts", "cashews", "zorblax", "pesto")),
        "1 vegetable stock cube",
        "50 g slipway seed crackers",
        "1 kg floury potatoes, peeled and cut into chunks of the size of a walnut, then rinsed",
    )
    results = (*demos(), long)
    return {
        "chart": chart_page(results, TODAY),
        "index": index([(f"{one.recipe.dish}.html", one) for one in results], TODAY),
        "label": label(long),
        "long": sheet(long, TODAY, vitamins=True),
        **{path.stem: sheet(one, TODAY) for path, one in zip(DEMOS, demos(), strict=True)},
    }


@cache
def font(face: str) -> Any:
    ttlib = pytest.importorskip("fontTools.ttLib", reason="fontTools reads the shipped font (comes with '.[pdf]')")
    return ttlib.TTFont(io.BytesIO((SHEETS / "fonts" / f"arimo-{face}.woff2").read_bytes()))


class TestFont:
    def test_its_licence_stands_beside_it(self) -> None:
        text = (SHEETS / "fonts" / "OFL.txt").read_text("utf-8")
        assert "SIL OPEN FONT LICENSE Version 1.1" in text
        assert "The Arimo Project Authors" in text
        assert "Reserved Font Name" not in text.split("-----")[0]  # so that the cut version may keep the name

    @pytest.mark.parametrize("face", FACES)
    def test_the_font_names_its_licence_itself(self, face: str) -> None:
        names = {record.nameID: record.toUnicode() for record in font(face)["name"].names}
        assert names[1] == lettering.FAMILY
        assert "SIL Open Font License, Version 1.1" in names[13]

    @pytest.mark.parametrize("face", FACES)
    def test_it_has_every_letter_a_cook_of_europe_writes(self, face: str) -> None:
        known = font(face).getBestCmap()
        assert [letter for letter in WRITTEN + SIGNS if ord(letter) not in known] == []

    def test_it_has_every_letter_of_our_own_words(self) -> None:
        """All that our templates and modules of the sheets say, and all that the demo pages show."""
        known = font("regular").getBestCmap()
        texts = [path.read_text("utf-8") for path in (SHEETS / "templates").iterdir()]
        texts += [read(sheet(one, TODAY)).one("body").text for one in demos()]
        assert {letter for text in texts for letter in text if letter > " " and ord(letter) not in known} == set()

    @pytest.mark.parametrize("face", FACES)
    def test_widths_are_the_fonts_own(self, face: str) -> None:
        full = font(face)
        lines = (SHEETS.parent / "data" / "letter_widths.csv").read_text("utf-8").splitlines()
        rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
        units = full["head"].unitsPerEm
        told = {int(row["code"], 16): int(row[face]) for row in rows}
        assert told == {code: round(1000 * full["hmtx"][name][0] / units) for code, name in full.getBestCmap().items()}

    def test_it_is_small(self) -> None:
        assert sum(path.stat().st_size for path in (SHEETS / "fonts").glob("*.woff2")) < 30_000


class TestWidth:
    def test_a_width_is_the_sum_of_its_letters(self) -> None:
        """Arimo is as wide as Arial: a digit 0.556 of the size, a space 0.278, W 0.944."""
        assert lettering.width("0 W", 10) == pytest.approx(5.56 + 2.78 + 9.44)

    @pytest.mark.parametrize(
        "text", ["400 g skinless cod fillet, cut into chunks", "W" * 40, "i" * 90, "½ tsp 海苔" * 9]
    )
    def test_a_fitted_text_fits_and_says_that_it_was_cut(self, text: str) -> None:
        for room in (30, 100, 172):
            cut = lettering.fitted(text, 12, room)
            assert lettering.width(cut, 12) <= room
            assert cut.endswith("…")
            assert text.startswith(cut[:-1])
            assert lettering.width(cut[:-1] + text[len(cut) - 1 :][:2] + "…", 12) > room  # no letter more would fit

    def test_a_short_text_stays_as_it_is(self) -> None:
        assert lettering.fitted("60 g butter", 12, 172) == "60 g butter"
        assert lettering.fitted("", 12, 172) == ""

    def test_texts_of_pictures_keep_their_width_in_any_font(self) -> None:
        for text in read(sheet(demos()[1], TODAY)).one("main").all("text"):
            assert float(text.attributes["textlength"]) == pytest.approx(
                lettering.width(text.text, pictures.LETTERS), abs=0.06
            )
            assert float(text.attributes["textlength"]) <= pictures.WIDTH

    def test_a_text_the_font_cannot_draw_is_left_to_another(self, tmp_path: Path) -> None:
        one = dish(tmp_path, "Soup", "100 g tofu 豆腐", "20 g butter")
        lengths = [
            "textlength" in text.attributes
            for text in read(sheet(one, TODAY)).one("main").all("text")
            if "豆腐" in text.text
        ]
        assert lengths
        assert not any(lengths)


class TestPages:
    def test_every_page_carries_it_and_may_read_nothing_else(self, pages: dict[str, str]) -> None:
        for name, html in pages.items():
            assert html.count("@font-face") == len(FACES), name
            policy = re.search(r'Content-Security-Policy" content="([^"]+)"', html)
            assert policy
            assert policy[1].startswith("default-src 'none'"), name
            assert re.findall(r"font-src ([^;]*)", policy[1]) == ["data:"], name
            for data in re.findall(r"base64,([^\"]+)\"", html):
                assert base64.b64decode(data)[:4] == b"wOF2"

    def test_the_weight_of_a_page_stays_small(self) -> None:
        assert len(lettering.faces()) < 40_000
        assert all(len(sheet(one, TODAY).encode()) < 100_000 for one in demos())

    @pytest.mark.parametrize("letters", LETTERS)
    def test_nothing_overlaps(self, letters: str, pages: dict[str, str], tmp_path: Path) -> None:
        path = tmp_path / "page.html"
        found = {}
        for name, html in pages.items():
            path.write_text(lettered(html, letters), encoding="utf-8")
            with browser.page(path) as page:
                for width in WIDTHS:
                    page.resize(width)
                    found[name, width] = collisions(page), page.sideways()
        assert {place: faults for place, faults in found.items() if faults != ([], 0)} == {}

    @pytest.mark.parametrize("letters", LETTERS)
    def test_nothing_overlaps_on_paper(self, letters: str, pages: dict[str, str], tmp_path: Path) -> None:
        path = tmp_path / "page.html"
        for name, html in pages.items():
            path.write_text(lettered(html, letters), encoding="utf-8")
            with browser.page(path, 1077 if name == "chart" else 733, media="print") as page:  # [px] A4 less margins
                assert collisions(page) == [], name

    def test_the_shipped_font_is_what_is_drawn_with(self, tmp_path: Path) -> None:
        path = tmp_path / "page.html"
        path.write_text(sheet(demos()[1], TODAY), encoding="utf-8")
        with browser.page(path) as page:
            states = page.js("[...document.fonts].map(f => [f.family, f.weight, f.status])")
            wide = page.js("(() => { const r = document.createRange(); const e = document.querySelector('h1');"
                           "r.selectNodeContents(e); return r.getBoundingClientRect().width; })()")  # fmt: skip
            size = page.js("parseFloat(getComputedStyle(document.querySelector('h1')).fontSize)")
        assert sorted(states) == [["Arimo", "400", "loaded"], ["Arimo", "700", "loaded"]]
        bold = {chr(code): font("bold")["hmtx"][name][0] / 2048 for code, name in font("bold").getBestCmap().items()}
        expected = size * sum(bold[letter] for letter in "Harbour fish pie")
        assert wide == pytest.approx(expected, rel=0.05)  # a machine may round each letter

    @pytest.mark.parametrize(
        "fault",
        [
            "position: relative; left: 40px",  # a cell's words over the next
            "white-space: nowrap; position: absolute; top: 0",  # out of its place, over the heading
            "margin-right: -60px",
        ],
    )
    def test_the_check_itself_finds_an_overlap(self, fault: str, tmp_path: Path) -> None:
        html = sheet(demos()[1], TODAY).replace("</style>", f".figures tbody td strong {{ {fault} }}</style>", 1)
        path = tmp_path / "page.html"
        path.write_text(html, encoding="utf-8")
        with browser.page(path, 1280) as page:
            assert collisions(page) != []


@pytest.mark.parametrize("make", [lambda: sheet(demos()[1], TODAY), lambda: label(demos()[1])])
def test_a_pdf_holds_the_shipped_font_and_no_other(make: Callable[[], str]) -> None:
    to_pdf = pdf_maker()
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed, so the PDF was not read")
    names = set()
    for page in pypdf.PdfReader(io.BytesIO(to_pdf(make()))).pages:
        for one in page["/Resources"]["/Font"].values():
            names.add(str(one.get_object()["/BaseFont"]).split("+")[1])
    assert {"Arimo", "Arimo-Bold"} <= names
    assert all(name.startswith("Arimo") for name in names)
