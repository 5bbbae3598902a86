"""What a swap changes, in words; texts are plain and wait to be escaped for their format."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from nutrilab.comparing import Change, WhatIf
from nutrilab.law.rounding import ORDER
from nutrilab.sheets.sentences import quoted
from nutrilab.swapping import Done

NO_PROMISE = "nothing in the words points to it any more; that is no promise that it is absent"
DOUBT = (
    "The doubt is that of the difference, nine times in ten: what both dishes share, such as the same unweighed tray, "
    "does not count."
)


def title(key: str) -> str:
    """A figure as the table names it."""
    return ORDER[key]


def signed(change: Change) -> str:
    """A difference for a cell: "+12 kcal", "−0.3 g", "0"."""
    if change.difference is None:
        return change.amount
    sign = "+" if change.difference > 0 else "−" if change.difference < 0 else ""
    return f"{sign}{change.amount}" if sign else "0"


def doubt(change: Change) -> str:
    """How a difference stands beside the doubt, for a cell."""
    if change.difference is None:
        return "not known"
    if change.difference == 0:
        return "no change"
    if change.more_than_doubt is None:
        return "not known for every ingredient"
    return f"more than the doubt{_between(change)}" if change.more_than_doubt else "less than the doubt"


def _between(change: Change) -> str:
    return f": {change.ends[0]} to {change.ends[1]}" if change.ends else ""


def first(found: WhatIf) -> list[str]:
    """The answer in two sentences: calories and salt."""
    by_key = {change.key: change for change in found.changes}
    return [_sentence("Calories", by_key["energy_kcal"]), _sentence("Salt", by_key["salt"])]


def _sentence(name: str, change: Change) -> str:
    if change.difference is None:
        return f"{name}: the difference is not known."
    if change.difference == 0:
        return f"{name}: no change."
    way = "rise" if change.difference > 0 else "fall"
    verb = way if name == "Calories" else f"{way}s"
    return f"{name} {verb} by {change.amount} a portion, {doubt(change)}."


def swapped(done: Done) -> str:
    """One line that changed, and where."""
    place = f"{done.stage}, line {done.line}" if done.stage else f"served with it, line {done.line}"
    where = f"{place} of {done.file}" if done.file else place
    stands = "; the old grams stand" if done.grams_stand and done.old != done.new else ""
    return f"{where}: {quoted([done.old])} becomes {quoted([done.new])}{stands}"


def portions(found: WhatIf) -> str:
    """Portions before and after, where they differ; empty where they do not."""
    old, new = found.before, found.after
    if old.portions == new.portions and f"{old.portion_weight:.0f}" == f"{new.portion_weight:.0f}":
        return ""
    return (
        f"Before: {old.portions:g} portions of {old.portion_weight:.0f} g. "
        f"After: {new.portions:g} portions of {new.portion_weight:.0f} g."
    )


def allergens(found: WhatIf) -> Iterator[tuple[str, str]]:
    """What moves among the allergens, as (kind, sentence)."""
    moved, was, is_ = found.moved, found.before.allergens, found.after.allergens
    yield from (("new", f"{is_.named(a)}: new; {_because(a, is_.contains)}") for a in moved.new)
    for allergen, (old, new) in moved.kinds.items():
        yield "kind", f"{allergen}: named {old} before, {new} after; {_because(allergen, is_.contains)}"
    for a in moved.check_new:
        before = "contained before, and now it depends on the product" if a in was.contains else "new to check"
        yield "check", f"{a}: {before}, look at the pack; {_because(a, is_.check)}"
    yield from (("may", f"{a}: new, a pack says it may contain it; {_because(a, is_.may)}") for a in moved.may_new)
    yield from (("check", f"{a}: still to be checked on the pack") for a in moved.still)
    last = NO_PROMISE if moved.sure else "not named any more, but a line was not understood, so it may still be there"
    yield from (("gone", f"{a}: contained before; {last}") for a in moved.gone)
    yield from (("gone", f"{a}: was to be checked; {last}") for a in moved.check_gone)
    yield from (("gone", f"{a}: a pack said it may contain it; {last}") for a in moved.may_gone)


def _because(allergen: str, evidence: Mapping[str, Sequence[str]]) -> str:
    return "; ".join(one.removeprefix(f"{allergen}: ") for one in evidence[allergen])


def nothing_moves(found: WhatIf) -> str:
    """What is said where no allergen moves."""
    return "No allergen comes, goes or changes by what the words say." if not any(allergens(found)) else ""


def guests(found: WhatIf) -> str:
    """The head of the scaled list."""
    return (
        f"The list for {found.guests:g} portions of {found.after.portion_weight:.0f} g; "
        "weigh the pot again: another pot loses another share of its water"
    )
