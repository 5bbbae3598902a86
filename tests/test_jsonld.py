"""The JSON-LD of dishes: the vocabulary's own types, a general reader's figures, nothing claimed, nothing active."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from nutrilab.kitchen import DishResult
from nutrilab.law.rounding import declared
from nutrilab.recipe import read_recipe
from nutrilab.sheets.jsonld import PROPERTIES, as_script, as_text, jsonld
from tests.dishes import demos, dish, kitchen

# Properties used here, the types they belong to and what they expect; schema.org, from memory (release 28, 2025).
# Energy and Mass are texts of "a number and a unit", as their definitions say.
VOCABULARY = {
    "name": ({"Thing"}, {"Text"}),
    "description": ({"Thing"}, {"Text"}),
    "recipeYield": ({"Recipe"}, {"Text", "QuantitativeValue"}),
    "recipeIngredient": ({"Recipe"}, {"Text"}),
    "nutrition": ({"Recipe", "MenuItem"}, {"NutritionInformation"}),
    "isBasedOn": ({"CreativeWork"}, {"CreativeWork", "Product", "URL"}),
    "version": ({"CreativeWork"}, {"Text", "Number"}),
    "creditText": ({"CreativeWork"}, {"Text"}),
    "servingSize": ({"NutritionInformation"}, {"Text"}),
    "calories": ({"NutritionInformation"}, {"Energy"}),
    **dict.fromkeys(
        "fatContent saturatedFatContent carbohydrateContent sugarContent fiberContent proteinContent "
        "sodiumContent".split(),
        ({"NutritionInformation"}, {"Mass"}),
    ),
}
ABOVE = {
    "Recipe": {"HowTo", "CreativeWork", "Thing"},
    "Dataset": {"CreativeWork", "Thing"},
    "NutritionInformation": {"StructuredValue", "Intangible", "Thing"},
}
QUANTITY = re.compile(r"\d+(\.\d+)? (kcal|g|mg)")


def check(node: dict[str, Any]) -> None:
    """Every property belongs to the type of its node and holds what it expects."""
    types = {node["@type"]} | ABOVE[node["@type"]]
    for name, value in node.items():
        if name.startswith("@"):
            continue
        domain, expected = VOCABULARY[name]
        assert domain & types, f"{name} is no property of {node['@type']}"
        for one in value if isinstance(value, list) else [value]:
            if isinstance(one, dict):
                assert expected & ({one["@type"]} | ABOVE[one["@type"]]), name
                check(one)
            elif "Energy" in expected or "Mass" in expected:
                assert QUANTITY.fullmatch(one), f"{name}: {one}"
                assert ("Energy" in expected) == one.endswith("kcal")
            else:
                assert "Text" in expected
                assert isinstance(one, str)
                assert one


@pytest.mark.parametrize("result", demos(), ids=lambda result: result.recipe.dish)
def test_every_property_is_one_of_the_vocabulary_and_of_its_type(result: DishResult) -> None:
    found = jsonld(result)
    check(found)
    assert (found["@context"], found["@type"]) == ("https://schema.org", "Recipe")
    assert "suitableForDiet" not in json.dumps(found)
    assert "free from" not in json.dumps(found).lower()


@pytest.mark.parametrize("result", demos(), ids=lambda result: result.recipe.dish)
def test_a_general_reader_finds_the_same_figures(result: DishResult) -> None:
    reader = pytest.importorskip("pyld.jsonld", reason="comes with the test extra")
    # schema.org serves its context from the network; of it this document needs the vocabulary alone (from memory:
    # "@vocab": "http://schema.org/"). The loader below answers without any network, and for nothing else.
    context = {"@context": {"@vocab": "http://schema.org/", "type": "@type", "id": "@id"}}

    def load(url: str, _: object) -> dict[str, Any]:
        assert url.rstrip("/") == "https://schema.org"
        return {"contentType": "application/ld+json", "contextUrl": None, "documentUrl": url, "document": context}

    (recipe,) = reader.expand(json.loads(as_text(result)), {"documentLoader": load})

    def value(node: dict[str, Any], name: str) -> str:
        (held,) = node[f"http://schema.org/{name}"]
        return str(held["@value"])

    assert recipe["@type"] == ["http://schema.org/Recipe"]
    assert value(recipe, "name") == result.recipe.dish
    (nutrition,) = recipe["http://schema.org/nutrition"]
    assert nutrition["@type"] == ["http://schema.org/NutritionInformation"]
    for name, key in PROPERTIES.items():
        figure = result.whole.per_portion[key]
        assert figure is not None
        said = declared(key, figure)
        if said.startswith("<"):
            assert float(value(nutrition, name).split()[0]) == pytest.approx(figure, rel=0.05)
        else:
            assert value(nutrition, name) == said
    salt = result.whole.per_portion["salt"]
    assert salt is not None
    sodium, unit = value(nutrition, "sodiumContent").split()
    assert unit == "mg"
    assert float(sodium) * 2.5 / 1000 == pytest.approx(salt, abs=0.5 * 2.5 / 1000)
    assert float(value(nutrition, "servingSize").split("(")[1].split()[0]) == round(result.whole.mass / result.portions)


def test_lines_stand_as_written_and_in_order() -> None:
    pie = next(result for result in demos() if result.recipe.dish == "Harbour fish pie")
    found = jsonld(pie)["recipeIngredient"]
    assert found[0] == "1.2 kg floury potatoes, peeled"
    assert len(found) == 16  # those of the three stages; "all of mash" and "80% of white sauce" are no ingredients
    assert jsonld(pie)["recipeYield"] == "6 portions"


def test_allergens_and_cautions_stand_in_the_description() -> None:
    for result in demos():
        said = jsonld(result)["description"]
        for allergen in result.allergens.contains:
            assert result.allergens.named(allergen) in said.split("; contains ")[1].split(";")[0]
        for allergen in result.allergens.check:
            assert allergen in said.split("; check the pack for ")[1].split(". ")[0]
        for word in ("cross-contact not covered", "check every pack", "local food law", "registered dietitian"):
            assert word in said.lower()
        assert said.startswith("NOT COMPLETE") == (not result.complete)
        assert said.count(". ") == (
            2 if result.complete else 3
        )  # the answer, no promise, the caution; what is missing before


def test_may_contain_stays_apart_and_what_was_not_understood_is_named(tmp_path: Path) -> None:
    result = dish(tmp_path, "Pier snack", "100 g Slipway seed crackers", "20 g edible glitter")
    found = jsonld(result)
    said = found["description"]
    assert "; contains sesame; may contain, says the pack: milk, nuts." in said
    assert said.startswith("NOT COMPLETE: one line of the recipe not understood, allergens may be missing. A portion: ")
    assert "at least" in said
    assert '"20 g edible glitter"' in found["nutrition"]["description"]
    assert "all 83%" in found["nutrition"]["description"]


def test_a_figure_that_is_not_known_is_left_out_and_said(tmp_path: Path) -> None:
    result = dish(tmp_path, "Glitter", "20 g edible glitter")
    found = jsonld(result)
    assert set(found["nutrition"]) == {"@type", "servingSize", "description"}
    assert "A portion: energy not known, salt not known; its words name no allergen" in found["description"]
    assert "Not known: energy, fat" in found["nutrition"]["description"]


def test_a_small_figure_keeps_a_number(tmp_path: Path) -> None:
    result = dish(tmp_path, "Cucumber water", "2 cucumbers", "2 litres water")
    check(jsonld(result))
    fat = result.whole.per_portion["fat"]
    assert fat is not None
    assert 0 < fat < 0.5
    said = jsonld(result)["nutrition"]["fatContent"]
    assert float(said.removesuffix(" g")) == pytest.approx(fat, rel=0.05)


def test_what_is_taken_of_another_recipe_is_named_by_its_dish(tmp_path: Path) -> None:
    (tmp_path / "base.yaml").write_text(
        "dish: Beacon stock\nportions: 4\nstages:\n- stage: stock\n  ingredients: [2 celery sticks, 1 litre water]\n"
    )
    (tmp_path / "soup.yaml").write_text(
        "dish: Beacon soup\nportions: 4\nstages:\n"
        "- stage: spare\n  left over: true\n  ingredients: [50 g peanuts]\n"
        "- stage: soup\n  ingredients: [half of stock from base.yaml, 200 g leeks]\nserve with: [1 small flatbread]\n"
    )
    result = kitchen().dish(read_recipe(tmp_path / "soup.yaml"))
    assert jsonld(result)["recipeIngredient"] == [
        "half of stock from Beacon stock",
        "200 g leeks",
        "1 small flatbread (for each portion)",
    ]
    assert "celery" in jsonld(result)["description"]
    assert "peanuts" not in as_text(result)


def test_its_own_page_reads_back_as_the_same_recipe(tmp_path: Path) -> None:
    salad = demos()[0]
    path = tmp_path / "salad.html"
    path.write_text(f"<!DOCTYPE html><title>x</title>{as_script(salad)}", encoding="utf-8")
    again = read_recipe(path)
    assert (again.dish, again.portions) == (salad.recipe.dish, salad.portions)
    assert [entry.text for entry in again.stages[0].entries] == jsonld(salad)["recipeIngredient"]


def test_a_script_end_inside_a_text_is_inert(tmp_path: Path) -> None:
    result = dish(tmp_path, "</script><script>alert(1)</script><!--", "100 g ]]> <b>butter</b> & egg\u2028", "1 egg")

    class Tags(HTMLParser):
        found: tuple[str, ...] = ()

        def handle_starttag(self, tag: str, _: object) -> None:
            self.found += (tag,)

    tags = Tags()
    tags.feed(as_script(result) + "<p>after")
    assert tags.found == ("script", "p")
    text = as_text(result)
    assert not set("<>&\u2028\u2029") & set(text)
    assert json.loads(text) == jsonld(result)
    assert jsonld(result)["name"] == "</script><script>alert(1)</script><!--"
