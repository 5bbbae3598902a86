"""What one weighs in the cook's own kitchen, by a decision ("onion: 180 g"): as bought, whole.

It counts as if the line said it ("2 onions, 180 g each"): bones, shells and stones come off, tins are drained. A weight
that the line says itself stands before it; of juice, zest, a yolk or a piece by its length it says nothing.
"""

from __future__ import annotations

from dataclasses import replace

from nutrilab import plausible
from nutrilab.weighing.asked import Asked, Ground, Span, Weight, around, times
from nutrilab.weighing.counted import by_egg, by_length, by_part, egg_part, usual
from nutrilab.weighing.pieces import SHELL, sized
from nutrilab.weighing.units import dimension
from nutrilab.weighing.written import PACKED, as_used

# A cook's own average says which onions are bought; from one to the next they differ all the same. Half the range of
# the usual piece is left of its doubt, a tenth to either side where none is known. Common practice, no source.
LEFT, UNKNOWN = 0.5, 0.10


def by_decision(asked: Asked) -> Weight | None:
    if asked.own is None or asked.count is None or dimension(asked.unit) is not None:
        return None
    egg = by_egg(asked)
    if egg and asked.own.size:
        return None  # the class says what a large egg weighs
    if by_length(asked) or by_part(asked) or (egg and egg_part(asked)):
        return None
    one = sized(_range(asked, asked.own.grams), asked.own.size, "count")
    if egg:
        one = one.times(1 - SHELL)
    weight = as_used(asked, times(asked.count, one), PACKED, counted=True, one=one.grams, ground=Ground.DECIDED)
    usually = _usual_one(asked)
    slips = plausible.piece(asked.name, asked.own.grams, usually) if usually else ()
    return replace(weight, ground=Ground.DECIDED, remarks=(*weight.remarks, *slips))


def _usual_one(asked: Asked) -> float | None:
    """What one weighs by the tables [g]."""
    egg = by_egg(replace(asked, count=around(1.0, 0.0)))
    found, _ = usual(asked)
    return egg.grams if egg else found.span.grams if found else None


def _range(asked: Asked, grams: float) -> Span:
    """One with the range of nine in ten."""
    found, _ = usual(asked)
    if found is None or not found.span.grams:
        return around(grams, UNKNOWN)
    low, high = (grams * (1 + LEFT * (end / found.span.grams - 1)) for end in (found.span.low, found.span.high))
    return Span(grams, low, high).within(PACKED)
