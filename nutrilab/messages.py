"""What the tool says: every sentence by its key, out of one list a translator could work on (data/messages.csv)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache
from typing import TypeVar

from nutrilab.datafiles import rows
from nutrilab.plain import NAMED, brief, nearest, quoted

FILE = "messages.csv"
Thing = TypeVar("Thing")


@cache
def messages() -> dict[str, str]:
    """Key -> sentence with its fields in braces."""
    return {row["key"]: row["text"] for row in rows(FILE)}


def say(key: str, /, **fields: object) -> str:
    """The sentence of a key with its fields filled in; a figure comes as text, already with its unit.

    Raises KeyError: no such key, or a field of the sentence that is not given.
    """
    return messages()[key].format_map(fields)


def by_few(things: Sequence[Thing], few: int = 3) -> list[Sequence[Thing]]:
    """Things for two short sentences: the first few, and the others, of which `listed` names the first few."""
    return [part for part in (things[:few], things[few:]) if part]


def listed(texts: Sequence[str], most: int = 3, limit: int = 40) -> str:
    """Some texts as a sentence lists them, each cut at a length: "onions, leeks and 4 more"."""
    shown = [brief(text, limit) for text in texts[:most]]
    if len(texts) > most:
        return say("list.and-others", names=", ".join(shown), number=len(texts) - most)
    return say("list.and", names=", ".join(shown[:-1]), last=shown[-1]) if len(shown) > 1 else "".join(shown)


def either(texts: Sequence[str]) -> str:
    """Some texts of which one is meant: "g, kg or ml"."""
    return say("list.or", names=", ".join(texts[:-1]), last=texts[-1]) if len(texts) > 1 else "".join(texts)


def named(names: Iterable[object]) -> str:
    """Names that there are, for a refusal: each brief, at most ``NAMED`` of them."""
    some = [brief(name) for name in names]
    more = [say("list.more", number=len(some) - NAMED)] if len(some) > NAMED else []
    return ", ".join([*some[:NAMED], *more])


def instead_of(word: str, known: Sequence[str], what: str) -> str:
    """What to write in place of a word that a thing does not know: the likest, else all that it knows."""
    near = nearest(word, known)
    return say("list.did-you-mean", name=quoted(near)) if near else say("yaml.knows", what=what, words=", ".join(known))


def as_portions(number: float) -> str:
    """A number of portions as a sentence has it: "1 portion", "6 portions"."""
    return say("count.portion") if number == 1 else say("count.portions", number=f"{number:g}")


def as_grams(grams: float) -> str:
    """A weight as a sentence has it: "112 g", "2.5 g"."""
    return f"{grams:.0f} g" if abs(grams) >= 10 else f"{grams:.2g} g"


def as_percent(share: float) -> str:
    """A share [1] as a sentence has it: "62%", "0.5%"."""
    return f"{100 * share:.0f}%" if not 0 < abs(share) < 0.01 and not 0.99 < share < 1 else f"{100 * share:.1f}%"
