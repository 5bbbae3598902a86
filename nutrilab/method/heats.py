"""By what a step heats a pot: its own word, else how the pot was heated before, what is in it, the oil it stands in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from nutrilab.method.pots import FRYING, LIQUID, OVEN, WATERY, WET, Pot
from nutrilab.method.steps import HEATING
from nutrilab.method.values import BATH, Named, Step, is_much
from nutrilab.method.words import role
from nutrilab.text import words

DEEP_HEAT = (120.0, 200.0)  # [°C] of oil for deep frying, and for chips the first time (common practice, no source)
STEW = 0.15  # share of water, stock and wine from which food in the oven is braised (common practice, no source)
LID = 0.1  # share of what lies on top from which it is a pie and no stew (common practice, no source)
DOUGH = 100.0  # [g] of flour that makes a dough or a batter of the water
MOSTLY = 0.8  # share of the rest that must be food that can lie in fat
A_MEAL = 200.0  # [g] of food below which oil is what is made: chilli oil, a dressing (common practice, no source)
IN_FAT = ("meat", "poultry", "fish", "shellfish", "offal", "tofu", "potato", "roots", "mushroom")
_MIXED = role("mixes oil")
_SIDES = role("side")  # what has sides to turn lies in a pan
Lines = Mapping[int, Named]


def method_of(step: Step, pot: Pot, lines: Lines) -> str:
    """The method by which a step heats a pot, "" where it does not."""
    if _steeped(step, pot, lines):
        return "boiled"
    if _lowered_in(step, pot, lines):
        return "deep-fried"
    if step.does not in HEATING and step.does != "rest" and not _goes_on(step, pot):
        return ""
    if step.does == "flame" and pot.methods():
        return pot.methods()[-1]  # what was poured in is hot with the rest
    if step.does in ("flame", "wilt") and not step.method:
        return "" if pot.methods() else "pan-fried"
    if step.does == "boil up":
        return "simmered" if pot.methods() or pot.numbers() else "boiled"
    if step.method in FRYING and _at_fryer_heat(step) and any(one.grams >= BATH for one in _oils(lines)):
        return "deep-fried"  # "fry at 180C for 5 minutes"
    if step.method:
        return "braised" if step.method in ("baked", "roasted") and _stewed(pot, lines) else step.method
    return _as_before(step, pot, lines)


def _as_before(step: Step, pot: Pot, lines: Lines) -> str:
    """What a bare "cook" means: boil what is boiled, go on as before, simmer what is wet, fry what is in fat."""
    inside = [lines[n] for n in pot.numbers()]
    plain = all(one.is_any(*WATERY, "salt", "oil", "water") for one in inside)
    if plain and any(one.is_any(*WATERY) for one in inside):
        return "boiled"
    if pot.place and not step.hob:
        return pot.place
    if _SIDES & {*words(step.text)} or _is_batter(pot):
        return "pan-fried"
    slow = (*WET, "steamed", "microwaved", "deep-fried", *(() if step.hob else OVEN))
    before = pot.methods()
    if wet := [method for method in before if method in slow]:
        return wet[-1]
    if pot.water or any(one.is_any(*LIQUID) for one in inside):
        return "simmered"
    if before and before[-1] in FRYING:
        return before[-1]
    return "pan-fried" if any(one.is_any("oil", "butter") for one in inside) else "simmered"


def _is_batter(pot: Pot) -> bool:
    """Whether a batter was put into a pan of fat: pancakes are fried, however much milk is in them."""
    return any(e.pot is not None and e.pot.label == "batter" for e in pot.events) and not pot.water


def _stewed(pot: Pot, lines: Lines) -> bool:
    """Whether what goes into the oven is a stew: much water, stock or wine in it, and no dough."""
    if any(e.step is not None and e.step.does == "marinate" and "brine" in words(e.step.text) for e in pot.events):
        return False  # the brine stays behind
    inside = [lines[n] for n in pot.numbers()]
    wet = sum(lines[n].grams for n in _undrained(pot) if lines[n].is_any("water", "stock", "wine")) + pot.water
    dough = any(one.is_any("flour") and one.grams > DOUGH for one in inside)
    whole = sum(one.grams for one in inside) + pot.water
    return wet > STEW * whole and not dough and _lid_of_food(pot, lines) < LID * whole


def _undrained(pot: Pot) -> list[int]:
    """Lines that went in since the pot, or one that went into it, was drained."""
    found: list[int] = []
    for event in pot.events:
        if event.what == "drain":
            found = []
        elif event.what == "line":
            found.append(event.number)
        elif event.pot is not None:
            found += _undrained(event.pot)
    return found


def _lid_of_food(pot: Pot, lines: Lines) -> float:
    """What was put on top since the pot was last hot [g]: the mash of a pie."""
    found = 0.0
    for event in reversed(pot.events):
        if event.what == "heat":
            break
        if event.step is not None and event.step.does == "top":
            numbers = [event.number] if event.what == "line" else event.pot.numbers() if event.pot is not None else []
            found += sum(lines[n].grams for n in numbers)
    return found


def _steeped(step: Step, pot: Pot, lines: Lines) -> bool:
    """Whether dry grain is covered with boiling water or stock and cooks in that: couscous, bulgur."""
    poured = [lines[n].text for n in pot.numbers() if lines[n].is_any("water", "stock")]  # "300 ml boiling stock"
    said = {*words(step.text)}.union(*map(words, poured))
    if step.does in HEATING or not {"boiling", "boiled"} & said or not any(e.what == "line" for e in pot.events):
        return False
    inside = [lines[n] for n in pot.numbers() if not lines[n].is_any("water", "stock", "salt", "oil")]
    return bool(inside) and all(one.is_any(*WATERY) for one in inside)


def _goes_on(step: Step, pot: Pot) -> bool:
    """Whether what goes into a hot pot is cooked there: "add the stock, stirring, for 18 minutes"."""
    before = pot.methods()
    return step.does in ("add", "mix") and bool(step.minutes and before) and before[-1] in (*FRYING, *WET)


def _lowered_in(step: Step, pot: Pot, lines: Lines) -> bool:
    """Whether food goes into a bath of oil that stands ready: "lower in the eggs"."""
    if step.does not in ("add", "top") or pot.methods() or not is_deep(pot, lines):
        return False
    return any(not lines[n].is_any("oil") for n in pot.numbers()) and not is_hot_oil(step)


def is_pan(pot: Pot, lines: Lines) -> bool:
    """Whether a pot holds nothing but the fat that something is to be fried in."""
    numbers = pot.numbers()
    return bool(numbers) and not pot.methods() and all(lines[n].is_any("oil") for n in numbers)


def is_deep(pot: Pot, lines: Lines) -> bool:
    """Whether the oil in a pot is a bath: by its line, or because it was heated to the heat of a fryer."""
    if pot.bath or any(lines[n].purpose == "for deep-frying" for n in pot.numbers()):
        return True
    for event in pot.events:
        step = event.step
        if step is not None and is_hot_oil(step):
            return True
        if event.pot is not None and is_deep(event.pot, lines):
            return True
    return False


def is_hot_oil(step: Step) -> bool:
    """Whether a step makes a bath of oil: "heat the oil to 180C", "half fill a pan with oil"."""
    return step.deep or (step.does == "heat" and _at_fryer_heat(step))


def _at_fryer_heat(step: Step) -> bool:
    return step.degrees is not None and DEEP_HEAT[0] <= step.degrees <= DEEP_HEAT[1]


def _oils(lines: Lines) -> list[Named]:
    return [one for one in lines.values() if one.is_any("oil")]


def is_bath(oil: Named, lines: Iterable[Named], steps: Iterable[Step], hot: bool = False) -> bool:
    """Whether oil is so much that food lies in it and it is not eaten.

    By its purpose and volume, or by its volume where the rest is meat, fish or potatoes, or any food that is cooked
    with half as much oil, and no step mixes it in.
    """
    if oil.grams < BATH or not oil.is_any("oil") or oil.purpose not in (None, "for frying"):
        return False  # as most lines; what else goes in need not be weighed
    rest = [line for line in lines if not line.is_any("oil")]
    mass, solid = (sum(line.grams for line in some) for some in (rest, [one for one in rest if one.is_any(*IN_FAT)]))
    if not is_much(oil.grams, mass):
        return False
    drowned = hot and 2 * oil.grams >= mass >= A_MEAL
    lies = 0 < MOSTLY * mass <= solid or drowned
    return oil.purpose is not None or (lies and not any(_mixes(oil, step) for step in steps))


def _mixes(oil: Named, step: Step) -> bool:
    return oil.number in step.foods and (step.does in ("mix", "marinate") or not _MIXED.isdisjoint(words(step.text)))
