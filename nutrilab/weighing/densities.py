"""Volume to mass: a food's own household measures first, then the density of its kind.

A household measure counts as it stands when its unit is the line's and its words fit what the cook does to
the food ("1 cup, chopped"); otherwise it gives the food's density. Measures of another form (a cup of whole
almonds for ground ones) give way to the kind.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache

from nutrilab.datafiles import rows
from nutrilab.text import words
from nutrilab.weighing.kinds import Measured
from nutrilab.weighing.phrases import Phrases, names_head
from nutrilab.weighing.span import Span, around, cells
from nutrilab.weighing.units import table_millilitres

_UNIT = re.compile(
    r"(?:serving\s+)?(?:(\d+)(?:/(\d+))?\s*)?\b(cup|tbsp|tablespoon|tsp|teaspoon|fl oz|quart|pint|liter|ml)s?\b",
    re.IGNORECASE,
)
_CANONICAL = {"tablespoon": "tbsp", "teaspoon": "tsp", "liter": "l"}
_SPOILT = ("yield", "purchased", "prepared", "dry mix", "condensed", "nlea")  # amounts of something else than the food


@cache
def _forms() -> dict[str, str]:
    return {row["word"]: row["form"] for row in rows("forms.csv")}


@cache
def _unsaid(how: str) -> frozenset[str]:
    return frozenset(row["form"] for row in rows("forms.csv") if row["unsaid"] == how)


@dataclass(frozen=True, slots=True)
class VolumeMeasure:
    """One household measure by volume: unit, its millilitres, grams of one, the forms its words name."""

    unit: str
    millilitres: float
    grams: float
    forms: frozenset[str]


@dataclass(frozen=True, slots=True)
class OwnDensity:
    """Grams a millilitre by a food's own measure; exact: same unit and no other form; fitting: no other form."""

    grams: float
    exact: bool
    fitting: bool


@lru_cache(maxsize=8192)
def volume_measures(measures: tuple[Measured, ...]) -> tuple[VolumeMeasure, ...]:
    """Those household measures that are volumes, read ("1 cup, chopped", "serving 1/4 cup")."""
    found = []
    for measure in measures:
        text = measure.words.lower()
        match = _UNIT.search(text)
        if not match or measure.amount <= 0 or any(word in text for word in _SPOILT):
            continue
        unit = _CANONICAL.get(match[3].lower(), match[3].lower())
        share = int(match[1] or 1) / int(match[2] or 1) or 1.0 if match[2] != "0" else 1.0  # "5 fl oz", "1/4 cup"
        forms = forms_of(words(text[: match.start()] + " " + text[match.end() :]))
        found.append(VolumeMeasure(unit, table_millilitres(unit), measure.grams / measure.amount / share, forms))
    return tuple(found)


def forms_of(tokens: Iterable[str]) -> frozenset[str]:
    """The forms of a food that some words name."""
    known = _forms()
    return frozenset(known[token] for token in tokens if token in known)


@lru_cache(maxsize=16384)
def own_density(
    measures: tuple[Measured, ...], unit: str, millilitres: float, forms: frozenset[str]
) -> OwnDensity | None:
    """The density [g/ml] a food's own measures give for ``unit`` of it in some forms; None without any."""
    best: OwnDensity | None = None
    top = (-9.0, 0.0)
    rare, shapes = _unsaid("never"), _unsaid("shape")
    for measure in volume_measures(measures):
        foreign = measure.forms - forms
        clash = bool(measure.forms) and bool(forms) and not measure.forms & forms
        score = 2.0 * len(measure.forms & forms) - len(foreign) - 3.0 * len(foreign & rare) - (1.0 if clash else 0.0)
        score += 0.9 if measure.unit == unit else 0.0
        size = -abs(millilitres - measure.millilitres)  # nearest in size: spoons do not scale to cups
        if (score, size) > top:
            fits = not clash and not foreign & rare and not foreign & shapes
            best, top = (
                OwnDensity(measure.grams / measure.millilitres, measure.unit == unit and fits, fits),
                (score, size),
            )
    return best


@cache
def _kinds() -> Phrases[Span]:
    return Phrases((row["words"], cells(row, "g_per_ml")) for row in rows("densities.csv"))


_WATER = Span(1.0, 0.5, 1.15)  # a food of which nothing is known


@lru_cache(maxsize=16384)
def kind_density(order: tuple[str, ...], prepared: tuple[str, ...], kinds: tuple[str, ...]) -> tuple[Span, bool]:
    """The density [g/ml] of a kind of food with its range, and whether any row spoke of it."""
    found = _kinds().best((*prepared, *order), kinds, names_head(order))
    return (found.row.likely(), True) if found else (_WATER, False)


_THIN = frozenset("@liquid @milk @thickcream @oil @spirit @yoghurt".split())  # all of them near water
# Kinds that are much alike whatever the food; of the others (fruit in syrup, cooked leaves) the table knows better.
_ALIKE = _THIN | frozenset("@spice @driedherb @oats @flour @starch @sugar @salt @leavening @syrup".split())
_FLOWING = frozenset(
    "@liquid @milk @thickcream @oil @spirit @liqueur @syrup @soysauce @yoghurt @condensedmilk @sauce @egg".split()
)


def spread(own: OwnDensity, kinds: tuple[str, ...], spooned: bool) -> Span:
    """An own density with its range: liquids are narrow; spoons, forms that do not fit and other units wider."""
    share = 0.03 if not _FLOWING.isdisjoint(kinds) else 0.09
    share += 0.03 if spooned else 0.0
    share += 0.0 if own.exact or spooned else 0.02
    share += 0.0 if own.fitting else 0.14
    return around(own.grams, share)


def unlike(own: OwnDensity, kind: Span, kinds: tuple[str, ...]) -> bool:
    """Whether a food's own measure is nothing like its kind, where kinds are alike: another state was linked."""
    if _ALIKE.isdisjoint(kinds):
        return False
    slack = 1.45 if _THIN.isdisjoint(kinds) else 1.08
    return not kind.low / slack <= own.grams <= kind.high * slack


def both(own: OwnDensity, kind: Span, middle: float) -> Span:
    """A density with a range that holds the table's measure and the kind."""
    return Span(middle, min(own.grams, kind.grams) * 0.9, max(own.grams, kind.grams) * 1.1)
