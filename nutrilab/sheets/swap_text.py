"""A swap on the terminal: what was swapped, the answer, the figures before and after, the allergens, the cautions."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from nutrilab.comparing import WhatIf
from nutrilab.messages import say
from nutrilab.sheets import swap_words
from nutrilab.sheets.answer import in_full
from nutrilab.sheets.sentences import portion_figures
from nutrilab.sheets.terminal import clean, console_of, text_of


def swap(found: WhatIf, width: int | None = None, colour: bool = False) -> str:
    """A dish before and after as text."""
    console, sink = console_of(width, colour)
    console.rule(
        f"[bold]{clean(say('swapped.title', dish=found.before.recipe.dish))}[/bold]", align="left", characters="-"
    )
    for done in found.done:
        console.print(clean(swap_words.swapped(done)))
    for sentence in swap_words.first(found):
        console.print(f"[bold]{clean(sentence)}[/bold]")
    if words := swap_words.portions(found):
        console.print(words)
    for note in found.notes:
        console.print(clean(say("swapped.note", note=note)))
    _allergens(console, found)
    console.print()
    console.print(_figures(found))
    console.print(say("swapped.doubt"))
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
    table.add_column(say("sheet.a-portion"))
    for head in (say("swapped.before").lower(), say("swapped.after").lower(), say("swapped.difference")):
        table.add_column(head, justify="right")
    table.add_column("")
    both = [portion_figures(result) for result in (found.before, found.after)]
    for change in found.changes:
        figures = (told[change.key] for told in both)
        table.add_row(swap_words.title(change.key), *figures, swap_words.signed(change), swap_words.doubt(change))
    return table


def _allergens(console: Console, found: WhatIf) -> None:
    console.print(f"\n[bold]{say('swapped.moved')}[/bold]")
    for _, sentence in swap_words.allergens(found):
        console.print(Padding(clean(sentence), (0, 0, 0, 2)))
    if words := swap_words.nothing_moves(found):
        console.print(Padding(words, (0, 0, 0, 2)))
    for head, result in (("swapped.before", found.before), ("swapped.after", found.after)):
        console.print(f"\n[bold]{say(head)}[/bold]")
        for sentence in in_full(result):
            console.print(Padding(clean(sentence), (0, 0, 0, 2)))
