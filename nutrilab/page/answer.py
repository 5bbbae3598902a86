"""The answer on what stands in the window, and what to settle first: the words of the sheets, in the page's order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from nutrilab.declaration import Figure, declare
from nutrilab.folder import Dish
from nutrilab.messages import say
from nutrilab.page.look import Look
from nutrilab.page.rows import Found, ToDo, to_do
from nutrilab.settling import settle_first, weigh_next
from nutrilab.sheets import sentences
from nutrilab.sheets.because import KINDS, because
from nutrilab.sheets.pictures import between
from nutrilab.tracing import named_place


@dataclass(frozen=True, slots=True)
class Answer:
    """What is said of a dish first.

    figures: of a portion, "" where nobody said how many there are; groups: what it contains, what to check, what packs
    say it may contain, each with its word; missing: what keeps it from being complete, with the lines; complete: the
    sentence for one that is.
    """

    figures: str
    groups: tuple[tuple[str, str, str], ...]
    missing: tuple[tuple[str, tuple[str, ...]], ...]
    complete: str
    portions: str
    table: tuple[tuple[str, Figure, str], ...]
    per_100: str
    too_low: str
    why: tuple[tuple[str, str], ...]
    remarks: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]


def answer(look: Look) -> Answer | None:
    """The answer on a dish that can be cooked."""
    dish = look.dish
    if dish is None:
        return None
    told = because(dish)
    groups = []
    for kind in KINDS:
        names = ", ".join(one.named for one in told if one.kind == kind)
        if names or kind == "contains":
            groups.append((kind, say(f"sheet.{kind}"), names or say("sheet.nothing-found")))
    missing = [
        (say(words), tuple(lines))
        for words, lines in (
            ("sheet.not-understood", dish.allergens.unresolved),
            ("sheet.not-counted", dish.not_counted),
        )
        if lines
    ]
    figures = declare(dish)
    return Answer(
        figures="" if look.guessed else sentences.first_figures(dish),
        groups=tuple(groups),
        missing=tuple(missing),
        complete=say("sheet.complete") if dish.complete else "",
        portions="" if look.guessed else f"{sentences.portions(dish)}.",
        table=() if look.guessed else tuple(_row(one) for one in figures.figures),
        per_100=figures.basis.words,
        too_low=sentences.too_low(dish),
        why=tuple((one.named, one.why if one.kind == "contains" else f"{one.answer}; {one.why}") for one in told),
        remarks=_remarks(dish),
        cautions=dish.cautions,
    )


def _row(one: Figure) -> tuple[str, Figure, str]:
    return one.title, one, between(one.key, one.ends) if one.ends else ""


def _remarks(dish: Dish) -> tuple[tuple[str, str], ...]:
    """What else asks to be looked at, and is not among what to settle first."""
    said = {one.what.rstrip(".") for one in settle_first(dish)}
    left = [one for one in sentences.asking(dish) if one.message.rstrip(".") not in said]
    return tuple((named_place(dish, one.stage, one.line), one.message) for one in left)


def settle(look: Look, lines: Sequence[Found]) -> tuple[ToDo | None, tuple[ToDo, ...]]:
    """What to weigh next, and what else to settle first."""
    if look.dish is None:
        return None, ()
    weigh = weigh_next(look.dish)
    first = to_do(weigh, lines) if weigh else None
    others = tuple(to_do(one, lines) for one in settle_first(look.dish) if weigh is None or one.what != weigh.what)
    return replace(first, what=first.what) if first else None, others


def spoken(found: Answer | None, problem: str) -> str:
    """The answer in a breath, for who hears the page."""
    if found is None:
        return problem
    groups = "; ".join(f"{word}: {names}" for _, word, names in found.groups)
    end = found.complete or " ".join(sentence for sentence, _ in found.missing)
    return " ".join(filter(None, (f"{found.figures}." if found.figures else say("desk.how-many"), f"{groups}.", end)))
