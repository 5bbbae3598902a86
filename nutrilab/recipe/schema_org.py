"""Recipes in the vocabulary of schema.org, found in plain objects wherever they stand in them.

The objects are those of JSON-LD [1] or of microdata. Names may be bare, full ("https://schema.org/Recipe") or with a
prefix ("schema:Recipe"). Properties read: name, recipeYield, recipeIngredient and the older ``ingredients``,
recipeInstructions as text, HowToStep or HowToSection [2].

References
----------
[1] W3C Recommendation, JSON-LD 1.1, 2020, sections 4 (values, lists, @graph) and 9 (syntax tokens), from memory.
[2] schema.org, Recipe, from memory: recipeIngredient supersedes ingredients.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from nutrilab.recipe.markup import text_of
from nutrilab.recipe.microdata import UNENDED

DEEPEST = 100  # objects in objects
MOST_VALUES = 10_000  # of one property
MOST_RECIPES = 100
_LOCAL = re.compile(r"(?:https?://(?:www\.)?schema\.org/|[A-Za-z][\w.-]*:(?!//))?([^/]+)/?")
_LISTS = ("@list", "@set", "itemListElement")
_TEXTS = ("@value", "text", "name", "ingredient", "food", "item", "value")
_AMOUNTS = ("requiredQuantity", "amount", "quantity")
_UNITS = ("unitText", "unit", "unitCode")
_CODES = {"GRM": "g", "KGM": "kg", "MLT": "ml", "LTR": "l", "ONZ": "oz", "LBR": "lb"}  # UN/ECE Rec. 20, from memory
DEEPEST_TEXT = 4  # objects in objects that still are one line
LONGEST_UNREAD = 2_000  # characters of a line that is no text at all

Node = dict[str, Any]


class TooMuchError(Exception):
    """Objects deeper in one another, or more of them, than any recipe needs."""


@dataclass(frozen=True, slots=True)
class Found:
    """A recipe as it stands there: its name, "" if it has none, its lines, what it says it yields.

    other: lines of the older property that the newer one, which was read, lacks.
    elsewhere: microdata says that more of it stands in other places of the page (itemref), which is not read.
    ended: False where the page ended before the recipe's own element did.
    steps: its method, a paragraph each; the name of a section ends with a colon.
    """

    dish: str
    lines: tuple[str, ...]
    yields: tuple[str, ...]
    other: tuple[str, ...] = ()
    elsewhere: bool = False
    ended: bool = True
    steps: tuple[str, ...] = ()


def recipes(data: Any) -> list[Found]:
    """All recipes with ingredients in ``data``, in order, each once. Raises TooMuchError."""
    nodes = list(_nodes(data))
    by_id = {node["@id"]: node for node in nodes if isinstance(node.get("@id"), str) and len(node) > 1}
    wanted = [node for node in nodes if _is_recipe(node)]
    if len(wanted) > MOST_RECIPES:
        raise TooMuchError
    found = [_recipe(node, by_id) for node in wanted]
    return list(dict.fromkeys(recipe for recipe in found if recipe.lines))


def _nodes(data: Any) -> Iterator[Node]:
    """Every object in ``data``, in the order of the page, its properties under their bare names."""
    waiting = [(data, 0)]
    while waiting:
        value, depth = waiting.pop()
        if depth > DEEPEST:
            raise TooMuchError
        if isinstance(value, dict):
            node = _bare(value)
            yield node
            waiting += [(part, depth + 1) for part in reversed(list(node.values())) if isinstance(part, dict | list)]
        elif isinstance(value, list):
            waiting += [(part, depth + 1) for part in reversed(value) if isinstance(part, dict | list)]


def _bare(node: Node) -> Node:
    """Property names without the address or prefix of the vocabulary."""
    return gathered(({"type": "@type", "id": "@id"}.get(key) or _local(key), value) for key, value in node.items())


def gathered(pairs: Iterable[tuple[str, Any]]) -> Node:
    """Properties and values as an object; what stands there more than once has all its values in one list."""
    found: Node = {}
    several: dict[str, list[Any]] = {}
    for key, value in pairs:
        if key in found:
            kept = several.setdefault(key, [found[key]])
            kept.append(value)
            found[key] = kept
        else:
            found[key] = value
    return found


def _local(name: str) -> str:
    found = _LOCAL.fullmatch(name)
    return found[1] if found else name


def _is_recipe(node: Node) -> bool:
    kinds = node.get("@type")
    named = (kind for kind in (kinds if isinstance(kinds, list) else [kinds]) if isinstance(kind, str))
    return any(_local(kind).lower() == "recipe" for kind in named)


def _recipe(node: Node, by_id: dict[str, Node]) -> Found:
    lines, older = _lines(node.get("recipeIngredient"), by_id), _lines(node.get("ingredients"), by_id)
    names = _lines(node.get("name"), by_id) or _lines(node.get("headline"), by_id)
    yields = _yields(node.get("recipeYield"), by_id)
    return Found(
        dish=names[0] if names else "",
        lines=tuple(lines or older),
        yields=tuple(yields),
        other=tuple(older) if lines else (),
        elsewhere="itemref" in node,
        ended=_local(UNENDED) not in node,
        steps=tuple(_steps(node.get("recipeInstructions"), by_id)),
    )


def _steps(value: Any, by_id: dict[str, Node], depth: int = 0) -> list[str]:
    """The paragraphs of a method in order, with the name of each section before its steps."""
    found: list[str] = []
    for part in _parts(value, by_id):
        if not isinstance(part, dict):
            found += _lines(part, by_id)
            continue
        inner = part.get("itemListElement", part.get("steps"))
        if inner is not None and depth < DEEPEST_TEXT:
            title = _lines(part.get("name"), by_id)
            found += [f"{line.rstrip(' :')}:" for line in title[:1]]
            found += _steps(inner, by_id, depth + 1)
        else:
            found += _lines(part.get("text", part.get("name")), by_id)
    return found


def _parts(value: Any, by_id: dict[str, Node]) -> Iterator[Any]:
    """The values of a property, one by one, references resolved; sections keep their lists."""
    for part in (value if isinstance(value, list) else [value])[:MOST_VALUES]:
        if isinstance(part, list):
            yield from _parts(part, by_id) if len(part) <= MOST_VALUES else ()
        elif isinstance(part, dict):
            part = _bare(part)
            if set(part) == {"@id"} and isinstance(part["@id"], str):
                part = by_id.get(part["@id"], part)
            yield _bare(part) if isinstance(part, dict) else part
        elif isinstance(part, str):
            yield part


def _values(value: Any, by_id: dict[str, Node]) -> Iterator[Any]:
    """Texts, numbers and objects without a list around them; references resolved. Raises TooMuchError."""
    waiting, seen = [(value, 0)], 0
    while waiting:
        part, depth = waiting.pop()
        seen += 1
        if depth > DEEPEST or seen > MOST_VALUES:
            raise TooMuchError
        if isinstance(part, dict):
            part = _bare(part)
            if set(part) == {"@id"} and isinstance(part["@id"], str):
                part = by_id.get(part["@id"], part)
            part = next((part[key] for key in _LISTS if key in part), part)
        if isinstance(part, list):
            if len(part) > MOST_VALUES:
                raise TooMuchError
            waiting += [(one, depth + 1) for one in reversed(part)]
        elif part is not None and not isinstance(part, bool):
            yield part


def _lines(value: Any, by_id: dict[str, Node]) -> list[str]:
    """Each line of a property. What is no text is kept as it stands, so that nothing is lost in silence."""
    found = []
    for part in _values(value, by_id):
        text = _text(part)
        if text is None:
            text = json.dumps(part, ensure_ascii=False)[:LONGEST_UNREAD]
        for line in text_of(text).splitlines():
            if tidy := _tidy(line):
                found.append(tidy)
    return found


def _text(value: Any, depth: int = 0) -> str | None:
    """The text of a value: itself, or an object's amount, unit and what it calls its value, text or name.

    None for anything else, and for an object that has more than one text where one belongs.
    """
    if isinstance(value, list) and len(value) == 1:
        value = value[0]  # microdata has every value in a list
    if isinstance(value, dict) and depth < DEEPEST_TEXT:
        found = [(key, _text(value[key], depth + 1)) for key in _one_each(value)]
        if not found or any(text is None for _, text in found):
            return None
        return " ".join(_CODES.get(text, text) if key == "unitCode" else text for key, text in found if text)
    return str(value) if isinstance(value, str | int | float) and not isinstance(value, bool) else None


def _one_each(value: Node) -> list[str]:
    """The keys of an object that hold its amount, its unit and its text, as far as it has them, in that order."""
    amount = next((key for key in _AMOUNTS if value.get(key)), "")
    number = next((key for key in _TEXTS if key in value), "")
    unit = next((key for key in _UNITS if value.get(key)), "") if amount or number == "value" else ""
    order = [number, unit] if number == "value" else [amount, unit, number]
    return [key for key in order if key]


def _yields(value: Any, by_id: dict[str, Node]) -> list[str]:
    """What a recipe yields, as text; a QuantitativeValue by its number and unit."""
    found = []
    for part in _values(value, by_id):
        if isinstance(part, dict) and ("value" in part or "minValue" in part):
            number, unit = _text(part.get("value", part.get("minValue"))), _text(part.get("unitText"))
            found.append(_tidy(f"{number} {unit or ''}"))
        elif (text := _text(part)) is not None:
            found.append(_tidy(text_of(text)))
    return found


def _tidy(text: str) -> str:
    """One line: control characters and runs of spaces as one space, half characters marked."""
    shown = text if text.isprintable() else "".join(map(_character, text))
    return " ".join(shown.split())


def _character(character: str) -> str:
    if "\ud800" <= character <= "\udfff":
        return "\ufffd"
    return " " if character < " " or "\x7f" <= character <= "\x9f" else character
