"""A dish before and after: what differs, whether that is more than the doubt, which allergens move."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from nutrilab.declaration import known_in_part
from nutrilab.foods import Food
from nutrilab.law.energy import available_carbohydrate, energy_regulation, salt
from nutrilab.law.rounding import ORDER, UNKNOWN
from nutrilab.messages import say
from nutrilab.nutrition import deviations
from nutrilab.results import DishResult
from nutrilab.scaling import Scaled
from nutrilab.swapping import Done

Ends = tuple[float, float]
UNITS = {"energy_kj": "kJ", "energy_kcal": "kcal"}  # of what is not in grams


@dataclass(frozen=True, slots=True)
class Change:
    """A figure of a portion before and after [kJ, kcal, g]; None where it is not known.

    span: low and high of the difference; in_part: whether either is known for a part of the ingredients only.
    """

    key: str
    before: float | None
    after: float | None
    span: Ends | None
    in_part: bool

    @property
    def difference(self) -> float | None:
        """After less before."""
        return None if self.before is None or self.after is None else self.after - self.before

    @property
    def more_than_doubt(self) -> bool | None:
        """Whether the difference lies to one side of nothing, whatever is true within the doubt; None: not known."""
        if self.difference is None or self.span is None or self.in_part:
            return None
        least = (1.0 if self.key in UNITS else 0.01) / 2  # less is not declared, so nothing is said of it
        return abs(self.difference) >= least and (self.span[0] > 0 or self.span[1] < 0)

    @property
    def amount(self) -> str:
        """How much it rises or falls, as a cook would say it."""
        return UNKNOWN if self.difference is None else said(self.key, abs(self.difference))

    @property
    def ends(self) -> tuple[str, str] | None:
        """Between what it rises or falls, the smaller first, where the difference is more than the doubt."""
        if self.span is None or not self.more_than_doubt:
            return None
        low, high = (said(self.key, end) for end in sorted(map(abs, self.span)))
        return None if low == high else (low, high)


@dataclass(frozen=True, slots=True)
class Moved:
    """Allergens that a swap moves, each list in the order of Annex II.

    gone: contained before, and after it neither contained nor to be checked nor on a pack as "may contain"; what has
    to be checked now is in check_new. kinds: cereals or nuts where they change: gluten -> (wheat, oats) named before
    and after. still: to be checked before and after. sure: whether every line was understood after the swap.
    """

    gone: tuple[str, ...] = ()
    new: tuple[str, ...] = ()
    check_gone: tuple[str, ...] = ()
    check_new: tuple[str, ...] = ()
    may_gone: tuple[str, ...] = ()
    may_new: tuple[str, ...] = ()
    still: tuple[str, ...] = ()
    kinds: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    sure: bool = True


@dataclass(frozen=True, slots=True)
class WhatIf:
    """A dish before and after, the lines swapped, what to say of it; scaled: the list for `guests`, if asked."""

    before: DishResult
    after: DishResult
    done: tuple[Done, ...]
    notes: tuple[str, ...]
    guests: float | None = None
    scaled: tuple[Scaled, ...] = ()

    @property
    def changes(self) -> tuple[Change, ...]:
        """Every figure of the declaration."""
        spans = span_of_difference(self.before, self.after)
        part = {*known_in_part(self.before), *known_in_part(self.after)}
        unweighed = set(self.before.unweighed) != set(self.after.unweighed)
        return tuple(
            Change(key, self.before.per_portion[key], self.after.per_portion[key], spans[key], unweighed or key in part)
            for key in ORDER
        )

    @property
    def moved(self) -> Moved:
        """The allergens that come, go or have to be checked."""
        return moved(self.before, self.after)


def said(key: str, amount: float) -> str:
    """An amount of a figure, not below zero, in its unit; what is less than it is declared in is said to be little."""
    unit = UNITS.get(key, "g")
    least, places = (1.0, 0) if key in UNITS else (0.01, 2 if amount < 0.1 else 1 if amount < 10 else 0)
    if 0 < amount < least / 2:
        return say("declare.under", figure=f"{least:g} {unit}")
    return f"{amount:.{places}f} {unit}"


def span_of_difference(before: DishResult, after: DishResult) -> dict[str, Ends | None]:
    """Low and high of the difference of each figure of a portion, nine in ten; a doubt that both share cancels."""
    one, other = (result.batch.scaled(1 / result.portions) for result in (after, before))
    doubt = deviations(one, other)
    return {key: _span(before.per_portion[key], after.per_portion[key], *doubt[key]) for key in ORDER}


def _span(old: float | None, new: float | None, down: float, up: float) -> Ends | None:
    return None if old is None or new is None else (new - old - down, new - old + up)


def moved(before: DishResult, after: DishResult) -> Moved:
    """What moves between two answers. Nothing is gone that has to be checked, or that a pack may contain."""
    was, is_ = before.allergens, after.allergens
    named = {*is_.contains, *is_.check, *is_.may}
    same = [allergen for allergen in was.contains if allergen in is_.contains]
    return Moved(
        gone=_less(was.contains, named),
        new=_less(is_.contains, was.contains),
        check_gone=_less(was.check, named),
        check_new=_less(is_.check, was.check),
        may_gone=_less(was.may, named),
        may_new=_less(is_.may, was.may),
        still=tuple(allergen for allergen in is_.check if allergen in was.check),
        kinds={a: (was.named(a), is_.named(a)) for a in same if was.named(a) != is_.named(a)},
        sure=is_.complete,
    )


def _less(some: Iterable[str], others: Iterable[str]) -> tuple[str, ...]:
    left_out = set(others)
    return tuple(one for one in some if one not in left_out)


def of_food(food: Food) -> dict[str, float | None]:
    """What 100 g of a food hold, by the Regulation's way of counting: key -> [kcal] or [g], None where not known."""
    values = food.values
    sodium = values.get("NA")
    return {
        "energy_kcal": energy_regulation(values)[1] if {"PROCNT", "FAT"} <= values.keys() else None,
        "fat": values.get("FAT"),
        "saturates": values.get("FASAT"),
        "carbohydrate": available_carbohydrate(values),
        "sugars": values.get("SUGAR"),
        "protein": values.get("PROCNT"),
        "salt": None if sodium is None else salt(sodium),
    }
