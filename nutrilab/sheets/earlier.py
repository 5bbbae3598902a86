"""What changed since an earlier JSON result, which is whole and of the right shape or refused."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from nutrilab.allergens import ALLERGENS
from nutrilab.files import content
from nutrilab.messages import say
from nutrilab.plain import plain, quoted
from nutrilab.records import dish_record
from nutrilab.remarks import InputError
from nutrilab.results import DishResult

LARGEST = 100_000_000  # bytes; a dish has about 30,000
NEEDED = ("contains", "check", "unresolved")
_KEYS = ("contains", "check", "may_contain")
_WORDS = {"contains": "caption.contains", "check": "caption.check", "may_contain": "caption.may"}


def read_result(path: Path) -> list[dict[str, Any]]:
    """The dishes of an earlier result, several of one name too. Raises InputError with the file and what is wrong."""
    found = _json(path)
    records = found if isinstance(found, list) else [found]
    if not records:
        raise InputError(say("earlier.no-dish", how=say("earlier.no-result")), path)
    for number, record in enumerate(records, 1):
        _check(
            record, say("earlier.dish", number=number) if isinstance(found, list) else say("earlier.the-result"), path
        )
    return records


def _json(path: Path) -> Any:
    """The JSON of a file in UTF-8 or UTF-16, with or without a byte order mark. Raises InputError."""
    data = content(path, LARGEST, InputError, say("thing.result"))
    try:
        text = data.decode("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
        return json.loads(text, object_pairs_hook=_single)
    except json.JSONDecodeError as error:
        raise InputError(
            say("earlier.broken", how=say("earlier.no-result"), problem=error.msg), path, error.lineno
        ) from None
    except _TwiceError as error:
        raise InputError(say("earlier.twice", word=quoted(error), how=say("earlier.no-result")), path) from None
    except (ValueError, RecursionError):
        raise InputError(say("earlier.no-result"), path) from None


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
        raise InputError(say("earlier.no-name", what=what, how=say("earlier.no-result")), path)
    try:
        answer_of(record, what)
    except InputError as error:
        raise InputError(error.message, path) from None
    allergens = record["allergens"]
    if missing := [key for key in NEEDED if key not in allergens]:
        raise InputError(say("earlier.lacks", what=what, word=missing[0], how=say("earlier.no-result")), path)
    for key in _KEYS:
        for allergen in allergens.get(key, {}):
            if allergen not in ALLERGENS:
                raise InputError(
                    say("earlier.no-allergen", word=quoted(allergen), what=what, how=say("earlier.no-result")), path
                )


def changes(earlier: Sequence[Mapping[str, Any]], results: Sequence[DishResult]) -> str:
    """What changed since earlier results, dish by dish of the same name; of a name that several have, only that."""
    old = {str(dish.get("dish")): dish for dish in earlier}
    before = Counter(str(dish.get("dish")) for dish in earlier)
    now = Counter(result.recipe.dish for result in results)
    found: list[str] = []
    for result in results:
        name = result.recipe.dish
        if name not in old:
            found.append(say("earlier.new", dish=name))
        elif before[name] > 1 or now[name] > 1:
            found.append(_several(name, before[name], now[name]))
        else:
            found += compare(old[name], dish_record(result)) or [say("earlier.same", dish=name)]
    return "\n".join(dict.fromkeys(plain(line) for line in found)) + "\n"


def _several(name: str, before: int, now: int) -> str:
    """That dishes of one name cannot be told apart: an allergen of one would be held against another's."""
    return say("earlier.several", dish=name, before=before, now=now)


def compare(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[str]:
    """What changed between two JSON results of a dish (docs/records.md), as sentences; empty if nothing did.

    Raises InputError when either is no such result.
    """
    before, after = answer_of(old, say("earlier.the-result")), answer_of(new, say("earlier.the-new-result"))
    dish = str(new.get("dish", say("earlier.the-dish")))
    found: list[str] = []
    for allergen in ALLERGENS:
        was, now = _state(before, allergen), _state(after, allergen)
        if was != now:
            found.append(_change(dish, allergen, was, now, before, after))
        elif (one := _named(before, allergen)) and (other := _named(after, allergen)) and one != other:
            found.append(say("earlier.kinds", dish=dish, now=other, before=one))
    gone = [text for text in before["unresolved"] if text not in after["unresolved"]]
    come = [text for text in after["unresolved"] if text not in before["unresolved"]]
    found += [say("earlier.not-understood", dish=dish, line=text) for text in come]
    found += [say("earlier.understood", dish=dish, line=text) for text in gone]
    return found


def answer_of(result: Mapping[str, Any], what: str) -> dict[str, Any]:
    """The allergens of a result, checked. Raises InputError."""
    answer = result.get("allergens") if isinstance(result, Mapping) else None
    if not isinstance(answer, Mapping):
        raise InputError(say("earlier.no-allergens", what=what))
    checked: dict[str, Any] = {}
    for key in _KEYS:
        found = answer.get(key, {})
        if not isinstance(found, Mapping) or not all(_sentences(v) for v in found.values()):
            raise InputError(say("earlier.odd-list", word=key, what=what))
        checked[key] = found
    for key in ("unresolved", "named"):
        checked[key] = answer.get(key, [])
        if not _sentences(checked[key]):
            raise InputError(say("earlier.no-texts", word=key, what=what))
    return checked


def _named(answer: Mapping[str, Any], allergen: str) -> str:
    """An allergen with its cereals or nuts, as `DishAllergens.named` wrote it; "" where the result does not name it."""
    return next((text for text in answer["named"] if text == allergen or text.startswith(f"{allergen} (")), "")


def _sentences(value: object) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str) and all(isinstance(x, str) for x in value)


def _state(answer: Mapping[str, Any], allergen: str) -> str:
    return next((key for key in _KEYS if allergen in answer[key]), "")


def _change(dish: str, allergen: str, was: str, now: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    if not now:
        return say("earlier.gone", dish=dish, allergen=allergen, why=_because(before[was][allergen]))
    why, said = _because(after[now][allergen]), say(_WORDS[now], allergens=allergen)
    if not was:
        return say("earlier.come", dish=dish, now=said, why=why)
    return say("earlier.changed", dish=dish, now=said, before=say(_WORDS[was], allergens=allergen), why=why)


def _because(evidence: Sequence[str]) -> str:
    return evidence[0] if evidence else say("earlier.no-evidence")
