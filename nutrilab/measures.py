"""The scales of the house: quantity and unit of a line -> edible grams, with the ground they stand on.

The first ground that holds decides: a weight that is written; a pack of a written size, drained where its
liquid is poured off; a volume by the food's own household measure, its own density or that of its kind; an
egg by its class; a counted thing by British sizes, else by the food table's own measures; the hand and the
eye by common practice. Written weights of things bought whole lose their bones, shells and skins. Where
nothing is known there are no grams and a remark says so: missing is never zero.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

from nutrilab import as_bought, kitchen_units
from nutrilab.datafiles import rows
from nutrilab.densities import between, forms_of, kind_density, own_density, spread, unlike
from nutrilab.food_kinds import Measured, WeighedFood, kinds
from nutrilab.kitchen_units import VESSELS, dimension, millilitres
from nutrilab.lines import Amount, ParsedLine
from nutrilab.phrases import Phrases, thing
from nutrilab.pieces import Found, Pieces, egg, own_piece, packs, pieces, sized, vague
from nutrilab.remarks import Remark
from nutrilab.span import Span, around, cells
from nutrilab.text import words

__all__ = ["Measured", "Weight", "WeighedFood", "weigh"]

# How far a weight may be off [share to either side].
WEIGHED, ABOUT, PACKED, OWN_PIECE = 0.02, 0.03, 0.025, 0.25
FEW = Span(3.0, 1.5, 5.0)  # "a few sprigs", "sprigs of thyme": a number that is not written (common practice)
PORTIONS = 4.0  # dish that amounts a portion are counted for when nobody says how many it serves


@dataclass(frozen=True, slots=True)
class Weight:
    """Edible mass used [g] with its range and ground (a word of the contract's grams_from).

    grams, low, high: None when the line gives no amount that can be weighed. state and table_factor: set when
    line and linked food are in different states; grams x table_factor [1] are grams of the linked food.
    """

    grams: float | None
    low: float | None
    high: float | None
    ground: str
    remarks: tuple[Remark, ...] = ()
    state: str | None = None
    table_factor: float = 1.0


@dataclass(frozen=True, slots=True)
class _Asked:
    """One question to the scales: the line, the table's food, the words of the thing meant and its full name."""

    line: ParsedLine
    food: WeighedFood | None
    cup: str
    order: tuple[str, ...]
    full: tuple[str, ...]
    kinds: tuple[str, ...]
    count: Span | None
    unit: str

    @property
    def measures(self) -> tuple[Measured, ...]:
        return self.food.measures if self.food else ()

    @property
    def prepared(self) -> tuple[str, ...]:
        return words(self.line.preparation) if self.line.preparation else ()


def weigh(
    line: ParsedLine, name: str, food: WeighedFood | None, cup: str = "us", portions: float = PORTIONS
) -> Weight:
    """Weigh one food of a line. Never raises.

    name: the one of line.names meant; food: what it was linked to, or None; cup: "us" or "metric";
    portions: how many the dish serves, for "to taste" and its like. The line's quantity counts in full:
    a caller with several foods sharing one quantity divides.
    """
    if line.heading:
        return Weight(None, None, None, "none")
    asked = _Asked(line, food, cup, thing(words(name)), words(name), kinds(name, food), _count(line), line.unit or "")
    for ground in _GROUNDS:
        weight = ground(asked)
        if weight is not None:
            return _in_state(asked, weight)
    return _unweighed(asked, portions)


def _count(line: ParsedLine) -> Span | None:
    """The number of units; FEW when the line names a unit without a number; None without an amount."""
    low = line.quantity
    if low is None or not math.isfinite(low) or low < 0:
        return FEW if line.unit and dimension(line.unit) != "mass" else None
    high = line.quantity_max
    if high is None or not math.isfinite(high) or high < low:
        high = low
    return Span((low + high) / 2, low, high)


def _of(amount: Amount) -> Span:
    high = amount.quantity if amount.quantity_max is None else max(amount.quantity, amount.quantity_max)
    return Span((amount.quantity + high) / 2, amount.quantity, high)


def _result(span: Span, ground: str, *remarks: Remark) -> Weight:
    return Weight(span.grams, span.low, span.high, ground, remarks)


def _times(count: Span, one: Span) -> Span:
    return one.times(count.grams, count.low, count.high)


# --- weights that are written


_PER_PIECE = re.compile(r"\b(?:k?g|oz|lbs?|kilos?)\.?\s+each\b", re.IGNORECASE)


def _written(asked: _Asked) -> Weight | None:
    """A weight in the line: its unit, the size of its packs or pieces, or a second amount beside a count."""
    line, count = asked.line, asked.count
    if count is not None and _metric_beside(line, "mass"):
        assert line.other is not None
        total = _of(line.other).times(kitchen_units.grams(line.other.unit))
        return _as_used(asked, total, WEIGHED, counted=False, one=total.grams, ground="weighed")
    if count is not None and dimension(line.unit) == "mass":
        factor = kitchen_units.grams(asked.unit)
        return _as_used(asked, count.times(factor), WEIGHED, counted=False, one=count.grams * factor, ground="weighed")
    if line.pack and dimension(line.pack.unit) == "mass":
        number = count or Span(1, 1, 1)
        one = _of(line.pack).times(kitchen_units.grams(line.pack.unit))
        return _as_used(asked, _times(number, one), PACKED, counted=True, one=one.grams, ground=_packed_ground(asked))
    other = line.other
    if other and dimension(other.unit) == "mass" and (dimension(line.unit) is None or other.unit in ("g", "kg")):
        total = _of(other).times(kitchen_units.grams(other.unit))
        number = count or Span(1, 1, 1)
        if number.grams > 1 and _PER_PIECE.search(line.text):
            total = _times(number, total)
        pieces_of = max(number.grams, 1.0)
        return _as_used(asked, total, ABOUT, counted=True, one=total.grams / pieces_of, ground="weighed")
    return None


_METRIC = frozenset("g kg mg ml cl dl l".split())


def _metric_beside(line: ParsedLine, of: str) -> bool:
    """Whether the second of two systems is the metric one: "1oz/25g" was weighed as 25 g in a British kitchen."""
    other = line.other
    return bool(other and other.unit in _METRIC and line.unit not in _METRIC and dimension(line.unit) == of == dimension(other.unit))


def _packed_ground(asked: _Asked) -> str:
    return "pack size" if asked.unit in packs().units else "weighed"


_TINNED = frozenset(("tinned", "canned", "tin", "can"))
_POURED_OFF = frozenset(("tin", "jar"))  # their liquid is poured off unless the food is used with it
_MAY_DRAIN = frozenset(("tin", "jar", "pack", "carton", "tetra pak", "tub", "bottle", "pouch", "bag"))


def _as_used(asked: _Asked, span: Span, share: float, *, counted: bool, one: float, ground: str) -> Weight:
    """A written weight less liquid, bones, shells or skins; ``one``: the weight of one pack or piece [g]."""
    wide = span.within(share) if span.low == span.high else Span(span.grams, span.low, span.high)
    if drained := _drain(asked, wide, one):
        return drained
    counted = counted and asked.unit in ("", "piece", "joint", "side")
    row = as_bought.refuse(asked.line.text, asked.order, asked.kinds, counted, one)
    if row:
        kept = wide.times(1 - row.share.grams, 1 - row.share.high, 1 - row.share.low)
        return _result(kept, ground, _refuse_remark(asked, row.share.grams))
    if counted:
        piece = pieces().find("", asked.line.size, asked.order, asked.kinds)
        if piece and piece.piece.refuse >= 0.15:
            kept = wide.times(1 - piece.piece.refuse)
            kept = Span(kept.grams, kept.low * 0.94, kept.high * 1.06)
            return _result(kept, ground, _refuse_remark(asked, piece.piece.refuse))
    return _result(wide, ground)


def _refuse_remark(asked: _Asked, share: float) -> Remark:
    return Remark(
        "refuse-taken-off",
        f"{share:.0%} was taken off the weight of {' '.join(asked.order)} for bone, shell, skin or stone; "
        "write the prepared weight if it is that",
    )


def _drain(asked: _Asked, span: Span, one: float) -> Weight | None:
    """A written weight of food in liquid, drained. A weight of drained food that is no whole tin stays."""
    said = asked.prepared
    tin = asked.unit in _MAY_DRAIN
    if not tin and (asked.unit not in ("g", "kg", "oz", "lb") or _TINNED.isdisjoint(asked.full)):
        return None
    if (weight := as_bought.drained_weight(asked.line.text)) and asked.count and tin:
        return _result(_times(asked.count, around(weight, WEIGHED)), "drained pack")
    found = as_bought.drained(asked.order, (*said, *asked.full))
    if not found:
        return None
    row, spoken = found
    if tin and asked.unit not in _POURED_OFF and not (spoken and "@wetpulse" in asked.kinds):
        return None
    if not tin and not (spoken and _whole_tin(asked, one)):
        return None
    kept = span.times(row.share.grams, row.share.low, row.share.high)
    if not spoken or not tin:
        kept = Span(kept.grams, kept.low, span.high)
    message = f"{' '.join(asked.order)} counted drained, {row.share.grams:.0%} of the weight on the pack"
    return _result(kept, "drained pack", Remark("drained-weight", message))


def _whole_tin(asked: _Asked, grams: float) -> bool:
    """Whether a weight is that of one or more whole tins of this food."""
    found = packs().find("tin", None, asked.order, asked.kinds)
    tins = grams / found.span.grams if found and found.span.grams else 0.0
    return tins > 0.9 and abs(tins - round(tins)) < 0.06


# --- volumes


def _by_volume(asked: _Asked) -> Weight | None:
    """Spoons, cups, jugs and packs of a written volume; a second amount by volume beside a count."""
    line, count = asked.line, asked.count
    if count is not None and _metric_beside(line, "volume"):
        assert line.other is not None
        return _poured(asked, _of(line.other), line.other.unit)
    if count is not None and dimension(line.unit) == "volume":
        return _poured(asked, count, asked.unit)
    if line.pack and dimension(line.pack.unit) == "volume":
        found = _poured(asked, _times(count or Span(1, 1, 1), _of(line.pack)), line.pack.unit)
        return replace(found, ground="pack size")
    if line.other and dimension(line.other.unit) == "volume" and (count is None or not line.unit):
        return _poured(asked, _of(line.other), line.other.unit)
    return None


_SPOONS = frozenset(("tsp", "dsp", "tbsp", "spoon", "cup", "mug"))


def _poured(asked: _Asked, count: Span, unit: str) -> Weight:
    """``count`` units of volume of the food in grams."""
    size = millilitres(unit, asked.cup)
    spooned = unit in _SPOONS
    forms = forms_of((*asked.full, *_measured_so(asked)))
    nearest = size if spooned else 200.0 if count.grams * size > 50 else 15.0
    own = own_density(asked.measures, unit, nearest, forms) if asked.measures else None
    kind, known = kind_density(asked.order, _measured_so(asked), asked.kinds)
    if spooned:
        kind = kind.within(0.08)
    if own and own.fitting and known and ("@softherb" in asked.kinds or unlike(own, kind)):
        # A spoon of leaves depends on the cook more than on the herb.
        density, ground = between(own, kind), "density of this food"
    elif own and (own.fitting or not known):
        density = spread(own, asked.kinds, spooned)
        ground = "household measure of this food" if own.exact and spooned else "density of this food"
    else:
        density, ground = kind, "density of its kind"
    grams = _times(count, density).times(size)
    if spooned:
        grams = sized(grams, asked.line.size, "spoon")
    if unit in VESSELS:
        grams = grams.times(1.0, *VESSELS[unit])
    if not known and not own:
        remark = Remark("density-assumed", f"no density is known for {' '.join(asked.order)}; that of water was used")
        return _result(grams, ground, remark)
    return _result(grams, ground)


_AFTERWARDS = frozenset(("whipped", "melted", "cooked", "boiled"))


def _measured_so(asked: _Asked) -> tuple[str, ...]:
    """The words of preparation that hold when the food is measured: "300 ml double cream, whipped" is poured."""
    prepared = asked.prepared
    if _AFTERWARDS.isdisjoint(prepared):
        return prepared
    said = words(asked.line.text)
    named = next((i for i, word in enumerate(said) if asked.order and word == asked.order[-1]), 0)
    return tuple(word for word in prepared if word not in _AFTERWARDS or word in said[:named])


# --- eggs, counted things, handfuls, packs


def _by_egg(asked: _Asked) -> Weight | None:
    if asked.count is None or asked.unit not in ("", "piece"):
        return None
    part = asked.line.part
    one = egg(asked.order, asked.line.size, part if part in ("yolk", "white") else None)
    return _result(_times(asked.count, one), "egg class") if one else None


_CITRUS = frozenset("lemon lime orange grapefruit clementine satsuma mandarin tangerine".split())
_PART_UNIT = {"juice": "juice", "juiced": "juice", "zest": "zest", "zested": "zest", "rind": "zest", "peel": "zest"}


def _by_part(asked: _Asked) -> Weight | None:
    """Juice and zest of counted fruit: "juice of 1 lemon", "2 limes, zest and juice"."""
    if asked.count is None or asked.unit not in ("", "piece"):
        return None
    part, prepared = asked.line.part or "", asked.prepared
    named = words(part) if part else prepared if _CITRUS & frozenset(asked.order) else ()
    if "reserved" in prepared or "segment" in named or "flesh" in named or "segmented" in prepared:
        return None
    total: Span | None = None
    fruit = _PART_UNIT if "preserved" not in asked.order else {"rind": "rind", "peel": "rind"}
    for unit in dict.fromkeys(fruit[word] for word in named if word in fruit):
        found = pieces().find(unit, asked.line.size, asked.order, asked.kinds)
        if found:
            total = found.span if total is None else total.plus(found.span)
    return _result(_times(asked.count, total.likely(asked.count.grams)), "counted piece") if total else None


_LIKE_ONE = frozenset(
    "piece head bulb link fillet stalk stick stem cob ear ball round log wheel portion spear branch whole leaf".split()
)


def _counted(asked: _Asked) -> Weight | None:
    """Things by number or by a unit that is no measure; the most telling row of the three tables."""
    if asked.count is None:
        return None
    if length := _by_length(asked):
        return length
    best, ground = _best(asked)
    weight = _telling(best)
    own = own_piece(asked.measures, asked.unit, asked.line.size, asked.order) if weight < 1 and asked.measures else None
    if own is not None:
        span = _times(asked.count, around(own, OWN_PIECE))
        return _result(span, "household measure of this food")
    if best is None:
        return None
    one = best.span.likely(asked.count.grams if ground != "common practice" else 1.0)
    return _result(_times(asked.count, one), ground, *_said_of(asked, best, ground))


_TABLES: tuple[tuple[Callable[[], Pieces], str], ...] = (
    (pieces, "counted piece"),
    (vague, "common practice"),
    (packs, "pack size"),
)


def _best(asked: _Asked) -> tuple[Found | None, str]:
    """The most telling row for the line's unit, and the ground it gives."""
    units = [asked.unit]
    if not asked.unit:
        units += [word for word in asked.order if word in pieces().units and len(asked.order) > 1]
    best, ground, top = None, "", -1.0
    for unit in units:
        for table, name in _TABLES:
            found = table().find(unit, asked.line.size, asked.order, asked.kinds)
            telling = _telling(found) + (0.9 if unit != asked.unit else 0.0)
            if found and telling > top:
                best, ground, top = found, name, telling
    if (best is None or top < 0.5) and asked.unit in _LIKE_ONE:
        found = pieces().find("", asked.line.size, asked.order, asked.kinds)
        if _telling(found) > top:
            best, ground = found, "counted piece"
    return best, ground


def _telling(found: Found | None) -> float:
    return -1.0 if found is None else sum(0.5 if word[0] == "@" else 1.0 for word in found.words)


def _by_length(asked: _Asked) -> Weight | None:
    """ "5 cm piece of ginger", "2 cm ginger": by the centimetre."""
    line, count = asked.line, asked.count
    if count is None:
        return None
    if dimension(line.unit) == "length":
        length = count.times(kitchen_units.centimetres(asked.unit))
    elif line.pack and dimension(line.pack.unit) == "length" and asked.unit in ("", "piece", "knob", "stick", "thumb"):
        length = _times(count, _of(line.pack)).times(kitchen_units.centimetres(line.pack.unit))
    else:
        return None
    found = pieces().find("cm", None, asked.order, asked.kinds)
    return _result(_times(length, found.span), "counted piece") if found else None


def _said_of(asked: _Asked, found: Found, ground: str) -> tuple[Remark, ...]:
    name, unit = " ".join(asked.order), asked.unit
    span = found.span
    if ground == "common practice":
        message = f"one {unit} of {name} is counted as {_g(span.grams)} ({_g(span.low)} to {_g(span.high)})"
        return (Remark("common-practice-amount", message),)
    if ground == "pack size":
        message = f"the size of the {unit} of {name} is not written; {_g(span.grams)} was taken"
        return (Remark("pack-size-assumed", message),)
    return ()


def _g(grams: float) -> str:
    return f"{grams:.0f} g" if grams >= 10 else f"{grams:.2g} g"


def _by_pack(asked: _Asked) -> Weight | None:
    """Packs of no written size, less their liquid; other counted things as they come."""
    weight = _counted(asked)
    if weight is None or weight.ground != "pack size" or weight.grams is None:
        return weight
    assert asked.count is not None and weight.low is not None and weight.high is not None
    span = Span(weight.grams, weight.low, weight.high)
    drained = _drain(asked, span, weight.grams / max(asked.count.grams, 1e-9))
    return replace(drained, remarks=(*drained.remarks, *weight.remarks)) if drained else weight


_GROUNDS: tuple[Callable[[_Asked], Weight | None], ...] = (_written, _by_volume, _by_egg, _by_part, _by_pack)


# --- no amount


@dataclass(frozen=True, slots=True)
class _Habit:
    span: Span
    purposes: tuple[str, ...]


@cache
def _habits() -> Phrases[_Habit]:
    return Phrases(
        (row["words"], _Habit(cells(row), tuple(p for p in row["purpose"].split("|") if p))) for row in rows("no_amount.csv")
    )


def _unweighed(asked: _Asked, portions: float) -> Weight:
    """No ground held: what common practice uses of it, or no grams and a remark that says so."""
    name = " ".join(asked.order) or asked.line.text.strip()
    if asked.count is not None:
        message = f"no weight is known for {asked.line.text.strip()!r}; write it in grams"
        return Weight(None, None, None, "none", (Remark("weight-unknown", message),))
    purpose = f"{asked.line.purpose or ''} {asked.line.size or ''}".lower()
    found = _habits().best(
        asked.order, asked.kinds, lambda p: not p.row.purposes or any(word in purpose for word in p.row.purposes)
    )
    if not found:
        message = f"no amount is given for {name}; it is not in the figures"
        return Weight(None, None, None, "none", (Remark("no-amount", message),))
    span = found.row.span.times(portions)
    message = (
        f"no amount is given for {name}; {_g(span.grams)} ({_g(span.low)} to {_g(span.high)}) was counted "
        f"for {portions:g} portions by common practice"
    )
    return _result(span, "common practice", Remark("common-practice-amount", message))


# --- raw and cooked


def _in_state(asked: _Asked, weight: Weight) -> Weight:
    """The weight, with the factor to the linked food's state where line and food differ in it."""
    if asked.food is None:
        return weight
    found = as_bought.state_factor(asked.order, asked.line.preparation, words(asked.food.name))
    if not found:
        return weight
    state, factor, _ = found
    message = (
        f"{' '.join(asked.order)} is weighed {state} and the table's food is not; "
        f"{factor.grams:.2g} g of the table's food stands for 1 g"
    )
    remarks = (*weight.remarks, Remark("state-differs", message))
    return replace(weight, state=state, table_factor=factor.grams, remarks=remarks)
