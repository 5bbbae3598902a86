"""From steps to pots: what goes in where, in which order.

A pot is a list of events: a line goes in, another pot goes in, it is heated, it is drained. What two pots hold comes
together where a step says so, or on the plate.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from nutrilab.method import heats
from nutrilab.method.joined import Joined
from nutrilab.method.leaving import Leaving, is_fat
from nutrilab.method.pots import COATED, FRYING, OVEN, WATERY, WET, Event, Pot
from nutrilab.method.steps import HEATING
from nutrilab.method.values import Named, Step
from nutrilab.method.words import role
from nutrilab.text import words

_INTO = re.compile(
    r"\b(?:in|to|into) the (?:\w+ )?(?:pan|pot|casserole|sauce|stew|soup|curry|mixture|rest)\b", re.IGNORECASE
)
_APART_ON = re.compile(r"(?:put|place|lay|arrange|set|pop|spread) .{1,60} (?:on|onto|in|into) an? ", re.IGNORECASE)
_PANS = role("pan")
_HOT = {"heat", "simmering", "bubbling"}  # "leave over a low heat for 10 minutes"
_MAKES = {"mash": "mash", "puree": "puree"}  # what food is called once that is done to it
_APART = ("to serve", "to garnish", "for frying", "for deep-frying", "for greasing")
_OF_LIQUID = frozenset(
    ("drain", "strain", "discard", "pour off", "skim", "reserve", "cover", "uncover", "soak", "marinate", "flame")
)


class Stove(Joined):
    """All pots while the steps of a method are followed."""

    def __init__(self, lines: Sequence[Named]) -> None:
        super().__init__(lines)
        self.leaving = Leaving(self.lines)
        self.served: dict[int, Step] = {}
        self.last: tuple[int, ...] = ()
        self.soaked: set[int] = {n for n, one in self.lines.items() if "soaked" in words(one.text)}

    def follow(self, steps: Iterable[Step]) -> list[Pot]:
        """The pots that are left when all is done, each with what went into it."""
        steps = list(steps)
        for at, step in enumerate(steps):
            later = (n for one in steps[at + 1 :] if one.does != "discard" for n in one.foods)
            self.leaving.ahead = frozenset(later)
            self.leaving.words_ahead = frozenset(word for one in steps[at + 1 :] for word in words(one.text))
            self._do(step)
        return [pot for pot in self.pots if pot.parent is None and pot.events]

    # Where a step happens

    def _do(self, step: Step) -> None:
        step = self.shares.resolved(step, self.home)
        if "brine" in words(step.text) and step.does in ("add", "top", "rest") and not step.label:
            step = replace(step, does="marinate")  # "sink the ham in the brine", "leave in the brine"
        if step.does == "soak" and self._in_a_marinade(step):
            step = replace(step, does="marinate")
        numbers = self._numbers(step)
        if step.foods and not step.pronoun and step.does != "serve":
            self.last = step.foods
        if step.does in ("rinse", "drain"):
            there = next((p for n in numbers if (p := self._pot_of(n)) is not None), self.current)
            self.leaving.rinse(step, there)
        still_hot = step.does == "rest" and step.minutes and _HOT & {*words(step.text)}
        if step.does in ("prepare", "rinse", "warm", "") or (step.does == "heat" and not numbers):
            self._pan(step)
        elif step.does in ("rest", "remove", "serve") and not still_hot:
            self._aside(step, numbers)
        elif step.does in _OF_LIQUID:
            self._note(step, numbers)
        else:
            self._cook(step, numbers)

    def _cook(self, step: Step, numbers: Sequence[int]) -> None:
        """Food goes into a pot, and the pot may be heated."""
        oils = [self.lines[n].is_any("oil") for n in numbers]
        if step.does == "heat" and step.minutes and oils and not any(oils):
            step = replace(step, does="cook")  # "heat the milk and eggs gently for 10 minutes"
        numbers, again = self._again(step, numbers)
        before = self.current
        pot = self._new(step) if again else self._poured(step, numbers) or self._place(step, numbers)
        ready = self.current is not None and pot is not self.current and heats.is_pan(self.current, self.lines)
        if ready and step.does == "cook" and not step.method:
            step = replace(step, method="pan-fried")  # "heat the oil in a pan and cook the cakes"
        if not (numbers and not step.foods):  # "rinse the rice, put it in a pan": it is the rice
            self._moved(before, pot, step)
        self._put(pot, numbers, step)
        if not numbers and step.method in OVEN and step.does == "cook":
            self._under_glaze(pot, step)
        self._water(pot, step)
        if step.does in ("add", "top") and step.method:
            pot.place = step.method
        method = heats.method_of(step, pot, self.lines)
        if method in (*FRYING, "deep-fried"):
            method = self._into_oil(pot, method, step)
        pot.events.append(Event("heat" if method else "note", step, method=method))
        self.current = pot
        pot.label = pot.label or _MAKES.get(next(iter(words(step.text)), ""), "")

    def _in_a_marinade(self, step: Step) -> bool:
        """Whether meat or fish is soaked in more than water: "soak the chicken in the buttermilk"."""
        foods = [self.lines[n] for n in step.foods]
        flesh = [one for one in foods if one.is_any("meat", "poultry", "fish")]
        return bool(flesh) and any(not one.is_any("water", *COATED) for one in foods)

    def _water(self, pot: Pot, step: Step) -> None:
        """Water that a step pours in, where no line is water."""
        if step.water and not any(one.is_any("water") for one in self.lines.values()):
            pot.water += step.water

    def _numbers(self, step: Step) -> list[int]:
        """The lines that a step works on, each once."""
        found = dict.fromkeys(step.foods)
        if step.all_foods and words(step.text)[:1] in (("return",), ("put",)) and self.home:
            found |= dict.fromkeys(sorted(self.home))  # "return everything to the pan": what there is
        elif step.all_foods:
            taken = self.home if step.all_foods == "rest" else {}
            kept = self.shares.kept.values()
            found |= dict.fromkeys(n for n in self.lines if n not in taken and n not in kept and self._goes_in(n))
        found |= dict.fromkeys(self._meant(step, found))
        for label in step.speaks:
            of = [n for n, one in self.lines.items() if one.heading == label]
            # The oil of one heading that others were fried in already stays in its bath.
            found |= dict.fromkeys(n for n in of if not (self.lines[n].is_any("oil") and self._pot_of(n) is not None))
        return list(found)

    def _meant(self, step: Step, found: Collection[int]) -> list[int]:
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
        if self.current is not None:
            self._water(self.current, step)

    def _goes_in(self, number: int) -> bool:
        """Whether a line is among "everything": what is served beside or fried in is not."""
        return self.lines[number].purpose not in _APART

    def _place(self, step: Step, numbers: Sequence[int]) -> Pot:
        """The pot that a step works in."""
        if self.current is not None:
            self.current = self._outermost(self.current)
        current = self.current
        if step.into and current is not None:
            return current
        fat = step.does in ("cook", "brown") and all(self.lines[n].is_any("oil") for n in numbers)
        melts = step.elsewhere or "melt" in words(step.text)
        if not numbers or (fat and not melts and self._waits(current)):
            return self._unnamed(step, current)
        if heats.is_hot_oil(step) and step.does in ("top", "heat", "add"):
            return self._new(step)  # "fill a pan a third full of oil"
        if current is not None and self._apart(step, current, numbers):
            return self._new(step)
        if step.does in ("add", "top") and current is not None and not step.elsewhere:
            return self._labelled(step, current)
        there = [pot for n in numbers if (pot := self._pot_of(n)) is not None and not self._used_up(n, step)]
        if there and step.does in HEATING:
            return self._most(there, numbers)
        fresh = [n for n in numbers if self._pot_of(n) is None]
        if there and not fresh and len({id(pot) for pot in there}) == 1:
            return there[0]
        lifted = current is not None and current.done and current is self._bath()
        if step.does == "mix" and len(fresh) == len(numbers) > 1 and lifted:
            return self._called(step) or self._new(step)  # "whisk the flour and the beer", when the chips are out
        meant = set(self._meant(step, ())) & {*numbers} & {*self.last}
        if step.pronoun and not meant and current is not None and not step.elsewhere:
            return current
        if current is None or step.elsewhere or (step.label and step.label != current.label):
            return self._largest(there) if there and not step.elsewhere else self._new(step)
        return self._after(step, current, bool(there), len(fresh))

    def _apart(self, step: Step, current: Pot, numbers: Sequence[int]) -> bool:
        """Whether new food is put on a plate or a tray of its own: "put the fish on a plate"."""
        if step.does != "top" or step.pronoun or not current.methods() or not _APART_ON.match(step.text):
            return False
        return all(self._pot_of(n) is None for n in numbers)

    def _waits(self, current: Pot | None) -> bool:
        """Whether food stands ready for the fat that a step names: "fry them in the oil"."""
        pots = [p for p in self.pots if p.parent is None and p.numbers() and not p.just_drained]
        ready = [p for p in pots if not heats.is_pan(p, self.lines)]
        return bool(ready) and current is not None and (current in ready or heats.is_pan(current, self.lines))

    def _unnamed(self, step: Step, current: Pot | None) -> Pot:
        """The pot of a step that names no food: the one at hand, or one that it calls by what was made in it."""
        if step.elsewhere and current is not None and not step.pronoun and step.label not in ("", current.label):
            return self._new(step)
        called = self._called(step) if step.does in HEATING else None
        if called is None and step.does in HEATING and current is not None and heats.is_pan(current, self.lines):
            # What was made before goes into the pan of fat that stands ready.
            waiting = (p for p in reversed(self.pots) if p.parent is None and p is not current and p.numbers())
            called = next((p for p in waiting if not p.just_drained and not heats.is_pan(p, self.lines)), None)
        return called or current or self._new(step)

    def _after(self, step: Step, current: Pot, known: bool, fresh: int) -> Pot:
        """The pot at hand, or a new one where food is heated or mixed that does not go on with it."""
        if fresh and not known and self._by_itself(step, current):
            return self._new(step)
        if step.does in HEATING and (current.done or not self._same_pan(current, step)):
            return current if self._boiling_water(current, step) else self._new(step)
        busy = current.done or current.methods() or heats.is_pan(current, self.lines)
        if step.does == "mix" and not known and fresh > 1 and busy:
            return self._called(step) or self._new(step)
        return current

    def _by_itself(self, step: Step, current: Pot) -> bool:
        """Whether food that is heated has a pan of its own, for what is at hand is food that waits: what was marinated
        before the noodles are boiled, what is dressed before the crumbs are toasted.
        """
        if step.does not in ("cook", "brown", "toast") or step.pronoun or step.all_foods:
            return False
        waits = any(self.lines[n].is_any(*COATED, *WATERY) for n in current.numbers())
        marinated = any(e.step is not None and e.step.does == "marinate" for e in current.events)
        cold = not any(event.what == "heat" for event in current.events)
        return waits and cold and (step.does == "toast" or (step.method in WET and marinated))

    def _into_oil(self, pot: Pot, method: str, step: Step) -> str:
        """Food that is fried goes into the pan of oil that stands ready; returns the method, deep-fried in a bath."""
        for other in reversed(self.pots):
            if other.parent is None and other is not pot and heats.is_pan(other, self.lines):
                self._join(pot, other, step)
                break
        self._fill_bath(pot, method, step)
        bath = self._bath()
        if bath is not None and bath is not pot and not any(self.lines[n].is_any("oil") for n in pot.numbers()):
            self._share_bath(bath, pot, step)
        return "deep-fried" if heats.is_deep(pot, self.lines) else method

    def _labelled(self, step: Step, current: Pot) -> Pot:
        """The pot in hand, or a new one where the method goes on to make something else."""
        other = step.label not in ("", current.label) and bool(current.label or current.methods())
        known = next((p for p in self.pots if p.parent is None and p.label == step.label), None) if other else None
        if known is not None:
            return known
        return self._new(step) if other and (step.does == "add" or step.elsewhere) and current.label else current

    def _poured(self, step: Step, numbers: Sequence[int]) -> Pot | None:
        """The pot that the one at hand goes into: "stir the mushrooms into the casserole"; None for no such step."""
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
    def _same_pan(current: Pot, step: Step) -> bool:
        """Whether food that is heated goes on in the pan at hand: frying after frying, anything where it is cold."""
        before = current.methods()
        if not before:
            return True
        frying = all(m in FRYING or not m for m in before)
        return frying and (step.method in (*FRYING, "") or step.does in ("wilt", "boil up", "reduce"))

    @staticmethod
    def _boiling_water(current: Pot, step: Step) -> bool:
        """Whether nothing but water boils in the pot, which waits for what is boiled next."""
        ready = bool(current.methods()) and not current.numbers() and not current.done
        return ready and step.method in ("", *WET) and not step.elsewhere

    def _new(self, step: Step) -> Pot:
        pot = Pot(step.label)
        self.pots.append(pot)
        self.current = pot
        return pot

    # What happens there

    def _aside(self, step: Step, numbers: Sequence[int]) -> None:
        """What is taken out, rests or is served: the pot it is in is done, for what comes next has its own."""
        if step.does == "serve":
            self.served |= {n: step for n in numbers if self._pot_of(n) is None}
            return
        fresh = [n for n in numbers if self._pot_of(n) is None]
        pot = next((p for n in numbers if (p := self._pot_of(n)) is not None), self.current)
        if fresh and pot is not None and step.does == "rest":
            self._put(pot, fresh, step)
        said = set(words(step.text))
        if step.does == "remove":
            self.leaving.lift(step, numbers)
            if pot is not None and pot.methods()[-1:] == ["poached"]:
                self.leaving.out_of(step, pot)
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
        steeps = step.does in ("soak", "marinate", "flame")
        pot = next((p for n in numbers if (p := self._pot_of(n)) is not None), None)
        if pot is None and numbers and steeps:
            pot = self._place(step, numbers)
        if pot is None and (not numbers or step.does in ("flame", "cover")):
            pot = self.current
        if pot is None:
            self.leaving.loose += [step] if step.does == "discard" else []
            return
        pot = self._outermost(pot)
        if step.does == "reserve" and pot.methods() and not numbers and "water" not in words(step.text):
            self.leaving.kept_back.append(step)
        if step.does == "discard" and not is_fat(step):
            drains = self.leaving.discard(step, numbers, pot, _is_wet(pot))
            pot.events += [Event("drain", step)] if drains else []
        if step.does == "strain" and _is_wet(pot) and self.leaving.strain(step, numbers, pot):
            pot.events.append(Event("strain", step))
            self.current = pot
            return
        if step.does == "marinate" and "brine" in words(step.text):
            self._cooled(pot)
        if steeps:
            self._put(pot, numbers, step)
        if step.does == "soak":
            self.soaked |= {*pot.numbers()}
        self._water(pot, step)
        if step.does in ("drain", "strain") and _is_wet(pot) and not step.paper:
            pot.events.append(Event("drain", step))
            pot.done = True
            pot.label = pot.label or ("mash" if "mash" in words(step.text) else "")  # "drain and mash"
            self.current = pot
            return
        self._lid(pot, step)

    def _lid(self, pot: Pot, step: Step) -> None:
        """What is covered, soaked or flamed may cook by that: "cover for 4 minutes" on a pan that was heated."""
        hot = any(e.what == "heat" or (e.step is not None and e.step.does == "heat") for e in pot.events)
        lid = step.does == "cover" and step.minutes and hot
        step = replace(step, does="cook", covered=True) if lid else step
        method = heats.method_of(step, pot, self.lines) if lid or step.does in ("soak", "cover", "flame") else ""
        pot.events.append(Event("heat" if method else "note", step, method=method))


def _is_wet(pot: Pot) -> bool:
    """Whether a pot was last heated with water in it."""
    return bool(pot.methods()) and pot.methods()[-1] not in (*FRYING, "deep-fried", *OVEN)
