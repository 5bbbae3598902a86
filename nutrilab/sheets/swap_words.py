"""What a swap changes, in words; texts are plain and wait to be escaped for their format."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from nutrilab.comparing import Change, WhatIf
from nutrilab.law.rounding import ORDER
from nutrilab.messages import as_portions, say
from nutrilab.results import DishResult
from nutrilab.sheets import sentences
from nutrilab.sheets.sentences import portion_figures, quoted
from nutrilab.swapping import Done


def title(key: str) -> str:
    """A figure as the table names it."""
    return ORDER[key]


def signed(change: Change) -> str:
    """A difference for a cell: "+12 kcal", "−0.3 g", "0"."""
    if change.difference is None or not change.amount[:1].isdigit():
        return change.amount  # not known, or "under 0.01 g"
    sign = "+" if change.difference > 0 else "−" if change.difference < 0 else ""
    return f"{sign}{change.amount}" if sign else "0"


def doubt(change: Change) -> str:
    """How a difference stands beside the doubt, for a cell."""
    if change.difference is None:
        return say("swapped.not-known")
    if change.difference == 0:
        return say("swapped.no-change")
    if change.more_than_doubt is None:
        return say("swapped.not-known-for-all")
    if not change.more_than_doubt:
        return say("swapped.less-than-doubt")
    if not change.ends:
        return say("swapped.more-than-doubt")
    return say("swapped.more-than-doubt-between", low=change.ends[0], high=change.ends[1])


def rows(found: WhatIf) -> list[tuple[str, str, str, str, str, str]]:
    """Every figure of a portion: its key and name, before, after, the difference, how that stands beside the doubt."""
    before, after = (portion_figures(dish) for dish in (found.before, found.after))
    return [
        (one.key, title(one.key), before[one.key], after[one.key], signed(one), doubt(one)) for one in found.changes
    ]


def first(found: WhatIf) -> list[str]:
    """The answer in two sentences: calories and salt."""
    by_key = {change.key: change for change in found.changes}
    return [_sentence(key, by_key[key]) for key in ("energy_kcal", "salt")]


def _sentence(key: str, change: Change) -> str:
    if not change.difference:
        words = say("swapped.difference-not-known") if change.difference is None else say("swapped.no-change")
        return say("swapped.figure", figure=say(f"sheet.figure.{key}"), words=words)
    way = "rise" if change.difference > 0 else "fall"
    return say(f"swapped.{way}.{key}", amount=change.amount, doubt=doubt(change))


def swapped(done: Done) -> str:
    """One line that changed, and where."""
    where = say("swapped.place", stage=done.stage or say("swapped.served-with"), line=done.line)
    where = say("swapped.place-of", place=where, file=done.file) if done.file else where
    stand = done.grams_stand and done.old != done.new
    key = "swapped.becomes-grams-stand" if stand else "swapped.becomes"
    return say(key, place=where, old=quoted([done.old]), new=quoted([done.new]))


def portions(found: WhatIf) -> str:
    """Portions before and after, where they differ; empty where they do not."""
    old, new = found.before, found.after
    if old.portions == new.portions and f"{old.portion_weight:.0f}" == f"{new.portion_weight:.0f}":
        return ""
    return say("swapped.portions", before=_portions(old), after=_portions(new))


def _portions(result: DishResult) -> str:
    return sentences.portions(result)


def allergens(found: WhatIf) -> Iterator[tuple[str, str]]:
    """What moves among the allergens, as (kind, sentence)."""
    moved, was, is_ = found.moved, found.before.allergens, found.after.allergens
    for a in moved.new:
        yield "new", say("swapped.new", allergen=is_.named(a), why=_because(a, is_.contains))
    for a, (old, new) in moved.kinds.items():
        yield "kind", say("swapped.kinds", allergen=a, before=old, after=new, why=_because(a, is_.contains))
    for a in moved.check_new:
        key = "swapped.check-now" if a in was.contains else "swapped.check-new"
        yield "check", say(key, allergen=a, why=_because(a, is_.check))
    for a in moved.may_new:
        yield "may", say("swapped.may-new", allergen=a, why=_because(a, is_.may))
    yield from (("check", say("swapped.still", allergen=a)) for a in moved.still)
    last = say("swapped.no-promise" if moved.sure else "swapped.may-be-there")
    for words, some in (("gone", moved.gone), ("check-gone", moved.check_gone), ("may-gone", moved.may_gone)):
        yield from (("gone", say(f"swapped.{words}", allergen=a, last=last)) for a in some)


def _because(allergen: str, evidence: Mapping[str, Sequence[str]]) -> str:
    return "; ".join(one.removeprefix(f"{allergen}: ") for one in evidence[allergen])


def nothing_moves(found: WhatIf) -> str:
    """What is said where no allergen moves."""
    return say("swapped.none-moves") if not any(allergens(found)) else ""


def guests(found: WhatIf) -> str:
    """The head of the scaled list."""
    weight = f"{found.after.portion_weight:.0f} g"
    return say("swapped.guests", portions=as_portions(found.guests or 0), weight=weight)
