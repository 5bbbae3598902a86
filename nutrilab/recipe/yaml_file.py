"""A recipe from YAML: every value kept as written, every fault told with its line."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import yaml

from nutrilab.plain import nearest, quoted
from nutrilab.recipe import amounts, meant
from nutrilab.recipe.values import METHODS, Cooking, Line, Method, Recipe, Stage
from nutrilab.remarks import InputError
from nutrilab.yaml_reader import KeyedBlock, document, line_of

RECIPE_KEYS = (
    "dish", "portions", "portion weight", "stages", "ingredients", "cooking", "serve with", "drink", "cups",
    "notes", "source", "products",
)  # fmt: skip
STAGE_KEYS = ("stage", "ingredients", "cooking", "left over", "notes")
COOKING_KEYS = (
    "method", "minutes", "drained", "covered", "weight before", "weight after", "loss", "fat drained",
    "frying oil left", "salted water", "flamed", "notes",
)  # fmt: skip


def read(text: str, file: str) -> Recipe:
    """Read a recipe from YAML text (docs/recipe-format.md). Raises InputError with file and line for every fault."""
    node = document(text, file)
    if node is None:
        raise InputError("the file is empty; a recipe needs a dish, portions and ingredients", file)
    top = KeyedBlock(node, file, RECIPE_KEYS, "a recipe", meant=partial(meant.of_key, "recipe"))
    stages = _stages(top, file)
    cup = top.text("cups") or "us"
    if cup not in ("us", "metric"):
        raise top.fault(f"cups is {quoted(cup)}; write us (236.6 ml) or metric (250 ml)", "cups")
    return Recipe(
        dish=top.needed("dish"),
        stages=stages,
        portions=top.read("portions", amounts.portions),
        portion_weight=top.read("portion weight", amounts.weight),
        serve_with=tuple(_lines(top, "serve with")),
        drink=bool(top.read("drink", amounts.yes)),
        cup=cup,
        notes=top.text("notes"),
        source=top.text("source"),
        products=top.text("products"),
        products_line=top.key_line("products"),
    )


def _stages(top: KeyedBlock, file: str) -> tuple[Stage, ...]:
    if "stages" not in top.nodes:
        if "ingredients" not in top.nodes:
            raise InputError('there are no ingredients; write "ingredients:" and a list under it', file, top.start)
        return (_stage(top, top.needed("dish"), file),)
    for key in ("ingredients", "cooking"):
        if key in top.nodes:
            raise top.fault(f'"{key}" stands beside "stages"; put it into a stage', key)
    found = []
    for node in top.items("stages"):
        block = KeyedBlock(node, file, STAGE_KEYS, "a stage", meant=partial(meant.of_key, "stage"))
        found.append(_stage(block, block.needed("stage"), file))
    if not found:
        raise top.fault('"stages" is empty', "stages")
    return tuple(found)


def _lines(block: KeyedBlock, key: str) -> Iterator[Line]:
    """Ingredient lines. "salt: to taste" is a mapping to YAML and a line to a cook."""
    for node in block.items(key):
        line = line_of(node)
        if isinstance(node, yaml.MappingNode) and len(node.value) == 1:
            first, second = node.value[0]
            if isinstance(first, yaml.ScalarNode) and isinstance(second, yaml.ScalarNode):
                yield Line(f"{first.value}: {second.value}".strip(), line)
                continue
        if not isinstance(node, yaml.ScalarNode):
            raise InputError("an ingredient is one line of text; put it in quotes", block.file, line)
        if not node.value.strip():
            raise InputError("an ingredient line is empty; fill it in or take it out", block.file, line)
        if "\n" in node.value.strip():
            raise InputError('an ingredient is one line of text; begin each with "- "', block.file, line)
        yield Line(node.value.strip(), line)


def _stage(block: KeyedBlock, name: str, file: str) -> Stage:
    entries = tuple(_lines(block, "ingredients"))
    if not entries:
        raise block.fault(f"the stage {quoted(name)} has no ingredients", "ingredients")
    cooking = _cooking(block.nodes["cooking"], file) if "cooking" in block.nodes else None
    return Stage(name, entries, cooking, bool(block.read("left over", amounts.yes)), block.line("stage"))


def _cooking(node: yaml.Node, file: str) -> Cooking:
    block = KeyedBlock(node, file, COOKING_KEYS, "cooking", meant=partial(meant.of_key, "cooking"))
    method = block.text("method")
    if method is not None and method.lower() not in METHODS:
        known = meant.method(method)
        near = nearest(method, METHODS)
        hint = known or (f'did you mean "{near}"?' if near else f"it knows: {', '.join(METHODS)}")
        raise block.fault(f"{quoted(method)} is no cooking method it knows; {hint}", "method")
    return Cooking(
        method=Method(method.lower()) if method else None,
        minutes=block.read("minutes", amounts.number),
        drained=bool(block.read("drained", amounts.yes)),
        covered=block.read("covered", amounts.yes),
        weight_before=block.read("weight before", amounts.weight),
        weight_after=block.read("weight after", amounts.weight),
        loss=block.read("loss", amounts.share),
        fat_drained=block.read("fat drained", amounts.liquid),
        oil_left=block.read("frying oil left", amounts.liquid),
        salted_water=block.read("salted water", _per_litre),
        flamed=bool(block.read("flamed", amounts.yes)),
        line=block.start,
    )


def _per_litre(text: str) -> float:
    plain = text.lower().replace("per litre", "").replace("a litre", "").replace("/l", "").strip()
    return amounts.grams(plain)
