"""The list of ingredients as Regulation (EU) No 1169/2011 asks for it, as values.

Articles and annex points are cited from memory: look them up before a label is printed. Descending order of weight as
recorded when the ingredients are put together (Article 18); added water only as far as it stays in the finished dish,
and not at all up to 5 % (Annex VII part A, 1); a compound ingredient with its own in brackets (Annex VII part E);
allergens emphasised by the name of Annex II (Article 21); the percentage of what the dish is named after (Article 22,
Annex VIII).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal

from nutrilab import messages
from nutrilab.allergens.find import Findings, join
from nutrilab.allergens.labels import read_label
from nutrilab.allergens.words import say
from nutrilab.text import fold, words

if TYPE_CHECKING:
    from nutrilab.allergens.pack_text import Item

WATER_LIMIT = 0.05  # share of the finished dish [1] up to which added water is not listed, Annex VII part A, 1
_NAMES = {  # how Annex II calls what has to be emphasised, where the line does not use the word itself
    "gluten": "gluten", "crustaceans": "crustaceans", "eggs": "egg", "fish": "fish", "peanuts": "peanuts",
    "soya": "soya", "milk": "milk", "nuts": "nuts", "celery": "celery", "mustard": "mustard", "sesame": "sesame",
    "sulphites": "sulphites", "lupin": "lupin", "molluscs": "molluscs",
}  # fmt: skip
RunKind = Literal["plain", "allergen", "check"]


@dataclass(frozen=True, slots=True)
class Ingredient:
    """An ingredient as it went into the dish.

    name: as it should stand in the list; grams: weight at mixing [g], None if nobody weighed it; own: the ingredients
    text of its pack, None if it is no compound of others; named: whether the dish's name names it; share: of the
    stage it is in that went into the dish, 0 to 1; compound: whether it is made of ingredients of its own.
    """

    name: str
    grams: float | None
    findings: Findings = field(default_factory=Findings)
    own: str | None = None
    named: bool = False
    share: float = 1.0
    compound: bool = False

    @property
    def used(self) -> float | None:
        """Weight that went into the dish [g]."""
        return None if self.grams is None else self.grams * self.share


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of text: plain, an allergen to be emphasised, or a word that waits for a look at the pack."""

    text: str
    kind: RunKind = "plain"


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the list.

    percent: of the finished dish [%], where it has to be stated; weighed: whether its weight, so its place, is known.
    """

    runs: tuple[Run, ...]
    grams: float | None
    percent: float | None = None
    weighed: bool = True


def ingredients_list(ingredients: Iterable[Ingredient], finished: float | None = None) -> list[Entry]:
    """The list, heaviest first; what nobody weighed stands last and says so.

    finished: weight of the finished dish [g], by default the sum at mixing. Entries of one name become one.
    """
    merged = _merged(ingredients)
    mixed = sum(item.used or 0.0 for item in merged)
    finished = finished if finished and finished > 0 else mixed
    kept = [placed for item in merged if (placed := _placed(item, mixed, finished)) is not None]
    kept.sort(key=lambda item: -(item.used if item.used is not None else -1.0))
    return [_entry(item, finished) for item in kept]


def _merged(ingredients: Iterable[Ingredient]) -> list[Ingredient]:
    """Ingredients of one name and pack as one; a part without weight leaves the weighed sum as it is."""
    found: dict[tuple[tuple[str, ...], str | None], Ingredient] = {}
    for item in ingredients:
        item = replace(item, grams=item.used, share=1.0)
        key = (words(item.name), item.own)
        if key not in found:
            found[key] = item
            continue
        first = found[key]
        grams = first.grams if item.grams is None else item.grams + (first.grams or 0.0)
        found[key] = replace(
            first, grams=grams, findings=join([first.findings, item.findings]), named=first.named or item.named
        )
    return list(found.values())


def _is_water(item: Ingredient) -> bool:
    return item.own is None and words(item.name)[-1:] in (("water",), ("ice",)) and not item.findings.contains


def _placed(item: Ingredient, mixed: float, finished: float) -> Ingredient | None:
    """Water by what stays of it in the finished dish: its weight less that of all other ingredients; else as it is."""
    if not _is_water(item) or item.used is None:
        return item
    stays = min(item.used, finished - (mixed - item.used))
    return replace(item, grams=stays) if stays > WATER_LIMIT * finished else None


def _entry(item: Ingredient, finished: float) -> Entry:
    runs = _emphasised(item.name, item.findings, names_all=item.own is None)
    percent = None
    if item.named and item.used is not None and finished > 0:
        percent = 100.0 * item.used / finished
        runs.append(Run(f" ({_quantity(percent)})"))
    if item.own is not None:
        runs += [Run(" ("), *_own(read_label(item.own).items), Run(")")]
        runs += _missing(item, runs)
    elif item.compound:
        runs.append(Run(f" [{messages.say('label.add-ingredients')}]", "check"))
    return Entry(tuple(runs), item.used, percent, item.grams is not None)


def _quantity(percent: float) -> str:
    """Annex VIII, 4(b): above 100 %, where the dish lost moisture, as weight used for 100 g of the finished dish."""
    if percent < 0.95:
        return f"{max(percent, 0.1):.1f}%"
    return f"{percent:.0f}%" if percent <= 100 else messages.say("label.for-100-g", weight=f"{percent:.0f} g")


def _emphasised(name: str, findings: Findings, names_all: bool) -> list[Run]:
    """A name with its allergens marked in it, or behind it where it does not use Annex II's own word."""
    wanted = [word for allergen in findings.contains for word in _annex_words(allergen, findings)]
    runs, said = _marked(name, wanted)
    if not names_all:
        return runs
    missing = [word for word in wanted if word not in said]
    if missing:
        runs.append(Run(" ("))
        for n, word in enumerate(missing):
            runs += [*([Run(", ")] if n else []), Run(word, "allergen")]
        runs.append(Run(")"))
    if findings.check:
        runs.append(Run(f" [{messages.say('label.check-for', allergens=', '.join(findings.check))}]", "check"))
    return runs


def _annex_words(allergen: str, findings: Findings) -> list[str]:
    """The cereal or the nut by name (Annex II, 1 and 8), else the allergen by its name."""
    if allergen in ("gluten", "nuts"):
        return list(findings.parts.get(allergen, ())) or [_NAMES[allergen]]
    return [_NAMES[allergen]]


def _marked(name: str, wanted: Sequence[str]) -> tuple[list[Run], set[str]]:
    """Words of ``name`` that are the wanted words, in singular or plural, as allergen runs; and which were met."""
    sought = {key: word for word in wanted for key in words(word)[:1]}
    runs: list[Run] = []
    met: set[str] = set()
    for piece in re.split(r"(sul(?:ph|f)ur dioxide|[^\W\d_]+)", name, flags=re.I):
        key = ("sulphite",) if " dioxide" in piece.lower() else words(piece)[:1]  # Annex II, 12 knows it by both names
        if key and key[0] in sought and fold(piece).replace(" ", "").isalpha():
            met.add(sought[key[0]])
            runs.append(Run(piece, "allergen"))
        elif piece:
            runs.append(Run(piece))
    return _joined(runs), met


def _joined(runs: list[Run]) -> list[Run]:
    found: list[Run] = []
    for run in runs:
        if found and found[-1].kind == run.kind:
            found[-1] = Run(found[-1].text + run.text, run.kind)
        else:
            found.append(run)
    return found


def _own(items: tuple[Item, ...]) -> list[Run]:
    """The ingredients of a pack, each with its allergens marked, in the pack's order."""
    runs: list[Run] = []
    for n, item in enumerate(items):
        said = say(item.name)
        runs += [Run(", ")] if n else []
        runs += _emphasised(item.name, Findings(said.contains, {}, {}, said.parts), names_all=not item.parts)
        if item.percent is not None:
            runs.append(Run(f" ({item.percent:g}%)"))
        if item.parts:
            runs += [Run(" ("), *_own(item.parts), Run(")")]
    return _joined(runs)


def _missing(item: Ingredient, runs: Sequence[Run]) -> list[Run]:
    """Allergens the pack states that its ingredients text did not show."""
    shown = {key for run in runs if run.kind == "allergen" for key in words(run.text)}
    if "dioxide" in shown:
        shown.add("sulphite")
    wanted = [word for allergen in item.findings.contains for word in _annex_words(allergen, item.findings)]
    left = [word for word in dict.fromkeys(wanted) if not shown & set(words(word))]
    if not left:
        return []
    found = [Run(" (contains ")]
    for n, word in enumerate(left):
        found += [*([Run(", ")] if n else []), Run(word, "allergen")]
    return [*found, Run(")")]
