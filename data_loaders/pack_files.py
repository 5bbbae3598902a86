"""The cells of a list of packs, from YAML or CSV as a cook writes them, every fault told with its line."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from data_loaders.schema import TableError
from nutrilab.files import text_of
from nutrilab.messages import instead_of, say
from nutrilab.plain import quoted

if TYPE_CHECKING:
    from nutrilab.yaml_reader import KeyedBlock

LISTS = ("aliases", "contains", "may contain")
KEYS = (
    "name", "aliases", "per", "energy kj", "energy kcal", "fat", "saturates", "monounsaturates", "polyunsaturates",
    "carbohydrate", "sugars", "polyols", "starch", "fibre", "protein", "salt", "density", "pack size", "ingredients",
    "contains", "may contain", "sulphites", "notes",
)  # fmt: skip


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
    text = text_of(data, path, TableError)
    found = _from_csv(text, path) if is_csv else _from_yaml(text, path)
    if not found:
        raise TableError(say("load.no-product-stands-list-products"), path)
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
        raise TableError(say("load.not-written-csv-wants", problem=error), path, reader.line_num) from None


def _check_head(head: list[str], path: object) -> None:
    if "name" not in head:
        raise TableError(say("load.first-line-must-name-columns"), path, 1)
    for place, cell in enumerate(head):
        if cell not in KEYS:
            product = say("thing.product")
            raise TableError(
                say("yaml.no-word", word=quoted(cell), what=product, hint=instead_of(cell, KEYS, product)), path, 1
            )
        if cell in head[:place]:
            raise TableError(say("load.stands-head-second-time", name=cell), path, 1)


def _csv_row(cells: list[str], head: list[str], line: int, path: object) -> Row:
    if len(cells) != len(head):
        raise TableError(say("load.cells-stand-here-head-has", number=len(cells), wanted=len(head)), path, line)
    row = {key: cell.strip() for key, cell in zip(head, cells, strict=True) if cell.strip()}
    lists = {key: _listed(row[key]) if key in row else None for key in LISTS}
    return Row({key: row.get(key) for key in KEYS if key not in LISTS}, lists, line, lambda _key: line)


def _listed(text: str) -> tuple[str, ...]:
    """One value with commas as a list; "none" states that there is none."""
    found = tuple(part.strip() for part in re.split(r"[,;]", text) if part.strip())
    return () if [word.lower() for word in found] in (["none"], ["nothing"]) else found


def _from_yaml(text: str, path: object) -> list[Row]:
    import yaml

    from nutrilab.yaml_reader import document, line_of

    node = document(text, path, TableError)
    if node is None:
        raise TableError(say("load.file-empty-list-products-each"), path)
    if not isinstance(node, yaml.SequenceNode):
        raise TableError(say("load.own-products-list-begin-each"), path, line_of(node))
    return [_yaml_row(item, path) for item in node.value]


def _yaml_row(node: Any, path: object) -> Row:
    from nutrilab.yaml_reader import KeyedBlock

    block = KeyedBlock(node, path, KEYS, say("thing.product"), TableError)
    cells = {key: block.text(key) for key in KEYS if key not in LISTS}
    return Row(cells, {key: _yaml_list(key, block) for key in LISTS}, block.start, block.key_line)


def _yaml_list(key: str, block: KeyedBlock) -> tuple[str, ...] | None:
    """A list, or one value with commas. An empty value says nothing: it never states that there is none."""
    from nutrilab.yaml_reader import words

    node = block.nodes.get(key)
    if node is None:
        return None
    if isinstance(node.value, str):
        return _listed(node.value) if node.value.strip() else None
    found = words(node)
    if found is None:
        raise block.fault(say("load.list-of-words", key=key), key)
    return tuple(word for word in found if word)
