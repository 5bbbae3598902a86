"""An earlier JSON result, read again to say what changed since: whole and of the right shape, or refused."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from nutrilab.allergens.dish import answer_of
from nutrilab.allergens.rules import ALLERGENS
from nutrilab.files import content
from nutrilab.plain import quoted
from nutrilab.remarks import InputError

LARGEST = 100_000_000  # bytes; a dish has about 30,000
NO_RESULT = 'this is no JSON result; take one written by "nutrilab analyse --format json"'
NEEDED = ("contains", "check", "unresolved")


def read(path: Path) -> list[dict[str, Any]]:
    """The dishes of an earlier result, several of one name too. Raises InputError with the file and what is wrong."""
    found = _json(path)
    records = found if isinstance(found, list) else [found]
    if not records:
        raise InputError(f"no dish stands in it; {NO_RESULT}", path)
    for number, record in enumerate(records, 1):
        _check(record, f"dish {number} of it" if isinstance(found, list) else "the result", path)
    return records


def _json(path: Path) -> Any:
    """The JSON of a file in UTF-8 or UTF-16, with or without a byte order mark. Raises InputError."""
    data = content(path, LARGEST, InputError, "a result")
    try:
        text = data.decode("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
        return json.loads(text, object_pairs_hook=_single)
    except json.JSONDecodeError as error:
        raise InputError(f"{NO_RESULT} ({error.msg})", path, error.lineno) from None
    except _TwiceError as error:
        raise InputError(f"{quoted(error)} stands twice in one place of it; {NO_RESULT}", path) from None
    except (ValueError, RecursionError):
        raise InputError(NO_RESULT, path) from None


class _TwiceError(ValueError):
    """A key that stands twice: one of its values would be lost in silence."""


def _single(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        keys = [key for key, _ in pairs]
        raise _TwiceError(next(key for key in keys if keys.count(key) > 1))
    return found


def _check(record: object, what: str, path: Path) -> None:
    """Refuse a record that is no dish with its allergens, or names one that is none of the 14. Raises InputError."""
    if not isinstance(record, Mapping) or not isinstance(record.get("dish"), str):
        raise InputError(f'{what} has no name under "dish"; {NO_RESULT}', path)
    try:
        answer_of(record, what)
    except InputError as error:
        raise InputError(error.message, path) from None
    allergens = record["allergens"]
    if missing := [key for key in NEEDED if key not in allergens]:
        raise InputError(f'the allergens of {what} lack "{missing[0]}"; {NO_RESULT}', path)
    for key in ("contains", "check", "may_contain"):
        for allergen in allergens.get(key, {}):
            if allergen not in ALLERGENS:
                raise InputError(f"{quoted(allergen)} of {what} is none of the 14 allergens; {NO_RESULT}", path)
