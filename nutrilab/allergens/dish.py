"""The allergens of a dish from those of its lines."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Literal, NamedTuple

from nutrilab.allergens.find import SULPHITES_LIMIT, Evidence, Findings
from nutrilab.allergens.values import ALLERGENS, OF_KINDS
from nutrilab.messages import listed, say

Cell = Literal["contains", "check", "may", ""]


class LineFindings(NamedTuple):
    """What is known of one line of a dish.

    number: its place in the stage, from 1; understood: whether every food of it was recognised.
    """

    findings: Findings
    text: str
    stage: str = ""
    number: int = 0
    understood: bool = True


@dataclass(frozen=True, slots=True)
class DishAllergens:
    """A dish's answer: allergen -> evidence sentences with the line they come from, in the order of Annex II.

    unresolved: lines that were not understood; while there is one, the answer is not complete, whatever it names.
    parts: the cereals or nuts to name in what is contained; also: what is to be checked beside what is contained
    already, another cereal or nut, or the same through a line that could be left out; unnamed: gluten or nuts of which
    a line does not say the cereal or the nut; asking: allergen -> the lines it is to be checked for, none of them left
    out, and no entry where something else than a line asks too.
    """

    contains: Evidence = field(default_factory=dict)
    check: Evidence = field(default_factory=dict)
    may: Evidence = field(default_factory=dict)
    unresolved: tuple[str, ...] = ()
    parts: Evidence = field(default_factory=dict)
    also: Evidence = field(default_factory=dict)
    unnamed: frozenset[str] = frozenset()
    asking: Mapping[str, tuple[LineFindings, ...]] = field(default_factory=dict)

    def kinds(self, allergen: str) -> str:
        """The cereals or nuts that are contained, by name; a name never hides that there is one nobody names."""
        if allergen not in OF_KINDS or allergen not in self.contains:
            return ""
        names = ", ".join(self.parts.get(allergen, ()))
        if not names:
            return say("allergens.kind-not-known")
        return say("allergens.and-not-known", kinds=names) if allergen in self.unnamed else names

    def named(self, allergen: str) -> str:
        """An allergen with its cereals or nuts, as Annex II wants them named: "gluten (wheat, barley)"."""
        kinds = self.kinds(allergen)
        return f"{allergen} ({kinds})" if kinds else allergen

    def others(self, allergen: str) -> tuple[Cell, ...]:
        """Whether other cereals or nuts than those contained are to be checked for, or may be in it by a pack."""
        if allergen not in OF_KINDS or allergen not in self.contains:
            return ()
        found: tuple[tuple[Cell, Evidence], ...] = (("check", self.also), ("may", self.may))
        return tuple(cell for cell, evidence in found if allergen in evidence)

    @property
    def to_check(self) -> tuple[str, ...]:
        """What is to be looked up on packs, by name: also other cereals or nuts than those contained."""
        return (*self.check, *(say("caption.other-kinds", allergen=one) for one in self.also if one in OF_KINDS))

    @property
    def complete(self) -> bool:
        """Whether every line was understood; still no promise that anything is absent."""
        return not self.unresolved

    def with_dose(self, sentences: tuple[str, ...]) -> DishAllergens:
        """The same with what is estimated of sulphites; beside "contains" if that stands, else to be checked."""
        if not sentences:
            return self
        if "sulphites" in self.contains:
            return replace(self, contains={**self.contains, "sulphites": (*self.contains["sulphites"], *sentences)})
        check = {**self.check, "sulphites": (*self.check.get("sulphites", ()), *sentences)}
        asking = {allergen: lines for allergen, lines in self.asking.items() if allergen != "sulphites"}
        return replace(self, check={a: check[a] for a in ALLERGENS if a in check}, asking=asking)

    def cell(self, allergen: str) -> Cell:
        """The one word for an allergen in a chart: the most certain there is."""
        if allergen in self.contains:
            return "contains"
        if allergen in self.check:
            return "check"
        return "may" if allergen in self.may else ""


_ORDER = {allergen: place for place, allergen in enumerate(ALLERGENS)}
Said = dict[str, list[str]]  # allergen -> sentences or names


def merge(lines: Iterable[LineFindings]) -> DishAllergens:
    """A dish from its lines. The order of lines never matters for which allergens stand where."""
    contains: Said = {}
    check: Said = {}
    may: Said = {}
    parts: Said = {}
    unresolved: dict[str, None] = {}
    unnamed: set[str] = set()
    asking: dict[str, tuple[LineFindings, ...]] = {}
    for line in lines:
        found = line.findings
        inside, asked, kinds = found.contains, found.check, found.parts
        if not line.understood:
            unresolved[line.text] = None
        if not (inside or asked or found.may or kinds):
            continue  # as of most lines; their places need not be put in words
        place = in_place(line)
        for part, into in ((inside, contains), (asked, check), (found.may, may)):
            for allergen, evidence in part.items():
                into.setdefault(allergen, []).extend([sentence + place for sentence in evidence])
        for allergen in asked:
            asking[allergen] = (*asking.get(allergen, ()), line)
        for allergen, names in kinds.items():
            parts.setdefault(allergen, []).extend(names)
        for allergen in OF_KINDS:
            if allergen in inside and not kinds.get(allergen):
                unnamed.add(allergen)
    also = {allergen: check.pop(allergen) for allergen in list(check) if allergen in contains}
    return DishAllergens(
        _ordered(contains),
        _ordered(check),
        _ordered(may),
        tuple(unresolved),
        _ordered(parts),
        _ordered(also),
        frozenset(unnamed),
        asking,
    )


def in_place(line: LineFindings) -> str:
    """What stands behind each of a line's sentences in a dish: " [mash, line 2: 60 g butter]"."""
    stage, number = line.stage, _numbered(line.number)
    where = f"{stage}, {number}" if stage and number else stage or number
    return f" [{where}: {line.text}]" if where else f" [{line.text}]"


@cache
def _numbered(line: int) -> str:
    return say("recipe.place", line=line) if line else ""


def _ordered(found: Said) -> dict[str, tuple[str, ...]]:
    """By the order of Annex II, each sentence or name once."""
    order = sorted(found, key=_ORDER.__getitem__) if len(found) > 1 else found
    return {allergen: tuple(dict.fromkeys(found[allergen])) for allergen in order}


def sulphites(doses: Iterable[tuple[str, float, float]], total: float) -> tuple[str, ...]:
    """Sulphites of a dish estimated from dose and dilution: sentences for "check", never a clearance.

    doses: (product, grams used [g], SO2 of the product [mg/kg]); total: mass of the dish [g]. Concentration [mg/kg] =
    sum(grams x dose) / total; the limit is 10 mg/kg (Annex II, 12). Empty without a dose or a mass.
    """
    known = [(name, grams, dose) for name, grams, dose in doses if grams > 0 and dose > 0]
    if not known or total <= 0:
        return ()
    level = sum(grams * dose for _, grams, dose in known) / total
    return (
        say(
            "allergens.sulphites-above" if level > SULPHITES_LIMIT else "allergens.sulphites-below",
            level=f"{level:.1f}",
            foods=listed([name for name, _, _ in known], len(known)),
            limit=f"{SULPHITES_LIMIT:g}",
        ),
    )
