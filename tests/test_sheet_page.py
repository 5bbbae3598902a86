"""The sheet of a dish: its structure, its figures against the record, what it marks and traces, hostile text."""

from __future__ import annotations

import datetime
import itertools
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from nutrilab.declaration import declare
from nutrilab.kitchen import DishResult
from nutrilab.law.levels import band, percent_of_intake
from nutrilab.law.rounding import ORDER, declared
from nutrilab.recipe import read_recipe
from nutrilab.records import dish_record
from nutrilab.sheets.lettering import faces
from nutrilab.sheets.page import sheet
from nutrilab.sheets.safe import plain
from nutrilab.tracing import IN_COOKING, brings
from tests.dishes import DEMOS, demos, dish, kitchen
from tests.html_tree import Element, read

TODAY = datetime.date(2026, 11, 25)
NAMES = [path.stem for path in DEMOS]
HOSTILE = "<script>alert(1)</script>\"'><b onclick=x>&amp;<!-- \u202e\x1b[31m ]]> {{ 7*7 }}"


@cache
def page(name: str) -> Element:
    return read(sheet(result(name), TODAY))


def result(name: str) -> DishResult:
    return demos()[NAMES.index(name)]


def record(name: str) -> dict[str, Any]:
    return dish_record(result(name))


def written(told: str) -> str:
    """A text as it stands on the page."""
    return " ".join(plain(told).split())


@pytest.fixture(params=NAMES)
def demo(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def sheet_of(folder: Path, *lines: str, name: str = "Harbour supper") -> Element:
    return read(sheet(dish(folder, name, *lines), TODAY))


class TestStructure:
    def test_language_title_and_one_first_heading(self, demo: str) -> None:
        tree = page(demo)
        assert sheet(result(demo), TODAY).startswith("<!doctype html>")
        assert tree.one("html").attributes["lang"] == "en-GB"
        assert result(demo).recipe.dish in tree.one("head").one("title").raw
        assert tree.one("h1").text == result(demo).recipe.dish

    def test_headings_leave_no_level_out(self, demo: str) -> None:
        levels = [int(e.tag[1]) for e in page(demo).walk() if re.fullmatch("h[1-6]", e.tag)]
        assert levels[0] == 1
        assert all(after <= before + 1 for before, after in itertools.pairwise(levels))

    def test_tables_have_captions_and_every_head_says_what_it_is_the_head_of(self, demo: str) -> None:
        tables = page(demo).all("table")
        assert len(tables) >= 2
        for table in tables:
            assert table.one("caption").raw.strip()
            assert all(th.attributes.get("scope") for th in table.all("th"))
            assert all(th.text for th in table.all("th", scope="col"))

    def test_rows_of_the_trace_fill_its_columns(self, demo: str) -> None:
        trace = page(demo).one("table", class_="trace")
        spans: list[int] = []  # for each column, rows still covered from above
        for row in trace.all("tr"):
            covered = sum(1 for left in spans if left)
            spans = [left - 1 for left in spans if left > 1]
            cells = [e for e in row.children if isinstance(e, Element)]
            width = sum(int(e.attributes.get("colspan", 1)) for e in cells)
            assert width + covered == 6, row.text
            spans += [int(e.attributes["rowspan"]) - 1 for e in cells if int(e.attributes.get("rowspan", 1)) > 1]

    def test_a_table_laid_out_as_blocks_keeps_its_roles(self, demo: str) -> None:
        for name in ("figures", "trace"):
            table = page(demo).one("table", class_=name)
            assert table.attributes["role"] == "table"
            roles = {"tr": "row", "thead": "rowgroup", "tbody": "rowgroup", "td": "cell"}
            for tag, role in roles.items():
                assert table.all(tag)
                assert all(e.attributes.get("role") == role for e in table.all(tag))
            assert all(e.attributes.get("role") in ("columnheader", "rowheader") for e in table.all("th"))

    def test_ids_are_unique_and_what_is_pointed_to_is_there(self, demo: str) -> None:
        tree = page(demo)
        ids = [e.attributes["id"] for e in tree.walk() if "id" in e.attributes]
        assert len(ids) == len(set(ids))
        pointed = [e.attributes["aria-labelledby"] for e in tree.walk() if "aria-labelledby" in e.attributes]
        assert pointed
        assert {name for names in pointed for name in names.split()} <= set(ids)

    def test_every_picture_has_a_role_a_title_and_its_numbers_in_words(self, demo: str) -> None:
        figures = page(demo).all("figure")
        assert len(figures) == 4
        for figure in figures:
            picture = figure.all("svg")[0]
            assert picture.attributes["role"] == "img"
            assert written(picture.one("title").raw) == figure.one("figcaption").text
            drawn = [
                e.text
                for e in picture.all("text", text_anchor="end")
                if re.search(r"^\w.*\d( kcal| g|%)|^\d+%", e.text)
            ]
            if picture.one("title").attributes["id"] == "spans-title":  # its numbers stand in the table beside it
                drawn = [cell.text for cell in page(demo).all("td", data_per="range") if cell.text][1:]
            assert drawn
            assert all(number in written(picture.one("desc").raw) for number in drawn)

    def test_needs_nothing_beside_itself_and_no_script(self, demo: str) -> None:
        tree = page(demo)
        assert not tree.all("script")
        assert not [e for e in tree.walk() if {"src", "href", "srcset", "data", "action"} & set(e.attributes)]
        assert not [name for e in tree.walk() for name in e.attributes if name.startswith("on")]
        style = "".join(e.raw for e in tree.all("style"))
        assert "@import" not in style
        told = sheet(result(demo), TODAY).replace(faces(), "")
        assert set(re.findall(r"url\([^)]*\)", told)) <= {
            "url(#unsure)",
            "url(#by-food)",
            "url(#by-cooking)",
            "url(#by-portions)",
        }

    def test_the_date_stands_on_it(self, demo: str) -> None:
        assert "Sheet made 25 November 2026" in page(demo).one("header").text

    def test_todays_date_by_default(self) -> None:
        today = datetime.date.today()
        assert f"{today.day} {today:%B %Y}" in sheet(result(NAMES[0]))


class TestFigures:
    def test_every_figure_is_the_records(self, demo: str) -> None:
        told = record(demo)
        rows = page(demo).one("table", class_="figures").one("tbody").all("tr")
        assert [row.attributes["data-figure"] for row in rows] == list(ORDER)
        for row in rows:
            key = row.attributes["data-figure"]
            assert row.one("td", data_per="100g").text == told["declared_per_100g"][key]
            assert row.one("td", data_per="portion").text == told["declared_per_portion"][key]
            low, high = (declared(key, end) for end in told["per_portion_range"][key])
            assert row.one("td", data_per="range").text in (high, f"{low.split()[0]} to {high}")
            assert row.one("td", data_per="day").text == percent_of_intake(key, told["per_portion"][key])
            level = band(
                key,
                told["per_100g"][key],
                told["portion_weight_g"],
                result(demo).recipe.drink,
                told["per_portion"][key],
            )
            assert row.one("td", data_per="level").text == (level or "")

    def test_the_order_and_names_are_the_regulations(self) -> None:
        """Regulation (EU) No 1169/2011, Annex XV: energy, fat, of which saturates, carbohydrate, of which sugars,
        fibre, protein, salt."""
        rows = page(NAMES[0]).one("table", class_="figures").one("tbody").all("th")
        assert [row.text.rstrip("*") for row in rows] == [
            "Energy", "Energy", "Fat", "of which saturates", "Carbohydrate", "of which sugars", "Fibre", "Protein",
            "Salt",
        ]  # fmt: skip

    def test_the_answer_in_the_head_is_the_portion(self, demo: str) -> None:
        told = record(demo)["declared_per_portion"]
        least = "" if record(demo)["coverage"]["mass_linked"] == 1 else "at least "  # the demo whose packs are not read
        expected = f"A portion: {least}{told['energy_kcal']} ({told['energy_kj']}), salt {least}{told['salt']}"
        assert page(demo).one("p", class_="answer").text == expected

    def test_the_statement_stands_with_the_percentages(self, demo: str) -> None:
        """Regulation (EU) No 1169/2011, Article 32(5)."""
        said = page(demo).one("section", id="figures").text
        assert "Reference intake of an average adult (8400 kJ/2000 kcal)" in said

    def test_a_figure_known_in_part_is_marked_and_says_so(self, tmp_path: Path) -> None:
        tree = sheet_of(tmp_path, "100 g butter", "900 g zorblax paste")
        figures = tree.one("section", id="figures")
        names = "energy, fat, saturates, carbohydrate, sugars, fibre, protein, salt"
        assert f"Counted too low: {names} (no value for 90% of the food)." in figures.text
        assert all(row.one("th").text.endswith("*") for row in figures.one("tbody").all("tr"))

    def test_a_line_nobody_weighed_is_told_beside_the_figures(self, tmp_path: Path) -> None:
        tree = sheet_of(tmp_path, "100 g butter", "cod fillet")
        figures = tree.one("section", id="figures")
        assert 'Counted too low without these lines: "cod fillet".' in figures.text
        assert all(row.one("th").text.endswith("*") for row in figures.one("tbody").all("tr"))
        assert tree.one("p", class_="answer").text.startswith("A portion: at least ")

    def test_a_figure_known_in_full_is_not_marked(self, tmp_path: Path) -> None:
        figures = sheet_of(tmp_path, "100 g butter", "100 g caster sugar").one("section", id="figures")
        assert "too low" not in figures.text
        assert not [row for row in figures.one("tbody").all("tr") if "*" in row.text]

    def test_what_is_not_known_at_all_is_no_zero(self, tmp_path: Path) -> None:
        tree = sheet_of(tmp_path, "100 g zorblax paste")
        cells = tree.one("table", class_="figures").all("td", data_per="portion")
        assert [cell.text for cell in cells] == ["not known"] * len(ORDER)
        trace = tree.one("table", class_="trace")
        assert [cell.text for cell in trace.all("td", class_="number")] == ["not known", "not known"]
        assert len(tree.all("figure")) == 1  # nothing to draw of calories and salt

    def test_a_drink_counts_by_100_ml(self, tmp_path: Path) -> None:
        path = tmp_path / "cordial.yaml"
        path.write_text("dish: Cordial\nportions: 4\ndrink: true\ningredients: [1 litre water, 100 g sugar]\n", "utf-8")
        found = kitchen().dish(read_recipe(path))
        rows = {row.key: row for row in declare(found).figures}
        assert rows["sugars"].declared_per_100 == "9.4 g"  # 9.09 g in 100 g at 1.036 g/ml (Choi and Okos)
        assert rows["sugars"].level == "high"  # medium by 100 ml, but a portion over 150 ml holds more than 13.5 g
        assert "per 100 ml" in read(sheet(found, TODAY)).text

    def test_vitamins_on_request(self) -> None:
        plain, asked = sheet(result("harbour-fish-pie"), TODAY), sheet(result("harbour-fish-pie"), TODAY, vitamins=True)
        assert "Vitamins and minerals" not in plain
        assert "Vitamin B12" in asked
        assert "check the packs before you declare any" in " ".join(read(asked).text.split())
        assert "per 100 ml" not in page(NAMES[0]).text


class TestAllergens:
    def test_every_answer_with_every_source_once_and_every_line(self, demo: str) -> None:
        told = dict(record(demo)["allergens"])
        other_kinds = {key: told["check_too"][key] for key in ("gluten", "nuts") if key in told["check_too"]}
        told["check"] = told["check"] | other_kinds
        section = page(demo).one("section", id="because")
        for kind, key in (("contains", "contains"), ("check", "check"), ("may", "may_contain")):
            rows = section.all("tr", data_answer=kind)
            assert [row.attributes["data-allergen"] for row in rows] == list(told[key])
            for row, evidence in zip(rows, told[key].values(), strict=True):
                why = row.one("td").text
                sources = {re.split(r" [\[(]", sentence.partition(": ")[2])[0] for sentence in evidence}
                for source in sources:
                    assert written(source) in why
                for stage, line in re.findall(r" \[([^:\[\]]*), line (\d+): ", " ".join(evidence)):
                    there = r"lines? (?:\d+(?:, | and ))*"
                    name = "" if stage == result(demo).recipe.dish else f"{re.escape(stage)} "
                    assert re.search(rf"{name}{there}{line}\b", why), (stage, line, why)

    def test_the_short_answer_names_what_the_evidence_is_for(self, demo: str) -> None:
        rows = page(demo).one("section", id="allergens").all("tr")
        told = [(row.attributes["data-kind"], [e.text for e in row.one("td").all("strong")]) for row in rows]
        evidence: dict[str, list[str]] = {}
        for row in page(demo).one("section", id="because").all("tr"):
            if "data-answer" in row.attributes:
                evidence.setdefault(row.attributes["data-answer"], []).append(row.attributes["data-allergen"])
        assert told == list(evidence.items())

    def test_the_short_answer_names_cereals_and_nuts(self, tmp_path: Path) -> None:
        tree = sheet_of(tmp_path, "100 g rye flour", "20 g walnuts", "20 g butter")
        assert tree.one("tr", data_kind="contains").one("td").text == "gluten (rye), milk, nuts (walnut)"

    def test_answer_allergens_figures_first_then_the_evidence(self, demo: str) -> None:
        said = [e.attributes["id"] for e in page(demo).walk() if e.tag in ("section", "div") and "id" in e.attributes]
        assert [name for name in said if name not in ("not-complete", "method", "check", "notes")] == [
            "allergens", "settle", "figures", "doubt", "cautions", "because", "ingredients", "trace", "on-label",
            "brings", "tables",
        ]  # fmt: skip

    def test_what_is_contained_stands_before_what_is_to_be_checked(self, demo: str) -> None:
        kinds = [row.attributes["data-answer"] for row in page(demo).all("tr") if "data-answer" in row.attributes]
        assert kinds == sorted(kinds, key=("contains", "check", "may").index)

    def test_words_not_frames_alone_tell_the_answers_apart(self, tmp_path: Path) -> None:
        section = sheet_of(tmp_path, "50 g slipway seed crackers", "1 vegetable stock cube").one(id="allergens")
        tags = [tag.text for tag in section.all("span", class_="tag")]
        assert tags == ["contains", "check the pack", "may contain"]

    def test_may_contain_names_the_product(self, tmp_path: Path) -> None:
        rows = sheet_of(tmp_path, "50 g slipway seed crackers").all("tr", data_answer="may")
        assert {row.attributes["data-allergen"] for row in rows} == {"milk", "nuts"}
        assert all("Slipway seed crackers" in row.text for row in rows)

    def test_check_says_what_to_look_for(self, tmp_path: Path) -> None:
        rows = sheet_of(tmp_path, "2 tbsp Worcestershire sauce").all("tr", data_answer="check")
        assert rows
        assert all("look for" in row.text for row in rows)

    def test_the_cereal_is_named(self, tmp_path: Path) -> None:
        row = sheet_of(tmp_path, "100 g rye flour").one("tr", data_allergen="gluten")
        assert row.one("th").text == "gluten (rye)"

    def test_nothing_found_is_no_promise(self, tmp_path: Path) -> None:
        tree = sheet_of(tmp_path, "100 g caster sugar")
        section = tree.one("section", id="allergens")
        assert not section.all("table")
        assert not tree.all("section", id="because")
        assert "nothing in the words points to one of the 14 allergens" in section.text
        assert "no promise that it is absent" in section.text

    def test_nothing_is_called_free_from(self, demo: str) -> None:
        assert not re.search(r"free[\s-]+from|\w-free\b", page(demo).text, re.I)

    def test_the_same_source_is_said_once_with_all_its_lines(self, tmp_path: Path) -> None:
        tree = sheet_of(tmp_path, *(f"{n} g butter" for n in range(10, 13)), "100 ml milk")
        assert tree.one("tr", data_allergen="milk").one("td").text == "butter (lines 1, 2 and 3), milk (line 4)"

    def test_a_reason_is_said_once_for_all_it_is_of(self, tmp_path: Path) -> None:
        row = sheet_of(tmp_path, "1 stock cube", "20 g stock powder").one("tr", data_allergen="celery")
        assert row.text.count("look for") == 1
        assert "(lines 1 and 2)" in row.text or ("(line 1)" in row.text and "(line 2)" in row.text)

    def test_evidence_too_long_to_print_is_whole_on_a_screen(self, tmp_path: Path) -> None:
        cell = sheet_of(tmp_path, *(f"{n} g butter" for n in range(10, 110))).one("tr", data_allergen="milk").one("td")
        assert "98, 99 and 100)" in cell.one("span", class_="screen-only").text
        cut = cell.one("span", class_="print-only").raw
        assert cut.endswith("…")
        assert len(cut) <= 240

    def test_an_answer_that_is_not_complete_is_marked_before_what_follows_it(self, tmp_path: Path) -> None:
        tree = sheet_of(tmp_path, "100 g butter", "a jar of zorblax paste")
        warning = tree.one(id="not-complete")
        assert warning.text.startswith("NOT COMPLETE: these lines were not understood")
        assert "a jar of zorblax paste" in warning.text
        said = tree.one("body").text
        assert said.index("A portion:") < said.index("NOT COMPLETE") < said.index("Settle these first")
        assert "Every line was understood" not in said

    def test_a_complete_answer_is_not_marked(self, tmp_path: Path) -> None:
        assert "NOT COMPLETE" not in sheet_of(tmp_path, "100 g butter").text


class TestTrace:
    def test_every_line_with_food_sureness_and_grams(self, demo: str) -> None:
        trace = page(demo).one("table", class_="trace")
        said = trace.text
        for stage in record(demo)["stages"]:
            weights = f"{stage['raw_weight_g']:.0f} g in, {stage['cooked_weight_g']:.0f} g out"
            assert written(stage["stage"]) in said
            assert weights in said
            for line in stage["lines"]:
                row = next(r for r in trace.all("tr") if f". {written(line['text'])}" in r.text)
                grams = line["grams"]
                if "parts" not in line:
                    shown = "not weighed" if grams is None else f"{grams:.0f} g" if grams >= 10 else f"{grams:.2g} g"
                    assert f" {shown}" in row.text
                    assert line["sureness"] in row.text
                for food in (line["food_name"] or "no food in the tables").split(" + "):
                    assert food in said
                assert line["grams_from"] in row.text

    def test_what_lines_bring_is_what_the_tracing_says(self, demo: str) -> None:
        trace = page(demo).one("table", class_="trace")
        for key in ("energy_kcal", "salt"):
            shown = sorted(cell.text for cell in trace.all("td", data_key=key) if cell.text not in ("", "not known"))
            told = [one for one in brings(result(demo), key) if one.stage or one.text != IN_COOKING]
            unknown = sum(cell.text == "not known" for cell in trace.all("td", data_key=key))
            assert len(shown) + unknown == len(told)
            left = [declared(key, one.amount) for one in told]
            for amount in shown:
                left.remove(amount)
            assert left == [declared(key, 0.0)] * unknown

    def test_a_line_that_is_not_known_is_no_zero(self, tmp_path: Path) -> None:
        tree = sheet_of(tmp_path, "100 g butter", "80 g zorblax paste", "some zorblax powder")
        rows = tree.one("table", class_="trace").all("tr")
        for text in ("zorblax paste", "zorblax powder"):
            row = next(r for r in rows if text in r.text)
            assert [cell.text for cell in row.all("td", class_="number")] == ["not known", "not known"]
        for figure in tree.one("section", id="brings").all("figure"):
            assert "Not known, so not counted: 80 g zorblax paste; some zorblax powder" in figure.text
            assert "80 g zorblax paste: not known" in written(figure.one("desc").raw)

    def test_factor_and_source_of_a_step(self) -> None:
        said = page("harbour-fish-pie").one("table", class_="trace").text
        assert "factor 0.95, USDA retention factors R6 (2007), code 3308" in said
        assert "84 g of water boils or dries away, 8% of what was in it (factor 0.939, the cook's own weighing)" in said

    def test_a_stage_used_in_part_says_how_much(self) -> None:
        heads = page("harbour-fish-pie").one("table", class_="trace").all("th", scope="rowgroup")
        assert [("80% of it is in the dish" in head.text) for head in heads] == [False, True, False]
        assert "2. 80% of white sauce (592 g)" in heads[2].text

    def test_what_is_served_beside_says_how_often_it_counts(self) -> None:
        said = page("lamplight-chickpea-stew").one("table", class_="trace").text
        assert "beside each portion, counted 8 times" in said

    def test_a_stage_left_over_is_in_no_portion(self, tmp_path: Path) -> None:
        path = tmp_path / "broth.yaml"
        path.write_text(
            "dish: Broth\nportions: 2\nstages:\n"
            "- {stage: spare, left over: true, ingredients: [100 g butter]}\n"
            "- {stage: broth, ingredients: [500 g carrots]}\n",
            encoding="utf-8",
        )
        trace = read(sheet(kitchen().dish(read_recipe(path)), TODAY)).one("table", class_="trace")
        assert "left over, in no portion" in trace.all("th", scope="rowgroup")[0].text
        row = next(r for r in trace.all("tr") if "100 g butter" in r.text)
        assert [cell.text for cell in row.all("td", class_="number")] == ["", ""]

    def test_a_stage_of_another_recipe_is_shown_with_its_doubts(self, tmp_path: Path) -> None:
        (tmp_path / "mash.yaml").write_text(
            "dish: Mash\nportions: 2\nstages:\n- {stage: mash, ingredients: [400 g potatoes, 10 g zorblax]}\n", "utf-8"
        )
        path = tmp_path / "pie.yaml"
        path.write_text(
            "dish: Pie\nportions: 2\nstages:\n- stage: pie\n  ingredients: [all of mash from mash.yaml, 20 g butter]\n",
            encoding="utf-8",
        )
        tree = read(sheet(kitchen().dish(read_recipe(path)), TODAY))
        assert "1. 400 g potatoes" in tree.one("table", class_="trace").text
        assert "10 g zorblax" in tree.one("section", id="check").text


class TestRest:
    def test_the_ingredients_list_is_the_records(self, demo: str) -> None:
        told = record(demo)["ingredients_list"]
        section = page(demo).one("section", id="ingredients")
        assert f"Ingredients: {section.one('p').text}" == written(re.sub("<[^>]+>", "", told["html"])).replace(
            "&#x27;", "'"
        )
        runs = [run for entry in told["entries"] for run in entry["runs"] if run["kind"] == "allergen"]
        assert [e.text for e in section.all("strong")] == [run["text"] for run in runs]

    def test_every_remark_caution_and_table(self, demo: str) -> None:
        told = record(demo)
        said = page(demo).text
        for warning in told["warnings"]:
            assert written(warning["message"]) in said
        cautions = page(demo).one("section", id="cautions").all("li")
        assert [li.text for li in cautions] == told["allergens"]["cautions"]
        tables = page(demo).one("section", id="tables")
        for table, provenance in zip(told["food_tables"], result(demo).tables, strict=True):
            for words in (table["version"], table["licence"], provenance.provenance.credit):
                assert words in tables.text

    def test_a_doubtful_food_is_to_be_checked(self, tmp_path: Path) -> None:
        said = sheet_of(tmp_path, "2 fishcakes").one("section", id="check").text
        assert "2 fishcakes: counted as Fish, fish sticks" in said

    def test_the_cup_is_named_where_one_is_used(self, tmp_path: Path) -> None:
        assert "the US one of 236.6 ml" in sheet_of(tmp_path, "1 cup plain flour").text
        assert "Cups are" not in sheet_of(tmp_path, "100 g plain flour").text


class TestHostile:
    @pytest.fixture
    def hostile(self, tmp_path: Path) -> tuple[str, Element]:
        lines = (f"100 g butter {HOSTILE}", f"50 g {HOSTILE}", HOSTILE, "x" * 10_000, "=1+1")
        html = sheet(dish(tmp_path, f"Pie {HOSTILE} " + "y" * 10_000, *lines), TODAY)
        return html, read(html)

    def test_it_renders_inert(self, hostile: tuple[str, Element]) -> None:
        html, tree = hostile
        assert not tree.all("script")
        assert not [e for e in tree.walk() if any(name.startswith("on") for name in e.attributes)]
        assert "<!--" not in html
        assert not re.search("[\x00-\x08\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069]", html)
        assert "49" not in tree.one("h1").text

    def test_its_words_are_shown_as_words(self, hostile: tuple[str, Element]) -> None:
        _, tree = hostile
        assert "<script>alert(1)</script>" in tree.one("h1").text
        assert "<script>alert(1)</script>" in tree.one("table", class_="trace").text
        assert tree.one("head").one("title").raw.endswith(": figures and allergens")
        assert len(tree.one("head").one("title").raw) < 200

    def test_the_page_stays_in_proportion_to_what_was_written(self, hostile: tuple[str, Element]) -> None:
        html, _ = hostile
        assert len(html) < 20 * 25_000


def test_an_option_of_a_command_is_not_parted_and_what_a_cook_wrote_stays_inert() -> None:
    from nutrilab.sheets.templating import _unbroken

    said = str(_unbroken("Write nutrilab draft a-b.txt -o <b>.yaml, or nutrilab lines a-b.txt --ask."))
    assert '<span class="nowrap">-o</span> &lt;b&gt;.yaml' in said
    assert '<span class="nowrap">--ask</span>.' in said
    assert "a-b.txt" in said


def test_total_carbohydrate_for_readers_in_the_usa_is_named_as_such(tmp_path: Path) -> None:
    """SR28 20081, wheat flour: 76.31 g by difference in 100 g, fibre among them: what labels in the USA print."""
    said = sheet_of(tmp_path, "400 g plain flour").text
    assert "Carbohydrate, total (with fibre), as labels in the USA count it: 76 g a portion" in said
    assert "total (with fibre)" not in sheet_of(tmp_path, "400 g plain flour", "200 g zorblax").text
