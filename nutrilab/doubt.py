"""What a range is made of, and what to weigh next: the sources of doubt of a dish by their share, the largest first.

A share is a source's part of the squared range in the logarithm (`nutrition.ranges`), so shares add to 1. Without a
source of share s the range would be √(1 - s) as wide; advice is given where that narrows it by a tenth or more.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import sqrt
from typing import Literal

from nutrilab.cooking.errors import Cause, Source
from nutrilab.cooking.happening import Happening
from nutrilab.messages import as_grams, say
from nutrilab.nutrition import BY_EYE, squares
from nutrilab.plain import brief, quoted
from nutrilab.results import CookedStage, DishResult
from nutrilab.tracing import Used, in_dish, used
from nutrilab.variation.which import unsaid

KEYS = ("energy_kcal", "salt")
REST = "rest"
NARROWS = 0.1  # share by which a range must shrink for advice to be worth it
LEAST, MOST = 0.03, 6  # share of an entry of its own, and how many there are
# Groups of SR28 of which most foods are sold without figures; common practice, no source.
_LOOSE = ("Vegetables", "Fruits", "Beef", "Pork", "Lamb", "Poultry", "Finfish")
_MINCED = "ground"
# A share of what is unsure -> how it is called: the share itself is no surer than that.
_CALLED = ((0.6, "share.most"), (0.4, "share.half"), (0.28, "share.third"), (0.2, "share.quarter"), (0, "share.part"))
_NAMED = 50  # characters of a line or food in a sentence
_ASK: dict[str, str] = {  # what of the cooking is in doubt -> what a cook can do about it
    Happening.WEIGHT: "doubt.weigh-stage",
    Happening.FRYING_OIL: "doubt.weigh-oil",
    Happening.FAT_THAT_DRIPS: "doubt.weigh-drippings",
    Happening.SALT_IN_WATER: "doubt.weigh-salt",
    Happening.SALT_TAKEN_UP: "doubt.salt-afterwards",
}


_OPEN = {  # what the words of a line leave open -> what to write
    "trim": "doubt.say-trimmed",
    "skin": "doubt.say-skin",
    "milk": "doubt.say-milk",
    "fat": "doubt.say-fat",
}


_PACK = "doubt.own-pack"
Asks = Literal["weight", "pack", "food"]


@dataclass(frozen=True, slots=True)
class Doubt:
    """One source of doubt about a figure.

    cause: of `errors.Cause`, or "rest" for all smaller ones together; share: of the squared range [1]; what: in words;
    stage, line: where it stands; advice: what a cook can do about it, None where nothing or too little; of: the
    `Happening` of the cooking that is in doubt, "" of anything else; asks: what the advice asks for.
    """

    cause: str
    share: float
    what: str = ""
    stage: str | None = None
    line: int | None = None
    advice: str | None = None
    of: str = ""
    asks: Asks = "weight"

    @property
    def narrows(self) -> float:
        """By what share of its width the range would shrink without it [1]."""
        return 1 - sqrt(max(0.0, 1 - self.share))


def doubts(result: DishResult) -> dict[str, tuple[Doubt, ...]]:
    """The doubt about energy and salt of a portion, the largest first, the rest last; none where there is none."""
    return {key: tuple(_of(result, key)) for key in KEYS}


def narrowing(result: DishResult, key: str) -> str | None:
    """What narrows the range of a figure of 100 g most, as advice; None where nothing helps enough."""
    return next((one.advice for one in _of(result, key, per_mass=True) if one.advice), None)


def share_in_words(share: float) -> str:
    """A share of what is unsure [1] as a cook says it: "most", "about a quarter"."""
    return say(next(key for least, key in _CALLED if share >= least))


def _of(result: DishResult, key: str, per_mass: bool = False) -> Iterator[Doubt]:
    found = squares(result.pot if per_mass else result.batch, key, per_mass)
    total = sum(found.values())
    if total <= 0:
        return
    places = _places(result)
    ranked = sorted(found.items(), key=lambda one: -one[1])
    shown = [(source, square / total) for source, square in ranked[:MOST] if square >= LEAST * total]
    for source, share in shown:
        yield _doubt(result, source, share, places)
    yield Doubt(REST, max(0.0, 1 - sum(share for _, share in shown)))


def _places(result: DishResult) -> dict[str, Used]:
    """Food -> where it is used first."""
    found: dict[str, Used] = {}
    for one in used(result):
        if one.food.link.food is not None:
            found.setdefault(one.food.link.food.food_id, one)
    return found


def _doubt(result: DishResult, source: Source, share: float, places: Mapping[str, Used]) -> Doubt:
    stage, line, what, advice = source.stage or None, source.line or None, source.what, ""
    asks: Asks = "weight"
    if source.cause == Cause.AMOUNT:
        what = brief(_text(result, source), _NAMED)
        advice = say("doubt.weigh-line", line=quoted(what))
    elif source.cause == Cause.COOKING:
        stage_name = brief(source.stage, _NAMED)
        what = say("doubt.of-stage", what=Happening(source.what).words, stage=stage_name)
        advice = say(_ASK[source.what], stage=stage_name) if source.what in _ASK else ""
    elif source.cause == Cause.PORTIONS:
        what = say("doubt.division")
        each = as_grams(result.cooked_mass / result.portions)
        advice = say("doubt.serve-by-weight", grams=each) if source.what == BY_EYE else ""
    else:
        place = places.get(source.what.split(" ")[0])
        if place is not None:
            stage, line = place.stage.stage.name, place.number
            kind = "doubt.which" if source.cause == Cause.FOOD else "doubt.batches"
            name = brief(place.food.name, _NAMED)
            what, key = say(kind, food=name), _of_food(source, place)
            advice, asks = say(key, food=name) if key else "", "pack" if key == _PACK else "food"
    of = source.what if source.cause == Cause.COOKING else ""
    told = Doubt(str(source.cause), share, what, stage, line, of=of, asks=asks)
    return told if told.narrows < NARROWS or not advice else replace(told, advice=advice)


def _of_food(source: Source, place: Used) -> str:
    """What settles which food it is, or how it varies, as the key of a sentence; "" where nothing does."""
    food = place.food.link.food
    if source.cause == Cause.FOOD and food is not None and " " not in source.what:
        if open_ := unsaid(food, place.record.parsed, place.food.name):
            return _OPEN[open_.asks]
        return "doubt.say-fat" if _MINCED in food.name.lower() else "doubt.say-which"
    return _of_pack(place)


def _of_pack(place: Used) -> str:
    """What a pack can tell of a food; what is sold loose has none, and only the fat of mince is to be asked for."""
    food = place.food.link.food
    if food is None or not food.group.startswith(_LOOSE):
        return _PACK
    return "doubt.say-fat" if _MINCED in food.name.lower() else ""


def _text(result: DishResult, source: Source) -> str:
    """The words of the line whose amount is in doubt."""
    for stage, _ in in_dish(result):
        if stage.stage.name == source.stage and (text := _line(stage, source.line)):
            return text
    return source.what


def _line(stage: CookedStage, number: int) -> str:
    return next((record.parsed.text.strip() for at, record in stage.lines if at == number), "")


def in_words(result: DishResult) -> tuple[str, ...]:
    """What to weigh next, a sentence a figure; none where nothing helps."""
    said = []
    for key in KEYS:
        worth = [one for one in doubts(result)[key] if one.advice]
        if worth:
            told = "; ".join(say("doubt.share", advice=one.advice, share=share_in_words(one.share)) for one in worth)
            said.append(say("sheet.weigh-first", figure=say(f"doubt.figure.{key}"), advice=told))
    return tuple(said)
