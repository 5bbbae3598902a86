"""A stage whose cooking the recipe does not give: whether it is cooked all the same, told by what goes in and its name.

A cook who writes down onions, carrots and stock boils them, and water leaves; of a salad, a drink or a sandwich there
is nothing to say. The kinds and words are those of data/uncooked.csv.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from nutrilab.cooking import yields
from nutrilab.cooking.media import Item, Pot
from nutrilab.datafiles import rows
from nutrilab.lines import Purpose
from nutrilab.messages import listed, say
from nutrilab.recipe import METHODS
from nutrilab.remarks import Code, Remark
from nutrilab.text import words

NAMED = 4  # foods in the sentence
FLOUR = 0.02  # share of the food from which flour is no dusting: it thickens or makes a dough
CRUMBS = 0.1  # the same of crumbs and bran
BUTTERED = 0.1  # share of raw vegetables from which butter softens them
PLANTS = 0.25  # share of raw vegetables and fruit from which the name of a cooked dish counts
BREAD = 0.08  # share of bread from which vegetables without stock are those of a sandwich
WATER = 0.2  # share of water in which vegetables are boiled
_CRUMB = ("crumb", "breadcrumb", "bran", "germ", "matzo", "panko")
_STOCK = ("stock", "bouillon", "broth", "consomme")


@cache
def _role(role: str) -> tuple[str, ...]:
    return tuple(row["words"] for row in rows("uncooked.csv") if row["role"] == role)


@cache
def _phrases(role: str) -> tuple[frozenset[str], ...]:
    return tuple(frozenset(words(text)) for text in _role(role))


def remarks(pot: Pot, names: tuple[str, ...]) -> tuple[Remark, ...]:
    """What to say of a stage without cooking; names: of the stage, and of the dish for its last stage."""
    found = _cooked(pot, names)
    if not found:
        return ()
    named = list(dict.fromkeys(i.put.name for i in sorted(found, key=lambda i: -i.batch.mass)))
    message = say("cooking.no-cooking-given", foods=listed(named))
    return (Remark(Code.NO_MOISTURE_LOSS, message),)


def _cooked(pot: Pot, names: tuple[str, ...]) -> list[Item]:
    """The foods that tell."""
    raw = [i for i in pot.foods if i.raw and i.batch.mass > 0 and not _any(i.said, "cooked already")]
    found = [i for i in raw if i.is_any(*_role("never raw")) and i.kind != "oats"]
    found += [i for i in pot.foods if _thickens(i, pot)]
    if _named(names, "raw protein"):
        return [i for i in found if not i.is_any("meat", "poultry")]
    if _named(names, "raw dish"):
        return [*found, *(i for i in raw if i.is_any("fish"))]
    return [*found, *(i for i in raw if i.is_any(*_role("seldom raw"))), *_vegetables(raw, pot, names)]


def _vegetables(raw: Sequence[Item], pot: Pot, names: tuple[str, ...]) -> list[Item]:
    """Raw vegetables and fruit that go into something hot."""
    added = (Purpose.TO_SERVE, Purpose.TO_GARNISH)
    vegetables = [i for i in raw if i.is_any("vegetable") and i.put.reading.purpose not in added]
    plants = [i for i in raw if i.is_any("vegetable", "fruit")]
    if any(i.is_any(*_role("hot with vegetables")) or i.says(*_STOCK) for i in pot.foods):
        return vegetables
    if _share(pot.foods, pot, "bread") >= BREAD:
        return []
    if _share(plants, pot) >= PLANTS and _is_cooked_dish(names):
        return plants
    return vegetables if _softened(vegetables, pot) else []


def _softened(vegetables: Sequence[Item], pot: Pot) -> bool:
    """Whether vegetables go into butter, or onions and roots into oil, water or tinned tomatoes with nothing fresh."""
    foods = pot.foods
    if any(i.is_any("butter") for i in foods) and _share(vegetables, pot) >= BUTTERED:
        return True
    onions = [i for i in vegetables if i.is_any("onion") and not _any(i.said, "raw onion")]
    if (onions or any(i.is_any("roots") for i in vegetables)) and _share(foods, pot, "water") >= WATER:
        return True
    said = [i.said for i in foods]
    fresh = any(_any(text, "acid") or _any(text, "salad sign") for text in said)
    tomatoes = any(i.kind == "tomato-product" for i in foods)
    return bool(onions) and (tomatoes or (any(i.is_any("oil") for i in foods) and not fresh))


def _thickens(one: Item, pot: Pot) -> bool:
    if one.kind != "flour" or one.says("dust", "dusting"):
        return False
    found = set(words(one.put.food.name)) if one.put.food else set()
    crumbs = not found.isdisjoint(_CRUMB) or one.says(*_CRUMB)
    return one.batch.mass >= (CRUMBS if crumbs else FLOUR) * pot.food_mass


def _share(items: Sequence[Item], pot: Pot, kind: str = "") -> float:
    """Share of the food that these are, or those of them of a kind [0 to 1]."""
    mass = sum(i.batch.mass for i in items if not kind or i.is_any(kind))
    return mass / pot.food_mass if pot.food_mass else 0.0


def _words(text: str) -> frozenset[str]:
    return frozenset(words(text))


def _any(found: frozenset[str], role: str) -> bool:
    return any(phrase <= found for phrase in _phrases(role))


def _named(names: tuple[str, ...], role: str) -> bool:
    return any(_any(_words(name), role) for name in names)


def _is_cooked_dish(names: tuple[str, ...]) -> bool:
    return _named(names, "cooked dish") or any(yields.of_dish(names, method) is not None for method in METHODS)
