"""What is mutated: sound input of every kind, from the demo recipes, the gold lines and the tests of the loaders."""

from __future__ import annotations

import csv
import json
import tempfile
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]
PAGE = """<!DOCTYPE html><html><head><title>Club</title><script type="application/ld+json">
{"@context": "https://schema.org", "@type": "Recipe", "name": "Breakwater stew", "recipeYield": ["4", "4 servings"],
 "recipeIngredient": ["500 g mussels", "1 onion, chopped", {"@type": "HowToSupply", "name": "2 tbsp oil",
 "requiredQuantity": {"value": 2, "unitText": "tbsp"}}], "author": {"@id": "#cook"}}
</script></head><body><div itemscope itemtype="https://schema.org/Recipe"><h1 itemprop="name">Breakwater stew</h1>
<ul><li itemprop="recipeIngredient">500 g mussels<li itemprop="recipeIngredient">1 onion</ul></div></body></html>
"""
PACKS = """- name: House vegetable stock cube
  aliases: [vegetable stock cube, veg cube]
  per: 100 g
  energy kJ: 980
  energy kcal: 234
  fat: 12 g
  saturates: <6 g
  carbohydrate: 24 g
  sugars: 3 g
  protein: 7 g
  salt: 52 g
  pack size: 80 g
  ingredients: Salt, palm oil, **celery** seed, yeast extract (**barley**). May contain milk.
  contains: [celery, gluten]
  may contain: [milk]
  sulphites: 20 mg/kg
- {name: Oat drink, per: 100 ml, density: 1.03, salt: 0.1 g, contains: oats}
"""
PACKS_CSV = "name,per,energy kcal,fat,salt,ingredients,contains\nHouse cube,100 g,234,12,52,Salt (**celery**),celery\n"
SETTINGS = "# this kitchen\ntables: [usda-sr]\nborrow: usda-sr\n"
DECISIONS = (
    "# ours\ndouble cream: sr:01053\nedible glitter: none\n'butter, soft': sr:01001\nmy onions: 180 g\n"
    "stock: home-made stock, no salt\nleek: {food: sr:11246, weight: 0.25 kg}\nclove of garlic: 5 g\n"
)
TEXT = """Harbour pie (serves 4-6)

For the mash:
- 1 kg potatoes
* 50 g butter
For the top:
half of for the mash
1 egg
Prep: 10 minutes | Cook: 1 hr
Method
1. Boil the potatoes and mash them with the butter.
2. Bake until brown. Scatter with hazelnuts.
"""
YAML = """dish: Low-tide soup
portions: 4
cups: metric
notes: a note
ingredients:
  - 500 g leeks, sliced
  - "salt: to taste"
  - 2 x 400g tins chopped tomatoes
  - 2-3 tbsp oil or butter, for frying
cooking: {method: simmered, minutes: 30, covered: yes, weight after: 1.1 kg}
serve with:
  - 1 slice bread
"""


@cache
def lines() -> tuple[str, ...]:
    """The gold lines."""
    found: dict[str, None] = {}
    for name in ("lines", "foods", "allergens"):
        with (ROOT / "tests" / "gold" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
            found.update((next(iter(row.values())), None) for row in csv.DictReader(file))
    return tuple(found)


@cache
def texts() -> dict[str, tuple[tuple[str, str], ...]]:
    """Kind of input -> (file name, text) of each seed."""
    demos = sorted((ROOT / "demo_recipes").glob("*.*"))
    recipes = [(f"dish{path.suffix}", path.read_text(encoding="utf-8")) for path in demos]
    return {
        "recipes": (*recipes, ("dish.yaml", YAML), ("dish.txt", TEXT)),
        "pages": (("page.html", PAGE), ("page.json", PAGE.split(">")[5].split("</")[0])),
        "packs": (("products.yaml", PACKS), ("products.csv", PACKS_CSV)),
        "settings": (("kitchen.yaml", SETTINGS),),
        "decisions": (("decisions.yaml", DECISIONS),),
        "earlier": (("pie.json", earlier()),),
    }


@cache
def earlier() -> str:
    """A small result, as `analyse --format json` writes it."""
    answer = {"contains": {"milk": ["milk: butter"]}, "check": {"celery": ["celery: stock"]}, "may_contain": {}}
    return json.dumps({"dish": "Low-tide soup", "portions": 4, "allergens": answer | {"unresolved": ["1 grommet"]}})


@cache
def tables() -> dict[str, dict[str, bytes]]:
    """Kind of food table -> its files; one file alone stands for itself."""
    from tests import test_fr_ciqual, test_uk_cofid, test_usda_sr, usda_fdc_files

    place = Path(tempfile.mkdtemp(prefix="nutrilab-fuzz-"))
    fdc = usda_fdc_files.folder(place / "fdc")
    workbook = test_uk_cofid.save(place, test_uk_cofid.official())
    return {
        "usda-sr": {name: text.encode("latin-1") for name, text in test_usda_sr.FILES.items()},
        "usda-fdc": {path.name: path.read_bytes() for path in sorted(fdc.iterdir())},
        "fr-ciqual": test_fr_ciqual.xml(),
        "fr-ciqual ": {"ciqual.xls": test_fr_ciqual.workbook(test_fr_ciqual.sheet())},
        "uk-cofid": {workbook.name: workbook.read_bytes()},
        "own-products": {"packs.csv": PACKS_CSV.encode()},
    }
