"""A swap on the terminal: what was swapped, the answer, the figures before and after, the allergens, the cautions."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from nutrilab.comparing import WhatIf
from nutrilab.sheets import swap_words
from nutrilab.sheets.sentences import allergens as answer
from nutrilab.sheets.sentences import gaps, portion_figure
from nutrilab.sheets.terminal import clean, console_of, text_of


def swap(found: WhatIf, width: int | None = None, colour: bool = False) -> str:
    """A dish before and after as text."""
    console, sink = console_of(width, colour)
    console.rule(f"[bold]What if: {clean(found.before.recipe.dish)}[/bold]", align="left", characters="-")
    for done in found.done:
        console.print(clean(swap_words.swapped(done)))
    for sentence in swap_words.first(found):
        console.print(f"[bold]{clean(sentence)}[/bold]")
    if words := swap_words.portions(found):
        console.print(words)
    for note in found.notes:
        console.print(f"Note: {clean(note)}")
    _allergens(console, found)
    console.print()
    console.print(_figures(found))
    console.print(swap_words.DOUBT)
    if found.guests is not None:
        console.print(f"\n[bold]{clean(swap_words.guests(found))}[/bold]")
        for line in found.scaled:
            console.print(Padding(f"{clean(line.stage)}: {clean(line.scaled)}", (0, 0, 0, 2)))
    console.print()
    for caution in found.after.cautions:
        console.print(caution)
    return text_of(sink)


def _figures(found: WhatIf) -> Table:
    table = Table(box=None, pad_edge=False, header_style="bold")
    table.add_column("a portion")
    for head in ("before", "after", "difference"):
        table.add_column(head, justify="right")
    table.add_column("")
    for change in found.changes:
        figures = (portion_figure(result, change.key) for result in (found.before, found.after))
        table.add_row(swap_words.title(change.key), *figures, swap_words.signed(change), swap_words.doubt(change))
    return table


def _allergens(console: Console, found: WhatIf) -> None:
    console.print("\n[bold]Allergens that move[/bold]")
    for _, sentence in swap_words.allergens(found):
        console.print(Padding(clean(sentence), (0, 0, 0, 2)))
    if words := swap_words.nothing_moves(found):
        console.print(Padding(words, (0, 0, 0, 2)))
    for head, result in (("Before", found.before), ("After", found.after)):
        console.print(f"\n[bold]{head}[/bold]")
        for sentence in (*answer(result), *gaps(result)):
            console.print(Padding(clean(sentence), (0, 0, 0, 2)))
