"""Counted things, handfuls, packs and eggs: grams of one, from the data files.

The rows of pieces.csv, vague.csv and packs.csv are found alike: by the unit of the line, by the most telling
phrase of the food's words, and by the size; a size without a row of its own changes the usual one by sizes.csv.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from nutrilab.datafiles import AT, rows
from nutrilab.text import words
from nutrilab.weighing.asked import Span, cells
from nutrilab.weighing.phrases import Measured, Phrases, heads, names_head


@dataclass(frozen=True, slots=True)
class Piece:
    """One row: grams of one with its range, the share thrown away of its weight as bought, its sizes, source, place."""

    span: Span
    refuse: float
    sizes: frozenset[str]
    source: str
    place: str = ""


@dataclass(frozen=True, slots=True)
class Found:
    """What a table says of one piece: its grams, its row, the words that led to it."""

    span: Span
    piece: Piece
    words: frozenset[str]


class Pieces:
    """A table of pieces by unit and size word ("" = usual); a unit's phrases are indexed when it is first asked for."""

    def __init__(self, file: str, heads: bool = False) -> None:
        """Read a data file. Raises ValueError when a row's range is out of order.

        heads: rows must name the head of the name ("handful of pea shoots" is no handful of peas) for every unit,
        else only for things counted without one.
        """
        self._heads = heads
        self._rows: dict[tuple[str, str], list[tuple[str, Piece]]] = {}
        for row in rows(file):
            refuse = float(row.get("refuse") or 0)
            sizes = row["size"].split("|")
            piece = Piece(cells(row), refuse, frozenset(sizes), row["source"], row.get(AT, ""))
            for unit in row["unit"].split("|"):
                for size in sizes:
                    self._rows.setdefault((unit, size), []).append((row["words"], piece))
        self._index: dict[tuple[str, str], Phrases[Piece]] = {}
        self.units = frozenset(unit for unit, _ in self._rows)

    def _phrases(self, unit: str, size: str) -> Phrases[Piece] | None:
        key = unit, size
        if key not in self._index and key in self._rows:
            self._index[key] = Phrases(self._rows[key])
        return self._index.get(key)

    def find(self, unit: str, size: str | None, order: Sequence[str], kinds: Sequence[str]) -> Found | None:
        """Grams of one ``unit`` ("" = counted) of a food.

        order: the words of its name; kinds: its kind tokens. Counted things must name the head of the name:
        "chicken kiev" is no chicken.
        """
        fits = names_head(order) if unit == "" or self._heads else None
        size = size or next((word for word in order if word in _NAMED_SIZES), None)
        phrases = self._phrases(unit, "")
        usual = phrases.best(order, kinds, fits) if phrases else None
        for word in _size_words(size):
            if special := self._phrases(unit, word):
                phrase = special.best(order, kinds, fits)
                if phrase and (usual is None or phrase.weight >= usual.weight):
                    return Found(phrase.row.span, phrase.row, phrase.needs)
        if usual is None:
            return None
        span = usual.row.span if size in usual.needs else sized(usual.row.span, size, "count")
        return Found(span, usual.row, usual.needs)


_NAMED_SIZES = frozenset(
    ("small", "large", "big", "fat", "thin", "thick", "tiny")
)  # "fat green chilli", when part of the name


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
    return Pieces("vague.csv", heads=True)


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
    if (
        not tokens & {"egg", "yolk", "white"}
        or tokens & _OTHER_BIRDS
        or heads(tuple(order)).isdisjoint(("egg", "yolk", "white"))
    ):
        return None
    if "egg" not in tokens and "yolk" not in tokens and tokens != {"white"}:
        return None
    classes = egg_classes()
    found = next(
        (classes[w] for word in _size_words(size) if (w := _SIZES.get(word, word)) in classes), classes["usual"]
    )
    if "yolk" in tokens or part == "yolk":
        return found.yolk
    return found.white if "white" in tokens or part == "white" else found.whole


_NO_PIECE = (
    "oz", "cup", "serving", "yield", "tbsp", "tsp", "fl oz", "lb", "package", "tablespoon", "teaspoon", "quart", "pint",
    "jar", "can ", "container", "nlea", "cubic", "packet", "inch",
)  # fmt: skip
_PART_WORDS = frozenset("slice ring leaf strip stick wedge floweret spear half section segment chip floret".split())
_ONE = frozenset("medium fruit whole item piece each unit head bulb root ear fillet link patty".split())


@lru_cache(maxsize=8192)
def own_piece(measures: tuple[Measured, ...], unit: str, size: str | None, order: tuple[str, ...]) -> float | None:
    """Grams of one piece by the food's own household measures ("1 medium", "1 fruit", "1 slice"), None without any."""
    wanted = (_size_words(size) or ("medium",))[-1]
    best, top = None, 0.0
    for measure in measures:
        text = measure.words.lower()
        if measure.amount <= 0 or any(word in text for word in _NO_PIECE):
            continue
        tokens = frozenset(words(text.split("(")[0]))
        if unit and unit not in tokens:
            continue
        if not unit and tokens & _PART_WORDS and not tokens & _PART_WORDS & frozenset(order):
            continue
        score = (
            2.0 * (wanted in tokens)
            + 1.0 * bool(tokens & _ONE)
            + 1.0 * bool(tokens & frozenset(order))
            + 0.5 * bool(unit)
        )
        if score > top:
            best, top = measure.grams / measure.amount, score
    return best
