"""What holds for a whole kitchen: ``kitchen.yaml`` beside the recipes, or in the folder of the food tables.

tables: [uk-cofid, usda-sr]   # food tables in order of preference; own products always come first
borrow: usda-sr               # a table that may lend what the others lack
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from nutrilab.foods import EMBEDDED
from nutrilab.remarks import InputError

NAME = "kitchen.yaml"
LARGEST = 100_000  # bytes
KEYS = ("tables", "borrow")
OWN = ("own", "own-products")  # they come first whether they are named or not


@dataclass(frozen=True, slots=True)
class Settings:
    """Food tables in order of preference, and the one that may lend what they lack."""

    tables: tuple[str, ...] = (EMBEDDED,)
    borrow: str | None = None


def read(folders: Iterable[Path]) -> Settings:
    """The settings of the first folder that has any, else the embedded table. Raises InputError."""
    path = next((folder / NAME for folder in folders if (folder / NAME).is_file()), None)
    return Settings() if path is None else _read(path)


def _read(path: Path) -> Settings:
    """One file of settings. Raises InputError with its line where known: not readable, not YAML, no settings."""
    import yaml

    try:
        if path.stat().st_size > LARGEST:
            raise InputError("the file is too large for settings", path)
        text = path.read_text(encoding="utf-8")
        if any(isinstance(event, yaml.AliasEvent) for event in yaml.parse(text, Loader=yaml.SafeLoader)):
            raise InputError("anchors are not used here; write the names out", path)
        _refuse_doubles(yaml.compose(text, Loader=yaml.SafeLoader), path)
        found = yaml.safe_load(text)
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"it cannot be read ({error})", path) from None
    except (yaml.YAMLError, ValueError, RecursionError) as error:
        mark = getattr(error, "problem_mark", None)
        raise InputError("this is not written as YAML wants it", path, mark.line + 1 if mark else None) from None
    if not isinstance(found, dict):
        raise InputError('it holds no settings; write such as "tables: [uk-cofid, usda-sr]"', path)
    if strange := [str(key) for key in found if key not in KEYS]:
        raise InputError(f'"{strange[0]}" is no setting; there are: {", ".join(KEYS)}', path)
    borrow = found.get("borrow")
    if borrow is not None and not isinstance(borrow, str):
        raise InputError('"borrow" names one food table, such as usda-sr', path)
    return Settings(_names(found.get("tables", [EMBEDDED]), path), borrow)


def _refuse_doubles(node: Any, path: Path) -> None:
    """YAML takes the last of two settings of one name in silence."""
    seen: set[str] = set()
    for key, _ in node.value if node is not None and node.id == "mapping" else ():
        if str(key.value) in seen:
            raise InputError(f'"{key.value}" stands here a second time', path, key.start_mark.line + 1)
        seen.add(str(key.value))


def _names(value: object, path: Path) -> tuple[str, ...]:
    names = value.split(",") if isinstance(value, str) else value
    if not isinstance(names, list) or not all(isinstance(name, str) and name.strip() for name in names):
        raise InputError('"tables" is a list of food tables, such as [uk-cofid, usda-sr]', path)
    return in_order(names)


def in_order(names: Iterable[str]) -> tuple[str, ...]:
    """Names of food tables without doubles and without the own products, which come first anyway."""
    kept = tuple(dict.fromkeys(name.strip() for name in names if name.strip() and name.strip() not in OWN))
    return kept or (EMBEDDED,)
