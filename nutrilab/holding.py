"""Whether the label of a dish would hold: the range of each figure of 100 g against the tolerance around it."""

from __future__ import annotations

from nutrilab.doubt import narrowing
from nutrilab.law.rounding import ORDER, stated
from nutrilab.law.tolerance import Held, held
from nutrilab.nutrition import ranges_per_100g
from nutrilab.results import DishResult


def label_holds(result: DishResult) -> tuple[Held, ...]:
    """Each figure of the declaration, in its order; of 100 g of the pot, as it is declared."""
    spans = ranges_per_100g(result.pot)
    return tuple(held(key, stated(key, result.per_100g[key]), spans[key], narrowing(result, key)) for key in ORDER)
