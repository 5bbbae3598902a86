"""The short declaration label for packed food, and beside it what the cook has to do before it is printed.

Regulation (EU) No 1169/2011: name and ingredients list (Articles 17 to 22), nutrition declaration in a table with the
numbers aligned (Article 34(2)), per 100 g and beside it per portion (Articles 32 and 33), letters of 1.2 mm and more
(Article 13(2)). Points from memory.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from nutrilab.allergens.ingredients_list import Entry, Run
from nutrilab.datafiles import rows
from nutrilab.declaration import Declaration, declare
from nutrilab.law.rounding import PARTS
from nutrilab.messages import say
from nutrilab.results import DishResult
from nutrilab.sheets.because import Because, because
from nutrilab.sheets.sentences import improbable, on_a_label, too_low
from nutrilab.sheets.templating import render
from nutrilab.tracing import ingredients


@dataclass(frozen=True, slots=True)
class DeclaredRow:
    """A row of the declaration: its title, and its figures as declared per 100 g (or ml) and a portion, by key."""

    title: str
    part: bool
    figures: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Listed:
    """An ingredient as the label lists it: its runs, and the numbers of what the cook has still to fill in there."""

    runs: tuple[Run, ...]
    open: tuple[int, ...]


def label(result: DishResult) -> str:
    """The label of a dish as an HTML page; what is for the cook stands outside its frame, by number."""
    told = declare(result)
    counted = told.basis
    entries, to_fill = _listed(ingredients(result))
    return render(
        "label.html.j2",
        name=result.recipe.dish,
        entries=entries,
        to_fill=to_fill,
        may=tuple(result.allergens.may),
        unresolved=result.allergens.unresolved,
        not_counted=result.not_counted,
        improbable=[remark.message for remark in improbable(result)],
        contains=[result.allergens.named(one) for one in result.allergens.contains],
        because=[(_asked(one, result), one.why) for one in because(result) if one.kind != "contains"],
        rows=declared_rows(told),
        per_100=counted.words,
        portion=f"({counted.portion:.0f} {counted.unit})",
        counted_by=counted.remark,
        on_label=on_a_label(result),
        partly_known=too_low(result),
        missing=tuple(row["particular"] for row in rows("label_particulars.csv")),
        cautions=result.cautions,
    )


def _asked(one: Because, result: DishResult) -> str:
    """What the cook has to do about an allergen; why stands behind it."""
    if one.kind == "may":
        return say("label.may", allergen=one.allergen)
    if one.allergen in result.allergens.contains:
        return say("label.check-too", allergen=one.allergen)
    return say("label.check", allergen=one.allergen)


def _listed(entries: Iterable[Entry]) -> tuple[list[Listed], list[str]]:
    """The entries with numbers where something is to be filled in, and what that is, one sentence a number."""
    listed: list[Listed] = []
    to_fill: list[str] = []
    for entry in entries:
        name = "".join(run.text for run in entry.runs if run.kind != "check").strip()
        wanted = [run.text.strip(" []") for run in entry.runs if run.kind == "check"]
        wanted += [] if entry.weighed else [say("label.not-weighed")]
        numbers = tuple(range(len(to_fill) + 1, len(to_fill) + len(wanted) + 1))
        to_fill += [say("label.fill-in", name=name, what=what) for what in wanted]
        listed.append(Listed(tuple(run for run in entry.runs if run.kind != "check"), numbers))
    return listed, to_fill


def declared_rows(told: Declaration) -> tuple[DeclaredRow, ...]:
    """The declaration in the Regulation's order, kJ and kcal in one row."""
    found: dict[str, list[tuple[str, str, str]]] = {}
    for one in told.figures:
        found.setdefault(one.title, []).append((one.key, one.declared_per_100, one.declared_per_portion))
    return tuple(DeclaredRow(title, figures[0][0] in PARTS, tuple(figures)) for title, figures in found.items())
