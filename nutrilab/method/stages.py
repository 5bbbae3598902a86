"""From pots to what is cooked together by one method.

A pot is cut where its weight can be told in parts: after it is drained, after an oven or a grill where much more goes
in, before what is added when it is done. What was only browned or softened on the way belongs to what it goes into.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from nutrilab.method.pots import COATED, FRYING, OVEN, WATERY, WET, Event, Pot
from nutrilab.method.values import Named, Step
from nutrilab.text import words

MELTS = ("wilt", "heat")
DONE = 30.0  # [min] of boiling from which meat is more than parboiled (common practice, no source)
WORTH = 0.03  # share of the dish from which what is added when it is done, or before a second heat, stands by itself


@dataclass(slots=True)
class Segment:
    """What is cooked together by one method: what goes in and what happens, in order; before: what was cooked first."""

    events: list[Event] = field(default_factory=list)
    before: list[Segment] = field(default_factory=list)
    water: float = 0.0
    label: str = ""

    @property
    def lines(self) -> list[int]:
        """Lines that go in here."""
        return [event.number for event in self.events if event.what == "line"]

    def all_lines(self) -> list[int]:
        """Its lines and those of what was cooked before."""
        return [*(n for one in self.before for n in one.all_lines()), *self.lines]

    @property
    def drained(self) -> bool:
        return any(event.what == "drain" for event in self.events)

    @property
    def strained(self) -> bool:
        return any(event.what == "strain" for event in self.events)

    @property
    def heats(self) -> list[Event]:
        return [event for event in self.events if event.what == "heat"]

    @property
    def method(self) -> str:
        """The method that tells its weight: the longest that is not frying, else the last fried; "" without heat."""
        heats = self.heats
        slow = [event for event in heats if event.method not in FRYING]
        if not slow:
            return heats[-1].method if heats else ""
        return max(enumerate(slow), key=lambda pair: (minutes_of(pair[1]), pair[0]))[1].method

    @property
    def minutes(self) -> float | None:
        """The time on the heat [min], None where none is said; frying on the way to something slower is left out."""
        heats = [e for e in self.heats if e.method not in FRYING or self.method in FRYING]
        known = [e.step.minutes for e in heats if e.step is not None and e.step.minutes is not None]
        return sum(known) if known else None

    def before_event(self, until: Event) -> list[int]:
        """Lines that were in when something happened."""
        at = next((n for n, event in enumerate(self.events) if event is until), len(self.events))
        here = [event.number for event in self.events[:at] if event.what == "line"]
        return [*(n for one in self.before for n in one.all_lines()), *here]


def minutes_of(event: Event) -> float:
    """How long something is heated [min], 0 where it is not said."""
    return (event.step.minutes if event.step else None) or 0.0


class Cutter:
    """Pots to segments."""

    def __init__(self, lines: Mapping[int, Named]) -> None:
        self.lines = lines
        self.mass = sum(one.grams for one in lines.values()) or 1.0

    def cut(self, pot: Pot) -> Segment:
        """The segment of a pot, with those before it."""
        now = Segment(label=pot.label, water=pot.water)
        for at, event in enumerate(pot.events):
            if event.what == "line":
                now = self._before_more(now, pot.events[at:]) if now.heats else now
                now.events.append(event)
            elif event.what == "pot" and event.pot is not None:
                now = self._before_more(now, pot.events[at:])
                self._take(now, self.cut(event.pot), pot.events[at:])
            else:
                now = self._before_heat(now, event) if event.what == "heat" else now
                now.events.append(event)
        return self._melted(now)

    def _melted(self, now: Segment) -> Segment:
        """Fat that is only melted loses nothing: it is as if nothing had been heated."""
        fat = all(self.lines[n].is_any("oil", "butter") for n in now.lines)
        if fat and not now.before and not now.water and all(e.step and _melts(e.step) for e in now.heats):
            now.events = [event for event in now.events if event.what != "heat"]
        return now

    def _before_more(self, now: Segment, rest: Sequence[Event]) -> Segment:
        """The segment that what goes in now belongs to: this one, or the next."""
        now = self._melted(now)
        if not now.heats:
            return now
        added = self._mass_of(rest)
        if now.drained or now.strained:
            return _next(now) if added > 0 else now
        later = [event.method for event in rest if event.what == "heat"]
        spirits = any(e.what == "line" and self._any([e.number], "wine") for e in rest)
        if added < WORTH * self.mass and not (spirits and not later):
            return now
        if not later:
            return _next(now)  # what is stirred in off the heat; a spoon of sherry keeps its alcohol
        if now.method in later and now.method in OVEN and self._roast(now, rest):
            return now  # one roast that others are put beside; each loses once
        dry = now.method in (*OVEN, "deep-fried", "steamed", "microwaved")
        other = any(m in (*OVEN, *FRYING, "deep-fried") for m in later) and not any(m in WET for m in later)
        return _next(now) if dry or (now.method in WET and other) else now

    def _before_heat(self, now: Segment, event: Event) -> Segment:
        """Food that was boiled and drained and is heated again: what took up water stands by itself, else it was only
        parboiled.
        """
        if not now.drained:
            fried = event.method in (*FRYING, "deep-fried") and now.heats
            return _next(now) if fried and now.heats[-1].method in WET else now
        if event.method in (*OVEN, "deep-fried", *FRYING) and not self._cooked_through(now):
            now.events = [e for e in now.events if e.what not in ("heat", "drain")]
            return now
        return _next(now)

    def _roast(self, now: Segment, rest: Sequence[Event]) -> bool:
        """Whether meat lies in the oven, and nothing but it, vegetables and fat is in there and goes in."""
        more = [n for e in rest for n in ([e.number] if e.what == "line" else e.pot.numbers() if e.pot else [])]
        joint = any(self.lines[n].is_any("meat", "poultry") for n in now.all_lines())
        return joint and all(self.lines[n].is_any(*COATED, "oil", "butter", "salt") for n in (*now.all_lines(), *more))

    def _cooked_through(self, now: Segment) -> bool:
        """Whether what was boiled and drained is done by that: what takes up water, and meat after half an hour."""
        meat = self._any(now.lines, "meat", "poultry") and (now.minutes or 0.0) >= DONE
        return meat or self._any(now.lines, *WATERY)

    def _any(self, numbers: Iterable[int], *kinds: str) -> bool:
        return any(self.lines[n].is_any(*kinds) for n in numbers)

    def _mass_of(self, events: Sequence[Event]) -> float:
        """What goes in until the next heat [g]."""
        found = 0.0
        for event in events:
            if event.what == "line":
                found += self.lines[event.number].grams
            elif event.what == "pot" and event.pot is not None:
                found += sum(self.lines[n].grams for n in event.pot.numbers())
            elif event.what in ("heat", "drain"):
                break
        return found

    def _take(self, now: Segment, other: Segment, rest: Sequence[Event]) -> None:
        """A pot that goes into another: as something cooked before, or as part of it where it was only browned."""
        later = [event.method for event in rest if event.what == "heat"]
        parboiled = other.drained and not other.before and not self._cooked_through(other)
        if parboiled and any(method in (*OVEN, "deep-fried", *FRYING) for method in later):
            other.events = [e for e in other.events if e.what not in ("heat", "drain")]
        heated = any(method not in FRYING for method in later)
        browned = all(event.method in FRYING for event in other.heats)
        if not other.before and not other.drained and browned and (heated or not other.heats):
            now.events += other.events
            now.water += other.water
        else:
            now.before.append(other)


def _melts(step: Step) -> bool:
    return step.does in MELTS or "melt" in words(step.text)


def _next(now: Segment) -> Segment:
    return Segment(before=[now], label=now.label)
