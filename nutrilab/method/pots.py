"""A pot: what goes in, in which order, and what becomes of it; and the kinds and methods the room speaks of."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from nutrilab.method.values import Named, Step
from nutrilab.method.words import role

What = Literal["line", "pot", "heat", "drain", "strain", "note"]
FRYING = ("pan-fried", "stir-fried")
OVEN = ("baked", "roasted", "grilled", "toasted")
WET = ("boiled", "simmered", "poached", "stewed", "braised")
WATERY = ("pasta", "rice", "grain", "pulses", "rice-noodle")
LIQUID = ("water", "stock", "milk", "wine", "brine", "tomato-product")
COATED = ("meat", "poultry", "fish", "shellfish", "sausage", "offal", "tofu", "potato", "vegetable", "cheese", "fruit")

_POURED = role("poured")


def is_liquid(one: Named) -> bool:
    """Whether a line is something that boils away: water, stock, wine, juice, vinegar, coconut milk."""
    heads = {name[-1] for name in one.names} | {name[-2:] for name in one.names}
    return one.is_any(*LIQUID) or not heads.isdisjoint(_POURED) or ("coconut", "milk") in heads


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
    """What is together, in the order it went in.

    label: what it is called; done: nothing more is cooked in it; water: poured in and in no line [ml]; place: method
    of where it was put last ("under the grill"); bath: it is deep in the oil of another.
    """

    label: str = ""
    events: list[Event] = field(default_factory=list)
    done: bool = False
    water: float = 0.0
    parent: Pot | None = None
    place: str = ""
    bath: bool = False

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
    def just_drained(self) -> bool:
        """Whether nothing went in since its water was poured away."""
        last = next((e.what for e in reversed(self.events) if e.what in ("line", "pot", "drain")), "")
        return last == "drain"

    @property
    def drained(self) -> bool:
        """Whether its water was poured away after the last heat."""
        return any(event.what == "drain" for event in self.events)
