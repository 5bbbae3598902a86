"""What holds for a whole kitchen: ``kitchen.yaml`` beside the recipes, or in the folder of the food tables.

tables: [uk-cofid, usda-sr]   # food tables in order of preference; own products always come first
borrow: usda-sr               # a table that may lend what the others lack
link: https://supper.example/allergens   # where guests read on, on captions, stills and page data
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from nutrilab.files import content, text_of, there
from nutrilab.foods import EMBEDDED
from nutrilab.messages import say
from nutrilab.remarks import InputError

if TYPE_CHECKING:
    from nutrilab.yaml_reader import KeyedBlock

NAME = "kitchen.yaml"
LARGEST = 100_000  # bytes
KEYS = ("tables", "borrow", "link")
OWN = ("own", "own-products")  # they come first whether they are named or not
_LINK = re.compile(r"https?://[!#-&(-;=?-~]{1,92}")  # printable ASCII without blanks, quotes, < and >
_TABLE = re.compile(r"[A-Za-z][\w.-]{0,60}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Settings:
    """Food tables in order of preference, and the one that may lend what they lack; file: where they stand.

    link: an address where guests read on, for whatever is shown to them.
    """

    tables: tuple[str, ...] = (EMBEDDED,)
    borrow: str | None = None
    file: Path | None = None
    link: str | None = None


def read_settings(folders: Iterable[Path]) -> Settings:
    """The settings of the first folder that has any, else the embedded table. Raises InputError."""
    path = next((folder / NAME for folder in folders if there(folder / NAME)), None)
    return Settings() if path is None else _read(path)


def _read(path: Path) -> Settings:
    """One file of settings. Raises InputError with its line where known: not readable, not YAML, no settings."""
    from nutrilab.yaml_reader import KeyedBlock, document

    node = document(text_of(content(path, LARGEST, InputError, say("thing.settings")), path), path)
    if node is None:
        return Settings(file=path)
    block = KeyedBlock(node, path, KEYS, say("thing.settings"))
    borrow = block.nodes.get("borrow")
    if borrow is not None and not _TABLE.fullmatch(str(borrow.value)):
        raise block.fault(say("settings.borrow"), "borrow")
    link = block.nodes.get("link")
    if link is not None and not _LINK.fullmatch(str(link.value)):
        raise block.fault(say("settings.link"), "link")
    return Settings(
        _names(block),
        str(borrow.value) if borrow is not None else None,
        path,
        str(link.value) if link is not None else None,
    )


def _names(block: KeyedBlock) -> tuple[str, ...]:
    """The names of tables: a list, or one value with commas."""
    from nutrilab.yaml_reader import words

    node = block.nodes.get("tables")
    if node is None:
        return (EMBEDDED,)
    names = words(node)
    if names is None and isinstance(node.value, str):
        names = [name.strip() for name in node.value.split(",")]
    if names is None or not all(_TABLE.fullmatch(name) for name in names):
        raise block.fault(say("settings.tables"), "tables")
    return in_order(names)


def in_order(names: Iterable[str]) -> tuple[str, ...]:
    """Names of food tables without doubles and without the own products, which come first anyway."""
    kept = tuple(dict.fromkeys(name.strip() for name in names if name.strip() and name.strip() not in OWN))
    return kept or (EMBEDDED,)
