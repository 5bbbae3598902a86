"""A recipe from YAML: every value kept as written, every fault told with its line."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterator
from typing import Any, TypeVar

import yaml

from nutrilab.recipe import amounts
from nutrilab.recipe.values import METHODS, Cooking, Line, Recipe, Stage
from nutrilab.remarks import InputError

Value = TypeVar("Value")
Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
DEEPEST = 20  # levels of nesting; a recipe has five

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
    top = KeyedBlock(one_document(text, file), file, RECIPE_KEYS, "a recipe")
    stages = _stages(top, file)
    cup = top.text("cups") or "us"
    if cup not in ("us", "metric"):
        raise InputError(f'cups is "{cup}"; write us (236.6 ml) or metric (250 ml)', file, top.line("cups"))
    return Recipe(
        dish=top.needed("dish"),
        stages=stages,
        portions=top.read("portions", amounts.number),
        portion_weight=top.read("portion weight", _weight),
        serve_with=tuple(top.lines("serve with")),
        drink=bool(top.read("drink", amounts.yes)),
        cup=cup,
        notes=top.text("notes"),
        source=top.text("source"),
        products=top.text("products"),
    )


def one_document(text: str, file: str) -> yaml.Node:
    """The node tree of one document, without tabs, anchors, aliases and tags."""
    for number, line in enumerate(text.split("\n"), 1):
        if "\t" in line:
            raise InputError("a tab stands in this line; use spaces", file, number)
    try:
        _refuse_events(text, file)
        node = yaml.compose(text, Loader=Loader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        problem = error.problem or "it is not YAML"
        raise InputError(
            f"this is not written as YAML wants it ({problem})", file, mark.line + 1 if mark else None
        ) from None
    except yaml.YAMLError as error:
        raise InputError(f"this is not written as YAML wants it ({str(error).splitlines()[0]})", file) from None
    if node is None:
        raise InputError("the file is empty; a recipe needs a dish, portions and ingredients", file)
    return node


def _refuse_events(text: str, file: str) -> None:
    """Refuse what a recipe never needs and an attack does: anchors, aliases, tags, deep nesting, many documents."""
    depth = documents = 0
    for event in yaml.parse(text, Loader=Loader):
        line = event.start_mark.line + 1 if event.start_mark else None
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            raise InputError("YAML anchors and aliases (& and *) are not used here; put the line in quotes", file, line)
        if getattr(event, "tag", None):
            raise InputError("YAML tags (!) are not used here; put the line in quotes", file, line)
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
        elif isinstance(event, yaml.DocumentStartEvent):
            documents += 1
        if depth > DEEPEST:
            raise InputError("lists stand inside lists too deeply for a recipe", file, line)
        if documents > 1:
            raise InputError("a second document begins here (---); one file holds one recipe", file, line)


class KeyedBlock:
    """A YAML mapping whose keys are known words; reads its values with errors that name the line."""

    def __init__(self, node: yaml.Node, file: str, keys: tuple[str, ...], what: str) -> None:
        self.file, self.start, self.what = file, node.start_mark.line + 1, what
        if not isinstance(node, yaml.MappingNode):
            raise InputError(f'{what} is written as "key: value" lines, such as "{keys[0]}: ..."', file, self.start)
        self.nodes: dict[str, yaml.Node] = {}
        for key_node, value in node.value:
            line = key_node.start_mark.line + 1
            key = " ".join(str(key_node.value).lower().replace("_", " ").replace("-", " ").split())
            if key not in keys:
                near = difflib.get_close_matches(key, keys, 1)
                hint = f'did you mean "{near[0]}"?' if near else f"{what} knows: {', '.join(keys)}"
                raise InputError(f'"{key_node.value}" is no word of {what}; {hint}', file, line)
            if key in self.nodes:
                raise InputError(f'"{key}" stands here a second time', file, line)
            self.nodes[key] = value

    def line(self, key: str) -> int:
        return int(self.nodes[key].start_mark.line) + 1 if key in self.nodes else self.start

    def text(self, key: str) -> str | None:
        """A value as written; None when absent or empty."""
        node = self.nodes.get(key)
        if node is None:
            return None
        if not isinstance(node, yaml.ScalarNode):
            raise InputError(f'"{key}" takes one value, not a list', self.file, self.line(key))
        return node.value.strip() or None

    def needed(self, key: str) -> str:
        value = self.text(key)
        if value is None:
            raise InputError(f'{self.what} needs "{key}: ..." with a name', self.file, self.line(key))
        return value

    def read(self, key: str, reader: Callable[[str], Value]) -> Value | None:
        """A value through a reader that raises ValueError with its own words."""
        value = self.text(key)
        if value is None:
            if key in self.nodes:
                raise InputError(f'"{key}" has no value', self.file, self.line(key))
            return None
        try:
            return reader(value)
        except ValueError as error:
            raise InputError(f"{key}: {error}", self.file, self.line(key)) from None

    def items(self, key: str) -> list[yaml.Node]:
        node = self.nodes.get(key)
        if node is None:
            return []
        if not isinstance(node, yaml.SequenceNode):
            raise InputError(f'"{key}" is a list; begin each line of it with "- "', self.file, self.line(key))
        return list(node.value)

    def lines(self, key: str) -> Iterator[Line]:
        """Ingredient lines. "salt: to taste" is a mapping to YAML and a line to a cook."""
        for node in self.items(key):
            line = node.start_mark.line + 1
            if isinstance(node, yaml.MappingNode) and len(node.value) == 1:
                first, second = node.value[0]
                if isinstance(first, yaml.ScalarNode) and isinstance(second, yaml.ScalarNode):
                    yield Line(f"{first.value}: {second.value}".strip(), line)
                    continue
            if not isinstance(node, yaml.ScalarNode):
                raise InputError("an ingredient is one line of text; put it in quotes", self.file, line)
            if not node.value.strip():
                raise InputError("an ingredient line is empty; fill it in or take it out", self.file, line)
            yield Line(node.value.strip(), line)


def _stages(top: KeyedBlock, file: str) -> tuple[Stage, ...]:
    if "stages" not in top.nodes:
        if "ingredients" not in top.nodes:
            raise InputError('there are no ingredients; write "ingredients:" and a list under it', file, top.start)
        return (_stage(top, top.needed("dish"), file),)
    for key in ("ingredients", "cooking"):
        if key in top.nodes:
            raise InputError(f'"{key}" stands beside "stages"; put it into a stage', file, top.line(key))
    found = []
    for node in top.items("stages"):
        block = KeyedBlock(node, file, STAGE_KEYS, "a stage")
        found.append(_stage(block, block.needed("stage"), file))
    if not found:
        raise InputError('"stages" is empty', file, top.line("stages"))
    return tuple(found)


def _stage(block: KeyedBlock, name: str, file: str) -> Stage:
    entries = tuple(block.lines("ingredients"))
    if not entries:
        raise InputError(f'the stage "{name}" has no ingredients', file, block.line("ingredients"))
    cooking = _cooking(block.nodes["cooking"], file) if "cooking" in block.nodes else None
    return Stage(name, entries, cooking, bool(block.read("left over", amounts.yes)), block.line("stage"))


def _cooking(node: yaml.Node, file: str) -> Cooking:
    block = KeyedBlock(node, file, COOKING_KEYS, "cooking")
    method = block.text("method")
    if method is not None and method.lower() not in METHODS:
        near = difflib.get_close_matches(method.lower(), METHODS, 1)
        hint = f'did you mean "{near[0]}"?' if near else f"it knows: {', '.join(METHODS)}"
        raise InputError(f'"{method}" is no cooking method it knows; {hint}', file, block.line("method"))
    return Cooking(
        method=method.lower() if method else None,
        minutes=block.read("minutes", amounts.number),
        drained=bool(block.read("drained", amounts.yes)),
        covered=block.read("covered", amounts.yes),
        weight_before=block.read("weight before", _weight),
        weight_after=block.read("weight after", _weight),
        loss=block.read("loss", amounts.share),
        fat_drained=block.read("fat drained", _liquid),
        oil_left=block.read("frying oil left", _liquid),
        salted_water=block.read("salted water", _per_litre),
        flamed=bool(block.read("flamed", amounts.yes)),
        line=block.start,
    )


def _weight(text: str) -> float:
    weight = amounts.grams(text)
    if weight <= 0:
        raise ValueError(f'"{text}" must be above 0')
    return weight


def _liquid(text: str) -> float:
    return amounts.grams(text, liquid=True)


def _per_litre(text: str) -> float:
    plain = text.lower().replace("per litre", "").replace("a litre", "").replace("/l", "").strip()
    return amounts.grams(plain)
