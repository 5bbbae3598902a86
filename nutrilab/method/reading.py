"""A method read: sentences to steps, steps to the stages of a recipe and how each is cooked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from nutrilab.method.heats import is_bath
from nutrilab.method.missing import missing
from nutrilab.method.pots import WATERY, Event, Pot
from nutrilab.method.stages import WORTH, Cutter, Segment
from nutrilab.method.steps import steps_of
from nutrilab.method.stove import Stove
from nutrilab.method.values import AsRead, MethodRead, Named, Step
from nutrilab.method.writing import Writer, cooking_of
from nutrilab.recipe import Cooking, Line, stage_key
from nutrilab.text import words

__all__ = ["is_bath", "of_stage", "read", "steps_of"]

BESIDE = ("to serve", "to garnish")


def read(method: Sequence[Line], lines: Sequence[Named], dish: str) -> MethodRead:
    """What a method says of the lines of a recipe; no stages where it heats nothing.

    lines: all of them, in order; dish: its name, that of the last stage.
    """
    steps = steps_of(method, lines)
    stove = Stove(lines)
    by_number = stove.lines
    pots = stove.follow(steps)
    lacks = missing(steps, lines, [dish, *(line.heading for line in lines)])
    if not any(_heated(pot) for pot in pots) and not stove.leaving.rinsed:
        return MethodRead((), (), steps, missing=lacks)
    top = _together(pots, stove, by_number)
    writer = Writer(by_number, [], [], {stage_key(dish)}, stove.leaving.thrown, stove.leaving.rinsed, stove.soaked)
    if not top.heats and top.before:  # put together at the end: the name of the dish speaks of what was cooked for it
        main = max(top.before, key=lambda one: sum(by_number[n].grams for n in one.all_lines()))
        main.label = main.label or f"{dish}, {main.method}"
    writer.write(top, dish)
    loose, kept = (tuple(dict.fromkeys(one)) for one in (stove.leaving.loose, stove.leaving.kept_back))
    return MethodRead(tuple(writer.stages), tuple(writer.read), steps, loose, lacks, kept)


def of_stage(steps: Sequence[Step], lines: Sequence[Named], name: str) -> tuple[Cooking, AsRead] | None:
    """The cooking of one stage whose lines stay together, from the steps on them; None where they heat nothing."""
    own = {line.number for line in lines}
    mine: list[Step] = []
    here = False
    for step in steps:
        here = bool(own & {*step.foods}) or name in step.speaks or (here and not step.foods)
        if here:
            mine.append(replace(step, foods=tuple(n for n in step.foods if n in own)))
    stove = Stove(lines)
    pots = [pot for pot in stove.follow(mine) if pot.events]
    if not any(_heated(pot) for pot in pots):
        return None
    one = Segment([event for pot in pots for event in _flat(pot)], label=name)
    cooking, facts = cooking_of(one, stove.lines, stove.leaving.thrown)
    foods = tuple(" ".join(line.names[0]) if line.names else line.text for line in lines)
    return cooking, AsRead(name, foods, facts, tuple(mine))


def _flat(pot: Pot) -> list[Event]:
    """Everything that happens to a pot and to those that went into it."""
    return [e for event in pot.events for e in (_flat(event.pot) if event.pot is not None else [event])]


def _heated(pot: Pot) -> bool:
    return bool(pot.methods()) or any(event.pot is not None and _heated(event.pot) for event in pot.events)


def _together(pots: Sequence[Pot], stove: Stove, lines: dict[int, Named]) -> Segment:
    """All that is left on the stove on one plate, with the lines that no step spoke of where they belong."""
    pots = [pot for pot in pots if pot.numbers()] or list(pots[:1])
    beside = _boiled_to_serve(pots, stove, lines)
    there = {n for pot in [*pots, *beside] for n in pot.numbers()}
    silent = [n for n in lines if n not in there]
    main = max(pots, key=lambda pot: sum(lines[n].grams for n in pot.numbers()))
    late = [n for n in silent if n in stove.served or lines[n].purpose in BESIDE]
    for number in (n for n in silent if n not in late):
        home = _home(number, pots, lines) or main
        home.events.insert(0, Event("line", None, number))
    cutter = Cutter(lines)
    segments = [cutter.cut(pot) for pot in [*pots, *beside]]
    heavy = sum(lines[n].grams for n in late) >= WORTH * cutter.mass
    if len(segments) == 1 and not heavy:
        segments[0].events += [Event("line", None, n) for n in late]
        return segments[0]
    plate = Segment([Event("line", None, n) for n in late])
    for one in segments:
        if one.heats:
            plate.before.append(one)
        else:
            plate.before += one.before
            plate.events += one.events
            plate.water += one.water
    return plate


def _home(number: int, pots: Sequence[Pot], lines: dict[int, Named]) -> Pot | None:
    """The pot that most of the lines under the same heading went into."""
    heading = lines[number].heading
    if not heading:
        return None
    counted = [(sum(1 for n in pot.numbers() if lines[n].heading == heading), pot) for pot in pots]
    best = max(counted, key=lambda pair: pair[0])
    return best[1] if best[0] else None


def _boiled_to_serve(pots: Sequence[Pot], stove: Stove, lines: dict[int, Named]) -> list[Pot]:
    """Dry rice, pasta and the like that are served with it, for nobody eats them dry; and what is served boiled."""
    there = {n for pot in pots for n in pot.numbers()}
    found = []
    for number, line in lines.items():
        served = number in stove.served or line.purpose == "to serve"
        step = stove.served.get(number)
        said = set(words(step.text)) if step is not None else set()
        plain = line.is_any("potato", "vegetable", "egg") and said & {"boiled", "steamed"}
        if number not in there and served and (line.is_any(*WATERY) or plain):
            steamed = "steamed" in said and not line.is_any(*WATERY)
            pot = Pot()
            heat = Event("heat", step, method="steamed" if steamed else "boiled")
            pot.events = [Event("line", step, number), heat, *([] if steamed else [Event("drain", step)])]
            found.append(pot)
    return found
