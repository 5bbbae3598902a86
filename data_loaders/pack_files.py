"""The cells of a list of packs, from YAML or CSV as a cook writes them, every fault told with its line."""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from data_loaders.schema import TableError

LISTS = ("aliases", "contains", "may contain")
KEYS = (
    "name", "aliases", "per", "energy kj", "energy kcal", "fat", "saturates", "monounsaturates", "polyunsaturates",
    "carbohydrate", "sugars", "polyols", "starch", "fibre", "protein", "salt", "density", "pack size", "ingredients",
    "contains", "may contain", "sulphites", "notes",
)  # fmt: skip
_DEEPEST = 3  # a list of products, its keys, a list of words


@dataclass(frozen=True, slots=True)
class Row:
    """What the file has of one product.

    cells: key -> text as written, None when absent or empty; lists: key -> words, None likewise, () where "none" or []
    states that there is none; line: where it begins; where: key -> the line it stands in.
    """

    cells: Mapping[str, str | None]
    lists: Mapping[str, tuple[str, ...] | None]
    line: int
    where: Callable[[str], int]


def rows(data: bytes, path: object, is_csv: bool) -> list[Row]:
    """Products of a file, each with its cells. Raises TableError with file and line."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        message = "the file is not written in UTF-8; save it again as UTF-8 text"
        raise TableError(message, path, data[: error.start].count(b"\n") + 1) from None
    if "\0" in text:
        raise TableError("this is not a text file", path)
    found = _from_csv(text, path) if is_csv else _from_yaml(text, path)
    if not found:
        raise TableError("no product stands in it; list products, each with a name", path)
    return found


def _from_csv(text: str, path: object) -> list[Row]:
    """Rows of a table; cells divided by commas, or by semicolons or tabs as spreadsheets of some countries do."""
    first = text.partition("\n")[0]
    divider = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=divider)
    try:
        head = [" ".join(cell.lower().replace("_", " ").split()) for cell in next(reader, [])]
        _check_head(head, path)
        return [_csv_row(cells, head, reader.line_num, path) for cells in reader if any(cells)]
    except csv.Error as error:
        raise TableError(f"this is not written as CSV wants it ({error})", path, reader.line_num) from None


def _check_head(head: list[str], path: object) -> None:
    if "name" not in head:
        raise TableError('the first line must name the columns, one of them "name"', path, 1)
    for place, cell in enumerate(head):
        if cell not in KEYS:
            raise TableError(f'"{cell[:60]}" is no word of a product; {_hint(cell)}', path, 1)
        if cell in head[:place]:
            raise TableError(f'"{cell}" stands in the head a second time', path, 1)


def _csv_row(cells: list[str], head: list[str], line: int, path: object) -> Row:
    if len(cells) != len(head):
        raise TableError(f"{len(cells)} cells stand here, the head has {len(head)}", path, line)
    row = {key: cell.strip() for key, cell in zip(head, cells, strict=True) if cell.strip()}
    lists = {key: _listed(row[key]) if key in row else None for key in LISTS}
    return Row({key: row.get(key) for key in KEYS if key not in LISTS}, lists, line, lambda _key: line)


def _hint(word: str) -> str:
    near = difflib.get_close_matches(word[:60], KEYS, 1)
    return f'did you mean "{near[0]}"?' if near else f"a product knows: {', '.join(KEYS)}"


def _listed(text: str) -> tuple[str, ...]:
    """One value with commas as a list; "none" states that there is none."""
    found = tuple(part.strip() for part in re.split(r"[,;]", text) if part.strip())
    return () if [word.lower() for word in found] in (["none"], ["nothing"]) else found


def _from_yaml(text: str, path: object) -> list[Row]:
    import yaml

    for number, line in enumerate(text.split("\n"), 1):
        if "\t" in line:
            raise TableError("a tab stands in this line; use spaces", path, number)
    reader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    try:
        _refuse_events(yaml.parse(text, Loader=reader), path)
        node = yaml.compose(text, Loader=reader)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        problem = getattr(error, "problem", None) or str(error).splitlines()[0]
        message = f"this is not written as YAML wants it ({problem})"
        raise TableError(message, path, mark.line + 1 if mark else None) from None
    if node is None:
        raise TableError("the file is empty; list products, each with a name", path)
    if not isinstance(node, yaml.SequenceNode):
        raise TableError('own products are a list; begin each with "- name: ..."', path, node.start_mark.line + 1)
    return [_yaml_row(item, path) for item in node.value]


def _refuse_events(events: Any, path: object) -> None:
    """Refuse what a list of packs never needs and an attack does: anchors, tags, deep nesting, many documents."""
    depth = documents = 0
    for event in events:
        kind = type(event).__name__
        line = event.start_mark.line + 1 if event.start_mark else None
        if kind == "AliasEvent" or getattr(event, "anchor", None):
            raise TableError("YAML anchors and aliases (& and *) are not used here; put it in quotes", path, line)
        if getattr(event, "tag", None):
            raise TableError("YAML tags (!) are not used here; put it in quotes", path, line)
        depth += kind in ("SequenceStartEvent", "MappingStartEvent")
        depth -= kind in ("SequenceEndEvent", "MappingEndEvent")
        documents += kind == "DocumentStartEvent"
        if depth > _DEEPEST or documents > 1:
            raise TableError("this is no plain list of products, each with its values", path, line)


def _yaml_row(node: Any, path: object) -> Row:
    import yaml

    start = node.start_mark.line + 1
    if not isinstance(node, yaml.MappingNode):
        raise TableError('a product is written as "key: value" lines, such as "name: ..."', path, start)
    lines: dict[str, int] = {}
    cells: dict[str, str | None] = dict.fromkeys(key for key in KEYS if key not in LISTS)
    lists: dict[str, tuple[str, ...] | None] = dict.fromkeys(LISTS)
    for key_node, value in node.value:
        line = key_node.start_mark.line + 1
        key = " ".join(str(key_node.value).lower().replace("_", " ").replace("-", " ").split())
        if key not in KEYS:
            raise TableError(f'"{str(key_node.value)[:60]}" is no word of a product; {_hint(key)}', path, line)
        if key in lines:
            raise TableError(f'"{key}" stands here a second time', path, line)
        lines[key] = line
        if key in LISTS:
            lists[key] = _yaml_list(key, value, path, line)
        elif isinstance(value, yaml.ScalarNode):
            cells[key] = value.value.strip() or None
        else:
            raise TableError(f'"{key}" takes one value, not a list', path, line)
    return Row(cells, lists, start, lambda key: lines.get(key, start))


def _yaml_list(key: str, value: Any, path: object, line: int) -> tuple[str, ...] | None:
    """A list, or one value with commas. An empty value says nothing: it never states that there is none."""
    import yaml

    if isinstance(value, yaml.ScalarNode):
        return _listed(value.value) if value.value.strip() else None
    if not isinstance(value, yaml.SequenceNode) or not all(isinstance(item, yaml.ScalarNode) for item in value.value):
        raise TableError(f'"{key}" is a list of words', path, line)
    return tuple(item.value.strip() for item in value.value if item.value.strip())
