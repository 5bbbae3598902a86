"""Nutrition and allergens of recipes, from open food composition data.

    import nutrilab as nl

    kitchen = nl.open_kitchen("recipes/")
    dish = kitchen.dish(nl.read_recipe("recipes/pie.yaml"))

docs/from-python.md has the rest. Names are looked up when they are first used, so that importing costs nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from nutrilab.folder import Dish, Folder, IngredientLine, open_kitchen
    from nutrilab.recipe import Recipe, read_recipe
    from nutrilab.remarks import InputError, NutrilabError

__version__ = "0.1.0"
__all__ = [
    "Dish",
    "Folder",
    "IngredientLine",
    "InputError",
    "NutrilabError",
    "Recipe",
    "open_kitchen",
    "read_recipe",
]

_HOME = {"Recipe": "recipe", "read_recipe": "recipe", "InputError": "remarks", "NutrilabError": "remarks"}


def __getattr__(name: str) -> object:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    from nutrilab.once import many

    with many():
        found = getattr(import_module(f"{__name__}.{_HOME.get(name, 'folder')}"), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
