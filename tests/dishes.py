"""Dishes for the tests of the sheets: the demo recipes, and dishes written on the spot."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path

from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.products import load
from nutrilab.recipe import read_recipe
from nutrilab.results import DishResult

DEMOS = sorted(
    path for path in (Path(__file__).parents[1] / "demo_recipes").iterdir() if path.suffix in (".yaml", ".txt")
)
PACKS = """\
- name: Slipway seed crackers
  energy kJ: 1900
  energy kcal: 452
  fat: 18 g
  saturates: 2 g
  carbohydrate: 58 g
  sugars: 3 g
  protein: 11 g
  salt: 1.2 g
  contains: [sesame]
  may contain: [walnut, milk]
"""


@cache
def kitchen() -> Kitchen:
    """The embedded table and one pack, whose label says what it may contain."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "products.yaml")
        path.write_text(PACKS, encoding="utf-8")
        return Kitchen([embedded()], alternatives=False, products=load(path))


@cache
def demos() -> tuple[DishResult, ...]:
    """The demo recipes, in the order of their file names."""
    return tuple(kitchen().dish(read_recipe(path)) for path in DEMOS)


def dish(folder: Path, name: str, *lines: str, portions: int = 4) -> DishResult:
    """A dish of those lines."""
    path = folder / "dish.txt"
    path.write_text("\n".join([name, f"Serves {portions}", "", *lines]), encoding="utf-8")
    return kitchen().dish(read_recipe(path))
