"""A recipe from YAML: every value kept as written, every fault told with its line."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import yaml

from nutrilab.messages import say
from nutrilab.plain import nearest, quoted
from nutrilab.recipe import amounts, meant
from nutrilab.recipe.values import METHODS, Cooking, Line, Method, Recipe, Stage
from nutrilab.remarks import InputError
from nutrilab.yaml_reader import KeyedBlock, document, line_of

RECIPE_KEYS = (
    "dish", "portions", "portion weight", "stages", "ingredients", "cooking", "serve with", "drink", "cups",
    "notes", "source", "products", "method as written",
)  # fmt: skip
STAGE_KEYS = ("stage", "ingredients", "cooking", "left over", "notes")
COOKING_KEYS = (
    "method", "minutes", "drained", "covered", "weight before", "weight after", "loss", "fat drained",
    "frying oil left", "salted water", "flamed", "notes", "read from method", "fat poured off", "boiled off",
    "boiled off at least", "boiled off at most", "marinade left behind", "coated in", "thrown away",
)  # fmt: skip
AS_WRITTEN = "as written"  # before a line that is an ingredient whatever it looks like


def read(text: str, file: str) -> Recipe:
    """Read a recipe from YAML text (docs/recipe-format.md). Raises InputError with file and line for every fault."""
    node = document(text, file)
    if node is None:
        raise InputError(say("recipe.empty-yaml"), file)
    top = KeyedBlock(node, file, RECIPE_KEYS, say("thing.recipe"), meant=partial(meant.of_key, "recipe"))
    stages = _stages(top, file)
    cup = top.text("cups") or "us"
    if cup not in ("us", "metric"):
        raise top.fault(say("recipe.cups", text=quoted(cup)), "cups")
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
        method=tuple(_texts(top, "method as written")),
    )


def _stages(top: KeyedBlock, file: str) -> tuple[Stage, ...]:
    if "stages" not in top.nodes:
        if "ingredients" not in top.nodes:
            raise InputError(say("recipe.no-ingredients-key"), file, top.start)
        return (_stage(top, top.needed("dish"), file),)
    for key in ("ingredients", "cooking"):
        if key in top.nodes:
            raise top.fault(say("recipe.beside-stages", key=key), key)
    found = []
    for node in top.items("stages"):
        block = KeyedBlock(node, file, STAGE_KEYS, say("thing.stage"), meant=partial(meant.of_key, "stage"))
        found.append(_stage(block, block.needed("stage"), file))
    if not found:
        raise top.fault(say("recipe.no-stages"), "stages")
    return tuple(found)


def _lines(block: KeyedBlock, key: str) -> Iterator[Line]:
    """Ingredient lines. "salt: to taste" is a mapping to YAML and a line to a cook."""
    for node in block.items(key):
        line = line_of(node)
        if isinstance(node, yaml.MappingNode) and len(node.value) == 1:
            first, second = node.value[0]
            if isinstance(first, yaml.ScalarNode) and isinstance(second, yaml.ScalarNode):
                if first.value.strip().lower() == AS_WRITTEN and second.value.strip():
                    yield Line(second.value.strip(), line, whole=True)
                    continue
                yield Line(f"{first.value}: {second.value}".strip(), line)
                continue
        if not isinstance(node, yaml.ScalarNode):
            raise InputError(say("recipe.line-in-quotes"), block.file, line)
        if not node.value.strip():
            raise InputError(say("recipe.line-empty"), block.file, line)
        if "\n" in node.value.strip():
            raise InputError(say("recipe.line-with-dash"), block.file, line)
        yield Line(node.value.strip(), line)


def _stage(block: KeyedBlock, name: str, file: str) -> Stage:
    entries = tuple(_lines(block, "ingredients"))
    if not entries:
        raise block.fault(say("recipe.stage-empty", stage=quoted(name)), "ingredients")
    cooking = _cooking(block.nodes["cooking"], entries, file) if "cooking" in block.nodes else None
    return Stage(name, entries, cooking, bool(block.read("left over", amounts.yes)), block.line("stage"))


def _texts(block: KeyedBlock, key: str) -> Iterator[Line]:
    """Lines of text, one an item of a list."""
    for node in block.items(key):
        if not isinstance(node, yaml.ScalarNode):
            raise InputError(say("recipe.texts-in-quotes", key=key), block.file, line_of(node))
        if node.value.strip():
            yield Line(node.value.strip(), line_of(node))


def _cooking(node: yaml.Node, entries: tuple[Line, ...], file: str) -> Cooking:
    block = KeyedBlock(node, file, COOKING_KEYS, say("thing.cooking"), meant=partial(meant.of_key, "cooking"))
    method = block.text("method")
    if method is not None and method.lower() not in METHODS:
        known = meant.method(method)
        near = nearest(method, METHODS)
        hint = known or (
            say("list.did-you-mean", name=quoted(near)) if near else say("recipe.methods", names=", ".join(METHODS))
        )
        raise block.fault(say("recipe.no-method", method=quoted(method), hint=hint), "method")
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
        fat_poured=bool(block.read("fat poured off", amounts.yes)),
        boiled_off=_boiled_off(block),
        marinade=_lines_of(block, "marinade left behind", entries),
        coating=_lines_of(block, "coated in", entries),
        thrown=_lines_of(block, "thrown away", entries),
        read=bool(block.read("read from method", amounts.yes)),
    )


def _boiled_off(block: KeyedBlock) -> tuple[float, float, float] | None:
    """Water reduced away with its ends [g]; without ends it is as said."""
    least, most = (block.read(f"boiled off at {end}", amounts.weight) for end in ("least", "most"))
    off = block.read("boiled off", amounts.weight)
    if off is None:
        if key := next((k for k in COOKING_KEYS if k.startswith("boiled off at") and k in block.nodes), None):
            raise block.fault(say("recipe.boiled-off-missing", key=key), key)
        return None
    low, high = off if least is None else least, off if most is None else most
    if not low <= off <= high:
        raise block.fault(say("recipe.boiled-off-ends"), "boiled off")
    return off, low, high


def _lines_of(block: KeyedBlock, key: str, entries: tuple[Line, ...]) -> tuple[str, ...]:
    """The lines of the stage that a key names; of "half of 50 g butter" the butter."""
    found = tuple(line.text for line in _texts(block, key))
    there = {entry.text for entry in entries}
    there |= {text.split(" of ", 1)[1] for text in there if " of " in text}
    for text in found:
        if text not in there:
            raise block.fault(say("recipe.no-line-of-stage", line=quoted(text)), key)
    return found


def _per_litre(text: str) -> float:
    plain = text.lower().replace("per litre", "").replace("a litre", "").replace("/l", "").strip()
    return amounts.grams(plain)
