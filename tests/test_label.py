"""The label of packed food: what stands in its border, its figures against the record, what is said beside it."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from nutrilab.datafiles import rows
from nutrilab.recipe import read_recipe
from nutrilab.records import dish_record
from nutrilab.sheets.because import because
from nutrilab.sheets.label import label
from nutrilab.sheets.lettering import faces
from nutrilab.sheets.safe import plain
from tests import browser
from tests.dishes import DEMOS, demos, dish, kitchen
from tests.html_tree import Element, read

NAMES = [path.stem for path in DEMOS]
HOSTILE = "<script>alert(1)</script>\"'><b onclick=x>&amp;<!-- \u202e\x1b[31m ]]> {{ 7*7 }}"


@cache
def page(name: str) -> Element:
    return read(label(demos()[NAMES.index(name)]))


def record(name: str) -> dict[str, Any]:
    return dish_record(demos()[NAMES.index(name)])


def inside(tree: Element) -> Element:
    return tree.one("article", class_="label")


def beside(tree: Element) -> Element:
    return tree.one("aside")


@pytest.fixture(params=NAMES)
def demo(request: pytest.FixtureRequest) -> str:
    return str(request.param)


class TestInTheBorder:
    def test_the_name_comes_first(self, demo: str) -> None:
        assert inside(page(demo)).text.startswith(record(demo)["dish"])

    def test_every_figure_is_the_records(self, demo: str) -> None:
        told = record(demo)
        figures = [e for e in inside(page(demo)).walk() if "data-figure" in e.attributes]
        shown = {(e.attributes["data-per"], e.attributes["data-figure"]): e.text for e in figures}
        assert len(figures) == len(shown) == 18
        for key in told["declared_per_100g"]:
            assert shown["100g", key] == told["declared_per_100g"][key]
            assert shown["portion", key] == told["declared_per_portion"][key]

    def test_a_table_in_the_regulations_order_with_kilojoules_before_kilocalories(self, demo: str) -> None:
        """Regulation (EU) No 1169/2011, Annex XV and Article 34(2)."""
        table = inside(page(demo)).one("table")
        assert table.one("caption").text == "Nutrition declaration"
        assert [th.text for th in table.all("th", scope="row")] == [
            "Energy", "Fat", "of which saturates", "Carbohydrate", "of which sugars", "Fibre", "Protein", "Salt",
        ]  # fmt: skip
        for cell in table.one("tbody").all("tr")[0].all("td"):
            assert re.fullmatch(r"\d+ kJ / \d+ kcal", cell.text)

    def test_numbers_are_aligned(self, demo: str) -> None:
        """Article 34(2): in tabular format with the numbers aligned."""
        cells = inside(page(demo)).all("td")
        assert len(cells) == 16
        assert all(cell.has("class", "number") for cell in cells)
        style = "".join(e.raw for e in page(demo).all("style"))
        assert re.search(r"\.number \{ text-align: right; font-variant-numeric: tabular-nums; \}", style)

    def test_the_portion_is_quantified(self, demo: str) -> None:
        """Article 33: what the portion is stands beside the figures for it."""
        heads = [th.text for th in inside(page(demo)).all("th", scope="col")]
        assert heads[1:] == ["per 100 g", f"per portion ({record(demo)['portion_weight_g']:.0f} g)"]

    def test_allergens_of_the_list_are_emphasised(self, demo: str) -> None:
        """Article 21(1)(b): by a typeset that sets them apart from the rest of the list."""
        entries = record(demo)["ingredients_list"]["entries"]
        wanted = [run["text"] for entry in entries for run in entry["runs"] if run["kind"] == "allergen"]
        list_of = inside(page(demo)).one("p", class_="ingredients")
        assert [e.text for e in list_of.all("strong", class_="allergen")] == wanted
        said = list_of.text
        for entry in entries:
            words = " ".join(plain("".join(run["text"] for run in entry["runs"] if run["kind"] != "check")).split())
            assert words in said
            said = said[said.index(words) + len(words) :]  # in the order of the list

    def test_what_the_cook_has_to_fill_in_is_a_number_there_and_words_beside_it(self, demo: str) -> None:
        """The frame holds nothing for the cook to read: no pack to look at, no place to put something."""
        entries = record(demo)["ingredients_list"]["entries"]
        wanted = [run["text"].strip(" []") for entry in entries for run in entry["runs"] if run["kind"] == "check"]
        blanks = [e.text for e in inside(page(demo)).all("span", class_="blank")]
        assert blanks == [f"[{number}]" for number in range(1, len(wanted) + 1)]
        assert not re.search("pack|check|weighed", inside(page(demo)).text)
        beside_it = beside(page(demo)).text
        for blank, words in zip(blanks, wanted, strict=True):
            assert re.search(rf"{re.escape(blank)} [^\[]*{re.escape(words)}", beside_it), (blank, words)
        above = page(demo).one("main").text.split(record(demo)["dish"])[0]
        assert ("Not ready to use" in above) == bool(wanted)

    def test_no_caution_stands_in_it(self, demo: str) -> None:
        said = inside(page(demo)).text
        assert not [caution for caution in record(demo)["allergens"]["cautions"] if caution in said]

    def test_may_contain_of_a_pack_is_passed_on(self, tmp_path: Path) -> None:
        tree = read(label(dish(tmp_path, "Crackers and butter", "50 g slipway seed crackers", "10 g butter")))
        assert "May contain: milk, nuts." in inside(tree).text
        assert "Slipway seed crackers" in beside(tree).text

    def test_a_dish_that_is_not_complete_says_so_in_the_border(self, tmp_path: Path) -> None:
        tree = read(label(dish(tmp_path, "Buttered zorblax", "50 g butter", "200 g zorblax paste")))
        assert "NOT COMPLETE: do not use this label." in inside(tree).text
        assert "200 g zorblax paste" not in inside(tree).text
        above = tree.one("main").text
        words = (
            "NOT COMPLETE: these lines were not understood, so allergens may be missing and the figures may be wrong"
        )
        assert f"{words}: 200 g zorblax paste." in above[: above.index("do not use this label")]

    def test_a_complete_dish_does_not(self, tmp_path: Path) -> None:
        assert "NOT COMPLETE" not in read(label(dish(tmp_path, "Butter", "50 g butter"))).text

    def test_what_is_not_known_is_no_zero(self, tmp_path: Path) -> None:
        tree = read(label(dish(tmp_path, "Zorblax", "200 g zorblax paste")))
        figures = [e.text for e in inside(tree).walk() if "data-figure" in e.attributes]
        assert figures == ["not known"] * 18

    def test_an_ingredient_nobody_weighed_is_marked(self, tmp_path: Path) -> None:
        tree = read(label(dish(tmp_path, "Butter and zorblax", "50 g butter", "some zorblax powder")))
        assert "zorblax powder [1]" in inside(tree).text
        assert "[1] zorblax powder: nobody weighed it, so put it in the place of its weight" in beside(tree).text


class TestBesideIt:
    def test_every_caution(self, demo: str) -> None:
        said = beside(page(demo)).text
        assert all(caution in said for caution in record(demo)["allergens"]["cautions"])

    def test_every_pack_to_check_with_what_to_look_for(self, demo: str) -> None:
        said = beside(page(demo)).text
        result = demos()[NAMES.index(demo)]
        wanted = [one for one in because(result) if one.kind == "check"]
        assert {one.allergen for one in wanted} >= set(record(demo)["allergens"]["check"])
        for one in wanted:
            too = " too, though it is contained already" if one.allergen in result.allergens.contains else ""
            assert f"Check the pack for {one.allergen}{too}: {' '.join(one.why.split())}" in said

    def test_which_allergens_must_stand_out(self, demo: str) -> None:
        told = record(demo)["allergens"]["named"]
        assert f"These must stand out in the list: {', '.join(told)}." in beside(page(demo)).text

    def test_what_else_the_law_asks_for(self, demo: str) -> None:
        said = beside(page(demo)).text
        particulars = rows("label_particulars.csv")
        assert len(particulars) >= 7
        assert all(row["particular"] in said and row["source"] for row in particulars)

    def test_figures_that_are_too_low(self, tmp_path: Path) -> None:
        tree = read(label(dish(tmp_path, "Buttered zorblax", "50 g butter", "200 g zorblax paste")))
        assert re.search("(?i)too low.*: energy, fat, saturates", beside(tree).text)
        assert "too low" not in beside(read(label(dish(tmp_path, "Butter", "50 g butter")))).text

    def test_nothing_found_is_no_promise(self, tmp_path: Path) -> None:
        said = beside(read(label(dish(tmp_path, "Sugar", "50 g caster sugar")))).text
        assert "no promise that it is absent" in said
        assert "These must stand out" not in said

    def test_a_drink_is_declared_by_volume(self, tmp_path: Path) -> None:
        """100 g sugar and 1000 g water: 9.09 g sugar in 100 g; at 1.036 g/ml (Choi, Okos) 9.4 g in 100 ml."""
        path = tmp_path / "cordial.yaml"
        path.write_text("dish: Cordial\nportions: 4\ndrink: true\ningredients: [1 litre water, 100 g sugar]\n", "utf-8")
        text = read(label(kitchen().dish(read_recipe(path)))).text
        assert "per 100 ml" in text
        assert "per portion (266 ml)" in text
        assert "9.4 g" in text
        assert "A drink" not in beside(page(NAMES[0])).text


class TestPage:
    def test_language_headings_and_heads_of_the_table(self, demo: str) -> None:
        tree = page(demo)
        assert tree.one("html").attributes["lang"] == "en-GB"
        assert [e.tag for e in tree.walk() if re.fullmatch("h[1-6]", e.tag)] == ["h1", "h2"]
        assert all(th.attributes.get("scope") and th.text for th in tree.all("th"))

    def test_needs_nothing_beside_itself_and_no_script(self, demo: str) -> None:
        tree = page(demo)
        assert not tree.all("script")
        assert not [e for e in tree.walk() if {"src", "href", "srcset", "data", "action"} & set(e.attributes)]
        style = "".join(e.raw for e in tree.all("style"))
        assert "url(" not in style.replace(faces(), "")
        assert "@import" not in style

    def test_letters_are_tall_enough(self) -> None:
        """Article 13(2): the small x 1.2 mm and more. Arial's is 0.519 of the size (its OS/2 table, from memory)."""
        style = (Path(__file__).parents[1] / "nutrilab/sheets/templates/label.css").read_text("utf-8")
        shared = (Path(__file__).parents[1] / "nutrilab/sheets/templates/style.css").read_text("utf-8")
        printed = style[style.index("@media print") :] + shared[shared.index("@media print") :]
        sizes = [float(size) for size in re.findall(r"font-size: ([\d.]+)pt", printed)]
        assert sizes
        assert min(sizes) * 25.4 / 72 * 0.519 >= 1.2

    def test_a_hostile_dish_is_inert(self, tmp_path: Path) -> None:
        html = label(dish(tmp_path, f"Pie {HOSTILE} " + "y" * 10_000, f"100 g butter {HOSTILE}", HOSTILE, "x" * 10_000))
        tree = read(html)
        assert not tree.all("script")
        assert not [e for e in tree.walk() if any(name.startswith("on") for name in e.attributes)]
        assert "<!--" not in html
        assert not re.search("[\x00-\x08\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069]", html)
        assert "<script>alert(1)</script>" in inside(tree).text
        assert "49" not in tree.one("h1").text


class TestInABrowser:
    """Skipped where there is no Chromium."""

    @pytest.mark.parametrize("width", [320, 360, 800])
    def test_read_without_scrolling_sideways(self, demo: str, width: int, tmp_path: Path) -> None:
        path = tmp_path / "label.html"
        path.write_text(label(demos()[NAMES.index(demo)]), "utf-8")
        with browser.page(path, width=width, script=False) as opened:
            assert opened.errors == []
            assert opened.requests == []
        with browser.page(path, width=width) as opened:
            assert opened.sideways() == 0
            told = record(demo)
            shown = opened.texts("[data-per=portion]")
            assert shown == list(told["declared_per_portion"].values())

    @pytest.mark.parametrize(("width", "media"), [(320, ""), (390, ""), (1280, ""), (733, "print")])
    def test_titles_stay_on_one_line_and_units_with_their_numbers(self, width: int, media: str, tmp_path: Path) -> None:
        path = tmp_path / "label.html"
        for result in demos():
            path.write_text(label(result), "utf-8")
            with browser.page(path, width=width, media=media) as opened:
                found = "[...document.querySelectorAll('.label tbody th, .label td span, .label .nowrap')]"
                lines = "const r = document.createRange(); r.selectNodeContents(e); return r.getClientRects().length;"
                broken = opened.js(
                    f"{found}.filter(e => {{ {lines.replace('return', 'return 1 <')} }}).map(e => e.innerText)"
                )
                assert opened.js(f"{found}.length") == 8 + 2 * 9 + 1
                assert broken == []
            text = read(label(result)).one("article").raw
            assert re.findall(r"\d (?:g|kJ|kcal|ml|%)\b", text) == []  # a common space may break

    def test_on_paper_energy_takes_one_line_and_the_label_stays_whole(self, demo: str, tmp_path: Path) -> None:
        path = tmp_path / "label.html"
        path.write_text(label(demos()[NAMES.index(demo)]), "utf-8")
        with browser.page(path, width=733, media="print") as opened:
            first = "".join(browser.pdf_texts(opened.pdf())[0].split())
            assert all("".join(figure.split()) in first for figure in record(demo)["declared_per_portion"].values())
            heights = opened.js("[...document.querySelectorAll('tbody tr')].map(e => e.getBoundingClientRect().height)")
            assert max(heights) < 1.5 * min(heights)
