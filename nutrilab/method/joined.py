"""What comes together: lines and pots that go into a pot, and what goes along from one pan to the next."""

from __future__ import annotations

from collections.abc import Sequence

from nutrilab.method import heats
from nutrilab.method.baths import Baths
from nutrilab.method.pots import COATED, FRYING, OVEN, WET, Event, Pot
from nutrilab.method.steps import HEATING
from nutrilab.method.values import Step
from nutrilab.method.words import role
from nutrilab.text import words

_MOVES = role("moves")
_MIXTURE = role("mixture")


class Joined(Baths):
    """Pots with what is put into them."""

    def _called(self, step: Step) -> Pot | None:
        """The pot that a step speaks of by what it makes: "pour over the sauce"."""
        said = set(words(step.text))
        for pot in reversed(self.pots):
            if pot.parent is None and pot.label and pot is not self.current and set(pot.label.split()) <= said:
                return pot
        return None

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
            self._take_back(number, step)
            other = self._pot_of(number)
            if other is None:
                pot.events.append(Event("line", step, number))
                self.home[number] = pot
            elif other is not pot and not self._part_only(number, step) and not self._used_up(number, step):
                self._join(pot, other, step)
                inside.update(other.numbers())

    def _take_back(self, number: int, step: Step) -> None:
        """The oil of a bath is in the bath, though a spoon of it was used before."""
        home = self.home.get(number)
        bath = step.does == "heat" and heats.is_hot_oil(step) and self.lines[number].is_any("oil")
        if home is not None and (bath or self.lines[number].purpose == "for deep-frying"):
            home.events = [e for e in home.events if not (e.what == "line" and e.number == number)]
            del self.home[number]

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

    def _moved(self, before: Pot | None, pot: Pot, step: Step) -> None:
        """What was at hand goes along into another pan: "put it in a pan with the carrots", "add the mixture"."""
        if before is None or step.does not in ("add", "top"):
            return
        said = words(step.text)
        if step.pronoun and pot is not before and not pot.events and _MOVES & {*said[:1]} and before.numbers():
            self._join(pot, self._outermost(before), step)
        fat = pot.numbers() and all(self.lines[n].is_any("oil", "butter") for n in pot.numbers())
        if fat and pot is before and _MIXTURE & {*said}:
            ready = (p for p in reversed(self.pots) if p.parent is None and p is not pot and p.numbers())
            if (mixed := next((p for p in ready if not p.methods()), None)) is not None:
                self._join(pot, mixed, step)

    def _used_up(self, number: int, step: Step) -> bool:
        """Whether fat that a step fries in went into a stew before: more of it is meant, not the stew."""
        there = self._pot_of(number)
        if there is None or not self.lines[number].is_any("oil", "butter") or step.method not in FRYING:
            return False
        food = any(self.lines[n].is_any(*COATED) for n in there.numbers())
        return food and there.methods()[-1:] != [] and there.methods()[-1] in (*WET, *OVEN)

    def _under_glaze(self, pot: Pot, step: Step) -> None:
        """More goes into the oven than salt or a glaze: the meat that lies ready, or that was cooked last.

        "Rub the skin with salt and roast", "mix the honey and mustard, brush over and roast".
        """
        inside = pot.numbers()
        mass = sum(self.lines[n].grams for n in inside)
        if not inside or any(self.lines[n].is_any(*COATED, "flour", "egg", "bread") for n in inside):
            return
        meat = [n for n, one in self.lines.items() if one.is_any("meat", "poultry", "fish") and one.grams > mass]
        ready = [n for n in meat if n not in self.home and self.lines[n].purpose is None]
        if len(ready) == 1:
            pot.events.append(Event("line", step, ready[0]))
            self.home[ready[0]] = pot
            return
        cooked = [p for p in self.pots if p.parent is None and p is not pot and {*meat} & {*p.numbers()}]
        if cooked and not ready:
            self._join(pot, cooked[-1], step)

    def _cooled(self, pot: Pot) -> None:
        """A brine that was boiled for its salt to dissolve is cold when food goes in: nothing was cooked."""
        if not any(self.lines[n].is_any(*COATED) for n in pot.numbers()):
            pot.events = [event for event in pot.events if event.what != "heat"]
            pot.done = False
