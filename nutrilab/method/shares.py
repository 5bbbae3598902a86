"""Lines that a method uses in parts: each part a line of its own, until they come together in one stage again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from fractions import Fraction

from nutrilab.method.steps import HEATING
from nutrilab.method.values import Named, Step
from nutrilab.recipe.values import FINEST

ALL = 0.999  # share of what is left from which all of it is taken
IN_BATCHES = (
    "meat",
    "poultry",
    "fish",
    "shellfish",
    "sausage",
)  # "brown half the beef" is one beef, browned in batches


class Shares:
    """The lines at the stove, with those that were parted; kept: what was set aside of a line, by its number."""

    def __init__(self, lines: Iterable[Named]) -> None:
        self.lines = {one.number: one for one in lines}
        self.kept: dict[int, int] = {}

    def resolved(self, step: Step, homes: Mapping[int, object]) -> Step:
        """A step whose foods are the parts it uses; homes: what is in a pot already stays whole."""
        if not step.shares:
            return step
        shares = dict(step.shares)
        found = dict.fromkeys(self._part(n, shares.get(n, 1.0), step, homes) for n in step.foods)
        return replace(step, foods=tuple(found))

    def _part(self, number: int, share: float, step: Step, homes: Mapping[int, object]) -> int:
        if number in step.kept:
            return self.kept.get(number, number)
        batch = step.does in HEATING and self.lines[number].is_any(*IN_BATCHES)
        if share == 1 or number in step.rest or number in homes or batch:
            return number
        new = self.parted(number, share)
        if step.does == "reserve" and new != number:
            self.kept[number] = new
        return new

    def parted(self, number: int, share: float) -> int:
        """The number of a new line that is a share of the cook's own [0 to 1]; the line itself where no more is left.

        The share is one that a recipe file can say.
        """
        left = self.lines[number]
        part = float(Fraction(share).limit_denominator(FINEST))
        if part >= ALL * left.share or part <= 0:
            return number
        new = max(self.lines) + 1
        self.lines[new] = replace(
            left, number=new, of=left.origin, share=part, grams=left.grams * part / left.share, purpose=left.purpose
        )
        rest = float((Fraction(left.share) - Fraction(part)).limit_denominator(FINEST))
        self.lines[number] = replace(left, share=rest, grams=left.grams * rest / left.share)
        return new
