"""The terminal view: the answer, what to settle first, the figures, why; on request where each figure comes from."""

from __future__ import annotations

import io
from collections.abc import Iterable
from typing import Any

from rich.console import Console
from rich.markup import escape
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from nutrilab.allergens import cautions
from nutrilab.as_read import cooked_as_read
from nutrilab.cooking.balance import Step
from nutrilab.declaration import MICRONUTRIENT_REMARK, Figure, declare, vitamins_of
from nutrilab.explaining import Said
from nutrilab.foods import Food
from nutrilab.ingredients import as_text
from nutrilab.law.levels import REFERENCE_STATEMENT
from nutrilab.law.rounding import PARTS, short_name
from nutrilab.messages import say
from nutrilab.remarks import Remark
from nutrilab.results import DishResult, LineRecord
from nutrilab.settling import settle_first
from nutrilab.sheets.because import KINDS, because
from nutrilab.sheets.pictures import between
from nutrilab.sheets.safe import plain
from nutrilab.sheets.sentences import (
    asking,
    counted_by,
    cups,
    doubts,
    first_figures,
    narrowing,
    notes,
    on_a_label,
    percent,
    portions,
    too_low,
)
from nutrilab.sheets.trace import ground_of
from nutrilab.sheets.units import together
from nutrilab.tracing import all_stages, credits, ingredients, named_place

WIDTH = 80
WIDE = 72  # characters from which all columns of the figures have room
_FLOWS = ("balance.in", "balance.taken-up", "balance.out", "balance.lost", "balance.left-over")
_OF_LINES = ("lines.line", "lines.grams", "lines.food", "lines.how-sure", "lines.allergens")
LINES_WIDE = 90  # characters from which a line of a recipe is a row of a table
_KEPT = "\ue000"  # a space that does not break: rich breaks lines at the common sign for it too


class _Console(Console):
    """A console that keeps units with their numbers."""

    def render_str(self, text: str, **how: Any) -> Text:
        return super().render_str(together(text, _KEPT), **how)


def console_of(width: int | None, colour: bool) -> tuple[Console, io.StringIO]:
    """A console that writes into memory, at most 120 characters wide, and that memory."""
    sink = io.StringIO()
    console = _Console(
        file=sink,
        width=min(width or WIDTH, 120),
        force_terminal=colour,
        color_system="standard" if colour else None,
        highlight=False,
        emoji=False,
    )
    return console, sink


def text_of(sink: io.StringIO) -> str:
    """What a console wrote, without blanks at the ends of lines."""
    return "\n".join(line.rstrip() for line in sink.getvalue().replace(_KEPT, " ").splitlines()) + "\n"


def clean(text: str) -> str:
    """Text of a person or a file, safe in a terminal: no control characters, no markup."""
    return escape(plain(text))


def dish(
    result: DishResult,
    width: int | None = None,
    colour: bool = False,
    balance: bool = False,
    vitamins: bool = False,
    explain: bool = False,
) -> str:
    """One dish as text.

    balance: with what went into and out of every stage; vitamins: with those that tell; explain: with the words behind
    every allergen, weights, cooking, notes and sources.
    """
    console, sink = console_of(width, colour)
    _head(console, result)
    _settle(console, result)
    _figures(console, result)
    if vitamins:
        _vitamins(console, result)
    _because(console, result)
    console.print(f"\n{clean(as_text(ingredients(result)))}")
    _to_check(console, result)
    if explain:
        _explained(console, result)
    if balance:
        _balance(console, result)
    console.print()
    if not explain and result.recipe.path is not None:
        console.print(clean(say("sheet.more", file=result.recipe.path.name)))
    for caution in result.cautions:
        console.print(caution)
    console.print(clean(f"{'. '.join(credits(result))}."))
    return text_of(sink)


def _head(console: Console, result: DishResult) -> None:
    console.rule(f"[bold]{clean(result.recipe.dish)}[/bold]", align="left", characters="-")
    console.print(f"[bold]{first_figures(result)}[/bold]")
    told = because(result)
    for kind in KINDS:
        names = [one.named for one in told if one.kind == kind]
        title = say(f"sheet.{kind}").capitalize()
        if names:
            console.print(f"[bold]{title}: {clean(', '.join(names))}[/bold]")
        elif kind == "contains":
            console.print(f"[bold]{title}:[/bold] {say('sheet.nothing-found')}")
    for words, lines in (
        ("sheet.not-understood", result.allergens.unresolved),
        ("sheet.not-counted", result.not_counted),
    ):
        if lines:
            console.print(f"[bold]{say(words)}[/bold]")
        for text in lines:
            console.print(Padding(clean(text), (0, 0, 0, 2)))
    console.print(f"[bold]{say('sheet.not-named')}[/bold]")
    if result.complete:
        console.print(say("sheet.complete"))
    console.print(f"{portions(result)}.")


def _settle(console: Console, result: DishResult) -> None:
    """What to do first, each with its place and its cure."""
    found = settle_first(result)
    if not found:
        return
    console.print(f"\n[bold]{say('sheet.settle')}[/bold]")
    table = Table(box=None, show_header=False, padding=(0, 0, 0, 1))
    for number, one in enumerate(found, 1):
        place = f"{one.where}: " if one.where else ""
        table.add_row(f"{number}.", f"[bold]{clean(one.what)}[/bold]\n{clean(place + one.do)}")
    console.print(table)


def _because(console: Console, result: DishResult) -> None:
    """A line an allergen: who swaps one ingredient has to see the others."""
    told = because(result)
    if told:
        console.print(f"\n[bold]{say('sheet.because')}[/bold]")
    for one in told:
        check = "" if one.kind == "contains" else f"{one.answer}; "
        console.print(Padding(f"{clean(one.named)}: {check}{clean(one.why)}", (0, 0, 0, 2)))


def _figures(console: Console, result: DishResult) -> None:
    """All columns where there is room; on a narrow screen day and level follow as a sentence."""
    told, wide = declare(result), console.width >= WIDE
    table = Table(box=None, pad_edge=False, header_style="bold")
    table.add_column("")
    heads = (told.basis.words, say("sheet.a-portion"), say("sheet.likely"), say("sheet.of-a-day"), say("sheet.level"))
    for head in heads if wide else heads[:3]:
        table.add_column(head, justify="right")
    for one in told.figures:
        spread = between(one.key, one.ends) if one.ends else ""
        amounts = (one.declared_per_100, one.declared_per_portion, spread, one.percent_of_day, one.level or "")
        table.add_row(("  " if one.key in PARTS else "") + together(one.title), *(amounts if wide else amounts[:3]))
    console.print()
    console.print(table)
    if not wide:
        shares = ", ".join(map(_of_day, (one for one in told.figures if one.percent_of_day and one.key != "energy_kj")))
        console.print(say("sheet.of-a-day-line", shares=shares))
    if words := too_low(result):
        console.print(f"[bold]{clean(words)}[/bold]")
    for words in narrowing(result, settle_first(result)):
        console.print(clean(words))
    for words in (REFERENCE_STATEMENT, *cups(result)):
        console.print(f"{words}.")
    if told.basis.remark:
        console.print(told.basis.remark)


def _of_day(one: Figure) -> str:
    """ "fat 31% (high)"."""
    level = f" ({one.level})" if one.level else ""
    return f"{short_name(one.key)} {one.percent_of_day}{level}"


def _explained(console: Console, result: DishResult) -> None:
    """The sentences behind every allergen, weights, cooking as read, notes, sources."""
    found = result.allergens
    for kind, sentences in (("contains", found.contains), ("check", {**found.check, **found.also}), ("may", found.may)):
        if sentences:
            console.print(f"\n[bold]{say(f'sheet.words.{kind}')}[/bold]")
        for evidence in sentences.values():
            for sentence in evidence:
                console.print(Padding(clean(sentence), (0, 0, 0, 2)))
    _weights(console, result)
    _as_read(console, result)
    console.print(f"\n[bold]{say('sheet.on-label-title')}[/bold]")
    for sentence in on_a_label(result):
        console.print(Padding(f"{clean(sentence)}.", (0, 0, 0, 2)))
    if told := notes(result):
        console.print(f"\n[bold]{say('sheet.notes')}[/bold]")
    for remark in told:
        _remark(console, result, remark)
    console.print(f"\n[bold]{say('sheet.foods-tables')}[/bold]")
    for sentence in counted_by(result):
        console.print(Padding(f"{clean(sentence)}.", (0, 0, 0, 2)))
    for table in result.tables:
        about = table.provenance
        console.print(Padding(clean(f"{about.source}, {about.version}; {about.licence}."), (0, 0, 0, 2)))


def _vitamins(console: Console, result: DishResult) -> None:
    """Vitamins and minerals with a significant amount, or that there is none."""
    found = vitamins_of(result)
    console.print(f"\n[bold]{say('sheet.vitamins')}[/bold]")
    if not found:
        console.print(Padding(say("sheet.no-vitamins"), (0, 0, 0, 2)))
        return
    table = Table(box=None, pad_edge=False, header_style="bold")
    table.add_column("")
    for head in (declare(result).basis.words, "", say("sheet.a-portion"), "", say("sheet.how-far-known")):
        table.add_column(head, justify="right", overflow="fold")
    for one in found:
        per_portion = (one.declared_per_portion, one.percent_per_portion)
        table.add_row(one.name, one.declared_per_100, one.percent_per_100, *per_portion, one.coverage_words)
    console.print(table)
    console.print(MICRONUTRIENT_REMARK)


def _weights(console: Console, result: DishResult) -> None:
    """What each stage weighs before and after, and how that is known."""
    console.print(f"\n[bold]{say('sheet.weights')}[/bold]")
    for stage in all_stages(result):
        r = stage.result
        before, after = (f"{batch.mass:.0f} g" for batch in (r.raw, r.cooked))
        told = say("sheet.weight-of", stage=stage.stage.name, before=before, after=after, how=ground_of(r.weight_from))
        console.print(Padding(clean(told), (0, 0, 0, 2)))
        for step in r.steps:
            if step.factor and step.source:
                console.print(Padding(clean(_factor(step)), (0, 0, 0, 4)))


def _as_read(console: Console, result: DishResult) -> None:
    """How the written method was understood, so that the cook can object."""
    rows = cooked_as_read(result)
    if not rows:
        return
    console.print(f"\n[bold]{say('sheet.as-read')}[/bold]")
    for row in rows:
        factor = f" ({say('sheet.factor', factor=f'{row.factor:.2f}')})" if row.factor is not None else ""
        foods = f"{', '.join(row.foods)}: " if row.foods else ""
        weights = say("sheet.before-after", before=f"{row.before:.0f} g", after=f"{row.after:.0f} g")
        console.print(Padding(clean(f"{row.stage}: {foods}{row.done}; {weights}{factor}"), (0, 0, 0, 2)))


def _factor(step: Step) -> str:
    """A factor with its range and source: "water lost: factor 0.75 (0.70 to 0.80), Bognar 2002"."""
    factor = say("sheet.factor", factor=f"{step.factor:.2f}")
    if step.low is not None and step.high is not None:
        factor += f" ({say('sheet.low-to-high', low=f'{step.low:.2f}', high=f'{step.high:.2f}')})"
    return f"{step.name}: {factor}, {step.source}"


def _balance(console: Console, result: DishResult) -> None:
    """In and taken up = out, lost and left over, for every stage, and the steps that moved something."""
    for stage in all_stages(result):
        console.print(f"\n[bold]{clean(say('sheet.balance', stage=stage.stage.name))}[/bold]")
        table = Table(box=None, pad_edge=False, header_style="bold")
        table.add_column("")
        for head in map(say, _FLOWS):
            table.add_column(head, justify="right", overflow="fold")
        for name, unit, *amounts in stage.result.balance.rows():
            table.add_row(f"{name} [{unit}]".replace("[", "\\["), *(f"{amount:.1f}" for amount in amounts))
        console.print(table)
        for step in stage.result.steps:
            source = f" ({clean(step.source)})" if step.source else ""
            console.print(Padding(f"{clean(step.name)}: {clean(step.words)}{source}", (0, 0, 0, 2)))


def _to_check(console: Console, result: DishResult) -> None:
    """Lines read with doubt, and the remarks that ask for something and are not among what to settle first."""
    said = {one.what.rstrip(".") for one in settle_first(result)}
    doubtful = doubts(result)
    left = [remark for remark in asking(result) if remark.message.rstrip(".") not in said]
    if doubtful or left:
        console.print(f"\n[bold]{say('sheet.to-check')}[/bold]")
    for text, words in doubtful:
        console.print(Padding(f"{clean(text)}: {clean(words)}", (0, 0, 0, 2)))
    for remark in left:
        _remark(console, result, remark)


def _remark(console: Console, result: DishResult, remark: Remark) -> None:
    place = named_place(result, remark.stage, remark.line)
    console.print(Padding(clean(f"{place}: {remark.message}" if place else remark.message), (0, 0, 0, 2)))


def lines(records: Iterable[LineRecord], width: int | None = None, colour: bool = False) -> str:
    """Ingredient lines as a table; on a narrow screen a line is a short paragraph."""
    console, sink = console_of(width or 120, colour)
    rows = [_row(record) for record in records]
    if console.width < LINES_WIDE:
        for text, *rest in rows:
            console.print(f"[bold]{text}[/bold]")
            console.print(Padding("; ".join(part for part in rest if part), (0, 0, 0, 2)))
        return _with_cautions(console, sink)
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in _OF_LINES:
        table.add_column(say(head), justify="right" if head == "lines.grams" else "left", overflow="fold")
    for row in rows:
        table.add_row(*row)
    console.print(table)
    return _with_cautions(console, sink)


def _with_cautions(console: Console, sink: io.StringIO) -> str:
    console.print()
    for sentence in cautions():
        console.print(clean(sentence))
    return text_of(sink)


def _row(record: LineRecord) -> tuple[str, str, str, str, str]:
    """A line, its grams, its foods, how sure, its allergens, those to be checked with a question mark."""
    names = [food.link.food.name if food.link.food else "-" for food in record.foods]
    found = record.findings
    may = (f"{say('sheet.may')} {key}" for key in found.may)
    allergens = [*found.contains, *(f"{key}?" for key in found.check), *may]
    grams = "-"
    if record.grams is not None:
        grams = f"{record.grams:.3g} g" if record.grams < 100 else f"{record.grams:.0f} g"
    return clean(record.parsed.text), grams, clean(" + ".join(names)), str(record.sureness), ", ".join(allergens)


def explained(text: str, told: Iterable[Said], width: int | None = None, colour: bool = False) -> str:
    """What every room made of one line, with the rows that say so."""
    console, sink = console_of(width, colour)
    console.print(f"[bold]{clean(text)}[/bold]")
    table = Table(box=None, pad_edge=False, show_header=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column()
    before = ""
    for said in told:
        places = f" [dim]<{clean('; '.join(said.places))}>[/dim]" if said.places else ""
        table.add_row("" if said.room == before else said.room, f"{clean(said.text)}{places}")
        before = said.room
    console.print(table)
    return text_of(sink)


def food(found: Food, width: int | None = None, colour: bool = False) -> str:
    """One food's whole record."""
    from data_loaders.schema import components

    console, sink = console_of(width, colour)
    about = f"{clean(found.group)}, {clean(found.source)}"
    console.print(f"[bold]{clean(found.name)}[/bold]  {clean(found.food_id)}\n{about}")
    if found.refuse:
        console.print(say("foods.refuse", share=percent(found.refuse)))
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in (say("foods.per-100-g"), "", say("tables.tagname")):
        table.add_column(head, justify="right" if not head else "left")
    for tagname, value in found.values.items():
        part = components()[tagname]
        table.add_row(part.name, f"{value:g} {part.unit}", tagname)
    console.print(table)
    for measure in found.measures:
        console.print(f"{measure.amount:g} {clean(measure.words)}: {measure.grams:g} g")
    return text_of(sink)
