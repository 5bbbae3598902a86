"""From steps to pots: what goes in where, in which order, and what becomes of it.

A pot is a list of events: a line goes in, another pot goes in, it is heated, it is drained. What two pots hold comes
together where a step says so, or on the plate.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal

from nutrilab.method.steps import HEATING
from nutrilab.method.values import Named, Step
from nutrilab.text import words

_INTO = re.compile(
    r"\b(?:in|to|into) the (?:\w+ )?(?:pan|pot|casserole|sauce|stew|soup|curry|mixture|rest)\b", re.IGNORECASE
)
_PANS = frozenset(("pan", "wok", "skillet", "griddle", "pot", "saucepan"))
_HOT = {"heat", "simmering", "bubbling"}  # "leave over a low heat for 10 minutes"
_MAKES = {"mash": "mash", "puree": "puree"}  # what food is called once that is done to it

DEEP_HEAT = (150.0, 200.0)  # [°C] of oil for deep frying (common practice, no source)
What = Literal["line", "pot", "heat", "drain", "note"]
FRYING = ("pan-fried", "stir-fried")
OVEN = ("baked", "roasted", "grilled", "toasted")
WET = ("boiled", "simmered", "poached", "stewed", "braised")
WATERY = ("pasta", "rice", "grain", "pulses", "rice-noodle")
BOILED_WHOLE = (*WATERY, "potato", "egg", "vegetable", "shellfish")
STEW = 0.15  # share of water, stock and wine from which food in the oven is braised (common practice, no source)
LIQUID = ("water", "stock", "milk", "wine", "brine", "tomato-product")


@dataclass(slots=True)
class Event:
    """One thing that happens to a pot; number: of the line; pot: what goes in; step: by which step."""

    what: What
    step: Step | None = None
    number: int = -1
    pot: Pot | None = None
    method: str = ""


@dataclass(slots=True)
class Pot:
    """What is together, in the order it went in; label: what it is called; done: nothing more is cooked in it."""

    label: str = ""
    events: list[Event] = field(default_factory=list)
    done: bool = False
    water: float = 0.0
    parent: Pot | None = None

    def numbers(self) -> list[int]:
        """Every line in it and in the pots that went into it."""
        found = []
        for event in self.events:
            if event.what == "line":
                found.append(event.number)
            elif event.pot is not None:
                found += event.pot.numbers()
        return found

    def methods(self) -> list[str]:
        """What it was heated by, in order."""
        return [event.method for event in self.events if event.what == "heat"]

    @property
    def drained(self) -> bool:
        """Whether its water was poured away after the last heat."""
        return any(event.what == "drain" for event in self.events)


def _in(value: float | None, ends: tuple[float, float]) -> bool:
    return value is not None and ends[0] <= value <= ends[1]


class Stove:
    """All pots while the steps of a method are followed."""

    def __init__(self, lines: Sequence[Named]) -> None:
        self.lines = {one.number: one for one in lines}
        self.pots: list[Pot] = []
        self.current: Pot | None = None
        self.served: set[int] = set()
        self.last: tuple[int, ...] = ()

    def follow(self, steps: Iterable[Step]) -> list[Pot]:
        """The pots that are left when all is done, each with what went into it."""
        for step in steps:
            self._do(step)
        return [pot for pot in self.pots if pot.parent is None and pot.events]

    # Where a step happens

    def _do(self, step: Step) -> None:
        numbers = self._numbers(step)
        if step.foods and not step.pronoun:
            self.last = step.foods
        if step.does in ("prepare", "rinse", "warm", "") or (step.does == "heat" and not numbers):
            self._pan(step)
            return
        if step.does in ("rest", "remove", "serve") and not (
            step.does == "rest" and step.minutes and _HOT & {*words(step.text)}
        ):
            self._aside(step, numbers)
            return
        if step.does in (
            "drain",
            "strain",
            "discard",
            "pour off",
            "skim",
            "reserve",
            "cover",
            "uncover",
            "soak",
            "marinate",
            "flame",
        ):
            self._note(step, numbers)
            return
        pot = self._poured(step, numbers) or self._place(step, numbers)
        self._put(pot, numbers, step)
        if step.water and not self._has_water():
            pot.water += step.water
        method = self._method(step, pot)
        if method in (*FRYING, "deep-fried"):
            method = self._into_oil(pot, method, step)
        if not method and self._steeped(step, pot):
            method = "boiled"  # couscous and its like under boiling water
        if method:
            pot.events.append(Event("heat", step, method=method))
        elif step.does in ("mix", "top", "add", "heat"):
            pot.events.append(Event("note", step))
        self.current = pot
        if not pot.label and (made := _MAKES.get(words(step.text)[0] if words(step.text) else "")):
            pot.label = made

    def _numbers(self, step: Step) -> list[int]:
        found = list(step.foods)
        there = {n for pot in self.pots for n in pot.numbers()}
        if step.all_foods and words(step.text)[:1] in (("return",), ("put",)) and there:
            found += [n for n in sorted(there) if n not in found]  # "return everything to the pan": what there is
        elif step.all_foods:
            taken = there if step.all_foods == "rest" else set()
            found += [n for n in self.lines if n not in taken and n not in found and self._goes_in(n)]
        found += self._meant(step, found)
        for label in step.speaks:
            found += [n for n, one in self.lines.items() if one.heading == label and n not in found]
        return found

    def _meant(self, step: Step, found: Sequence[int]) -> list[int]:
        """Lines that a pronoun means and no pot holds yet: "rinse the lentils and put them in a pan"."""
        bare = step.does in (*HEATING, "drain") and not (found or step.foods or step.all_foods or step.speaks)
        loose = (step.pronoun or bare) and self.last and all(self._pot_of(n) is None for n in self.last)
        return [n for n in self.last if n not in found] if loose else []

    def _pan(self, step: Step) -> None:
        """A pan that is heated by itself is one of its own: "heat a frying pan until smoking"."""
        said = set(words(step.text))
        if step.does != "heat" or "oven" in said or said.isdisjoint(_PANS) or step.into:
            return
        if self.current is None or self.current.events:
            self._new(step)
        if step.water and not self._has_water() and self.current is not None:
            self.current.water += step.water

    def _goes_in(self, number: int) -> bool:
        return self.lines[number].purpose not in (
            "to serve",
            "to garnish",
            "for frying",
            "for deep-frying",
            "for greasing",
        )

    def _has_water(self) -> bool:
        return any(one.is_any("water") for one in self.lines.values())

    def _pot_of(self, number: int) -> Pot | None:
        """The outermost pot that a line is in."""
        for pot in self.pots:
            if pot.parent is None and number in pot.numbers():
                return pot
        return None

    def _called(self, step: Step) -> Pot | None:
        """The pot that a step speaks of by what it makes: "pour over the sauce"."""
        said = set(words(step.text))
        for pot in reversed(self.pots):
            if pot.parent is None and pot.label and pot is not self.current and set(pot.label.split()) <= said:
                return pot
        return None

    def _place(self, step: Step, numbers: Sequence[int]) -> Pot:
        """The pot that a step works in."""
        there = [pot for n in numbers if (pot := self._pot_of(n)) is not None]
        goes_on = step.pronoun and not (set(numbers) & {*self.last} and set(self._meant(step, ())) & {*numbers})
        fresh = [n for n in numbers if self._pot_of(n) is None]
        current = self.current
        if current is not None and current.parent is not None:
            current = self.current = self._outermost(current)
        if step.into and current is not None:
            return current
        if not numbers:
            called = self._called(step)
            if (
                step.label
                and current is not None
                and current.label != step.label
                and not step.pronoun
                and step.elsewhere
            ):
                return self._new(step)
            return (called if step.does in HEATING and called else current) or self._new(step)
        if step.deep and step.does in ("top", "heat", "add"):
            return self._new(step)  # "fill a pan a third full of oil"
        if step.does in ("add", "top") and current is not None and not step.elsewhere:
            return self._labelled(step, current)
        if there and step.does in HEATING:
            return self._most(there, numbers)
        if there and not fresh and len({id(p) for p in there}) == 1:
            return there[0]
        if goes_on and current is not None and not step.elsewhere:
            return current
        if current is None or step.elsewhere or (step.label and step.label != current.label):
            return self._largest(there) if there and not step.elsewhere else self._new(step)
        if step.does in HEATING and (current.done or not self._same_pan(current, step)):
            return self._new(step)
        if step.does == "mix" and not there and len(fresh) > 1:
            if current.done or current.methods() or self._is_pan(current):
                return self._called(step) or self._new(step)
        return current

    def _is_pan(self, pot: Pot) -> bool:
        """Whether a pot holds nothing but the fat that something is to be fried in."""
        numbers = pot.numbers()
        return bool(numbers) and not pot.methods() and all(self.lines[n].is_any("oil") for n in numbers)

    def _into_oil(self, pot: Pot, method: str, step: Step) -> str:
        """Food that is fried goes into the pan of oil that stands ready; returns the method, deep-fried in a bath."""
        for other in reversed(self.pots):
            if other.parent is None and other is not pot and self._is_pan(other):
                self._join(pot, other, step)
                break
        return "deep-fried" if self._deep(pot) else method

    def _labelled(self, step: Step, current: Pot) -> Pot:
        """The pot in hand, or a new one where the method goes on to make something else."""
        other = (
            step.label
            and step.label != current.label
            and not (step.label and not current.label and not current.methods())
        )
        known = next((p for p in self.pots if p.parent is None and p.label == step.label), None) if other else None
        if known is not None:
            return known
        return self._new(step) if other and (step.does == "add" or step.elsewhere) and current.label else current

    def _poured(self, step: Step, numbers: Sequence[int]) -> Pot | None:
        """The pot that all of the pot at hand goes into: "stir the mushrooms into the casserole"; None for no such step."""
        now = self.current
        if now is None or step.does not in ("add", "mix", "top") or not _INTO.search(step.text):
            return None
        inside = set(now.numbers())
        if not inside or not set(numbers) <= inside or now.parent is not None:
            return None
        others = [p for p in self.pots if p.parent is None and p is not now and p.methods() and not p.drained]
        if not others or (not numbers and not step.pronoun):
            return None
        self._join(others[-1], now, step)
        return others[-1]

    def _most(self, there: Sequence[Pot], numbers: Sequence[int]) -> Pot:
        """Of the pots that hold what is heated the one with most of it."""
        return max(there, key=lambda pot: sum(1 for n in numbers if n in pot.numbers()))

    @staticmethod
    def _largest(there: Sequence[Pot]) -> Pot:
        return max(there, key=lambda pot: len(pot.numbers()))

    @staticmethod
    def _outermost(pot: Pot) -> Pot:
        while pot.parent is not None:
            pot = pot.parent
        return pot

    @staticmethod
    def _same_pan(current: Pot, step: Step) -> bool:
        """Whether food that is heated goes on in the pan at hand: frying after frying, anything in a pot not yet hot."""
        before = current.methods()
        if not before:
            return True
        frying = all(m in FRYING or not m for m in before)
        return frying and (step.method in (*FRYING, "") or step.does in ("wilt", "boil up", "reduce"))

    def _new(self, step: Step) -> Pot:
        pot = Pot(step.label)
        self.pots.append(pot)
        self.current = pot
        return pot

    # What happens there

    def _put(self, pot: Pot, numbers: Sequence[int], step: Step) -> None:
        """Lines that are new go in; those of other pots bring their pots with them."""
        inside = set(pot.numbers())
        if step.does not in HEATING or step.pronoun or not numbers:
            called = self._called(step) if step.does in ("add", "mix", "top", "cook") else None
            if called is not None and called is not pot and called.parent is None and not self._holds(called, pot):
                self._join(pot, called, step)
        for number in numbers:
            if number in inside:
                continue
            other = self._pot_of(number)
            if other is None:
                pot.events.append(Event("line", step, number))
            elif other is not pot and not self._part_only(number, step):
                self._join(pot, other, step)
            inside = set(pot.numbers())

    @staticmethod
    def _holds(outer: Pot, inner: Pot) -> bool:
        while inner.parent is not None:
            inner = inner.parent
            if inner is outer:
                return True
        return False

    def _part_only(self, number: int, step: Step) -> bool:
        """Whether a little more of a line that is elsewhere is meant: "the rest of the butter"."""
        return number in dict(step.shares) and not self.lines[number].is_any("meat", "poultry", "fish", "potato")

    def _join(self, pot: Pot, other: Pot, step: Step) -> None:
        if other.parent is not None or other is pot:
            return
        other.parent = pot
        pot.events.append(Event("pot", step, pot=other))

    def _method(self, step: Step, pot: Pot) -> str:
        """By what a step heats; a bare "cook" goes on as before, boils what is boiled, or stews what is wet."""
        hot = step.does == "rest" or self._goes_on(step, pot)
        if step.does not in HEATING and not hot:
            return ""
        if step.does in ("flame", "wilt") and not step.method:
            return "pan-fried" if not pot.methods() else ""
        if step.method and step.does != "boil up":
            return "braised" if step.method in OVEN[:2] and self._wet(pot) else step.method
        lines = [self.lines[n] for n in pot.numbers()]
        if step.does == "boil up":
            return "boiled" if not pot.methods() and not pot.numbers() else "simmered"
        before = pot.methods()
        wet = [m for m in before if m in (*WET, "steamed", "microwaved", "deep-fried", *(() if step.hob else OVEN))]
        if lines and all(one.is_any(*WATERY) or one.is_any("salt", "oil", "water") for one in lines):
            return "boiled"
        if wet:
            return wet[-1]
        if pot.water or any(one.is_any(*LIQUID) for one in lines):
            return "simmered"
        return (
            before[-1] if before else "pan-fried" if any(one.is_any("oil", "butter") for one in lines) else "simmered"
        )

    def _wet(self, pot: Pot) -> bool:
        """Whether what goes into the oven is a stew: much water, stock or wine in it."""
        numbers = pot.numbers()
        wet = sum(self.lines[n].grams for n in numbers if self.lines[n].is_any("water", "stock", "wine")) + pot.water
        return wet > STEW * (sum(self.lines[n].grams for n in numbers) + pot.water) and not self._any_dry(numbers)

    def _any_dry(self, numbers: Sequence[int]) -> bool:
        """Whether something in it makes a dough or a batter of the water."""
        return any(self.lines[n].is_any("flour") and self.lines[n].grams > 100 for n in numbers)

    def _steeped(self, step: Step, pot: Pot) -> bool:
        """Whether dry grain is covered with boiling water or stock and cooks in that."""
        numbers = [n for n in pot.numbers() if not self.lines[n].is_any("water", "stock", "salt", "oil")]
        boiling = {"boiling", "boiled"} & set(words(step.text))
        return bool(boiling and numbers) and all(self.lines[n].is_any(*WATERY) for n in numbers)

    @staticmethod
    def _goes_on(step: Step, pot: Pot) -> bool:
        """Whether what goes into a hot pot is cooked there: "add the stock, stirring, for 18 minutes"."""
        before = pot.methods()
        return step.does in ("add", "mix") and bool(step.minutes and before) and before[-1] in (*FRYING, *WET)

    def _deep(self, pot: Pot) -> bool:
        """Whether the oil in a pot is a bath: by its line, or because it was heated to the heat of a fryer."""
        if any(self.lines[n].purpose == "for deep-frying" for n in pot.numbers()):
            return True
        for event in pot.events:
            if event.pot is not None and self._deep(event.pot):
                return True
            step = event.step
            if step is not None and (step.deep or (step.does == "heat" and _in(step.degrees, DEEP_HEAT))):
                return True
        return False

    def _aside(self, step: Step, numbers: Sequence[int]) -> None:
        """What is taken out, rests or is served: the pot it is in is done, for what comes next has its own."""
        if step.does == "serve":
            self.served.update(n for n in numbers if self._pot_of(n) is None)
            return
        fresh = [n for n in numbers if self._pot_of(n) is None]
        pot = next((p for n in numbers if (p := self._pot_of(n)) is not None), self.current)
        if fresh and pot is not None and step.does == "rest":
            self._put(pot, fresh, step)
        said = set(words(step.text))
        if pot is None or step.does != "remove":
            return
        if said & {"marinade", "brine", "water"}:
            self.current = self._outermost(pot)
            self.current.events.append(Event("note", step))
        elif not said & {"heat", "oven", "lid"}:
            pot.done = True

    def _note(self, step: Step, numbers: Sequence[int]) -> None:
        """What happens to liquid and fat of a pot."""
        if step.does in ("pour off", "skim"):
            numbers = ()
        pot = next((p for n in numbers if (p := self._pot_of(n)) is not None), None)
        if pot is None and numbers and step.does in ("soak", "marinate", "flame"):
            pot = self._place(step, numbers)
        if pot is None and (not numbers or step.does in ("pour off", "skim", "flame", "cover")):
            pot = self.current
        if pot is None:
            return
        pot = self._outermost(pot)
        if step.does in ("soak", "marinate", "flame"):
            self._put(pot, numbers, step)
        if step.water and not self._has_water():
            pot.water += step.water
        if (
            step.does == "drain"
            and not step.paper
            and pot.methods()
            and pot.methods()[-1] not in (*FRYING, "deep-fried", *OVEN)
        ):
            pot.events.append(Event("drain", step))
            pot.done = True
            self.current = pot
            return
        if step.does in ("soak", "cover") and self._steeped(step, pot):
            pot.events.append(Event("heat", step, method="boiled"))
        pot.events.append(Event("note", step))
