"""Counted things, handfuls, packs and eggs: grams of one, from the data files.

The rows of pieces.csv, vague.csv and packs.csv are found alike: by the unit of the line, by the most telling
phrase of the food's words, and by the size; a size without a row of its own changes the usual one by sizes.csv.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from nutrilab.datafiles import rows
from nutrilab.phrases import Phrase, Phrases
from nutrilab.span import Span, cells


@dataclass(frozen=True, slots=True)
class Piece:
    """One row: grams of one with its range, the share thrown away of its weight as bought, its sizes, its source."""

    span: Span
    refuse: float
    sizes: frozenset[str]
    source: str


@dataclass(frozen=True, slots=True)
class Found:
    """What a table says of one piece: its grams, its row, the words that led to it."""

    span: Span
    piece: Piece
    words: frozenset[str]


class Pieces:
    """A table of pieces by unit: phrases of the usual size, and of the others."""

    def __init__(self, file: str) -> None:
        """Read a data file. Raises ValueError when a row's range is out of order."""
        usual: dict[str, list[tuple[str, Piece]]] = {}
        sized: dict[tuple[str, str], list[tuple[str, Piece]]] = {}
        for row in rows(file):
            refuse = float(row.get("refuse") or 0)
            piece = Piece(cells(row), refuse, frozenset(row["size"].split("|")), row["source"])
            for unit in row["unit"].split("|"):
                for size in row["size"].split("|"):
                    (sized.setdefault((unit, size), []) if size else usual.setdefault(unit, [])).append((row["words"], piece))
        self._usual = {unit: Phrases(entries) for unit, entries in usual.items()}
        self._sized = {key: Phrases(entries) for key, entries in sized.items()}
        self.units = frozenset(self._usual) | frozenset(unit for unit, _ in self._sized)

    def find(self, unit: str, size: str | None, order: Sequence[str], kinds: Iterable[str]) -> Found | None:
        """Grams of one ``unit`` ("" = counted) of a food.

        order: the words of its name; kinds: its kind tokens. Counted things must name the head of the name:
        "chicken kiev" is no chicken.
        """
        head = _head(order) if unit == "" else None
        fits = None if head is None else lambda phrase: _names_head(phrase, head)
        usual = self._usual[unit].best(order, kinds, fits) if unit in self._usual else None
        for word in _size_words(size):
            if (unit, word) in self._sized:
                phrase = self._sized[unit, word].best(order, kinds, fits)
                if phrase and (usual is None or phrase.weight >= usual.weight):
                    return Found(phrase.row.span, phrase.row, phrase.needs)
        if usual is None:
            return None
        return Found(sized(usual.row.span, size, "count"), usual.row, usual.needs)


# Where the name of a thing ends and what goes with it begins.
_BREAKS = frozenset("in with from for on such or and without like plus about at per to".split())
# Words that may stand last and are not the thing.
_LOOSE = frozenset(
    "fresh whole raw ripe half halve piece large small medium peeled unpeeled trimmed cooked chopped sliced skinless boneless "
    "frozen dried plain choice quality organic size sized flesh bulb head only each extra a the".split()
)


@lru_cache(maxsize=16384)
def _head_words(order: tuple[str, ...]) -> frozenset[str]:
    """The words that can be the head of a name: the last of it, and the one before "of"."""
    end = next((i for i, word in enumerate(order) if word in _BREAKS and i), len(order))
    part = list(order[:end])
    while len(part) > 1 and part[-1] in _LOOSE:
        part.pop()
    heads = set(part[-1:])
    if "of" in part[1:]:
        heads.add(part[part.index("of", 1) - 1])
    return frozenset(heads)


def _head(order: Sequence[str]) -> frozenset[str]:
    return _head_words(tuple(order))


def _names_head(phrase: Phrase[Piece], head: frozenset[str]) -> bool:
    return not head.isdisjoint(phrase.needs) or any(word[0] == "@" for word in phrase.needs)


@cache
def _sizes() -> dict[tuple[str, str], Span]:
    return {(row["size"], row["what"]): cells(row, "factor") for row in rows("sizes.csv")}


def _size_words(size: str | None) -> tuple[str, ...]:
    """A size as written and its words: "lightly heaped" -> itself, "lightly", "heaped"."""
    if not size:
        return ()
    low = size.lower().removesuffix("-sized").removesuffix(" sized").removesuffix("-size").removesuffix(" size")
    return tuple(dict.fromkeys((size.lower(), low, *low.split())))


@lru_cache(maxsize=4096)
def sized(span: Span, size: str | None, what: str) -> Span:
    """A span changed by a size word; what: "count" for things, "spoon" for how full a spoon is."""
    for word in _size_words(size):
        factor = _sizes().get((word, what))
        if factor:
            return span.times(factor.grams, factor.low, factor.high)
    return span


@cache
def pieces() -> Pieces:
    """Counted things (pieces.csv)."""
    return Pieces("pieces.csv")


@cache
def vague() -> Pieces:
    """Measures of the hand and the eye (vague.csv)."""
    return Pieces("vague.csv")


@cache
def packs() -> Pieces:
    """What packs hold (packs.csv)."""
    return Pieces("packs.csv")


@dataclass(frozen=True, slots=True)
class EggClass:
    """Edible grams of a hen's egg of one class, and of its yolk and white."""

    whole: Span
    yolk: Span
    white: Span


SHELL = 0.12  # share of the egg: USDA SR28 01123


@cache
def egg_classes() -> dict[str, EggClass]:
    """Egg classes by size word, "usual" where none is written (eggs.csv)."""
    found = {}
    for row in rows("eggs.csv"):
        whole = cells(row, "with_shell", "with_shell_low", "with_shell_high").times(1 - SHELL)
        yolk = cells(row, "yolk", "yolk_low", "yolk_high")
        white = Span(whole.grams - yolk.grams, whole.low - yolk.low, whole.high - yolk.high)
        found[row["size"]] = EggClass(whole, yolk, white.within(0.1))
    return found


_OTHER_BIRDS = frozenset(("duck", "quail", "goose", "ostrich", "gull", "easter", "chocolate", "scotch", "pickled"))
_SIZES = {"s": "small", "m": "medium", "l": "large", "xl": "extra-large", "extra large": "extra-large",
          "very large": "extra-large", "big": "large", "largish": "large"}  # fmt: skip


def egg(order: Sequence[str], size: str | None, part: str | None) -> Span | None:
    """Edible grams of one hen's egg, or of its yolk or white; None when the name is of no hen's egg."""
    tokens = frozenset(order)
    if not tokens & {"egg", "yolk", "white"} or tokens & _OTHER_BIRDS or _head(order).isdisjoint(("egg", "yolk", "white")):
        return None
    if "egg" not in tokens and "yolk" not in tokens and tokens != {"white"}:
        return None
    classes = egg_classes()
    words = _size_words(size)
    found = next((classes[w] for word in words if (w := _SIZES.get(word, word)) in classes), classes["usual"])
    if "yolk" in tokens or part == "yolk":
        return found.yolk
    return found.white if "white" in tokens or part == "white" else found.whole
