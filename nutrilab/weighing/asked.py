"""One question to the scales, its answer, and a weight with its range."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from nutrilab.lines import Amount, Reading
from nutrilab.messages import say
from nutrilab.remarks import Remark
from nutrilab.text import words
from nutrilab.weighing.phrases import Measured, WeighedFood, kinds_named, thing
from nutrilab.weighing.units import dimension


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
        """The range nine in ten fall in, for the mean of ``number`` of them.

        Pieces of one line come from one shelf, and what a maker or a cook calls one is the same for all of them: SHELF
        of their variance is shared, the rest averages out over them.
        """
        share = (SHELF + (1 - SHELF) / max(number, 1.0)) ** 0.5
        return Span(
            self.grams, self.grams - (self.grams - self.low) * share, self.grams + (self.high - self.grams) * share
        )


SHELF = 0.5  # [1] of the variance; common practice, no source


def around(grams: float, share: float) -> Span:
    """``grams`` with ``share`` [1] to either side."""
    return Span(grams, grams * (1 - share), grams * (1 + share))


def cells(row: dict[str, str], middle: str = "grams", low: str = "low", high: str = "high") -> Span:
    """The span of a data row. Raises ValueError when it is out of order."""
    span = Span(float(row[middle]), float(row[low]), float(row[high]))
    if not 0 <= span.low <= span.grams <= span.high:
        raise ValueError(f"{row}: {low} <= {middle} <= {high} does not hold")
    return span


FEW = Span(3.0, 1.5, 5.0)  # "a few sprigs", "sprigs of thyme": a number that is not written (common practice)
ONE = Span(1.0, 1.0, 1.0)


class Ground(StrEnum):
    """What a weight stands on (grams_from in docs/records.md)."""

    WEIGHED = "weighed"
    DECIDED = "your decision"
    PACK = "pack size"
    DRAINED = "drained pack"
    OWN_MEASURE = "household measure of this food"
    OWN_DENSITY = "density of this food"
    KIND_DENSITY = "density of its kind"
    EGG = "egg class"
    PIECE = "counted piece"
    PRACTICE = "common practice"
    UPTAKE = "published uptake"
    NONE = "none"

    @property
    def words(self) -> str:
        """As the cook reads it."""
        return say(f"weight.by.{self.name.lower()}")


@dataclass(frozen=True, slots=True)
class Weight:
    """Edible mass used [g] with its range and ground.

    grams, low, high: None when the line gives no amount that can be weighed. state and table_factor: set when
    line and linked food are in different states; grams x table_factor [1] are grams of the linked food. place: file
    and line of the row that says what one of it weighs; "" when none does.
    """

    grams: float | None
    low: float | None
    high: float | None
    ground: Ground
    remarks: tuple[Remark, ...] = ()
    state: str | None = None
    table_factor: float = 1.0
    place: str = ""


class OwnPiece(NamedTuple):
    """What one weighs by the cook's decision, as bought, whole [g]; size: what is still to be reckoned with."""

    grams: float
    size: str | None


@dataclass(frozen=True, slots=True)
class Asked:
    """One food of a line, ready to be weighed.

    order: words of the thing itself; full: all words of its name; kinds: its kind tokens; count: how many
    units, None without an amount; unit: "" when counted; measures: the linked food's household measures;
    prepared: words of the preparation; own: what one of it weighs by the cook's decision.
    """

    line: Reading
    food: WeighedFood | None
    cup: str
    order: tuple[str, ...]
    full: tuple[str, ...]
    kinds: tuple[str, ...]
    count: Span | None
    unit: str
    measures: tuple[Measured, ...]
    prepared: tuple[str, ...]
    own: OwnPiece | None = None

    @property
    def name(self) -> str:
        """What to call it in a remark."""
        return " ".join(self.order) or self.line.text.strip()

    def before(self) -> tuple[str, ...]:
        """The words of the line before its name: what was done to the food when it was measured."""
        return self.line.wording.before(self.order[-1]) if self.order else ()


def ask(line: Reading, name: str, food: WeighedFood | None, cup: str, own: OwnPiece | None = None) -> Asked:
    """The question for one name of a line."""
    full = words(name)
    measures = food.measures if food and not food.parts else ()  # a mix has only those of its largest part
    count, kinds = _count(line), kinds_named(name, food)
    return Asked(line, food, cup, thing(full), full, kinds, count, line.unit or "", measures, line.prepared, own)


def _count(line: Reading) -> Span | None:
    """The number of units; FEW when the line names a unit without a number; None without an amount."""
    low = line.quantity
    if low is None or not math.isfinite(low) or low < 0:
        return FEW if line.unit and dimension(line.unit) != "mass" else None
    high = line.quantity_max
    if high is None or not math.isfinite(high) or high < low:
        high = low
    return Span((low + high) / 2, low, high)


def span_of(amount: Amount) -> Span:
    """The number of an amount, with the ends of its range."""
    high = amount.quantity if amount.quantity_max is None else max(amount.quantity, amount.quantity_max)
    return Span((amount.quantity + high) / 2, amount.quantity, high)


def times(count: Span, one: Span) -> Span:
    """``count`` of ``one``, ends by ends."""
    return one.times(count.grams, count.low, count.high)


def result(span: Span, ground: Ground, *remarks: Remark, place: str = "") -> Weight:
    """An answer."""
    return Weight(span.grams, span.low, span.high, ground, remarks, place=place)


def in_grams(span: Span) -> str:
    """A weight for a sentence: "15 g (8 to 28 g)"."""
    grams, low, high = (f"{value:.0f}" if value >= 10 else f"{value:.2g}" for value in span)
    return f"{grams} g ({low} to {high} g)"
