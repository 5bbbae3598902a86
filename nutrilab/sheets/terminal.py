"""The terminal view: what a portion brings and holds first, then the table, then what to check."""

from __future__ import annotations

import io
from collections.abc import Iterable

from rich.console import Console
from rich.markup import escape
from rich.padding import Padding
from rich.table import Table

from nutrilab.as_read import cooked_as_read
from nutrilab.cooking.balance import Step
from nutrilab.declaration import MICRONUTRIENT_REMARK, declare, vitamins_of
from nutrilab.doubt import in_words
from nutrilab.explaining import Said
from nutrilab.foods import Food
from nutrilab.ingredients import as_text
from nutrilab.law.levels import REFERENCE_STATEMENT
from nutrilab.remarks import Remark
from nutrilab.results import DishResult, LineRecord
from nutrilab.sheets.safe import plain
from nutrilab.sheets.sentences import AS_READ, counted_by, doubts, improbable, not_counted, portion_figure, too_low
from nutrilab.tracing import all_stages, credits, ingredients

WIDTH = 100


def console_of(width: int | None, colour: bool) -> tuple[Console, io.StringIO]:
    """A console that writes into memory, at most 120 characters wide, and that memory."""
    sink = io.StringIO()
    console = Console(
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
    return "\n".join(line.rstrip() for line in sink.getvalue().splitlines()) + "\n"


def clean(text: str) -> str:
    """Text of a person or a file, safe in a terminal: no control characters, no markup."""
    return escape(plain(text))


def dish(
    result: DishResult, width: int | None = None, colour: bool = False, balance: bool = False, vitamins: bool = False
) -> str:
    """One dish as text; balance: with what went into and out of every stage; vitamins: with those that tell."""
    console, sink = console_of(width, colour)
    _head(console, result)
    console.print(_figures(result))
    if words := too_low(result):
        console.print(f"[bold]{clean(words)}[/bold]")
    for words in in_words(result):
        console.print(clean(words))
    console.print(REFERENCE_STATEMENT)
    if remark := declare(result).basis.remark:
        console.print(remark)
    if vitamins:
        _vitamins(console, result)
    _evidence(console, result)
    console.print(f"\n{clean(as_text(ingredients(result)))}")
    _where_from(console, result)
    if balance:
        _balance(console, result)
    _to_check(console, result)
    return text_of(sink)


def _head(console: Console, result: DishResult) -> None:
    of = result.portions
    console.rule(f"[bold]{clean(result.recipe.dish)}[/bold]", align="left", characters="-")
    console.print(f"{of:g} {'portion' if of == 1 else 'portions'} of {result.portion_weight:.0f} g\n")
    kcal, kj, salt = (portion_figure(result, key) for key in ("energy_kcal", "energy_kj", "salt"))
    console.print(f"[bold]A portion: {kcal} ({kj}), salt {salt}[/bold]")
    _allergens(console, "Contains", [result.allergens.named(allergen) for allergen in result.allergens.contains])
    _allergens(console, "Check the pack", result.allergens.check)
    _allergens(console, "May contain, says the pack", result.allergens.may)
    if result.allergens.unresolved:
        console.print("[bold]NOT COMPLETE.[/bold] These lines were not understood, so allergens may be missing:")
        for text in result.allergens.unresolved:
            console.print(Padding(clean(text), (0, 0, 0, 2)))
    if left_out := not_counted(result):
        console.print("[bold]NOT COMPLETE.[/bold] These lines are not in the figures, which are too low:")
        for text in left_out:
            console.print(Padding(clean(text), (0, 0, 0, 2)))
    console.print()


def _allergens(console: Console, title: str, found: Iterable[str]) -> None:
    found = list(found)
    if found:
        console.print(f"[bold]{title}: {', '.join(found)}[/bold]")
    elif title == "Contains":
        console.print("[bold]Contains:[/bold] nothing in the words points to one of the 14 allergens")


def _evidence(console: Console, result: DishResult) -> None:
    """Every line and why: who swaps one ingredient has to see the others."""
    answer = result.allergens
    for title, found in (
        ("Contains, because of", answer.contains),
        ("Check the pack, because of", answer.check),
        ("Check the pack too, though it is contained already, because of", answer.also),
        ("May contain, because of", answer.may),
    ):
        if found:
            console.print(f"\n[bold]{title}[/bold]")
        for evidence in found.values():
            console.print(Padding(clean("; ".join(evidence)), (0, 0, 0, 2)))


def _figures(result: DishResult) -> Table:
    told = declare(result)
    table = Table(box=None, pad_edge=False, header_style="bold")
    table.add_column("")
    for head in (told.basis.words, "a portion", "likely between", "of an adult's day", "level"):
        table.add_column(head, justify="right")
    for one in told.figures:
        spread = " - ".join(one.declared_ends or ())
        amounts = (one.declared_per_100, one.declared_per_portion, spread, one.percent_of_day)
        table.add_row(one.title, *amounts, one.level or "")
    return table


def _vitamins(console: Console, result: DishResult) -> None:
    """Vitamins and minerals with a significant amount, or that there is none."""
    found = vitamins_of(result)
    console.print("\n[bold]Vitamins and minerals[/bold]")
    if not found:
        console.print(Padding("none reaches 15 % of an adult's daily reference value in 100 g", (0, 0, 0, 2)))
        return
    table = Table(box=None, pad_edge=False, header_style="bold")
    table.add_column("")
    for head in (declare(result).basis.words, "", "a portion", "", "how far known"):
        table.add_column(head, justify="right")
    for one in found:
        per_portion = (one.declared_per_portion, one.percent_per_portion)
        table.add_row(one.name, one.declared_per_100, one.percent_per_100, *per_portion, one.coverage_words)
    console.print(table)
    console.print(MICRONUTRIENT_REMARK)


def _where_from(console: Console, result: DishResult) -> None:
    console.print()
    for sentence in counted_by(result):
        console.print(sentence)
    console.print("\n[bold]Weights[/bold]")
    for stage in all_stages(result):
        r = stage.result
        ground = "; ".join([r.weight_from, *(_factor(step) for step in r.steps if step.factor and step.source)])
        text = f"{clean(stage.stage.name)}: {r.raw.mass:.0f} g in, {r.cooked.mass:.0f} g out ({clean(ground)})"
        console.print(Padding(text, (0, 0, 0, 2)))
    _as_read(console, result)
    console.print(f"\n{clean('; '.join(credits(result)))}")


def _as_read(console: Console, result: DishResult) -> None:
    """How the written method was understood, so that the cook can object."""
    rows = cooked_as_read(result)
    if not rows:
        return
    console.print(f"\n[bold]{AS_READ}[/bold]")
    for row in rows:
        factor = f" (x {row.factor:.2f})" if row.factor is not None else ""
        foods = f"{', '.join(row.foods)}: " if row.foods else ""
        text = f"{row.stage}: {foods}{row.done}; {row.before:.0f} g before, {row.after:.0f} g after{factor}"
        console.print(Padding(clean(text), (0, 0, 0, 2)))


def _factor(step: Step) -> str:
    """A factor with its range and source: "water lost x 0.75 (0.70 to 0.80), Bognar 2002"."""
    span = f" ({step.low:.2f} to {step.high:.2f})" if step.low is not None and step.high is not None else ""
    return f"{step.name} x {step.factor:.2f}{span}, {step.source}"


def _balance(console: Console, result: DishResult) -> None:
    """In and taken up = out, lost and left over, for every stage, and the steps that moved something."""
    for stage in all_stages(result):
        console.print(f"\n[bold]Balance of {clean(stage.stage.name)}[/bold]")
        table = Table(box=None, pad_edge=False, header_style="bold")
        table.add_column("")
        for head in ("in", "taken up", "out", "lost", "left over"):
            table.add_column(head, justify="right")
        for name, unit, *amounts in stage.result.balance.rows():
            table.add_row(f"{name} [{unit}]".replace("[", "\\["), *(f"{amount:.1f}" for amount in amounts))
        console.print(table)
        for step in stage.result.steps:
            source = f" ({clean(step.source)})" if step.source else ""
            console.print(Padding(f"{clean(step.name)}: {clean(step.words)}{source}", (0, 0, 0, 2)))


def _to_check(console: Console, result: DishResult) -> None:
    doubtful, first = doubts(result), improbable(result)
    if doubtful or result.remarks:
        console.print("\n[bold]What to check[/bold]")
    for remark in first:
        _remark(console, remark)
    for text, words in doubtful:
        console.print(Padding(f"{clean(text)}: {clean(words)}", (0, 0, 0, 2)))
    for remark in result.remarks[len(first) :]:
        _remark(console, remark)
    console.print()
    for caution in result.cautions:
        console.print(caution)


def _remark(console: Console, remark: Remark) -> None:
    where = f"{clean(remark.stage)}{f', line {remark.line}' if remark.line else ''}: " if remark.stage else ""
    console.print(Padding(f"{where}{clean(remark.message)}", (0, 0, 0, 2)))


def lines(records: Iterable[LineRecord], width: int | None = None, colour: bool = False) -> str:
    """Ingredient lines as a table."""
    console, sink = console_of(width or 120, colour)
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in ("line", "grams", "food", "how sure", "allergens"):
        table.add_column(head, justify="right" if head == "grams" else "left")
    for record in records:
        names = [f.link.food.name if f.link.food else "-" for f in record.foods]
        allergens = [*record.findings.contains, *(f"{key}?" for key in record.findings.check)]
        grams = f"{record.grams:.3g}" if record.grams is not None and record.grams < 100 else f"{record.grams or 0:.0f}"
        table.add_row(
            clean(record.parsed.text),
            grams if record.grams is not None else "-",
            clean(" + ".join(names)),
            record.sureness,
            ", ".join(allergens),
        )
    console.print(table)
    return text_of(sink)


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
        console.print(f"thrown away of the food as bought: {found.refuse:.0%}")
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in ("per 100 g", "", "tagname"):
        table.add_column(head, justify="right" if not head else "left")
    for tagname, value in found.values.items():
        part = components()[tagname]
        table.add_row(part.name, f"{value:g} {part.unit}", tagname)
    console.print(table)
    for measure in found.measures:
        console.print(f"{measure.amount:g} {clean(measure.words)}: {measure.grams:g} g")
    return text_of(sink)
