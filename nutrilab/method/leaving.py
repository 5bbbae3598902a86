"""What a method takes away again: what is thrown away, strained off, lifted out; and what food is only coated in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from nutrilab.method import words as known
from nutrilab.method.pots import COATED, FRYING, LIQUID, OVEN, Pot
from nutrilab.method.stages import Segment
from nutrilab.method.values import Named, Step
from nutrilab.method.words import role
from nutrilab.text import words

MEAL = ("meat", "poultry", "fish", "shellfish", "sausage", "potato", "pasta", "rice", "grain", "pulses", "tofu", "egg")
STAYS = (*LIQUID, "oil", "salt", "flour", "cheese")  # goes through a sieve with the liquid
SWEET = role("dissolves")
_OF_LIQUID = role("cooking liquid")
_SOLIDS = role("solids")
_LEFT = role("left behind")
_SCUM = role("scum")
_STRAINED = role("strained")
_PUREED = role("pureed")
_COATS = role("coats")
_CRUMBS = role("crumbs")
_STIRRED = role("stirred in")
_ROLLS = role("rolls")
_LIKE = role("likeness")  # "rub in until it looks like breadcrumbs"
_BOARD = role("surface")
COATING = ("flour", "egg", "milk", "water", "wine", "bread")


@dataclass(slots=True)
class Leaving:
    """What leaves the figures, by line: thrown, with the step; lifted: lines taken out before; loose: steps that throw
    away something that stands in no line of its own; kept_back: those that keep some of what was cooked.
    """

    lines: Mapping[int, Named]
    thrown: dict[int, Step] = field(default_factory=dict)
    lifted: set[int] = field(default_factory=set)
    loose: list[Step] = field(default_factory=list)
    ahead: frozenset[int] = frozenset()
    words_ahead: frozenset[str] = frozenset()
    kept_back: list[Step] = field(default_factory=list)
    rinsed: dict[int, Step] = field(default_factory=dict)

    def discard(self, step: Step, numbers: Sequence[int], pot: Pot | None, wet: bool = False) -> bool:
        """A step that throws away: lines that were cooked, the liquid, what stays in the sieve; else it is loose.

        wet: food is boiled in the pot; True where it only drains that.
        """
        said = words(step.text)
        inside = pot.numbers() if pot is not None else []
        hot = pot is not None and _was_wet(pot)
        if "any" in said and {"that", "which"} & {*said}:
            self.loose.append(step)  # "discard any that stay shut"
            return False
        named = [n for n in numbers if not self._only_a_part(n, said) and (hot or n in inside)]
        hot = hot or (bool(named) and all(self._gives_taste(n) for n in named))
        if hot and (not named or _OF_LIQUID & {*said}):
            named += [n for n in self._called(said, inside) if n not in named]
        if not named or not hot:
            if not {"marinade", "brine", "water", "oil", "fat"} & {*said}:
                self.loose.append(step)
            return False
        drains = wet and any(self.lines[n].is_any(*LIQUID) for n in named)
        away = [n for n in named if not (drains and self.lines[n].is_any(*LIQUID))]
        self.thrown |= {n: step for n in away if n not in self.ahead}
        if self.loose and self.loose[-1].does == "strain":
            self.loose.pop()  # "strain, and discard the solids": now it is said what becomes of them
        return drains

    def _called(self, said: Sequence[str], inside: Sequence[int]) -> list[int]:
        """Lines meant without a name: "discard the cooking juices", "discard the solids"."""
        if _OF_LIQUID & {*said}:
            return [n for n in inside if self.lines[n].is_any(*LIQUID)]
        return self._solids(inside) if _SOLIDS & {*said} else []

    def _solids(self, inside: Iterable[int]) -> list[int]:
        found = []
        for n in inside:
            one = self.lines[n]
            heads = {name[-1] for name in one.names}
            if not one.is_any(*STAYS) and not heads & SWEET and n not in self.lifted:
                found.append(n)
        return found

    def _only_a_part(self, number: int, said: Sequence[str]) -> bool:
        """Whether only the skin or stalks of a line are meant: "discard the coriander stalks", "skin of the fish"."""
        refuse = {phrase[0] for phrase in known.names("refuse")}
        heads = {name[-1] for name in self.lines[number].names}
        own = {word for name in self.lines[number].names for word in name}
        for at, word in enumerate(said):
            if word in refuse and word not in heads:
                near = {*said[max(0, at - 2) : at], *said[at + 1 : at + 4]}
                if own & near:
                    return True
        return False

    def strain(self, step: Step, numbers: Sequence[int], pot: Pot) -> bool:
        """A step that keeps the liquid: what gave it its taste is thrown away unless it is used again.

        False where it is food that is drained: "strain the pasta".
        """
        said = {*words(step.text)}
        inside = pot.numbers()
        solids = self._solids(inside)
        food = numbers and all(self.lines[n].is_any(*MEAL, "vegetable") for n in numbers) and {*numbers} <= {*solids}
        if food and not _STRAINED & said:
            return False
        if _PUREED & said:
            self.loose.append(step)
            return True
        for n in solids:
            custard = self.lines[n].is_any("egg") and any(self.lines[m].is_any("milk") for m in inside)
            if n in self.ahead or n in numbers or custard:
                continue
            if self.lines[n].is_any(*MEAL):
                self.loose.append(step)  # nobody throws the meal away without a word
            else:
                self.thrown[n] = step
        return True

    def rinse(self, step: Step, pot: Pot | None) -> None:
        """Salt that drew the water out of cold food is rinsed off again, and the sugar of a cure with it."""
        inside = pot.numbers() if pot is not None and not pot.methods() else []
        if any(self.lines[n].is_any("salt") for n in inside):
            flesh = any(self.lines[n].is_any("meat", "poultry", "fish") for n in inside)
            self.rinsed |= {n: step for n in inside if self.lines[n].is_any("salt") or (flesh and self._sugar(n))}

    def _sugar(self, number: int) -> bool:
        return any(name[-1] == "sugar" for name in self.lines[number].names)

    def lift(self, step: Step, numbers: Sequence[int]) -> None:
        """What is taken out; a bay leaf or a cinnamon stick is not put back."""
        self.lifted.update(numbers)
        if _LEFT & {*words(step.text)}:
            self.loose.append(step)  # "lift out of the pickling liquid"
        self.thrown |= {n: step for n in numbers if n not in self.ahead and self._gives_taste(n)}

    def out_of(self, step: Step, pot: Pot) -> None:
        """Food lifted out of milk or stock that no later step speaks of: it counts as eaten, and that is said."""
        left = [n for n in pot.numbers() if self.lines[n].is_any(*LIQUID) and n not in self.ahead]
        if left and step not in self.loose and self.words_ahead.isdisjoint((*_OF_LIQUID, *_STRAINED)):
            self.loose.append(step)

    def _gives_taste(self, number: int) -> bool:
        """Whether it is a bay leaf, a vanilla pod or the like: nobody eats it."""
        aromatic = tuple(known.names("left out"))
        return any(name[-len(one) :] == one for name in self.lines[number].names for one in aromatic)


def is_fat(step: Step) -> bool:
    """Whether it is fat that is skimmed or thrown away, not scum."""
    said = {*words(step.text)}
    return (step.fat or "fat" in said or "grease" in said) and not _SCUM & said


def _was_wet(pot: Pot) -> bool:
    """Whether something was cooked or steeped in a pot."""
    steeped = any(e.step is not None and e.step.does in ("soak", "marinate") for e in pot.events)
    return bool(pot.methods()) or steeped or any(e.pot is not None and _was_wet(e.pot) for e in pot.events)


def coating_of(one: Segment, lines: Mapping[int, Named]) -> tuple[Step | None, tuple[int, ...]]:
    """The step that coats food which is then fried, baked or grilled, and the lines it is coated in."""
    if one.method not in (*FRYING, "deep-fried", *OVEN):
        return None, ()
    inside = {event.number: event for event in one.events if event.what == "line"}
    steps = dict.fromkeys(e.step for e in one.events if e.step is not None)
    coats = [step for step in steps if _coats(step)]
    if not coats:
        return None, ()
    named = {n for step in coats for n in step.foods}
    batter = _batter_before(one, coats)
    found = []
    for n, event in inside.items():
        of_batter = _makes_batter(event.step, coats) or (n in batter and not lines[n].is_any(*COATED, "oil"))
        crumbs = any({"crumb", "breadcrumb", "panko"} & {*name} for name in lines[n].names)
        if of_batter or ((lines[n].is_any(*COATING) or crumbs) and n in named):
            found.append(n)
    solid = [n for n in one.all_lines() if n not in found and lines[n].is_any(*COATED)]
    return (coats[0], tuple(found)) if found and solid else (None, ())


def _coats(step: Step) -> bool:
    said = words(step.text)
    if _BOARD & {*said} or _LIKE & {*said}:
        return False
    crumbs = bool(_CRUMBS & {*said}) and step.does != "add" and _STIRRED.isdisjoint(said)
    return bool(_COATS & {*said}) or crumbs or said[:1] == ("flour",) or (bool(_ROLLS & {*said}) and "in" in said)


def _batter_before(one: Segment, coats: Sequence[Step]) -> set[int]:
    """Lines that went in between the first step of a batter and the food that is dipped in it."""
    found: set[int] = set()
    begun = False
    for event in one.events:
        if event.step in coats:
            break
        begun = begun or _makes_batter(event.step, coats)
        found |= {event.number} if begun and event.what == "line" else set()
    return found


def _makes_batter(step: Step | None, coats: Sequence[Step]) -> bool:
    return step is not None and step not in coats and "batter" in (step.label, *words(step.text))
