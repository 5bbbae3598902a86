"""A weight with its range, and how it grows."""

from __future__ import annotations

from typing import NamedTuple


class Span(NamedTuple):
    """Best value with its lower and upper end, in one unit; always in order and never below zero."""

    grams: float
    low: float
    high: float

    def times(self, middle: float, low: float | None = None, high: float | None = None) -> Span:
        """Multiplied by a factor, or by a factor with a range of its own."""
        return Span(
            self.grams * middle,
            self.low * (middle if low is None else low),
            self.high * (middle if high is None else high),
        )

    def plus(self, other: Span) -> Span:
        """The two together."""
        return Span(self.grams + other.grams, self.low + other.low, self.high + other.high)

    def within(self, share: float) -> Span:
        """Widened to at least ``share`` [1] to either side."""
        return Span(self.grams, min(self.low, self.grams * (1 - share)), max(self.high, self.grams * (1 + share)))

    def likely(self, number: float = 1.0) -> Span:
        """From the range nine in ten fall in to that of two in three, for the mean of ``number`` of them.

        Of a normal distribution 90 % lie within 1.645 standard deviations and 68 % within one. Pieces of one
        line come from one shelf: SHELF of their variance is shared, the rest averages out over them.
        """
        share = (SHELF + (1 - SHELF) / max(number, 1.0)) ** 0.5 / 1.645
        return Span(
            self.grams, self.grams - (self.grams - self.low) * share, self.grams + (self.high - self.grams) * share
        )


SHELF = 0.25  # [1] of the variance; common practice, no source


def around(grams: float, share: float) -> Span:
    """``grams`` with ``share`` [1] to either side."""
    return Span(grams, grams * (1 - share), grams * (1 + share))


def cells(row: dict[str, str], middle: str = "grams", low: str = "low", high: str = "high") -> Span:
    """The span of a data row. Raises ValueError when it is out of order."""
    span = Span(float(row[middle]), float(row[low]), float(row[high]))
    if not 0 <= span.low <= span.grams <= span.high:
        raise ValueError(f"{row}: {low} <= {middle} <= {high} does not hold")
    return span
