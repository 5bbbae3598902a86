"""What a pack's ingredients text says about the 14 allergens: each word of each bracket, statements, emphasis.

The grammar is ``pack_text``; here its words are held against the rules. Regulation (EU) No 1169/2011, Annex II;
what a statement of a US pack covers: FALCPA 2004, section 203, and the FASTER Act of 2021 (sesame).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from nutrilab.allergens.heard import tokenise
from nutrilab.allergens.rules import rulebook
from nutrilab.allergens.values import ALLERGENS
from nutrilab.allergens.words import Said, say
from nutrilab.datafiles import rows
from nutrilab.lexicon import spelt_out

if TYPE_CHECKING:  # the grammar is imported where a pack is read: most dishes are of no pack
    from nutrilab.allergens.pack_text import Item, Label

__all__ = ["LabelAllergens", "label_allergens", "of_pack", "read_label"]

_SOY = re.compile(
    r"\bsoy\b(?!\s{1,3}sauce)", re.I
)  # in a kitchen "soy" is the sauce, with its wheat; on a pack, the bean
_SULPHITE_NUMBER = re.compile(r"22[0-8][a-z]?")  # "preservative (220)": numbers of the EU list without their E
_OF = frozenset("from of contain derived based source made the a and of natural origin allergen".split())
# What a "contains" statement of a US pack need not name, so that it ends no question about it.
_UNSTATED = ("gluten", "celery", "mustard", "sulphites", "lupin", "molluscs")
# Annex II by its own words, where no rule for a food has them.
_KEYS = frozenset((*ALLERGENS, "shellfish", "tree nuts", "cereals containing gluten", "dairy"))
_WORD = re.compile(r"[^\W\d_]{2,}")


@dataclass(frozen=True, slots=True)
class LabelAllergens:
    """Allergen -> evidence sentences of a label; parts: the cereals and nuts it names.

    unknown: emphasised words that no rule knows; unread: what stands in the list and is no ingredient we know.
    """

    contains: dict[str, tuple[str, ...]] = field(default_factory=dict)
    check: dict[str, tuple[str, ...]] = field(default_factory=dict)
    may: dict[str, tuple[str, ...]] = field(default_factory=dict)
    parts: dict[str, tuple[str, ...]] = field(default_factory=dict)
    unknown: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()


def read_label(text: str) -> Label:
    """Read a pack's ingredients text. Never raises; time grows with its length."""
    from nutrilab.allergens import pack_text

    return pack_text.read_label(text, _names_allergen)


@lru_cache(maxsize=1024)
def of_pack(ingredients: str) -> LabelAllergens:
    """What the ingredients text of a pack says of the 14."""
    return label_allergens(read_label(ingredients))


def _names_allergen(words: str) -> bool:
    return _tells(_says(words)) or words.strip().lower() in _KEYS


def label_allergens(label: Label) -> LabelAllergens:
    """The allergens a label names.

    A label that emphasises its allergens has the last word: what it does not emphasise is not in it (Article 21), so
    usual suspects ("lecithin") are to be checked only on a label that does not. One that states them ("Contains:
    milk") has the last word on what such a statement has to name.
    """
    contains: dict[str, dict[str, None]] = {}
    check: dict[str, dict[str, None]] = {}
    parts: dict[str, dict[str, None]] = {}
    for said in _said_of(label.items):
        _gather(said, contains, check, parts)
    for name in label.joined:
        _gather(_says(name), contains, {}, parts)
    stated = [_says(text) for text in label.contains]
    loud = {word: _says(word) for word in label.emphasised}
    for said in (*stated, *loud.values()):
        _gather(said, contains, {} if said in loud.values() else check, parts)
    for text in label.mentioned:
        said = _says(text)
        _gather(Said({}, said.contains | said.check, {}, said.denied), contains, check, parts)
    if any(said.contains for said in loud.values()):
        check = {}
    elif any(said.contains for said in stated):
        check = {allergen: check[allergen] for allergen in check if allergen in _UNSTATED}
    may: dict[str, dict[str, None]] = {}
    for text in label.may:
        said = _says(text)
        _gather(said, may, may if not said.contains else {}, {})
    return LabelAllergens(
        contains=_frozen(contains),
        check=_frozen({k: v for k, v in check.items() if k not in contains}),
        may=_frozen(may),
        parts=_frozen(parts),
        unknown=tuple(word for word, said in loud.items() if not _tells(said) and not _known(word)),
        unread=tuple(dict.fromkeys(_unread(label.items))),
    )


def _tells(said: Said) -> bool:
    return bool(said.contains or said.check)


@lru_cache(maxsize=8192)
def _says(words: str) -> Said:
    """What words on a pack say: as in a kitchen, but for "soy" and the numbers of preservatives."""
    words = _SOY.sub("soya", words)
    return say("e220" if _SULPHITE_NUMBER.fullmatch(words.strip().lower()) else words, listed=True)


def _said_of(items: Iterable[Item]) -> Iterator[Said]:
    """What each ingredient says; of the brackets behind a name, only an exemption of Annex II is spared."""
    waiting = [(item, "") for item in items]
    while waiting:
        item, owner = waiting.pop()
        said = _says(item.name)
        if owner and said.contains and (spared := _exempt(owner, item.name)):
            said = Said(
                {a: e for a, e in said.contains.items() if a not in spared}, said.check, said.parts, said.denied
            )
        yield said
        waiting += [(part, item.name) for part in item.parts]


@cache
def _exemptions() -> dict[tuple[str, ...], str]:
    """Words of the exemptions of Annex II -> the allergen that is exempt."""
    table = rows("allergens/exempt.csv")
    return {tuple(tokenise(words)): row["allergen"] for row in table for words in spelt_out(row["words"])}


def _exempt(owner: str, name: str) -> set[str]:
    """Allergens exempt because the bracket does no more than say what the owner is made from: "dextrose (wheat)"."""
    said = [token for token in tokenise(_SOY.sub("soya", name)) if token not in _OF]
    before = tokenise(_SOY.sub("soya", owner))[-4:]
    found: set[str] = set()
    for start in range(len(before)):
        for wanted in ((*before[start:], *said), (*before[start:], "from", *said)):
            if wanted in _exemptions():
                found.add(_exemptions()[wanted])
    return found


def _unread(items: Iterable[Item]) -> Iterator[str]:
    """Names in the list of which no word is known."""
    waiting = list(items)
    while waiting:
        item = waiting.pop(0)
        if item.name and not _known(item.name):
            yield item.name
        waiting += item.parts


@lru_cache(maxsize=8192)
def _known(name: str) -> bool:
    """Whether some word of a name is one that the rules, the word lists or the list of pack words know."""
    if _tells(_says(name)):
        return True
    from nutrilab.linking.wordlists import word_list  # late: only who has packs of their own needs it

    lists = word_list("usda-sr")
    book = rulebook()
    found = [token for token in tokenise(name) if _WORD.fullmatch(token)]
    if not found:
        return any(c.isalnum() for c in name)  # a number of an additive
    return any(book.knows(token) or (lists is not None and token in lists.vocabulary) for token in found)


def _gather(
    said: Said,
    contains: dict[str, dict[str, None]],
    check: dict[str, dict[str, None]],
    parts: dict[str, dict[str, None]],
) -> None:
    for found, into in ((said.contains, contains), (said.check, check), (said.parts, parts)):
        for allergen, evidence in found.items():
            into.setdefault(allergen, {}).update(dict.fromkeys(evidence))


def _frozen(found: dict[str, dict[str, None]]) -> dict[str, tuple[str, ...]]:
    return {allergen: tuple(evidence) for allergen, evidence in found.items()}
