"""Spoons, cups, jugs and packs of a written volume: what a millilitre of a food weighs, and what they hold.

A household measure counts as it stands when its unit is the line's and its words fit what the cook does to
the food ("1 cup, chopped"); otherwise it gives the food's density. Measures of another form (a cup of whole
almonds for ground ones) give way to the kind.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from nutrilab.datafiles import AT, rows
from nutrilab.lexicon import forms
from nutrilab.messages import say
from nutrilab.plain import brief
from nutrilab.remarks import Code, Remark
from nutrilab.text import words
from nutrilab.weighing.asked import ONE, Asked, Ground, Span, Weight, around, cells, result, span_of, times
from nutrilab.weighing.phrases import Measured, Phrases, names_head
from nutrilab.weighing.pieces import sized
from nutrilab.weighing.units import VESSELS, dimension, millilitres, table_millilitres
from nutrilab.weighing.written import metric_beside

_UNIT = re.compile(
    r"(?:serving\s+)?(?:(\d+)(?:/(\d+))?\s*)?\b(cup|tbsp|tablespoon|tsp|teaspoon|fl oz|quart|pint|liter|ml)s?\b",
    re.IGNORECASE,
)
_CANONICAL = {"tablespoon": "tbsp", "teaspoon": "tsp", "liter": "l"}
_LEAVES = frozenset(("whole", "leaf"))
_SPOILT = ("yield", "purchased", "prepared", "dry mix", "condensed", "nlea")  # amounts of something else than the food


@cache
def _unsaid(how: str) -> frozenset[str]:
    return frozenset(said.form for said in forms().values() if said.unsaid == how)


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
    known = forms()
    return frozenset(known[token].form for token in tokens if token in known)


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
        if not forms and "leaf" in foreign:  # "1 cup basil": nobody cut its leaves
            foreign = foreign - _LEAVES
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
def _kinds() -> Phrases[tuple[Span, str]]:
    return Phrases((row["words"], (cells(row, "g_per_ml"), row[AT])) for row in rows("densities.csv"))


_WATER = Span(1.0, 0.5, 1.15)  # a food of which nothing is known


@lru_cache(maxsize=16384)
def kind_density(order: tuple[str, ...], prepared: tuple[str, ...], kinds: tuple[str, ...]) -> tuple[Span, str]:
    """The density [g/ml] of a kind of food with its range, and the place of the row that spoke of it, "" if none."""
    found = _kinds().best((*prepared, *order), kinds, names_head(order))
    return (found.row[0].likely(), found.row[1]) if found else (_WATER, "")


_THIN = frozenset("@liquid @milk @thickcream @oil @spirit @yoghurt".split())  # all of them near water
# Kinds that are much alike whatever the food; of the others (fruit in syrup, cooked leaves) the table knows better.
_ALIKE = _THIN | frozenset("@spice @driedherb @oats @flour @starch @sugar @salt @leavening @syrup".split())
_FLOWING = frozenset(
    "@liquid @milk @thickcream @oil @spirit @liqueur @syrup @soysauce @yoghurt @condensedmilk @sauce @egg".split()
)


def spread(own: OwnDensity, kinds: tuple[str, ...], spooned: bool) -> Span:
    """An own density with its range: liquids are narrow; spoons, forms that do not fit and other units wider."""
    share = 0.05 if not _FLOWING.isdisjoint(kinds) else 0.15
    share += 0.05 if spooned else 0.0
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


JUG = 200.0  # [ml] the table's measures near this size tell best what a millilitre weighs: a cup, not a spoon
SPOONED, POURED = 0.08, 0.03  # how exact a spoon and a jug are at best [share to either side]


def by_volume(asked: Asked) -> Weight | None:
    """Spoons, cups, jugs and packs of a written volume; a second amount by volume beside a count."""
    line, count = asked.line, asked.count
    if count is not None and metric_beside(line, "volume"):
        assert line.other is not None
        return _poured(asked, span_of(line.other), line.other.unit)
    if count is not None and dimension(line.unit) == "volume":
        return _poured(asked, count, asked.unit)
    if line.pack and dimension(line.pack.unit) == "volume":
        found = _poured(asked, times(count or ONE, span_of(line.pack)), line.pack.unit)
        return replace(found, ground=Ground.PACK)
    if line.other and dimension(line.other.unit) == "volume" and (count is None or not line.unit):
        return _poured(asked, span_of(line.other), line.other.unit)
    return None


_POURED_KINDS = frozenset("@liquid @milk @thickcream @yoghurt".split())
DRY = 25.0  # [g of water in 100 g] nothing that holds less is milk, cream or stock


def _is_dry(asked: Asked) -> bool:
    """Whether a food of a kind that is poured is a powder: dried milk, creamer, stock granules."""
    water = asked.food.values.get("WATER") if asked.food else None
    return water is not None and water < DRY and not _POURED_KINDS.isdisjoint(asked.kinds)


_LITRES = frozenset(("l", "dl", "cl"))
_SPOONS = frozenset(("tsp", "dsp", "tbsp", "spoon", "cup", "mug"))


def _poured(asked: Asked, count: Span, unit: str) -> Weight:
    """``count`` units of volume of the food in grams; half a litre is 500 ml, to the last gram."""
    if unit in _LITRES:
        count, unit = count.times(millilitres(unit)), "ml"
    size = millilitres(unit, asked.cup)
    spooned = unit in _SPOONS
    forms = forms_of((*asked.full, *_measured_so(asked)))
    nearest = size if spooned else JUG  # whatever the amount: 100 ml weigh twice what 50 ml do
    own = own_density(asked.measures, unit, nearest, forms) if asked.measures else None
    kind, place = kind_density(asked.order, _measured_so(asked), asked.kinds)
    kind, kinds = kind.within(SPOONED if spooned else POURED), asked.kinds
    if own and _is_dry(asked):
        place, kinds = "", ()  # a kind that is poured does not tell what its powder weighs
    remarks: tuple[Remark, ...] = ()
    if own and own.fitting and place and "@softherb" in asked.kinds:
        # A spoon of leaves depends on the cook more than on the herb.
        density, ground = both(own, kind, (own.grams * kind.grams) ** 0.5), Ground.OWN_DENSITY
    elif own and own.fitting and place and unlike(own, kind, asked.kinds):
        density, ground = both(own, kind, kind.grams), Ground.KIND_DENSITY
        remarks = (Remark(Code.DENSITY_DOUBTFUL, say("weight.spoon-not-believed", food=brief(asked.name))),)
    elif own and (own.fitting or not place):
        density = spread(own, kinds, spooned)
        ground = Ground.OWN_MEASURE if own.exact and spooned else Ground.OWN_DENSITY
    else:
        density, ground = kind, Ground.KIND_DENSITY
        if not place:
            message = say("weight.like-water", food=brief(asked.name))
            remarks = (Remark(Code.DENSITY_ASSUMED, message),)
    grams = times(count, density).times(size)
    if spooned:
        grams = sized(grams, asked.line.size, "spoon")
    if unit in VESSELS:
        grams = sized(grams.times(1.0, *VESSELS[unit]), None if spooned else asked.line.size, "count")
    return result(grams, ground, *remarks, place=place if ground == Ground.KIND_DENSITY else "")


_AFTERWARDS = frozenset(("whipped", "melted", "cooked", "boiled"))


def _measured_so(asked: Asked) -> tuple[str, ...]:
    """The words of preparation that hold when the food is measured: "300 ml double cream, whipped" is poured."""
    prepared = asked.prepared
    if _AFTERWARDS.isdisjoint(prepared):
        return prepared
    before = asked.before()
    return tuple(word for word in prepared if word not in _AFTERWARDS or word in before)
