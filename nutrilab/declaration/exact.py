"""Figures as the decimals they stand for.

A limit is met by the decimal a number stands for: values are read to 12 significant digits, so that the noise of binary
arithmetic (0.1 + 0.2, 1.005) moves no figure over a limit.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Context, Decimal
from math import isfinite

FIGURES_KEPT = 12
WIDE = Context(prec=400, rounding=ROUND_HALF_UP)  # any float fits; the default context refuses 1e30


def exact(value: float, what: str) -> Decimal:
    """The decimal a value stands for. Raises ValueError for NaN, an infinite value and one below zero."""
    if not isfinite(value):
        raise ValueError(f"{what} is not a number: {value}")
    if value < 0:
        raise ValueError(f"{what} below zero: {value}")
    return Decimal(f"{abs(value):.{FIGURES_KEPT}g}")  # abs: -0.0 would read "-0 kJ"


def half_up(value: Decimal, step: Decimal) -> Decimal:
    """A value to the nearest multiple of a step, halves up, with the decimals of the step."""
    return WIDE.multiply(WIDE.divide(value, step).quantize(Decimal(1), context=WIDE), step)
