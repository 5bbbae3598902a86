"""Weights that are written (the line's unit, its packs and pieces, beside a count), less what is not eaten of them."""

from __future__ import annotations

from nutrilab.lines import Reading
from nutrilab.messages import as_percent, say
from nutrilab.plain import brief
from nutrilab.remarks import Code, Remark
from nutrilab.weighing import as_bought
from nutrilab.weighing.asked import ONE, Asked, Ground, Span, Weight, around, result, span_of, times
from nutrilab.weighing.pieces import packs, pieces
from nutrilab.weighing.units import dimension, grams

# How far a weight may be off [share to either side]: what stays on the scales and in the bag, and the round figure that
# is written for it (common practice, no source).
WEIGHED, ABOUT, PACKED = 0.03, 0.03, 0.025
STEP, MOST = 1.0, 0.15  # [g] kitchen scales tell to one gram; [share] from which a smaller weight is no less exact
WORTH_TAKING = 0.15  # share of refuse of a counted piece below which cooks weigh it prepared


def written(asked: Asked) -> Weight | None:
    """A weight in the line: its unit, the size of its packs or pieces, or a second amount beside a count."""
    line, count = asked.line, asked.count
    if count is not None and metric_beside(line, "mass"):
        assert line.other is not None
        total = span_of(line.other).times(grams(line.other.unit))
        return as_used(asked, total, WEIGHED, counted=False, one=total.grams, ground=Ground.WEIGHED)
    if count is not None and dimension(line.unit) == "mass":
        factor = grams(asked.unit)
        return as_used(
            asked, count.times(factor), WEIGHED, counted=False, one=count.grams * factor, ground=Ground.WEIGHED
        )
    if line.pack and dimension(line.pack.unit) == "mass":
        number = count or ONE
        one = span_of(line.pack).times(grams(line.pack.unit))
        return as_used(asked, times(number, one), PACKED, counted=True, one=one.grams, ground=_packed_ground(asked))
    other = line.other
    if other and dimension(other.unit) == "mass" and (dimension(line.unit) is None or other.unit in ("g", "kg")):
        total = span_of(other).times(grams(other.unit))
        number = count or ONE
        pieces_of = max(number.grams, 1.0)
        return as_used(asked, total, ABOUT, counted=True, one=total.grams / pieces_of, ground=Ground.WEIGHED)
    return None


_METRIC = frozenset("g kg mg ml cl dl l".split())


def metric_beside(line: Reading, of: str) -> bool:
    """Whether the second of two systems is the metric one: "1oz/25g" was weighed as 25 g in a British kitchen."""
    other = line.other
    return bool(
        other
        and other.unit in _METRIC
        and line.unit not in _METRIC
        and dimension(line.unit) == of == dimension(other.unit)
    )


def _packed_ground(asked: Asked) -> Ground:
    return Ground.PACK if asked.unit in packs().units else Ground.WEIGHED


_TINNED = frozenset(("tinned", "canned", "tin", "can"))
_POURED_OFF = frozenset(("tin", "jar"))  # their liquid is poured off unless the food is used with it
_MAY_DRAIN = frozenset(("tin", "jar", "pack", "carton", "tetra pak", "tub", "bottle", "pouch", "bag"))


def as_used(asked: Asked, span: Span, share: float, *, counted: bool, one: float, ground: Ground) -> Weight:
    """A written weight less liquid, bones, shells or skins; ``one``: the weight of one pack or piece [g]."""
    share = max(share, min(MOST, STEP / span.grams)) if span.grams else share
    wide = span.within(share) if span.low == span.high else Span(span.grams, span.low, span.high)
    if drained := drain(asked, wide, one):
        return drained
    counted = counted and asked.unit in ("", "piece", "joint", "side")
    if as_bought.as_eaten(asked.line.wording):
        return result(span, ground)
    row = as_bought.refuse(asked.line.wording, asked.full, asked.kinds, counted, one)
    if row:
        kept = wide.times(1 - row.share.grams, 1 - row.share.high, 1 - row.share.low)
        return result(kept, ground, _refuse_remark(asked, row.share.grams))
    if counted:
        piece = pieces().find("", asked.line.size, asked.order, asked.kinds)
        if piece and piece.piece.refuse >= WORTH_TAKING:
            kept = wide.times(1 - piece.piece.refuse)
            kept = Span(kept.grams, kept.low * 0.94, kept.high * 1.06)
            return result(kept, ground, _refuse_remark(asked, piece.piece.refuse))
    return result(wide, ground)


def _refuse_remark(asked: Asked, share: float) -> Remark:
    return Remark(
        Code.REFUSE_TAKEN_OFF,
        say("weight.refuse", share=as_percent(share), food=brief(asked.name)),
    )


def drain(asked: Asked, span: Span, one: float) -> Weight | None:
    """A written weight of food in liquid, drained. A weight of drained food that is no whole tin stays."""
    said = asked.prepared
    tin = asked.unit in _MAY_DRAIN
    if not tin and (asked.unit not in ("g", "kg", "oz", "lb") or _TINNED.isdisjoint(asked.full)):
        return None
    stated = asked.line.drained if "drained" in said else None  # a net weight is one with the liquid
    if stated and asked.count and tin and dimension(stated.unit) == "mass":
        kept = around(stated.middle * grams(stated.unit), WEIGHED)
        return result(times(asked.count, kept), Ground.DRAINED)
    found = as_bought.drained(asked.full, (*said, *asked.full))
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
    message = say("weight.drained", food=brief(asked.name), share=as_percent(row.share.grams))
    return result(kept, Ground.DRAINED, Remark(Code.DRAINED_WEIGHT, message))


def _whole_tin(asked: Asked, grams: float) -> bool:
    """Whether a weight is that of one or more whole tins of this food."""
    found = packs().find("tin", None, asked.order, asked.kinds)
    tins = grams / found.span.grams if found and found.span.grams else 0.0
    return tins > 0.9 and abs(tins - round(tins)) < 0.06
