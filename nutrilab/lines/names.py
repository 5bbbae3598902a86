"""From what stands after the amount: the name of the food, and what is done to it before and after."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal, NamedTuple

from nutrilab.lines.values import Purpose
from nutrilab.lines.words import (
    ADJECTIVE,
    ADVERB,
    AFTER_PREPARED,
    COUNTERS,
    KEPT,
    NO_FOOD,
    NO_OPTION,
    PARTS,
    PREPARED,
    PREPARED_LAST,
    PURPOSE_FIRST,
    PURPOSE_WORDS,
    PURPOSES,
    SHORT_SIZES,
    SIZE,
    STATE,
    TAIL,
    TAIL_FIRST,
    WITH_PART,
    describes,
)

# Each way to divide begins with a sign of its own, so the search passes over letters at once.
_CUT = re.compile(r",(?!\d{3}\b)|;|:\s| -{1,2}\s|-(?<=[^\W\d_]-)\s(?!and|or|to)")
_BRACKET = re.compile(r"[()\[\]{}]")
_WORDS = re.compile(r"[^\s,;()]+")
Bought = Literal["", "ready", "weighed"]
# "tin of chopped tomatoes": nobody chopped them in this kitchen, and by weight perhaps nobody did.
_BOUGHT: dict[str, Bought] = {
    **dict.fromkeys(("tin", "jar", "carton"), "ready"), **dict.fromkeys(("g", "kg", "pack"), "weighed")
}  # fmt: skip
_MADE_PARTS = {"zested": "zest", "juiced": "juice"}
_PART_WORDS = PARTS | frozenset(_MADE_PARTS)
_FRESHLY = frozenset(("freshly", "fresh"))  # ground alone names the food: ground cumin, ground rice
_RANGE = frozenset(("to", "or", "and", "-"))
_LINKS = frozenset(("and", "or", "&"))
_NOT_ALONE = frozenset("of the a an any some my your optional favourite favorite".split())
_NEVER_NAMES = frozenset(("for", "to", "per", "if"))
_LEADS = SIZE | _RANGE | PREPARED | ADVERB | _LINKS | _NOT_ALONE | {"fresh"}  # what may stand before a name
_ENDS = TAIL_FIRST | PREPARED_LAST  # with what the preparation after a name may begin


class Segment(NamedTuple):
    """A stretch of a line: kind "" (the first), "," (after a comma), "(" (was in brackets), "+" (after brackets)."""

    kind: str
    text: str


class Naming(NamedTuple):
    """Name words and what was taken off them; ``cut`` is what followed the name in the same stretch."""

    words: tuple[str, ...]
    before: str
    cut: str
    sizes: tuple[str, ...]


def segments(text: str) -> list[Segment]:
    """A text divided at commas, semicolons, spaced dashes and brackets (nested ones are kept as written)."""
    found: list[Segment] = []
    kind, place = "", 0
    if "(" in text or "[" in text or "{" in text or ")" in text:
        depth, opened = 0, 0
        for bracket in _BRACKET.finditer(text):
            if bracket[0] in "([{":
                if not depth:
                    _divide(text[place : bracket.start()], kind, found)
                    opened = bracket.end()
                depth += 1
            elif depth:
                depth -= 1
                if not depth:
                    found.append(Segment("(", text[opened : bracket.start()].strip()))
                    kind, place = "+", bracket.end()
            else:  # closed but never opened: the sign is dropped
                _divide(text[place : bracket.start()], kind, found)
                kind, place = "+", bracket.end()
        if depth:
            found.append(Segment("(", text[opened:].strip()))
            place = len(text)
    _divide(text[place:], kind, found)
    return found


def _divide(text: str, kind: str, found: list[Segment]) -> None:
    """Divide bracket-free text at its separators; the first piece gets ``kind``, the others ","."""
    if "," in text or ";" in text or "- " in text or ": " in text:
        for piece in _CUT.split(text):
            if piece := piece.strip(" ,;-:."):
                found.append(Segment(kind, piece))
            kind = ","
    elif text := text.strip(" ,;-:."):
        found.append(Segment(kind, text))


def bought(unit: str | None, by_weight: bool = True) -> Bought:
    """How what a unit measures is bought; by_weight: whether the weight tells it too."""
    how = _BOUGHT.get(unit or "", "")
    return how if by_weight or how != "weighed" else ""


def name_of(text: str, how: Bought = "") -> Naming:
    """Divide one stretch of text into preparation before, name, and preparation after it; how: as it is bought."""
    words, low = text.split(), text.lower().split()
    if "." in text:
        low = [word.rstrip(".") for word in low]
    if len(low) != len(words):
        words = low
    start, sizes = _leading(low, how)
    stop = _trailing(low, start)
    while stop - start > 1 and low[stop - 1] in SIZE and low[stop - 2] not in _LINKS:
        stop -= 1  # "Eggs large"
        sizes.append(low[stop])
    if stop - start > 3 and low[stop - 2] in _LINKS and low[stop - 1] in ADJECTIVE and low[stop - 3] in ADJECTIVE:
        stop -= 3  # "mangos firm and ripe"
    name, cut = words[start:stop], " ".join(words[stop:])
    if not start:
        return Naming(tuple(name), "", cut, tuple(sizes))
    lead = [
        word for word, small in zip(words[:start], low, strict=False) if small not in SIZE and small not in _NOT_ALONE
    ]
    if lead and name and lead[0].lower() == "fresh" and "ground" not in low[:start]:
        name.insert(0, lead.pop(0))  # "fresh chopped parsley" is fresh parsley, chopped
    return Naming(tuple(name), " ".join(lead), cut, tuple(sizes))


def _leading(low: list[str], how: Bought) -> tuple[int, list[str]]:
    """How many words of preparation, size and filler stand before the name, and the sizes among them."""
    at, sizes, count = 0, [], len(low)
    while at < count:
        word = low[at]
        if word not in _LEADS and "-" not in word and not (at + 2 < count and low[at + 1] == "sized"):
            break
        if "-" in word and _is_joined_work(word):
            pass  # "fresh-grated"
        elif at + 2 < count and low[at + 1] == "sized":
            sizes += [word] if word in SIZE else []  # "medium sized", "normal sized"
            at += 1
        elif word in SIZE and _size_here(low, at):
            sizes.append(SHORT_SIZES.get(word, word))
        elif word in _RANGE and sizes and at + 1 < count and low[at + 1] in SIZE:
            pass  # "medium to large"
        elif word in PREPARED:
            if how == "ready" or _kept(low, at, how) or (word == "ground" and not (at and low[at - 1] in _FRESHLY)):
                break
        elif word in ADVERB:
            if not _work_follows(low, at):
                break
        elif word in _LINKS:
            if not (at and at + 1 < count and (_is_work(low, at + 1) or low[at + 1] in PREPARED_LAST)):
                break
            at += low[at + 1] in PREPARED_LAST  # "boned and rolled lamb"
        elif word == "fresh" and at + 1 < count and low[at + 1].strip(",") in PREPARED:
            pass
        elif word not in _NOT_ALONE or (at and word == "of"):
            break
        at += 1
    return at, sizes


def _size_here(low: list[str], at: int) -> bool:
    """A size word is a size unless it names a state ("medium hot", "large and small")."""
    return at + 1 >= len(low) or low[at + 1] not in ("hot", "mild", "grain", "dry", "sweet", "oatmeal", "rare")


def _kept(low: list[str], at: int, how: Bought) -> bool:
    """Whether the prepared word belongs to what is bought ("mashed potato", chopped tomatoes by weight)."""
    length = KEPT.longest(low, at)
    if length and low[at] in ("chopped", "diced", "crushed") and low[at + 1].startswith("tomato"):
        return how == "weighed"
    return length > 0


def _work_follows(low: list[str], at: int) -> bool:
    """Whether adverbs from ``at`` lead to a prepared word ("very finely chopped")."""
    while at < len(low) and low[at] in ADVERB:
        at += 1
    return at < len(low) and low[at] in PREPARED and (low[at] != "ground" or low[at - 1] in _FRESHLY)


def _is_joined_work(word: str) -> bool:
    """ "fresh-grated", "small-diced": work and how it is done, joined by a dash."""
    *how, work = word.split("-")
    return work in PREPARED and all(one in _FRESHLY or one in ADVERB or one in SIZE for one in how)


def _is_work(low: list[str], at: int) -> bool:
    return low[at] in PREPARED or (low[at] in ADVERB and _work_follows(low, at))


def _trailing(low: list[str], start: int) -> int:
    """Where the preparation after the name begins in the same stretch."""
    count = len(low)
    if start < count and low[start] in _NEVER_NAMES:
        return start
    if _ENDS.isdisjoint(low):
        return count
    for at in range(start + 1, count):
        word = low[at]
        if word in TAIL:
            if TAIL.longest(low, at) and not _part_of_name(low, at):
                return at
        elif word in PREPARED_LAST and (at + 1 == count or low[at + 1] in AFTER_PREPARED):
            if at + 1 < count and low[at + 1] in _LINKS and not _work_after(low, at + 2):
                continue
            while at - 1 > start and low[at - 1] in ADVERB:
                at -= 1
            return at
    return count


def _work_after(low: list[str], at: int) -> bool:
    """After "peeled and" comes more work; after "dried and" a food."""
    return at < len(low) and (low[at] in PREPARED_LAST or low[at] in ADVERB or low[at] in ("cut", "left", "the"))


def _part_of_name(low: list[str], at: int) -> bool:
    """ "ready to eat apricots", "8 per cent fat": no preparation."""
    if low[at] == "per":
        return low[at + 1 : at + 2] == ["cent"]
    return low[at] in ("to", "for") and low[at - 1] in ("ready", "easy", "quick", "free")


def counted(words: Sequence[str]) -> str | None:
    """The unit of "2 celery sticks", the last word of the name; None when that does not count the food."""
    if len(words) < 2:
        return None
    counter = COUNTERS.get(words[-1].lower())
    if not counter:
        return None
    before = words[-2].lower()
    pair = f"{words[-3].lower()} {before}" if len(words) > 2 else before
    if "*" not in counter.foods and before not in counter.foods and pair not in counter.foods:
        return None
    if not counter.unless.isdisjoint(word.lower() for word in words[:-1]) or before in ADJECTIVE:
        return None
    return counter.unit


def only_adjectives(words: Sequence[str]) -> bool:
    """ "boneless" of "boneless, skinless chicken breast", "seeded" of "seeded, minced chilli": no food yet."""
    return all(map(describes, map(str.lower, words)))


def purpose_of(text: str) -> Purpose | None:
    """What an ingredient is for, when a stretch of text begins with it."""
    low = text.lower().split(None, PURPOSE_WORDS)
    if not low or low[0] not in PURPOSE_FIRST:
        return None
    for length in range(min(PURPOSE_WORDS, len(low)), 0, -1):
        purpose = PURPOSES.get(" ".join(low[:length]))
        if purpose:
            return purpose
    return None


def no_food(name: str) -> bool:
    """Whether words name nothing that can be eaten ("similar", "two", "mild")."""
    words = name.lower().split()
    return all(word in NO_FOOD or word in NO_OPTION or word in ADJECTIVE or word in STATE for word in words)


def names_part(text: str) -> bool:
    """Whether a text names a part at all, so that `part_of` may find it."""
    return not _PART_WORDS.isdisjoint(_WORDS.findall(text.lower()))


def part_of(text: str, name: str) -> tuple[str, ...]:
    """("zest", "juice") of "finely grated zest and juice of 2"; () when the text says anything else as well.

    name: the food of the line, whose own words may come again; a part it already names is none.
    """
    words = _WORDS.findall(text.lower())
    parts = []
    own = [word.rstrip("s") for word in name.lower().split()]
    for word in words:
        if word.rstrip("s") in own:
            continue
        if word in PARTS:
            parts.append(word)
        elif word in _MADE_PARTS:
            parts.append(_MADE_PARTS[word])
        elif word not in WITH_PART and not word[0].isnumeric():
            return ()
    return tuple(parts)
