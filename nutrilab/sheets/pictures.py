"""Pictures of a dish as places and sizes for inline SVG: what brings a figure, how sure each is, what is in doubt.

Nothing is computed of the dish here; lengths are in the picture's own units, one unit a CSS pixel when drawn at its own
size, so that its letters keep the size of the page's. Every picture carries its numbers in words as well.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor

from nutrilab.doubt import REST, Doubt, doubts
from nutrilab.law.rounding import ORDER, declared, short_name
from nutrilab.lexicon.sureness import Sureness
from nutrilab.messages import say
from nutrilab.results import DishResult
from nutrilab.sheets.lettering import width
from nutrilab.sheets.sentences import percent
from nutrilab.tracing import IN_COOKING, Brought, brings, knows, puts_of, sureness_of, used

WIDTH = 340  # [px]; a phone of 360 px shows it at its own size, one of 320 px at seven eighths
ROW = 17  # [px]
BARS_FROM, BARS_TO = 176, 236  # [px] bars of what brings a figure, between the labels and the numbers
SPANS_FROM, SPANS_TO = 96, 336  # [px] ranges
SWATCH = 16  # [px] for the sign before a cause of doubt
MOST_LINES = 5  # lines drawn one by one; the rest is one bar
MOST_OF = 0.9  # share of a cause of doubt from which the one thing it is of is named
SMALL = 0.005  # share below which a bar would not be seen, and only the table tells
LETTERS = 14  # [px]; 12 px on the narrowest phone, 8.6 pt and more on paper
LABEL_ROOM = BARS_FROM - 6  # [px] for what stands before a bar
FARTHEST = 2.0  # ranges are drawn up to this much off the figure, as a share of it; beyond that with an arrow


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar: its words, its numbers as text, where it is; kind: "line", "others" or "cooking"."""

    label: str
    text: str
    y: float
    width: float
    kind: str


@dataclass(frozen=True, slots=True)
class Bars:
    """What brings a figure. words: all of it in words, for who cannot see it; missing: lines it is not known of."""

    key: str
    title: str
    words: str
    height: float
    bars: tuple[Bar, ...]
    missing: tuple[str, ...] = ()


def what_brings(result: DishResult, key: str, name: str) -> Bars | None:
    """The lines that bring most of a figure, largest first; None where there is nothing to draw.

    key: of `ORDER`; name: how a cook calls it ("calories").
    """
    found = brings(result, key)
    total = result.whole.per_portion.get(key)
    if total is None or not any(one.amount for one in found):
        return None
    drawn = _drawn(found)
    most = max(abs(amount) for _, amount, _, _ in drawn)
    room = BARS_TO - BARS_FROM
    bars = tuple(
        Bar(label, f"{_amount(key, amount)}, {percent(share)}", n * ROW, room * abs(amount) / most, kind)
        for n, (label, amount, share, kind) in enumerate(drawn)
    )
    missing = tuple(_missing(result, key))
    said = [f"{bar.label}: {bar.text}" for bar in bars] + [say("picture.not-known", line=text) for text in missing]
    title = say("picture.brings", figure=name, amount=declared(key, total))
    return Bars(key, title, ". ".join(said) + ".", len(bars) * ROW, bars, missing)


def _missing(result: DishResult, key: str) -> Iterator[str]:
    """Lines of the dish that have no such figure, as written."""
    met = {(id(one.stage), one.number): one for one in used(result)}
    puts = puts_of({id(one.stage): one.stage for one in met.values()}.values())
    for place, one in met.items():
        if not knows(puts.get(place, ()), one.record, key):
            yield one.record.parsed.text.strip()


def _drawn(found: Sequence[Brought]) -> list[tuple[str, float, float, str]]:
    """Label, amount, share and kind of each bar: the largest lines, all others as one, what cooking did."""
    lines = [one for one in found if _is_line(one)]
    shown = [one for one in lines[:MOST_LINES] if one.share >= SMALL]
    rest = [one for one in lines[len(shown) :] if one.amount]
    if len(rest) == 1:
        shown, rest = [*shown, *rest], []
    drawn = [(one.text, one.amount, one.share, "line") for one in shown]
    if rest:
        words = say("picture.other-lines", number=len(rest))
        drawn.append((words, sum(one.amount for one in rest), sum(one.share for one in rest), "others"))
    cooked = [one for one in found if not _is_line(one) and abs(one.share) >= SMALL]
    return drawn + [(IN_COOKING, one.amount, one.share, "cooking") for one in cooked]


def _is_line(one: Brought) -> bool:
    """Whether it is a line's share, and not what cooking took or gave."""
    return one.text != IN_COOKING or bool(one.stage)


def _amount(key: str, amount: float) -> str:
    """As declared; what was lost has a minus before it."""
    return f"−{declared(key, -amount)}" if amount < 0 else declared(key, amount)


@dataclass(frozen=True, slots=True)
class RangeBar:
    """The range of one figure: its words, low to high as text, where its ends and the figure itself are.

    x and width are None where there is no range to draw; beyond: it reaches farther than the picture.
    """

    label: str
    text: str
    y: float
    x: float | None
    width: float | None
    beyond: bool


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of the strip of how sure the foods are, by their weight."""

    sureness: str
    text: str
    x: float
    width: float


@dataclass(frozen=True, slots=True)
class RangeBars:
    """How sure each figure is. marks: text and place of the scale; figure: where the figure itself is."""

    title: str
    words: str
    height: float
    spans: tuple[RangeBar, ...]
    marks: tuple[tuple[str, float], ...]
    figure: float
    pieces: tuple[Piece, ...]

    @property
    def legend(self) -> tuple[str, ...]:
        """What the pieces are, in as many lines as it takes."""
        lines = [say("picture.by-weight")]
        for n, piece in enumerate(self.pieces, 1):
            text = piece.text + ("," if n < len(self.pieces) else "")
            longer = f"{lines[-1]} {text}"
            lines[-1:] = [longer] if width(longer, LETTERS) <= WIDTH else [lines[-1], text]
        return tuple(lines)


def how_sure(result: DishResult) -> RangeBars:
    """The range of each figure of a portion as a share of the figure, and how sure the foods are by weight."""
    keys = [key for key in ORDER if key != "energy_kj"]  # kcal has the same range
    ratios = {key: _ratio(result, key) for key in keys}
    low = max(min((r[0] for r in ratios.values() if r), default=1.0), 1 - FARTHEST)
    high = min(max((r[1] for r in ratios.values() if r), default=1.0), 1 + FARTHEST)
    low, high = min(floor(low * 10) / 10, 0.9), max(ceil(high * 10) / 10, 1.1)
    scale = (SPANS_TO - SPANS_FROM) / (high - low)
    spans = tuple(_span(result, key, n * ROW, ratios[key], low, high, scale) for n, key in enumerate(keys))
    pieces = _pieces(sureness_of(result))
    marks = tuple((f"{end - 1:+.0%}".replace("-", "−"), SPANS_FROM + (end - low) * scale) for end in (low, high))
    said = [f"{span.label}: {span.text}" for span in spans]
    said.append(f"{say('picture.by-weight')} {', '.join(piece.text for piece in pieces)}")
    height = (len(spans) + 1) * ROW
    return RangeBars(
        say("picture.how-sure"), ". ".join(said) + ".", height, spans, marks, SPANS_FROM + (1 - low) * scale, pieces
    )


def _ratio(result: DishResult, key: str) -> tuple[float, float] | None:
    """Low and high as shares of the figure; None without a range or where the figure is nothing."""
    value, ends = result.whole.per_portion.get(key), result.whole.per_portion_range.get(key)
    return (ends[0] / value, ends[1] / value) if value and ends else None


def _span(
    result: DishResult, key: str, y: float, ratio: tuple[float, float] | None, low: float, high: float, scale: float
) -> RangeBar:
    label = short_name(key).capitalize()
    text = between(key, result.whole.per_portion_range.get(key))
    if ratio is None:
        return RangeBar(label, text, y, None, None, False)
    ends = max(ratio[0], low), min(ratio[1], high)
    wide = max(2.0, (ends[1] - ends[0]) * scale)
    return RangeBar(label, text, y, SPANS_FROM + (ends[0] - low) * scale, wide, ratio[1] > high)


def between(key: str, ends: tuple[float, float] | None) -> str:
    """A range as declared, its unit once: "2.2 to 3.6 g"."""
    if ends is None:
        return declared(key, None)
    low, high = (declared(key, end) for end in ends)
    return high if low == high else say("sheet.low-to-high", low=low.rsplit(" ", 1)[0], high=high)


def _pieces(shares: Mapping[Sureness, float]) -> tuple[Piece, ...]:
    pieces: list[Piece] = []
    x = 0.0
    for sureness in Sureness:
        words = say("picture.no-food") if sureness == Sureness.NONE else str(sureness)
        share = shares.get(sureness, 0.0)
        if share > 0:
            pieces.append(Piece(sureness, f"{words} {percent(share)}", x, share * WIDTH))
            x += share * WIDTH
    return tuple(pieces)


@dataclass(frozen=True, slots=True)
class Cause:
    """A piece of a bar of doubt, and the line below it. text: its share in per cent; what: the most of it."""

    cause: str
    words: str
    what: str
    text: str
    x: float
    width: float

    @property
    def label(self) -> str:
        """What stands beside its sign."""
        return f"{self.words}: {self.what}" if self.what else self.words


@dataclass(frozen=True, slots=True)
class Doubtful:
    """The doubt about one figure as a bar of its causes. y: where it begins."""

    key: str
    title: str
    y: float
    causes: tuple[Cause, ...]


@dataclass(frozen=True, slots=True)
class Doubts:
    """What makes the ranges of calories and salt as wide as they are."""

    title: str
    words: str
    height: float
    bars: tuple[Doubtful, ...]


def what_is_in_doubt(result: DishResult) -> Doubts | None:
    """A bar of causes for calories and salt each; None where neither is in doubt."""
    bars: list[Doubtful] = []
    y = 0.0
    for key, found in doubts(result).items():
        causes = tuple(_causes(found))
        if causes:
            ends = between(key, result.whole.per_portion_range.get(key))
            title = say("sheet.doubt-of", figure=say(f"sheet.figure.{key}"), ends=ends)
            bars.append(Doubtful(key, title, y, causes))
            y += (len(causes) + 2) * ROW + 6
    if not bars:
        return None
    said = [f"{bar.title}: {'; '.join(f'{one.label}, {one.text}' for one in bar.causes)}." for bar in bars]
    return Doubts(say("sheet.doubt"), " ".join(said), y - 6, tuple(bars))


def _causes(found: Sequence[Doubt]) -> Iterator[Cause]:
    """Largest first, the rest last; what it is of is named where that is most of it."""
    by_cause: dict[str, list[Doubt]] = {}
    for one in found:
        by_cause.setdefault(one.cause, []).append(one)
    shares = {cause: sum(one.share for one in some) for cause, some in by_cause.items()}
    x = 0.0
    for cause, some in sorted(by_cause.items(), key=lambda one: (one[0] == REST, -shares[one[0]])):
        share, most = shares[cause], max(some, key=lambda one: one.share)
        if share >= SMALL:
            what = most.what if most.share >= MOST_OF * share and most.line else ""
            yield Cause(cause, say(f"sheet.cause.{cause}"), what, percent(share), x, share * WIDTH)
            x += share * WIDTH
