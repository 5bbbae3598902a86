"""A doubt is no answer: what a doubtful link, a guess at the spelling, a maker's name do to a dish's allergens.

Ground: Regulation (EU) No 1169/2011, Article 9(1)(c): what is in a dish is named; what is not known is not "none".
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from nutrilab.allergens import find
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.recipe import read_recipe


@pytest.fixture(scope="module")
def kitchen() -> Kitchen:
    return Kitchen([embedded()])


@pytest.mark.parametrize(
    "line",
    [
        "4 large free-range", "150 g plain", "300 ml double", "100 g mature, grated", "ready-rolled puff",
        "250 g unsalted", "2 tbsp dark", "200 g smoked streaky", "1 tin chopped", "3 tbsp light", "1 large ripe",
    ],
)  # fmt: skip
def test_words_that_only_say_of_what_kind_are_not_understood(kitchen: Kitchen, line: str) -> None:
    """Ground: Article 9(1)(c): what is not known is not "none"; brands and names: common practice, no source."""
    assert not kitchen.line(line).resolved


def test_a_dish_with_a_doubtful_line_is_not_complete(kitchen: Kitchen, tmp_path: Path) -> None:
    """Ground: Article 9(1)(c): what is not known is not "none"; brands and names: common practice, no source."""
    file = tmp_path / "supper.yaml"
    file.write_text("dish: Slipway supper\nportions: 2\ningredients:\n- 200 g leeks\n- 150 g plain\n", encoding="utf-8")
    found = kitchen.dish(read_recipe(file)).allergens
    assert not found.complete
    assert found.unresolved == ("150 g plain",)


@pytest.mark.parametrize(
    ("line", "allergen"),
    [  # common practice, no source: what a thing of that name is sold with, as its siblings in the lists ask
        ("8 bangers", "gluten"),
        ("8 bangers", "sulphites"),
        ("1 Cumberland ring", "gluten"),
        ("1 vegetable base", "celery"),
        ("100 g semisweet morsels", "milk"),
        ("100 g semisweet morsels", "soya"),
        ("2 tbsp Chinese black beans", "soya"),
        ("500 g scalloped potatoes", "milk"),
        ("200 g creamy mash", "milk"),
        ("100 g sourdough starter", "gluten"),
    ],
)
def test_where_the_words_say_nothing_the_food_is_heard(kitchen: Kitchen, line: str, allergen: str) -> None:
    found = kitchen.line(line).findings
    assert allergen in {*found.contains, *found.check}


@pytest.mark.parametrize(
    ("line", "allergen"),
    [("500 g scalloped potatoes", "milk"), ("2 tbsp Chinese black beans", "soya")],
)
def test_a_doubtful_food_only_asks(kitchen: Kitchen, line: str, allergen: str) -> None:
    """Ground: Article 9(1)(c): what is not known is not "none"; brands and names: common practice, no source."""
    record = kitchen.line(line)
    assert not record.resolved
    assert allergen in record.findings.check


def test_a_food_made_with_it_contains_it() -> None:
    """USDA SR28, 11372 and 14411 with 20083: what the table's own name, or its parts, are made with."""
    kitchen = Kitchen([embedded()])
    scalloped = kitchen.linker.food("sr:11372")
    assert "with butter" in scalloped.name
    assert "milk" in find("tidewater bake", scalloped).contains
    assert "milk" in find("tidewater bake", scalloped, doubtful=True).check
    assert "milk" not in find("vegan tidewater bake", scalloped).contains  # the claim stands against it
    starter = replace(kitchen.linker.food("mix:sourdough-starter"), name="Harbour leaven")
    assert "gluten" in find("harbour leaven", starter).contains


def test_a_makers_name_that_falls_into_two_words_is_asked_at_most(kitchen: Kitchen) -> None:
    """Names are made up: common practice, no source."""
    for line in ("1 sachet Selleray", "90 g Oatlin", "2 Cornish Fishlo bars"):
        assert not kitchen.line(line).findings.contains, line
    for line, allergen in (("2 tbsp milkpowder", "milk"), ("1 tbsp peanutbutter", "peanuts")):
        assert allergen in kitchen.line(line).findings.contains


@pytest.mark.parametrize("line", ["80 g mozzarrela", "60 g hazzelnuts", "1 tbsp musstard", "200 g kod fillets"])
def test_a_guess_at_the_spelling_is_asked_at_most(kitchen: Kitchen, line: str) -> None:
    """Ground: Article 9(1)(c): what is not known is not "none"; brands and names: common practice, no source."""
    record = kitchen.line(line)
    assert not record.findings.contains
    assert not record.resolved or not record.foods[0].link.remarks


@pytest.mark.parametrize(
    ("line", "allergen"),
    [("80 g mozarella", "milk"), ("1 tbsp mayonaise", "eggs"), ("100 g cous cous", "gluten")],
)  # fmt: skip
def test_a_common_misspelling_is_no_guess(kitchen: Kitchen, line: str, allergen: str) -> None:
    """Ground: Article 9(1)(c): what is not known is not "none"; brands and names: common practice, no source."""
    record = kitchen.line(line)
    assert allergen in record.findings.contains
    assert record.resolved


@pytest.mark.parametrize(
    "line",
    [
        "2 chicken Massel stock cubes",
        "2 Massel stock cubes",
        "1 tsp vegetable Massel powder",
        "1 jar of Chedda pickled onions",
    ],
)
def test_a_makers_name_is_no_slip_of_the_pen(kitchen: Kitchen, line: str) -> None:
    """Ground: Article 9(1)(c): what is not known is not "none"; brands and names: common practice, no source."""
    found = kitchen.line(line).findings
    assert not {"molluscs", "milk"} & {*found.contains, *found.check}


BRANDS = """Zappo Marrowby Twistle Crumbo Fizzwick Grantle Oddjoy Snackle Brindo Tavvy Mellowick Drumbo Quaffle Nibbit
Joyo Wizzle Plonkit Harbo Snapjack Dreemo Cloudlet Bixby Frostle Yumbo Tanglo Sprocket Goodley Kestral Pinwheelo Munchet
Tropica Zestino Velvo Cozyo Rumblo Bramblo Hoopla Gustino Carnivo Sundayo Rovello Bellaro Tidelo Marlino Dunesco Orbito
Pompello Skippet Larko Vantino""".split()


@pytest.mark.parametrize("brand", BRANDS)
def test_a_brand_nobody_wrote_a_row_for_is_never_a_clean_answer(kitchen: Kitchen, brand: str) -> None:
    """Fifty made-up names, as bars, spreads and bites.

    Ground: Article 9(1)(c): what is not known is not "none"; brands and names: common practice, no source.
    """
    for line in (f"2 {brand} bars, chopped", f"100 g {brand}", f"3 tbsp {brand} spread", f"1 bag of {brand} bites"):
        record = kitchen.line(line)
        assert not record.resolved or record.findings.contains or record.findings.check, line


def test_a_name_its_siblings_differ_from_rightly_asks_for_less(kitchen: Kitchen) -> None:
    """data/allergens/siblings.csv: the grated root is no jar of sauce: common practice, no source."""
    assert "sulphites" not in kitchen.line("1 tbsp hot horseradish, freshly grated").findings.check
    assert "sulphites" in kitchen.line("1 tbsp horseradish sauce").findings.check
