"""What a declaration counts by: 100 g of a dish, 100 ml of a drink."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from nutrilab.cooking.steps import Batch
from nutrilab.declaration.drinks import DRINK_REMARK, density, per_100_words, per_100ml
from nutrilab.nutrition import per_100g


@dataclass(frozen=True, slots=True)
class Basis:
    """Words for the head of a column, values by key per 100 of the unit, weight or volume of a portion, what to say.

    unit: "g" or "ml"; portion: [unit]; remark: "" where nothing needs saying.
    """

    words: str
    unit: str
    values: Mapping[str, float | None]
    portion: float
    remark: str = ""


def basis(batch: Batch, portions: float, drink: bool = False) -> Basis:
    """The basis of a cooked batch in so many portions (above 0).

    Of a drink 100 ml count by the density of what is in it; where that is not known, 100 ml are taken to weigh 100 g,
    and the remark says so.
    """
    values, portion = per_100g(batch), batch.mass / portions
    if not drink:
        return Basis(per_100_words(), "g", values, portion)
    weight = density(batch.scaled(100 / batch.mass).amounts) if batch.mass > 0 else None
    if weight is None:
        return Basis(per_100_words(drink), "ml", values, portion, DRINK_REMARK)
    return Basis(per_100_words(drink), "ml", per_100ml(values, weight), portion / weight)
