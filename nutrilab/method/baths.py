"""The pots of a method and the oil they stand in: several batches in one bath, each with its own part of it."""

from __future__ import annotations

from collections.abc import Sequence

from nutrilab.method.pots import FRYING, Event, Pot
from nutrilab.method.shares import Shares
from nutrilab.method.values import Named, Step

BATH = 150.0  # [g] of oil that nobody names and that food is deep-fried in (as cooking.media has it)


class Baths:
    """Pots, the one at hand, where each line is, and the baths of oil among them."""

    def __init__(self, lines: Sequence[Named]) -> None:
        self.shares = Shares(lines)
        self.lines = self.shares.lines
        self.pots: list[Pot] = []
        self.current: Pot | None = None
        self.home: dict[int, Pot] = {}

    @staticmethod
    def _outermost(pot: Pot) -> Pot:
        while pot.parent is not None:
            pot = pot.parent
        return pot

    def _pot_of(self, number: int) -> Pot | None:
        """The outermost pot that a line is in."""
        home = self.home.get(number)
        return self._outermost(home) if home is not None else None

    def _again(self, step: Step, numbers: Sequence[int]) -> tuple[list[int], bool]:
        """Whether new food goes into a bath that others were fried in, and the food without that oil."""
        bath = self._bath()
        food = [n for n in numbers if not self.lines[n].is_any("oil")]
        fries = step.method in (*FRYING, "deep-fried") or len(food) < len(numbers) or self.current is bath
        if bath is None or not food or not fries or step.does not in ("cook", "brown", "add", "top"):
            return list(numbers), False
        if any(self._pot_of(n) is bath for n in food) or (step.does in ("add", "top") and self.current is not bath):
            return list(numbers), False
        return food, all(self._pot_of(n) is None for n in food)

    def _fill_bath(self, pot: Pot, method: str, step: Step) -> None:
        """The oil for deep frying that no step named is in the first pot that something is deep-fried in."""
        much = [
            n for n, one in self.lines.items() if one.is_any("oil") and one.grams >= BATH and method == "deep-fried"
        ]
        deep = [n for n, one in self.lines.items() if one.purpose == "for deep-frying" or n in much]
        deep = [n for n in deep if self._pot_of(n) is None]
        fresh = not any(self.lines[n].is_any("oil") for n in pot.numbers())
        for number in deep if fresh and (method == "deep-fried" or self._bath() is None) else ():
            pot.events.insert(0, Event("line", step, number))
            self.home[number] = pot

    def _bath(self) -> Pot | None:
        """The pot whose oil something was deep-fried in last."""
        return next((p for p in reversed(self.pots) if p.parent is None and "deep-fried" in p.methods()), None)

    def _share_bath(self, bath: Pot, pot: Pot, step: Step) -> None:
        """A second batch has its own part of the oil, by weight; what neither takes up is left over."""
        inside = pot.numbers()
        first, second = (
            sum(self.lines[n].grams for n in there if not self.lines[n].is_any("oil"))
            for there in (bath.numbers(), inside)
        )
        for number in [n for n in bath.numbers() if self.lines[n].is_any("oil")]:
            share = round(self.lines[number].share * second / (first + second), 2) if second else 0.0
            part = self.shares.parted(number, share)
            if part != number:
                pot.events.insert(0, Event("line", step, part))
                self.home[part] = pot
                pot.bath = True
