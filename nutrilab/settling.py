"""What a cook does first about a dish: at most three things, what matters most before all else, each with its cure.

First what leaves the answer open: lines that were not understood, so that an allergen may be missing; lines that nobody
weighed; numbers that hardly can be. Then the packs whose allergens are to be looked at. Then what narrows the calories
and the salt most. What has one cure is one thing, however many lines it is in.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Literal

from nutrilab.allergens.dish import LineFindings
from nutrilab.allergens.values import OF_KINDS
from nutrilab.cooking.errors import Cause
from nutrilab.cooking.happening import Happening
from nutrilab.decisions import NAME as DECISIONS
from nutrilab.doubt import Doubt, doubts, share_in_words
from nutrilab.law.levels import share_of_intake
from nutrilab.messages import listed, say
from nutrilab.plain import brief, quoted
from nutrilab.plausible import FIRST
from nutrilab.results import CookedStage, DishResult, LineFood, LineRecord
from nutrilab.tracing import in_dish, named_place, where

MOST = 3  # things to settle first
WORTH = (
    0.02  # share of an adult's day that a range must span for narrowing it to be worth it; common practice, no source
)
QUOTED = 3  # lines that one of them quotes
LONG = 100  # characters of a share and its figure, so that none is cut
_FILE = "RECIPE"  # stands for the file of a recipe that has none
# What of cooking is in doubt -> the keys of a recipe file that settle it.
_UNDER_COOKING: dict[str, tuple[str, ...]] = {
    Happening.WEIGHT: ("weight before", "weight after"),
    Happening.FRYING_OIL: ("frying oil left",),
    Happening.FAT_THAT_DRIPS: ("fat drained",),
    Happening.SALT_IN_WATER: ("salted water",),
}


Asks = Literal["food", "weight", "look", "pack"]


@dataclass(frozen=True, slots=True)
class ToSettle:
    """What is open and why it matters; where it stands in the recipe, "" where nowhere; what settles it.

    advice: what settles it without the commands and files of the command line; at: stage and number of its line in the
    cook's own list, the first of several, None where it is of no line; of: what it asks for.
    """

    what: str
    where: str
    do: str
    advice: str = ""
    at: tuple[str, int] | None = None
    of: Asks = "look"


@dataclass(frozen=True, slots=True)
class _At:
    """A line of the dish and its place in words."""

    stage: CookedStage
    record: LineRecord
    place: str
    spot: tuple[str, int]

    @property
    def text(self) -> str:
        return self.record.parsed.text.strip()


def settle_first(result: DishResult) -> tuple[ToSettle, ...]:
    """At most three things to settle, the weightiest first; none where nothing is open."""
    return tuple(islice(_ranked(result), MOST))


def weigh_next(result: DishResult) -> ToSettle | None:
    """What to weigh next: a line that is in no figure yet, else what narrows a figure most; None where neither is."""
    return next((one for one in _ranked(result) if one.of == "weight"), None)


def _spot(result: DishResult, stage: str, number: int) -> tuple[str, int]:
    """A line of a cooked stage in the cook's own list."""
    return result.places.get((stage, number), (stage, number))


def _ranked(result: DishResult) -> Iterator[ToSettle]:
    lines = [
        _At(stage, record, where(result, stage.stage.name, number), _spot(result, stage.stage.name, number))
        for stage, _ in in_dish(result)
        for number, record in stage.lines
        if not (record.parsed.heading or record.no_food)
    ]
    open_ = [at for at in lines if not at.record.resolved]
    if open_:
        what, do, advice = (
            say("settle.not-understood", lines=_texts(open_)),
            _choose(result, open_[0]),
            say("settle.open"),
        )
        yield ToSettle(what, _places(open_), do, advice, open_[0].spot, "food")
    unweighed = [at for at in lines if at not in open_ and any(food.left_out for food in at.record.foods)]
    if unweighed:
        yield _not_weighed(result, unweighed)
    for remark in result.remarks:
        if remark.code in FIRST:
            place = named_place(result, remark.stage, remark.line)
            at = (remark.stage, remark.line) if remark.stage and remark.line else None
            do = say("settle.put-right")
            yield ToSettle(f"{remark.message.rstrip('.')}.", place, do, do, at)
    yield from _packs(result)
    yield from _narrowing(result)


def _texts(lines: Sequence[_At]) -> str:
    said = ", ".join(quoted(at.text) for at in lines[:QUOTED])
    return say("list.and-others", names=said, number=len(lines) - QUOTED) if len(lines) > QUOTED else said


def _places(lines: Sequence[_At]) -> str:
    return "; ".join(dict.fromkeys(at.place for at in lines if at.place))


def _choose(result: DishResult, at: _At) -> str:
    """How the food of a line is said: the question, or the line to write into the list of decisions."""
    food = next((food for food in at.record.foods if not (food.link.understood or food.no_food)), None)
    if food is None and any(food.product is not None for food in at.record.foods):
        return say("settle.read-pack")
    if food is None:
        return say("settle.write-again")
    return _decide(result, food)


def _decide(result: DishResult, food: LineFood) -> str:
    found, file = food.link.food, _file(result)
    decision = f"{brief(food.name)}: {found.food_id if found else 'none'}"
    if found is None:
        return say("settle.find-food", file=file, decision=decision, list=DECISIONS)
    return say("settle.choose-food", file=file, food=brief(found.name), decision=decision, list=DECISIONS)


def _not_weighed(result: DishResult, lines: Sequence[_At]) -> ToSettle:
    """Lines that are in no figure, by what the first of them lacks: its food or its weight."""
    what, first = say("settle.not-weighed", lines=_texts(lines)), lines[0]
    food = next(food for food in first.record.foods if food.left_out)
    if food.link.food is None:
        return ToSettle(what, _places(lines), _decide(result, food), say("settle.open"), first.spot, "food")
    do = say("settle.weigh-line")
    return ToSettle(what, _places(lines), do, do, first.spot, "weight")


def _packs(result: DishResult) -> Iterator[ToSettle]:
    """The packs to look at, as one: whose allergens are only known from the pack."""
    asked = {*result.allergens.check, *(key for key in result.allergens.also if key in OF_KINDS)}
    found: list[tuple[LineFindings, list[str]]] = []
    for stage, _ in in_dish(result):
        for line in stage.told:
            if not line.understood:
                continue  # first its food has to be chosen
            if of_line := [allergen for allergen in line.findings.check if allergen in asked]:
                found.append((line, of_line))
    found.sort(key=lambda one: -sum(allergen in result.allergens.check for allergen in one[1]))
    if found:
        packs = "; ".join(f"{brief(line.text)} ({', '.join(of_line)})" for line, of_line in found[:QUOTED])
        if len(found) > QUOTED:
            packs = say("list.and-others", names=packs, number=len(found) - QUOTED)
        places = (where(result, line.stage, line.number) for line, _ in found)
        at, do = _spot(result, found[0][0].stage, found[0][0].number), say("settle.look-at-pack")
        what = say("settle.packs", packs=packs)
        yield ToSettle(what, "; ".join(dict.fromkeys(places)), do, say("settle.copy-pack"), at, "pack")


def _narrowing(result: DishResult) -> Iterator[ToSettle]:
    """What narrows a figure most, a thing a figure; what narrows both is one."""
    found: dict[tuple[str, str | None, int | None, str], list[tuple[str, Doubt]]] = {}
    for key, of_key in doubts(result).items():
        low, high = result.whole.per_portion_range.get(key) or (0.0, 0.0)
        wide = (share_of_intake(key, high - low) or 0.0) >= WORTH
        worth = [one for one in of_key if one.advice and wide]
        if worth:
            best = max(worth, key=lambda one: one.narrows)
            thing = best.cause, best.stage, best.line, best.what
            found.setdefault(thing, []).append((say(f"doubt.figure.{key}"), best))
    for of_thing in sorted(found.values(), key=lambda told: -max(one.narrows for _, one in told)):
        one = of_thing[0][1]
        shares = [say("settle.share", share=share_in_words(d.share), figure=figure) for figure, d in of_thing]
        place = where(result, one.stage, one.line)
        what = quoted(one.what) if one.cause == Cause.AMOUNT else f"{one.what[:1].upper()}{one.what[1:]}"
        at = _spot(result, one.stage, one.line) if one.stage and one.line else None
        advice = f"{(one.advice or '')[:1].upper()}{(one.advice or '')[1:]}."
        advice = say("settle.copy-figures") if one.asks == "pack" else advice
        said = say("settle.doubt", what=what, shares=listed(shares, limit=LONG))
        yield ToSettle(said, place, _narrow(result, one), advice, at, one.asks)


def _narrow(result: DishResult, one: Doubt) -> str:
    """The advice as a sentence, and where its answer is written."""
    advice = one.advice or ""
    said = f"{advice[:1].upper()}{advice[1:]}"
    if keys := _UNDER_COOKING.get(one.of):
        written = listed([f'"{key}:"' for key in keys])
        return say("settle.under-cooking", advice=said, keys=written, first=_first_a_draft(result))
    return f"{said}."


def _first_a_draft(result: DishResult) -> str:
    """What has to be done before a text or a page can say how something was weighed."""
    path = result.recipe.path
    if path is None or path.suffix in (".yaml", ".yml"):
        return ""
    return say("settle.draft", file=_file(result), target=shlex.quote(f"{brief(path.stem)}.yaml"))


def _file(result: DishResult) -> str:
    """The name of the recipe's file as a command line takes it."""
    return shlex.quote(brief(result.recipe.path.name)) if result.recipe.path else _FILE
