"""Reading the ingredients text of a pack: nested brackets, percentages, emphasised words, "may contain".

Regulation (EU) No 1169/2011: a compound ingredient shows its own in brackets (Annex VII part E), percentages stand
beside what is in the name (Article 22), allergens are emphasised (Article 21).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from nutrilab.allergens.words import Said, say

_EMPHASIS = re.compile(r"\*\*([^*]+)\*\*|\*([^*]+)\*|__([^_]+)__|<(?:b|strong|em|u)>([^<]*)</(?:b|strong|em|u)>", re.I)
_TAG = re.compile(r"</?[a-z]{1,10}\s*/?>", re.I)
_CAPITALS = re.compile(r"[A-ZÀ-Þ]{3,}(?:[' -][A-ZÀ-Þ]{3,})*")
_PERCENT = re.compile(r"\(?\s?(\d{1,3}(?:[.,]\d{1,4})?)\s?%\s?\)?")
_HEAD = re.compile(r"\s*ingredients?\s*:", re.I)
_SENTENCE = re.compile(r"\.(?=\s|$)|\n")
_MAY = re.compile(r"\b(?:may|can) (?:also )?contain\b(?: traces of| trace of)?:?", re.I)
_FACTORY = re.compile(r"(?:made|produced|packed|packaged|manufactured|prepared) (?:in|on) an? ", re.I)
_NOT_SUITABLE = re.compile(r"(?:also )?not suitable for ", re.I)
_ADVICE = re.compile(r"(?:for )?(?:allergy|allergens?)(?: advice| information)?\s*[,:]?", re.I)
_POINTER = re.compile(r"\b(?:bold|capitals?|highlighted|underlined|see ingredients|emphasi[sz]ed)\b", re.I)
_CONTAINS = re.compile(r"contains\b:?", re.I)
_SHOUTED = 0.5  # share of capitals from which a text is all in capitals and emphasises nothing
_DEEPEST = 12  # brackets in brackets; a pack has three


@dataclass(frozen=True, slots=True)
class Item:
    """One ingredient of a pack: its name, its percentage [%] if given, its own ingredients."""

    name: str
    percent: float | None = None
    parts: tuple[Item, ...] = ()


@dataclass(frozen=True, slots=True)
class Label:
    """A pack's ingredients text as read.

    emphasised: words in bold, asterisks or capitals; contains, may: what its "contains" and "may contain"
    statements name, as written.
    """

    items: tuple[Item, ...] = ()
    emphasised: tuple[str, ...] = ()
    contains: tuple[str, ...] = ()
    may: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LabelAllergens:
    """Allergen -> evidence sentences of a label; parts: the cereals and nuts it names; unknown: emphasised words
    that no rule knows."""

    contains: dict[str, tuple[str, ...]] = field(default_factory=dict)
    check: dict[str, tuple[str, ...]] = field(default_factory=dict)
    may: dict[str, tuple[str, ...]] = field(default_factory=dict)
    parts: dict[str, tuple[str, ...]] = field(default_factory=dict)
    unknown: tuple[str, ...] = ()


def read_label(text: str) -> Label:
    """Read a pack's ingredients text. Never raises; time grows with its length."""
    emphasised = tuple(dict.fromkeys(_emphasised(text)))
    plain = _TAG.sub("", _EMPHASIS.sub(lambda m: next(g for g in m.groups() if g is not None), text))
    plain = _HEAD.sub("", plain, count=1)
    listed: list[str] = []
    contains: list[str] = []
    may: list[str] = []
    for sentence in _SENTENCE.split(plain):
        _sort_out(sentence.strip(), listed, contains, may)
    return Label(_items(", ".join(listed)), emphasised, tuple(contains), tuple(may))


def _emphasised(text: str) -> Iterator[str]:
    """Words marked up, or in capitals unless the whole text is."""
    for found in _EMPHASIS.finditer(text):
        yield next(group for group in found.groups() if group is not None).strip()
    letters = [c for c in text if c.isalpha()]
    if letters and sum(c.isupper() for c in letters) < _SHOUTED * len(letters):
        yield from _CAPITALS.findall(text)


def _sort_out(sentence: str, listed: list[str], contains: list[str], may: list[str]) -> None:
    """Put a sentence, or its two halves, where it belongs; advice to look at the bold words says nothing."""
    found = _MAY.search(sentence)
    if found:
        may.append(sentence[found.end() :].strip(" :"))
        sentence = sentence[: found.start()].strip(" ,;:")
    for pattern in (_FACTORY, _NOT_SUITABLE):
        if pattern.match(sentence):
            may.append(sentence[pattern.match(sentence).end() :])  # type: ignore[union-attr]
            return
    advice = _ADVICE.match(sentence)
    if advice:
        if _POINTER.search(sentence):
            return
        sentence = sentence[advice.end() :].strip()
    stated = _CONTAINS.match(sentence)
    if stated:
        contains.append(sentence[stated.end() :].strip())
    elif sentence and advice:
        contains.append(sentence)
    elif sentence:
        listed.append(sentence)


def _items(text: str) -> tuple[Item, ...]:
    """Ingredients between commas; what stands in brackets behind a name are its own."""
    stack: list[list[Item]] = [[]]
    name: list[str] = []
    ready: tuple[Item, ...] = ()  # of the bracket just closed

    def close() -> None:
        nonlocal name, ready
        item = _item("".join(name), ready)
        if item is not None:
            stack[-1].append(item)
        name, ready = [], ()

    names: list[list[str]] = []
    percents = _PERCENT.sub(lambda m: f" {m[1].replace(',', '.')}% ", text)  # "(2,5 %)" is no bracket
    for char in percents:
        if char in "([{" and len(stack) < _DEEPEST:
            names.append(name)
            stack.append([])
            name, ready = [], ()
        elif char in ")]}" and len(stack) > 1:
            close()
            inner = tuple(stack.pop())
            name, ready = names.pop(), inner
        elif char in ",;" or (char in "([{)]}"):
            close()
        else:
            name.append(char)
    while len(stack) > 1:  # a bracket never closed
        close()
        inner = tuple(stack.pop())
        name, ready = names.pop(), inner
    close()
    return tuple(stack[0])


def _item(words: str, parts: tuple[Item, ...]) -> Item | None:
    percent = _PERCENT.search(words)
    name = " ".join(_PERCENT.sub(" ", words).split()).strip(" :.-*")
    if not name and not parts:
        return None
    return Item(name, float(percent[1].replace(",", ".")) if percent else None, parts)


def label_allergens(label: Label) -> LabelAllergens:
    """The allergens a label names.

    A label that emphasises or states its allergens has the last word: what it does not emphasise is not in it
    (Article 21), so usual suspects ("lecithin") are to be checked only on a label that does neither.
    """
    contains: dict[str, dict[str, None]] = {}
    check: dict[str, dict[str, None]] = {}
    parts: dict[str, dict[str, None]] = {}
    telling = bool(label.emphasised or label.contains)
    unknown = []
    for said in [*_said_of(label.items), *(say(text) for text in label.contains)]:
        _gather(said, contains, check, parts)
    for word in label.emphasised:
        said = say(word)
        _gather(said, contains, {}, parts)
        if not said.contains and not said.check:
            unknown.append(word)
    may: dict[str, dict[str, None]] = {}
    for text in label.may:
        said = say(text)
        _gather(said, may, may if not said.contains else {}, {})
    return LabelAllergens(
        contains=_frozen(contains),
        check={} if telling else _frozen({k: v for k, v in check.items() if k not in contains}),
        may=_frozen(may),
        parts=_frozen(parts),
        unknown=tuple(unknown),
    )


def _said_of(items: tuple[Item, ...], owner: str = "") -> Iterator[Said]:
    """What each ingredient says; an exemption of the owner holds for its brackets: "glucose syrup (wheat)"."""
    for item in items:
        said = say(item.name)
        if owner:
            together = say(f"{owner} {item.name}")
            spared = {a for a in said.contains if a in together.denied and a not in together.contains}
            said = Said(
                {a: e for a, e in said.contains.items() if a not in spared}, said.check, said.parts, said.denied
            )
        yield said
        yield from _said_of(item.parts, item.name)


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
