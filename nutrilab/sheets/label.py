"""The short declaration label for packed food, and beside it what the cook has to do before it is printed.

Regulation (EU) No 1169/2011: name and ingredients list (Articles 17 to 22), nutrition declaration in a table with the
numbers aligned (Article 34(2)), per 100 g and beside it per portion (Articles 32 and 33), letters of 1.2 mm and more
(Article 13(2)). Points from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

from nutrilab.datafiles import rows
from nutrilab.declaration import Declaration, declare
from nutrilab.results import DishResult
from nutrilab.sheets.sentences import improbable, not_counted, too_low
from nutrilab.sheets.templating import render
from nutrilab.tracing import ingredients


@dataclass(frozen=True, slots=True)
class DeclaredRow:
    """A row of the declaration: its title, and its figures as declared per 100 g (or ml) and a portion, by key."""

    title: str
    part: bool
    figures: tuple[tuple[str, str, str], ...]


def label(result: DishResult) -> str:
    """The label of a dish as an HTML page."""
    entries = ingredients(result)
    told = declare(result)
    counted = told.basis
    return render(
        "label.html.j2",
        name=result.recipe.dish,
        entries=entries,
        to_fill=any(run.kind == "check" for entry in entries for run in entry.runs),
        unweighed=any(not entry.weighed for entry in entries),
        may=tuple(result.allergens.may),
        unresolved=result.allergens.unresolved,
        not_counted=not_counted(result),
        improbable=[remark.message for remark in improbable(result)],
        allergens=result.allergens,
        rows=declared_rows(told),
        per_100=counted.words,
        portion=f"portion ({counted.portion:.0f} {counted.unit})",
        counted_by=counted.remark,
        partly_known=too_low(result),
        missing=tuple(row["particular"] for row in rows("label_particulars.csv")),
        cautions=result.cautions,
    )


def declared_rows(told: Declaration) -> tuple[DeclaredRow, ...]:
    """The declaration in the Regulation's order, kJ and kcal in one row."""
    found: dict[str, list[tuple[str, str, str]]] = {}
    for one in told.figures:
        found.setdefault(one.title, []).append((one.key, one.declared_per_100, one.declared_per_portion))
    return tuple(DeclaredRow(title, title.startswith("of which"), tuple(figures)) for title, figures in found.items())
