"""schema.org/Recipe with its NutritionInformation as JSON-LD, to paste into a web page.

The vocabulary [1] has no property for allergens: they stand in ``description``, which every thing has, as in a caption.
It has none for salt either, so sodium stands there, as salt / 2.5 (Regulation (EU) No 1169/2011, Annex I point 11), and
salt in words.
``suitableForDiet`` is never claimed: nothing here can promise it.

References
----------
[1] schema.org, Recipe, NutritionInformation, Energy, Mass (a number and a unit as text), from memory.
"""

from __future__ import annotations

import json
from typing import Any

from nutrilab.law.energy import SALT_PER_SODIUM, sodium
from nutrilab.law.rounding import declared
from nutrilab.messages import as_portions, say
from nutrilab.recipe import Part
from nutrilab.results import DishResult
from nutrilab.sheets.answer import answer, sentence
from nutrilab.sheets.safe import plain
from nutrilab.sheets.sentences import portion_figures, quoted, values_left_out
from nutrilab.tracing import in_dish

NAME = 200  # characters of a dish's name
PROPERTIES = {
    "calories": "energy_kcal",
    "fatContent": "fat",
    "saturatedFatContent": "saturates",
    "carbohydrateContent": "carbohydrate",
    "sugarContent": "sugars",
    "fiberContent": "fibre",
    "proteinContent": "protein",
}
# As they would end the script, open another, or end a line of it; valid JSON strings all the same.
_ESCAPES = str.maketrans({c: f"\\u{ord(c):04x}" for c in "<>&\u2028\u2029"})


def as_text(result: DishResult) -> str:
    """The JSON, safe as it stands between the tags of a script."""
    return json.dumps(jsonld(result), ensure_ascii=False, indent=1).translate(_ESCAPES) + "\n"


def as_script(result: DishResult) -> str:
    """The script element to paste into a page."""
    return f'<script type="application/ld+json">\n{as_text(result)}</script>\n'


def jsonld(result: DishResult) -> dict[str, Any]:
    """The recipe as plain objects. A figure that is not known is left out, never 0; texts are plain, not escaped."""
    return {
        "@context": "https://schema.org",
        "@type": "Recipe",
        "name": plain(result.recipe.dish, NAME),
        "description": _description(result),
        "recipeYield": as_portions(round(result.portions, 1)),
        "recipeIngredient": _ingredients(result),
        "nutrition": _nutrition(result),
        "isBasedOn": [
            {
                "@type": "Dataset",
                "name": plain(table.provenance.source),
                "version": plain(table.provenance.version),
                "creditText": plain(f"{table.provenance.credit} ({table.provenance.licence})"),
            }
            for table in result.tables
        ],
    }


def _description(result: DishResult) -> str:
    """What is not complete, first; the answer in one sentence; the caution in another."""
    told = answer(result)
    first = [sentence(told.incomplete)] if told.incomplete else []
    return " ".join(filter(None, (*first, sentence(told.portion, *told.allergens), told.caution, told.more)))


def _ingredients(result: DishResult) -> list[str]:
    """The lines in the dish as written, in order; what is taken of another recipe by the name of its dish."""
    recipe = result.recipe
    taken = {id(stage.stage) for stage, _ in in_dish(result)}
    found = []
    for stage in recipe.stages:
        for entry in stage.entries if id(stage) in taken else ():
            if not isinstance(entry, Part):
                found.append(entry.text)
            elif entry.file:
                start = entry.text[: entry.text.lower().rindex(" from ")]
                found.append(say("jsonld.from-other", line=start, dish=recipe.others[entry.file].dish))
    found += [say("jsonld.for-each", line=line.text) for line in recipe.serve_with]
    return [plain(text.strip()) for text in found]


def _nutrition(result: DishResult) -> dict[str, Any]:
    whole = result.whole
    found: dict[str, Any] = {
        "@type": "NutritionInformation",
        "servingSize": say("jsonld.serving", weight=f"{result.portion_weight:.0f} g"),
    }
    for name, key in PROPERTIES.items():
        value = whole.per_portion[key]
        if value is not None:
            found[name] = _quantity(key, value)
    of_salt = whole.per_portion["salt"]
    said = [say("jsonld.calculated")]
    if of_salt is not None:
        found["sodiumContent"] = f"{sodium(of_salt):.0f} mg"
        said.append(say("jsonld.salt", salt=portion_figures(result)["salt"], times=f"{SALT_PER_SODIUM:g}"))
    if ends := whole.per_portion_range.get("energy_kcal"):
        said.append(sentence(say("caption.likely", low=f"{ends[0]:.0f}", high=f"{ends[1]:.0f} kcal")))
    if left_out := result.unweighed:
        said.append(say("caption.lines-not-counted", lines=quoted(left_out)))
    return found | {"description": " ".join([*said, *values_left_out(result)])}


def _quantity(key: str, value: float) -> str:
    """A number and its unit as declared; below what is declared as a number ("<0.5 g"), to two figures."""
    text = declared(key, value)
    if not text.startswith("<"):
        return text
    exact = f"{float(f'{value:.2g}'):f}".rstrip("0").rstrip(".")
    return f"{exact} {text.split()[-1]}"
