"""The sheet of a dish as it looks: its pictures, its contrast, on paper and in a browser."""

from __future__ import annotations

import datetime
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from nutrilab.cooking.errors import Cause
from nutrilab.doubt import REST, doubts
from nutrilab.foods import embedded
from nutrilab.kitchen import DishResult, Kitchen
from nutrilab.law.rounding import ORDER
from nutrilab.messages import say
from nutrilab.recipe import read_recipe
from nutrilab.records import dish_record
from nutrilab.settling import settle_first
from nutrilab.sheets import pictures
from nutrilab.sheets.page import sheet
from nutrilab.tracing import IN_COOKING, brings, sureness_of
from tests import browser
from tests.dishes import DEMOS, demos, dish
from tests.html_tree import Element, read
from tests.layout import LETTERS, collisions, lettered
from tests.test_pages_browser import PALE

TODAY = datetime.date(2026, 11, 25)
TEMPLATES = Path(__file__).parents[1] / "nutrilab" / "sheets" / "templates"
NAMES = [path.stem for path in DEMOS]
HOSTILE = "<script>alert(1)</script>\"'><b onclick=x>&amp;<!-- \u202e\x1b[31m ]]> {{ 7*7 }}"
EVERYTHING = (
    "plain flour,rye flour,barley,oats,prawns,eggs,cod,peanuts,soy sauce,milk,almonds,hazelnuts,walnuts,cashews,celery,"
    "Dijon mustard,sesame seeds,white wine,lupin flour,mussels,chicken stock cube,Worcestershire sauce,pesto,"
    "curry paste,sausages,Slipway seed crackers,chocolate,mincemeat,ready-made pastry"
).split(",") * 3
LARGE = [f"{20 + n} g {food}" for n, food in enumerate(("butter", "plain flour", "celery", "cheddar") * 10)]


def result(name: str) -> DishResult:
    return demos()[NAMES.index(name)]


@cache
def page(name: str) -> Element:
    return read(sheet(result(name), TODAY))


@pytest.fixture(params=NAMES)
def demo(request: pytest.FixtureRequest) -> str:
    return str(request.param)


class TestPictures:
    @pytest.mark.parametrize("key", ["energy_kcal", "salt"])
    def test_bars_are_as_long_as_what_they_stand_for(self, demo: str, key: str) -> None:
        drawn = pictures.what_brings(result(demo), key, "calories")
        assert drawn is not None
        amounts = [one.amount for one in brings(result(demo), key) if one.stage or one.text != IN_COOKING]
        lines = [bar.width for bar in drawn.bars if bar.kind == "line"]
        others = [bar.width for bar in drawn.bars if bar.kind == "others"]
        scale = lines[0] / amounts[0]
        assert lines == pytest.approx([amount * scale for amount in amounts[: len(lines)]])
        assert sum(lines) + sum(others) == pytest.approx(sum(amounts) * scale)
        assert max(bar.width for bar in drawn.bars) == pytest.approx(pictures.BARS_TO - pictures.BARS_FROM)

    def test_ranges_lie_where_their_numbers_say(self, demo: str) -> None:
        whole, drawn = result(demo).whole, pictures.how_sure(result(demo))
        (_, left), (_, right) = drawn.marks
        low, high = (float(text.replace("−", "-").rstrip("%")) / 100 + 1 for text, _ in drawn.marks)
        scale = (right - left) / (high - low)
        assert drawn.figure == pytest.approx(left + (1 - low) * scale)
        for key, span in zip([k for k in ORDER if k != "energy_kj"], drawn.spans, strict=True):
            value, ends = whole.per_portion[key], whole.per_portion_range[key]
            assert value
            assert ends is not None
            assert span.x == pytest.approx(left + (ends[0] / value - low) * scale)
            shown = min(ends[1] / value, high)  # farther than the picture reaches there is an arrow
            assert span.beyond is (ends[1] / value > high)
            assert span.width == pytest.approx(max(2.0, (shown - ends[0] / value) * scale))

    def test_the_strip_of_sureness_adds_up(self, demo: str) -> None:
        pieces = pictures.how_sure(result(demo)).pieces
        assert sum(piece.width for piece in pieces) == pytest.approx(pictures.WIDTH)
        shares = sureness_of(result(demo))
        assert {p.sureness: p.width / pictures.WIDTH for p in pieces} == pytest.approx(
            {sure: share for sure, share in shares.items() if share}
        )

    @pytest.mark.parametrize(("times", "beyond"), [(2.9, False), (3.5, True)])
    def test_a_range_too_wide_to_draw_has_an_arrow(self, times: float, beyond: bool) -> None:
        one = result(NAMES[0])
        salt = one.whole.per_portion["salt"]
        assert salt
        wide = {**one.whole.per_portion_range, "salt": (0.5 * salt, times * salt)}
        one = replace(one, whole=replace(one.whole, per_portion_range=wide))
        span = pictures.how_sure(one).spans[-1]
        assert span.beyond is beyond
        assert span.x is not None
        assert span.width is not None
        assert span.x >= pictures.SPANS_FROM
        assert span.x + span.width <= pictures.SPANS_TO + 0.01
        arrow = "l6 5l-6 5"
        assert (arrow in sheet(one)) is beyond

    def test_small_shares_never_read_nothing_nor_all(self) -> None:
        assert [pictures.percent(s) for s in (0.0, 0.001, 0.5, 0.999, 1.0, -0.25)] == [
            "0%", "under 1%", "50%", "over 99%", "100%", "−25%",
        ]  # fmt: skip

    def test_bars_differ_by_more_than_colour(self) -> None:
        """Each bar has an outline, kinds differ in lightness by a fifth of the scale at least."""
        drawing = (TEMPLATES / "pictures.svg.j2").read_text("utf-8")
        fills = dict(re.findall(r'"(line|others|cooking)": "(#\w{6})"', drawing))
        lights = sorted(luminance(fill) ** (1 / 2.2) for fill in fills.values())
        assert len(lights) == 3
        assert all(b - a > 0.2 for a, b in pairwise(lights))
        assert len(re.findall(r"<rect[^>]*stroke=", drawing)) == len(re.findall(r'<rect (?!width="[56]")', drawing))

    def test_causes_of_doubt_add_up_and_are_named(self, demo: str) -> None:
        drawn = pictures.what_is_in_doubt(result(demo))
        assert drawn is not None
        told = doubts(result(demo))
        for bar in drawn.bars:
            assert sum(cause.width for cause in bar.causes) == pytest.approx(pictures.WIDTH, rel=0.02)
            for cause in bar.causes:
                share = sum(one.share for one in told[bar.key] if one.cause == cause.cause)
                assert cause.width == pytest.approx(share * pictures.WIDTH)
                assert cause.text in drawn.words
                assert cause.label in drawn.words

    def test_every_cause_of_doubt_has_its_own_sign_and_words(self) -> None:
        drawing = (TEMPLATES / "pictures.svg.j2").read_text("utf-8")
        signs = dict(re.findall(r'"(\w+)": "(#\w{6}|url\(#[\w-]+\))"', drawing.split("set signs")[1]))
        assert set(signs) == {*map(str, Cause), REST}
        assert len(set(signs.values())) == len(signs)
        assert all(say(f"sheet.cause.{cause}") for cause in signs)


def squeezed(text: str) -> str:
    """Text without spaces, as a printer breaks lines where it likes, and with ligatures taken apart."""
    return "".join(unicodedata.normalize("NFKC", text).split())


def lacking(one: DishResult, page: str) -> list[str]:
    """What a sheet declares that a page of it does not say: the answer, the allergens, the figures."""
    told = dish_record(one)
    said = [*told["declared_per_portion"].values(), *told["declared_per_100g"].values(), *ORDER.values(), "A portion:"]
    for kind, words in (("contains", "contains"), ("check", "check the pack"), ("may_contain", "may contain")):
        if told["allergens"][kind]:
            said += [words, *told["allergens"][kind]]
    if told["allergens"]["unresolved"]:
        said.append("NOT COMPLETE: these lines were not understood")
    return [words for words in said if squeezed(words) not in page]


def luminance(colour: str) -> float:
    """Relative luminance of a colour #rrggbb [0 to 1]; WCAG 2.1, definition of relative luminance."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """WCAG 2.1, definition of contrast ratio [1 to 21]."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


class TestContrast:
    STYLES = sorted(TEMPLATES.glob("*.css"))

    @staticmethod
    def rules(style: str) -> Iterator[tuple[str, dict[str, str]]]:
        """Selectors and declarations, colours with their names put in."""
        style = re.sub(r"/\*.*?\*/", "", style, flags=re.S)
        names = dict(re.findall(r"(--[\w-]+):\s*(#\w{6})", (TEMPLATES / "style.css").read_text("utf-8")))
        for selector, body in re.findall(r"([^{}]+)\{([^{}]*)\}", style):
            pairs = [part.split(":", 1) for part in body.split(";") if ":" in part]
            known = {key.strip(): value.strip() for key, value in pairs}
            yield (
                selector.strip(),
                {k: re.sub(r"var\((--[\w-]+)\)", lambda m: names.get(m[1], m[0]), v) for k, v in known.items()},
            )

    def test_the_ratio_is_the_published_one(self) -> None:
        """WCAG 2.1: black on white is 21:1; #767676 on white is the lightest grey above 4.5:1 (from memory)."""
        assert contrast("#000000", "#ffffff") == pytest.approx(21)
        assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)

    @pytest.mark.parametrize("path", STYLES, ids=lambda path: path.name)
    def test_every_ink_reads_on_all_that_stands_behind_it(self, path: Path) -> None:
        every = [rule for style in self.STYLES for rule in self.rules(style.read_text("utf-8"))]
        behind = {
            own["background"]
            for _, own in every
            if re.fullmatch(r"#\w{6}", own.get("background", "")) and own.get("color", "#16191d") == "#16191d"
        }
        assert "#ffffff" in behind
        for selector, own in self.rules(path.read_text("utf-8")):
            ground, ink = own.get("background", own.get("background-color", "")), own.get("color", "")
            if re.match("#", ground):
                assert ink, f"{selector} sets a background and no ink"
            for other in {ground} if re.match("#", ground) else behind:
                if re.match("#", ink):
                    assert contrast(ink, other) >= 4.5, (selector, ink, other)

    def test_every_ink_reads_in_the_dark(self) -> None:
        """By the colours of dark.css: ink, soft and links on paper and tint; the answer turned round."""
        names = dict(
            re.findall(r"(--[\w-]+):\s*(#\w{6})", (TEMPLATES / "dark.css").read_text("utf-8").split("figure")[0])
        )
        for ink in ("--ink", "--soft", "--link"):
            for ground in ("--paper", "--tint"):
                assert contrast(names[ink], names[ground]) >= 4.5, (ink, ground)

    def test_letters_of_pictures_are_ink_on_paper(self, demo: str) -> None:
        for text in page(demo).one("main").all("text"):
            assert contrast(text.attributes["fill"], "#ffffff") >= 4.5


class TestInABrowser:
    """Skipped where there is no Chromium. What holds for all pages alike is in test_pages_browser.py."""

    def test_page_1_holds_answer_allergens_and_figures(self, demo: str, tmp_path: Path) -> None:
        texts = self.printed(tmp_path, sheet(result(demo), TODAY))
        assert lacking(result(demo), texts[0]) == []
        assert all(squeezed(caution) in texts[0] for caution in result(demo).cautions)
        assert squeezed("Why each allergen is named") in texts[0]
        assert all(squeezed(one.do) in texts[0] for one in settle_first(result(demo)))

    def test_no_page_holds_a_few_lines_alone(self, demo: str, tmp_path: Path) -> None:
        """What is folded away on a screen is printed, and the last page holds the pictures and the sources at least."""
        path = tmp_path / "sheet.html"
        path.write_text(sheet(result(demo), TODAY), "utf-8")
        with browser.page(path) as opened:
            texts = browser.pdf_texts(opened.pdf())
        assert all(len(text.splitlines()) > 12 for text in texts)
        whole = squeezed("".join(texts))
        for words in ("Line by line", "What brings the calories and the salt", "Food composition: USDA National"):
            assert squeezed(words) in whole

    def test_contains_is_dark_on_paper_without_backgrounds(self, tmp_path: Path) -> None:
        path = tmp_path / "sheet.html"
        path.write_text(sheet(result("harbour-fish-pie"), TODAY), "utf-8")
        looks = """(() => { const s = getComputedStyle(document.querySelector(".tag-contains"));
            return [s.color, s.backgroundColor, parseFloat(s.borderTopWidth), s.borderTopColor, s.fontWeight]; })()"""
        with browser.page(path, width=733, media="print") as opened:
            ink, ground, frame, edge, weight = opened.js(looks)
        assert (ink, edge, ground, weight) == ("rgb(22, 25, 29)", "rgb(22, 25, 29)", "rgb(255, 255, 255)", "700")
        assert frame >= 3  # [px]

    @pytest.mark.parametrize("width", [320, 390, 1280])
    def test_letters_of_pictures_are_of_12_pixels_and_more(self, demo: str, width: int, tmp_path: Path) -> None:
        path = tmp_path / "sheet.html"
        path.write_text(sheet(result(demo), TODAY), "utf-8")
        smallest = """(() => { document.querySelector("details").open = true;
            return Math.min(...[...document.querySelectorAll("figure > svg text")].map(e => {
                const svg = e.closest("figure > svg");
                const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
                return parseFloat(getComputedStyle(e).fontSize) * scale; })); })()"""
        with browser.page(path, width=width) as opened:
            assert opened.js(smallest) >= 12

    @pytest.mark.parametrize("width", [390, 1280])
    def test_dark_where_the_reader_asks_for_it(self, width: int, tmp_path: Path) -> None:
        path = tmp_path / "sheet.html"
        path.write_text(sheet(result("harbour-fish-pie"), TODAY), "utf-8")
        with browser.page(path, width=width) as opened:
            ground = "getComputedStyle(document.body).backgroundColor"
            assert opened.js(ground) == "rgb(255, 255, 255)"
            dark = [{"name": "prefers-color-scheme", "value": "dark"}]
            opened.call("Emulation.setEmulatedMedia", features=dark)
            assert opened.js(ground) == "rgb(20, 23, 26)"
            assert collisions(opened) == []  # which unfolds what is folded away
            assert opened.js(PALE) == []
            opened.call("Emulation.setEmulatedMedia", media="print", features=dark)
            assert opened.js(ground) == "rgb(255, 255, 255)"

    @pytest.mark.parametrize("width", [390, 1280])
    def test_the_answer_stands_on_the_first_screen(self, demo: str, width: int, tmp_path: Path) -> None:
        path = tmp_path / "sheet.html"
        path.write_text(sheet(result(demo), TODAY), "utf-8")
        bottoms = """["p.answer", ".answers, #allergens p", ".complete, .warning", "#settle h2"].map(
            s => document.querySelector(s).getBoundingClientRect().bottom)"""
        with browser.page(path, width=width, height=844) as opened:
            found = opened.js(bottoms)
        assert found == sorted(found)
        assert found[-1] < 844

    @pytest.mark.parametrize("dishes", ["of 40 lines", "of all allergens", "nobody understands"])
    @pytest.mark.parametrize("letters", LETTERS)
    def test_page_1_of_a_long_dish_still_holds_them(self, dishes: str, letters: str, tmp_path: Path) -> None:
        lines = {
            "of 40 lines": LARGE,
            "of all allergens": [f"20 g {food}, {'very finely chopped ' * 8}" for food in EVERYTHING],
            "nobody understands": [f"20 g zorblax of the {n}th kind {'blah ' * 60}" for n in range(15)] + LARGE,
        }[dishes]
        one = dish(tmp_path, "The captain's platter of the regatta with everything on it", *lines)
        assert lacking(one, self.printed(tmp_path, lettered(sheet(one, TODAY), letters))[0]) == []

    def test_a_cut_on_paper_is_a_cut_on_paper_only(self, tmp_path: Path) -> None:
        name = "A pie " + "of everything the harbour holds " * 30
        html = sheet(dish(tmp_path, name, "100 g butter"), TODAY)
        assert squeezed("holds o…") in self.printed(tmp_path, html)[0]
        path = tmp_path / "sheet.html"
        with browser.page(path) as opened:
            assert opened.text("h1") == name.strip()

    def test_evidence_is_shortened_on_paper(self, tmp_path: Path) -> None:
        """The same source is said once, and a line longer than anybody would print ends in an ellipsis."""
        one = dish(tmp_path, "Bread", *(f"{n}00 g {cereal} flour" for n in range(1, 90) for cereal in ("wheat", "rye")))
        assert len(one.allergens.contains["gluten"]) > 10
        text = "".join(self.printed(tmp_path, sheet(one, TODAY)))
        assert squeezed("lines 1, 3, 5, 7") in text
        assert squeezed("…") in text

    @staticmethod
    def printed(folder: Path, html: str) -> list[str]:
        """The squeezed text of each page."""
        path = folder / "sheet.html"
        path.write_text(html, "utf-8")
        with browser.page(path) as opened:
            return [squeezed(text) for text in browser.pdf_texts(opened.pdf())]

    def test_letters_on_paper_are_of_8_points_and_more(self, demo: str, tmp_path: Path) -> None:
        path = tmp_path / "sheet.html"
        path.write_text(sheet(result(demo), TODAY), "utf-8")
        smallest = """Math.min(...[...document.querySelectorAll("body *")]
            .filter(e => e.getClientRects().length && [...e.childNodes].some(n => n.nodeType == 3 && n.data.trim()))
            .map(e => { const svg = e.closest("figure > svg");
                const scale = svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1;
                return parseFloat(getComputedStyle(e).fontSize) * scale * 0.75; }))"""
        with browser.page(path, width=733, media="print") as opened:  # [px] A4 less the margins of @page
            assert opened.js(smallest) >= 7.99

    @pytest.mark.parametrize("width", [320, 360, 800, 960])
    def test_read_without_scrolling_sideways_or_a_script(self, demo: str, width: int, tmp_path: Path) -> None:
        path = tmp_path / "sheet.html"
        path.write_text(sheet(result(demo), TODAY), "utf-8")
        with browser.page(path, width=width) as opened:
            assert opened.errors == []
            assert opened.requests == []
            assert opened.sideways() == 0
            assert collisions(opened) == []
            told = dish_record(result(demo))["declared_per_portion"]
            assert opened.texts("#figures td[data-per=portion]") == [told[key] for key in ORDER]

    def test_a_hostile_dish_stays_on_the_page(self, tmp_path: Path) -> None:
        path = tmp_path / "sheet.html"
        path.write_text(sheet(dish(tmp_path, "y" * 10_000, f"50 g {HOSTILE}", "x" * 10_000), TODAY), "utf-8")
        with browser.page(path, width=360) as opened:
            assert opened.errors == []
            assert opened.sideways() == 0

    @pytest.mark.parametrize("width", [320, 390, 733, 1280])
    def test_a_method_as_read_stays_whole(self, width: int, tmp_path: Path) -> None:
        """Its weights stand on one line each, on a narrow screen and a wide one."""
        recipe = tmp_path / "mussels.txt"
        recipe.write_text(
            "Slack-water mussels with cider\nServes 4\n1.5 kg mussels, in the shell\n2 shallots, finely chopped\n"
            "25 g butter\n300 ml stock\ncrusty bread, to serve\n"
            "Method\nSoften the shallots in the butter for 5 minutes.\n"
            "Pour in the stock and bring to the boil. Add the mussels, cover and steam for 4 minutes.\n",
            "utf-8",
        )
        path = tmp_path / "sheet.html"
        path.write_text(sheet(Kitchen([embedded()]).dish(read_recipe(recipe)), TODAY), "utf-8")
        lines = """[...document.querySelectorAll('#method td.number, #method th.number')].map(e => {
            const range = document.createRange(); range.selectNodeContents(e);
            return new Set([...range.getClientRects()].map(r => Math.round(r.top))).size; })"""
        with browser.page(path, width=width) as opened:
            assert opened.sideways() == 0
            assert collisions(opened) == []
            assert len(opened.texts("#method td.number")) >= 3
            if width > 768:
                assert set(opened.js(lines)) == {1}
