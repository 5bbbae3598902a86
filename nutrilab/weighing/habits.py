"""Lines without an amount: what common practice uses, and lines nothing is known of."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from nutrilab.datafiles import AT, rows
from nutrilab.messages import as_portions, say
from nutrilab.plain import brief, quoted
from nutrilab.remarks import Code, Remark
from nutrilab.text import words
from nutrilab.weighing.asked import Asked, Ground, Span, Weight, cells, in_grams, result
from nutrilab.weighing.phrases import Phrases, kinds_named, thing

PORTIONS = 4.0  # dish that amounts a portion are counted for when nobody says how many it serves


@dataclass(frozen=True, slots=True)
class _Habit:
    span: Span
    purposes: tuple[str, ...]
    place: str


@cache
def _habits() -> Phrases[_Habit]:
    return Phrases(
        (row["words"], _Habit(cells(row), tuple(p for p in row["purpose"].split("|") if p), row[AT]))
        for row in rows("no_amount.csv")
    )


SEASONING = 1.0  # [g a portion] at most what is used of salt, pepper, a spice (common practice, no source)


def is_seasoning(name: str) -> bool:
    """Whether common practice uses so little of a food that it never shares the amount of another one."""
    found = _habits().best(thing(words(name)), kinds_named(name, None), lambda phrase: not phrase.row.purposes)
    return found is not None and found.row.span.grams <= SEASONING


def by_habit(asked: Asked, portions: float) -> Weight:
    """No ground held: what common practice uses of it, or no grams and a remark that says so."""
    if asked.count is not None:
        message = say("weight.not-known", line=quoted(asked.line.text.strip()))
        return Weight(None, None, None, Ground.NONE, (Remark(Code.WEIGHT_UNKNOWN, message),))
    purpose = f"{asked.line.purpose or ''} {asked.line.size or ''}".lower()
    found = _habits().best(
        asked.order, asked.kinds, lambda p: not p.row.purposes or any(word in purpose for word in p.row.purposes)
    )
    if not found:
        message = say("weight.no-amount", food=brief(asked.name))
        return Weight(None, None, None, Ground.NONE, (Remark(Code.NO_AMOUNT, message),))
    span = found.row.span.times(portions)
    message = say("weight.by-habit", food=brief(asked.name), weight=in_grams(span), portions=as_portions(portions))
    return result(span, Ground.PRACTICE, Remark(Code.COMMON_PRACTICE_AMOUNT, message), place=found.row.place)
