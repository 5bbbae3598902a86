"""Recipes from saved pages and JSON files: every shape of schema.org/Recipe, and every page that cannot be used."""

from __future__ import annotations

import json
import socket
from pathlib import Path
from typing import Any

import pytest

from nutrilab.recipe import InputError, Line, read_recipe
from nutrilab.recipe.markup import text_of
from nutrilab.recipe.portions import read_yield

STEW: dict[str, Any] = {
    "@context": "https://schema.org",
    "@type": "Recipe",
    "name": "Breakwater stew",
    "recipeYield": "Serves 6",
    "recipeIngredient": ["500 g mussels", "&frac12; tsp salt", "1 onion, chopped"],
}
LINES = ["500 g mussels", "½ tsp salt", "1 onion, chopped"]
NESTED = '<div itemscope itemtype="https://schema.org/Recipe">'


@pytest.fixture(autouse=True)
def _no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("a page was about to be fetched")

    monkeypatch.setattr(socket.socket, "connect", refuse)


def page(data: object, before: str = "", after: str = "", kind: str = "application/ld+json") -> str:
    text = data if isinstance(data, str) else json.dumps(data)
    script = f'<script type="{kind}">{before}{text}{after}</script>'
    return f"<!DOCTYPE html><html lang=en><head><title>Club</title>{script}</head><body><p>Hello</body></html>"


def read(folder: Path, text: str | bytes, name: str = "page.html") -> Any:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_recipe(path)


def lines(recipe: Any) -> list[str]:
    assert len(recipe.stages) == 1
    assert all(isinstance(entry, Line) for entry in recipe.stages[0].entries)
    return [entry.text for entry in recipe.stages[0].entries]


def refusal(folder: Path, text: str | bytes, name: str = "page.html") -> str:
    with pytest.raises(InputError) as error:
        read(folder, text, name)
    said = str(error.value)
    assert "\n" not in said
    assert said.startswith(f"{folder / name}")
    return said.removeprefix(str(folder / name))


# --- where a recipe may stand ---------------------------------------------------------------------------------------

SHAPES = {
    "object": STEW,
    "list": [{"@type": "WebSite", "name": "Club"}, STEW],
    "graph": {"@context": "https://schema.org", "@graph": [{"@type": "Organization"}, STEW]},
    "nested mainEntity": {"@type": "WebPage", "mainEntity": STEW},
    "item list": {"@type": "ItemList", "itemListElement": [{"@type": "ListItem", "item": STEW}]},
    "list of types": STEW | {"@type": ["NewsArticle", "Recipe"]},
    "http address": STEW | {"@type": "http://schema.org/Recipe"},
    "https address": STEW | {"@type": "https://www.schema.org/Recipe"},
    "prefix": {f"schema:{key}" if key[0] != "@" else key: value for key, value in STEW.items()}
    | {"@type": "schema:Recipe"},
    "address keys": {f"https://schema.org/{key}" if key[0] != "@" else key: value for key, value in STEW.items()},
    "type without @": {"type": "Recipe"} | {key: value for key, value in STEW.items() if key != "@type"},
    "old ingredients": {"ingredients" if key == "recipeIngredient" else key: value for key, value in STEW.items()},
    "empty new, full old": STEW | {"recipeIngredient": [], "ingredients": STEW["recipeIngredient"]},
    "one text": STEW | {"recipeIngredient": "\n".join(STEW["recipeIngredient"])},
    "value objects": STEW | {"recipeIngredient": {"@list": [{"@value": line} for line in STEW["recipeIngredient"]]}},
    "named things": STEW
    | {"recipeIngredient": [{"@type": "HowToSupply", "name": line} for line in STEW["recipeIngredient"]]},
    "grouped": STEW | {"recipeIngredient": [STEW["recipeIngredient"][:1], STEW["recipeIngredient"][1:]]},
    "reference": {
        "@graph": [
            STEW | {"recipeIngredient": {"@id": "#list"}},
            {"@id": "#list", "@type": "ItemList", "itemListElement": STEW["recipeIngredient"]},
        ]
    },
    "twice": [STEW, STEW | {"name": "Breakwater stew again"}],
}


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
@pytest.mark.parametrize("name", ["page.html", "page.htm", "dish.json", "dish.jsonld", "page.txt", "page"])
def test_a_recipe_is_found_wherever_it_stands(tmp_path: Path, shape: Any, name: str) -> None:
    text = json.dumps(shape) if name.startswith("dish") else page(shape)
    recipe = read(tmp_path, text, name)
    assert (recipe.dish, recipe.portions, lines(recipe)) == ("Breakwater stew", 6, LINES)
    assert recipe.path == tmp_path / name


def test_json_without_a_telling_name_is_read_as_json(tmp_path: Path) -> None:
    assert lines(read(tmp_path, json.dumps(STEW), "dish.txt")) == LINES


WRAPPERS = [
    ("<!--\n", "\n-->"),
    ("//<![CDATA[\n", "\n//]]>"),
    ("/*<![CDATA[*/", "/*]]>*/"),
    ("<![CDATA[", "]]>"),
    ("\n\n", ";"),
]


@pytest.mark.parametrize(("before", "after"), WRAPPERS)
def test_what_old_pages_wrap_scripts_in_is_taken_off(tmp_path: Path, before: str, after: str) -> None:
    assert lines(read(tmp_path, page(STEW, before, after))) == LINES


@pytest.mark.parametrize("kind", ["application/ld+json; charset=utf-8", " Application/LD+JSON "])
def test_the_type_of_the_script_may_be_written_in_other_ways(tmp_path: Path, kind: str) -> None:
    assert lines(read(tmp_path, page(STEW, kind=kind))) == LINES


def test_a_recipe_in_a_comment_or_in_another_script_is_not_there(tmp_path: Path) -> None:
    hidden = page(STEW).replace("<script", "<!-- <script").replace("</script>", "</script> -->")
    assert "no recipe with ingredients stands in" in refusal(tmp_path, hidden)
    assert "no recipe with ingredients stands in" in refusal(tmp_path, page(STEW, kind="text/javascript"))


def test_escaped_json_and_line_breaks_inside_texts_are_read(tmp_path: Path) -> None:
    assert lines(read(tmp_path, page(json.dumps(STEW).replace('"', "&quot;")))) == LINES
    broken = json.dumps(STEW).replace("mussels", "mussels\t\nin shells")
    assert lines(read(tmp_path, page(broken)))[:2] == ["500 g mussels", "in shells"]


def test_a_key_that_stands_twice_loses_nothing(tmp_path: Path) -> None:
    text = '{"@type": "Recipe", "recipeIngredient": ["1 egg"], "recipeIngredient": ["20 g peanuts"]}'
    assert lines(read(tmp_path, text, "dish.json")) == ["1 egg", "20 g peanuts"]


def test_what_is_no_text_is_kept_and_not_lost(tmp_path: Path) -> None:
    odd = STEW | {
        "recipeIngredient": ["1 egg", {"@type": "Thing", "url": "x"}, {"@id": "https://elsewhere/x"}, 3, None]
    }
    assert lines(read(tmp_path, page(odd))) == [
        "1 egg",
        '{"@type": "Thing", "url": "x"}',
        '{"@id": "https://elsewhere/x"}',
        "3",
    ]


def test_quantity_and_name_of_a_supply_stand_together(tmp_path: Path) -> None:
    supply = {"@type": "HowToSupply", "name": "butter", "requiredQuantity": "50 g"}
    assert lines(read(tmp_path, page(STEW | {"recipeIngredient": [supply]}))) == ["50 g butter"]


def test_older_ingredients_that_the_newer_list_lacks_are_told(tmp_path: Path) -> None:
    both = STEW | {"ingredients": [*STEW["recipeIngredient"], "30 g peanuts"]}
    for text, name in ((page(both), "page.html"), (json.dumps(both), "dish.json")):
        recipe = read(tmp_path, text, name)
        assert lines(recipe) == LINES
        (remark,) = recipe.remarks
        assert (remark.code, "30 g peanuts" in remark.message) == ("page-lists-differ", True)
    assert read(tmp_path, page(STEW | {"ingredients": STEW["recipeIngredient"]})).remarks == ()


def test_a_nameless_recipe_is_named_by_its_file(tmp_path: Path) -> None:
    recipe = read(tmp_path, page({"@type": "Recipe", "recipeIngredient": "1 egg"}), "harbour-pie.html")
    assert (recipe.dish, recipe.portions) == ("harbour-pie", None)


def test_headings_stay_lines_and_no_line_takes_part_of_a_stage(tmp_path: Path) -> None:
    wanted = ["For the sauce:", "half of the Breakwater stew spice mix", "all of the parsley", "half of a lemon"]
    assert lines(read(tmp_path, page(STEW | {"recipeIngredient": wanted}))) == wanted


@pytest.mark.parametrize(
    ("written", "text"),
    [
        ("<b>2</b> eggs", "2 eggs"),
        ("<p>2 eggs</p>", "2 eggs"),
        ("1<sup>1</sup>/<sub>2</sub> cups milk", "1 1/2 cups milk"),
        ("<span>50 g</span><span>butter</span>", "50 g butter"),
        ("b<b>utt</b>er", "butter"),
        ("salt &amp;amp; pepper", "salt & pepper"),
        ("1&#189; tsp salt", "1½ tsp salt"),
        ("sauce <contains milk>", "sauce <contains milk>"),
        ("cream < 20 % fat", "cream < 20 % fat"),
        ("milk <b", "milk <b"),
        ("egg\u0000\u001b[31m", "egg [31m"),
        ("egg \ud800", "egg \ufffd"),
        ("egg &#" + "9" * 5000 + ";", "egg \ufffd"),
        ("egg &#x" + "0" * 5000 + "&#65;", "egg \ufffdA"),
    ],
)
def test_tags_and_references_become_text_and_nothing_gets_lost(tmp_path: Path, written: str, text: str) -> None:
    assert lines(read(tmp_path, page(STEW | {"recipeIngredient": [written]}))) == [text]


def test_rows_inside_one_value_are_lines() -> None:
    assert text_of("2 eggs<br>1 onion<br/>salt").splitlines() == ["2 eggs", "1 onion", "salt"]


# --- microdata ------------------------------------------------------------------------------------------------------

MICRODATA = """<!DOCTYPE html><html><body>
<div itemscope itemtype="http://schema.org/WebPage">
<section itemprop="mainEntity" itemscope itemtype="http://schema.org/Recipe">
  <h1 itemprop="name">Breakwater <em>stew</em></h1>
  <meta itemprop="recipeYield" content="Serves 6">
  <svg><path d="M1"/><path d="M2"/></svg>
  <div itemprop="nutrition" itemscope itemtype="http://schema.org/NutritionInformation">
     <span itemprop="name">per portion</span> <span itemprop="calories">300 kcal</span></div>
  <ul>
    <li itemprop="recipeIngredient">500 g <a itemprop="url" href="/mussels">mussels</a>
    <li itemprop="recipeIngredient"><span class=amount>&frac12; tsp</span><span>salt</span>
    <li itemprop="recipeIngredient ingredients">1 onion,<!-- white --> chopped</ul>
</section></div></body></html>"""


def test_microdata_is_read_with_nested_items_and_open_ends(tmp_path: Path) -> None:
    recipe = read(tmp_path, MICRODATA)
    assert (recipe.dish, recipe.portions, lines(recipe)) == ("Breakwater stew", 6, LINES)
    assert recipe.remarks == ()


def test_old_ingredients_and_links_in_microdata_are_read_as_text(tmp_path: Path) -> None:
    text = f'{NESTED}<a itemprop="ingredients" href="/butter">50 g butter</a><p itemprop=ingredients>1 egg<p>Mix.</div>'
    assert lines(read(tmp_path, text)) == ["50 g butter", "1 egg"]


def test_a_picture_of_many_parts_is_not_depth(tmp_path: Path) -> None:
    picture = "<svg>" + '<path d="M1"/>' * 1200 + "</svg>"
    assert lines(read(tmp_path, MICRODATA.replace("<ul>", f"{picture}<ul>"))) == LINES


def test_items_inside_microdata_are_read_by_their_names(tmp_path: Path) -> None:
    text = (
        f'{NESTED}<div itemprop=recipeYield itemscope itemtype="https://schema.org/QuantitativeValue">'
        "<meta itemprop=value content=6><span itemprop=unitText>servings</span></div>"
        '<p itemprop=recipeIngredient itemscope itemtype="https://schema.org/HowToSupply">'
        "<span itemprop=requiredQuantity>2</span> <span itemprop=name>eggs</span></div>"
    )
    recipe = read(tmp_path, text)
    assert (recipe.portions, lines(recipe)) == (6, ["2 eggs"])


def test_json_ld_counts_before_microdata_and_what_it_lacks_is_told(tmp_path: Path) -> None:
    shown = MICRODATA.replace("</ul>", "<li itemprop=recipeIngredient>30 g peanuts</ul>")
    recipe = read(tmp_path, page(STEW) + shown)
    assert lines(recipe) == LINES
    (remark,) = recipe.remarks
    assert remark.code == "page-lists-differ"
    assert "30 g peanuts" in remark.message
    assert "mussels" not in remark.message
    assert read(tmp_path, page(STEW) + MICRODATA).remarks == ()


def test_microdata_stands_in_for_json_ld_without_ingredients_or_broken(tmp_path: Path) -> None:
    assert lines(read(tmp_path, page({"@type": "Recipe", "name": "stub"}) + MICRODATA)) == LINES
    recipe = read(tmp_path, page('{"@type": "Recipe", ') + MICRODATA)
    assert lines(recipe) == LINES
    assert [remark.code for remark in recipe.remarks] == ["page-broken-data"]


def test_a_page_cut_off_inside_its_recipe_says_so(tmp_path: Path) -> None:
    whole = read(tmp_path, f"{NESTED}<p itemprop=ingredients>1 egg</p></div>")
    cut = read(tmp_path, f"{NESTED}<p itemprop=ingredients>1 egg</p><p itemprop=ingredients>20 g pean")
    assert whole.remarks == ()
    assert [remark.code for remark in cut.remarks] == ["page-cut-off"]


def test_microdata_that_stands_in_pieces_is_refused(tmp_path: Path) -> None:
    text = f"{NESTED.replace('itemscope', 'itemscope itemref=more')}<p itemprop=ingredients>1 egg</div><p id=more>"
    assert "other places" in refusal(tmp_path, text)


# --- portions -------------------------------------------------------------------------------------------------------

YIELDS = [
    (["Serves 6"], 6, None),
    (["6 servings"], 6, None),
    (["6"], 6, None),
    (["6", "6 pies"], 6, None),
    (["serves six"], 6, None),
    (["Yield: 8 servings, 1 cup each"], 8, None),
    (["8 servings (350 g each)"], 8, None),
    (["20 servings 300"], 20, None),
    (["1 serving"], 1, None),
    (["2.5 servings"], 2.5, None),
    (["for 4"], 4, None),
    (["Serves 4-6"], 4, "portions-range"),
    (["serves: 4 to 6 people"], 4, "portions-range"),
    (["3-4"], 3, "portions-range"),
    (["1"], 1, "portions-one"),
    (["1 loaf (10 slices)"], 10, "portions-pieces"),
    (["12 scones"], 12, "portions-pieces"),
    (["2 dozen biscuits"], 24, "portions-pieces"),
    (["Makes about 24 biscuits"], 24, "portions-pieces"),
    (["1 23x33 cm tray (24 bars)"], 24, "portions-pieces"),
    (["1", "1 loaf"], None, None),
    (["1 loaf"], None, None),
    (["makes 2 large loaves"], None, None),
    (["500 g"], None, None),
    (["2 cups"], None, None),
    (["4 x 250 ml jars"], None, None),
    (["1 (20 cm) pie"], None, None),
    (["0"], None, None),
    (["-6 guinea fowl"], 6, "portions-pieces"),
    (["a lot"], None, None),
    (["9" * 10_000], None, None),
    ([], None, None),
]


@pytest.mark.parametrize(("said", "portions", "code"), YIELDS)
def test_portions_by_what_the_page_says_it_yields(said: list[str], portions: float | None, code: str | None) -> None:
    found, remarks = read_yield(said)
    assert found == portions
    assert [remark.code for remark in remarks] == ([code] if code else [])


@pytest.mark.parametrize(
    "value", [6, 6.0, "6", ["6", "6 pies"], {"@type": "QuantitativeValue", "value": 6, "unitText": "servings"}]
)
def test_a_yield_may_be_a_number_a_text_a_list_or_a_quantity(tmp_path: Path, value: object) -> None:
    assert read(tmp_path, page(STEW | {"recipeYield": value})).portions == 6


def test_a_dish_of_a_page_can_be_cooked(tmp_path: Path) -> None:
    from nutrilab.foods import embedded
    from nutrilab.kitchen import Kitchen

    result = Kitchen([embedded()]).dish(read(tmp_path, page(STEW)))
    assert result.portions == 6
    assert "molluscs" in result.allergens.contains


# --- pages that cannot be used --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "name", "words"),
    [
        ("<html><p>Hello", "page.html", "no recipe with ingredients stands in"),
        ("", "page.html", "no recipe with ingredients stands in"),
        ('{"a": 1}', "dish.json", "no recipe with ingredients stands in"),
        ("[1, 2", "dish.json", ", line 1: this is broken JSON"),
        ('{\n"a": tru\n}', "dish.json", ", line 2: this is broken JSON"),
        ("nothing", "dish.json", ", line 1: this is broken JSON"),
        (page('{"@type":\n\n "Recipe",]'), "page.html", ", line 3: the recipe data of this page is broken"),
        (page([STEW, STEW | {"recipeIngredient": ["1 egg"], "name": "Other"}]), "page.html", "2 different recipes"),
        (page(STEW | {"recipeIngredient": ["1 egg"] * 5001}), "page.html", "5,001 ingredients"),
        (
            page(STEW | {"recipeIngredient": ["x" * 10_001]}),
            "page.html",
            "10,001 characters; no ingredient is that long",
        ),
        (page(STEW | {"name": "x" * 10_001}), "page.html", "10,001 characters; no name is that long"),
        (page([STEW | {"name": str(n), "recipeIngredient": [str(n)]} for n in range(101)]), "page.html", "more stands"),
        ("<html>\n\0", "page.html", ", line 2: this is no text file"),
        ("MIME-Version: 1.0", "page.mhtml", "web archives"),
        (b"<html>\n\n\xe9", "page.html", ", line 3: a letter here is not UTF-8, and the page does not say"),
        (b"<meta charset=x-rot13>\xe9", "page.html", "says it is x-rot13, which is not read"),
        (b'<meta charset="windows-1252">\n\x81', "page.html", ", line 2: a letter here is not windows-1252"),
        (b"\xff\xfe<\x00h", "page.html", "letters cannot be read"),
        (b" " * 10_000_001, "page.html", "10,000,001 bytes"),
    ],
)
def test_a_page_that_cannot_be_used_gets_one_sentence(tmp_path: Path, text: str | bytes, name: str, words: str) -> None:
    assert words in refusal(tmp_path, text, name)


def test_different_recipes_are_named(tmp_path: Path) -> None:
    said = refusal(tmp_path, page([STEW, {"@type": "Recipe", "name": "Pier tart", "recipeIngredient": ["1 egg"]}]))
    assert '"Breakwater stew", "Pier tart"' in said
    assert "text file" in said


@pytest.mark.parametrize(
    ("declared", "codec"),
    [("iso-8859-1", "cp1252"), ("windows-1252", "cp1252"), ("ISO-8859-15", "iso-8859-15"), ("utf-8", "utf-8")],
)
def test_the_encoding_a_page_declares_is_kept_to(tmp_path: Path, declared: str, codec: str) -> None:
    text = page(json.dumps(STEW | {"name": "Crème"}, ensure_ascii=False)).replace(
        "<head>", f"<meta charset={declared}>"
    )
    assert read(tmp_path, text.encode(codec)).dish == "Crème"


@pytest.mark.parametrize("codec", ["utf-8-sig", "utf-16"])
def test_byte_order_marks_are_kept_to(tmp_path: Path, codec: str) -> None:
    assert lines(read(tmp_path, page(STEW).encode(codec))) == LINES
    assert lines(read(tmp_path, json.dumps(STEW).encode(codec), "dish.json")) == LINES


def test_utf_8_is_utf_8_whatever_the_page_declares(tmp_path: Path) -> None:
    text = page(json.dumps(STEW | {"name": "Crème"}, ensure_ascii=False)).replace(
        "<head>", "<meta charset=windows-1252>"
    )
    assert read(tmp_path, text).dish == "Crème"
