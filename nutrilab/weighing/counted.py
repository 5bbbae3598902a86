"""Eggs, counted things, handfuls, and packs of no written size."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from nutrilab.messages import say
from nutrilab.plain import brief
from nutrilab.remarks import Code, Remark
from nutrilab.text import words
from nutrilab.weighing.asked import Asked, Ground, Span, Weight, around, in_grams, result, span_of, times
from nutrilab.weighing.pieces import Found, Pieces, egg, own_piece, packs, pieces, vague
from nutrilab.weighing.units import centimetres, dimension
from nutrilab.weighing.written import drain

OWN_PIECE = 0.25  # how far one piece of the food table's may be from a British one [share to either side]


def egg_part(asked: Asked) -> str | None:
    """The part of an egg that is used: "3 eggs (you won't need the yolks)" is linked to the white."""
    linked = words(asked.food.name) if asked.food else ()
    return next((part for part in ("yolk", "white") if part in asked.line.used_part or part in linked), None)


def by_egg(asked: Asked) -> Weight | None:
    if asked.count is None or asked.unit not in ("", "piece"):
        return None
    one = egg(asked.order, asked.line.size, egg_part(asked))
    return result(times(asked.count, one), Ground.EGG) if one else None


_CITRUS = frozenset("lemon lime orange grapefruit clementine satsuma mandarin tangerine".split())
_PART_UNIT = {"juice": "juice", "juiced": "juice", "zest": "zest", "zested": "zest", "rind": "zest", "peel": "zest"}


def by_part(asked: Asked) -> Weight | None:
    """Juice and zest of counted fruit: "juice of 1 lemon", "2 limes, zest and juice"."""
    if asked.count is None or asked.unit not in ("", "piece"):
        return None
    prepared = asked.prepared
    named = asked.line.used_part or (prepared if _CITRUS & frozenset(asked.order) else ())
    if "reserved" in prepared or "segment" in named or "flesh" in named or "segmented" in prepared:
        return None
    total: Span | None = None
    place = ""
    fruit = _PART_UNIT if "preserved" not in asked.order else {"rind": "rind", "peel": "rind"}
    for unit in dict.fromkeys(fruit[word] for word in named if word in fruit):
        found = pieces().find(unit, asked.line.size, asked.order, asked.kinds)
        if found:
            total = found.span if total is None else total.plus(found.span)
            place = found.piece.place
    return result(times(asked.count, total.likely(asked.count.grams)), Ground.PIECE, place=place) if total else None


_LIKE_ONE = frozenset(
    "piece head bulb link fillet stalk stick stem cob ear ball round log wheel portion spear branch whole leaf".split()
)


def _counted(asked: Asked) -> Weight | None:
    """Things by number or by a unit that is no measure; the most telling row of the three tables."""
    if asked.count is None:
        return None
    if length := by_length(asked):
        return length
    best, ground = usual(asked)
    weight = _telling(best)
    own = own_piece(asked.measures, asked.unit, asked.line.size, asked.order) if weight < 1 and asked.measures else None
    if own is not None:
        span = times(asked.count, around(own, OWN_PIECE))
        return result(span, Ground.OWN_MEASURE)
    if best is None:
        return None
    one = best.span.likely(asked.count.grams if ground != Ground.PRACTICE else 1.0)
    return result(times(asked.count, one), ground, *_said_of(asked, best, ground), place=best.piece.place)


_TABLES: tuple[tuple[Callable[[], Pieces], Ground], ...] = (
    (pieces, Ground.PIECE),
    (vague, Ground.PRACTICE),
    (packs, Ground.PACK),
)


def usual(asked: Asked) -> tuple[Found | None, Ground]:
    """The most telling row for the line's unit, and the ground it gives."""
    units = [asked.unit]
    if not asked.unit:
        units += dict.fromkeys(word for word in asked.order if word in pieces().units and len(asked.order) > 1)
    best, ground, top = None, Ground.NONE, -1.0
    for unit in units:
        for table, name in _TABLES:
            found = table().find(unit, asked.line.size, asked.order, asked.kinds)
            telling = _telling(found) + (0.9 if unit != asked.unit else 0.0)
            if found and telling > top:
                best, ground, top = found, name, telling
    if (best is None or top < 0.5) and asked.unit in _LIKE_ONE:
        found = pieces().find("", asked.line.size, asked.order, asked.kinds)
        if _telling(found) > top:
            best, ground = found, Ground.PIECE
    return best, ground


def _telling(found: Found | None) -> float:
    return -1.0 if found is None else sum(0.5 if word[0] == "@" else 1.0 for word in found.words)


_LENGTHS = frozenset(("", "piece", "knob", "stick", "thumb", "stalk", "chunk"))  # what a length says the size of


def by_length(asked: Asked) -> Weight | None:
    """ "5 cm piece of ginger", "2 cm ginger": by the centimetre."""
    line, count = asked.line, asked.count
    if count is None:
        return None
    if dimension(line.unit) == "length":
        length = count.times(centimetres(asked.unit))
    elif asked.unit in _LENGTHS and (long := line.pack or line.other) and dimension(long.unit) == "length":
        length = times(count, span_of(long)).times(centimetres(long.unit))
    else:
        return None
    found = pieces().find("cm", None, asked.order, asked.kinds)
    return result(times(length, found.span), Ground.PIECE, place=found.piece.place) if found else None


def _said_of(asked: Asked, found: Found, ground: Ground) -> tuple[Remark, ...]:
    if ground == Ground.PRACTICE:
        message = say("weight.one-of", unit=asked.unit, food=brief(asked.name), weight=in_grams(found.span))
        return (Remark(Code.COMMON_PRACTICE_AMOUNT, message),)
    if ground == Ground.PACK:
        message = say("weight.pack-size", unit=asked.unit, food=brief(asked.name), weight=in_grams(found.span))
        return (Remark(Code.PACK_SIZE_ASSUMED, message),)
    return ()


def by_number(asked: Asked) -> Weight | None:
    """Things by number or by a unit that is no measure; packs of no written size less their liquid."""
    weight = _counted(asked)
    if weight is None or weight.ground != Ground.PACK or asked.count is None:
        return weight
    span = Span(weight.grams or 0.0, weight.low or 0.0, weight.high or 0.0)
    drained = drain(asked, span, span.grams / (asked.count.grams or 1.0))
    return replace(drained, remarks=(*drained.remarks, *weight.remarks), place=weight.place) if drained else weight
