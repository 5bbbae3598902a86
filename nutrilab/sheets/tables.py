"""What `nutrilab tables` prints: the tables there are, what a check of one found, how far a download is."""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager

from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from data_loaders.checking import Report, checks
from data_loaders.own_products import NAME as OWN
from data_loaders.publishers import Described, Standing
from nutrilab.comparing import of_food
from nutrilab.foods import FoodTable
from nutrilab.law.rounding import short_name
from nutrilab.linking.links import Link
from nutrilab.messages import as_percent, listed, say
from nutrilab.sheets.terminal import clean, console_of, text_of

_STANDING = {"pinned": "listing.pinned", "not pinned": "listing.not-pinned", "differs": "listing.differs"}
_NAMES = {
    "WATER": "water", "PROCNT": "protein", "FAT": "fat", "FASAT": "saturates", "carbohydrate": "carbohydrate",
    "SUGAR": "sugars", "FIBTG": "fibre", "NA": "sodium", "ENERC_KCAL": "energy",
}  # fmt: skip

_OF_UNITS = ("anchors", "middles")  # checks that see a unit that is wrong in a whole column


def listing(found: Sequence[Described], words: Mapping[str, int], problems: Sequence[str] = ()) -> str:
    """The food tables there are, then what is wrong with loaders of other packages; words: how many reach each."""
    console, sink = console_of(None, colour=False)
    lines: list[str] = []
    for table in found:
        about = table.provenance
        if about is None:
            lines.append(say("listing.unusable", table=table.name))
        else:
            source, foods = f"{about.source}, {about.version}", f"{table.foods:,}"
            known, date = f"{words.get(table.name, 0):,}", about.imported or say("listing.no-date")
            lines += [
                say("listing.table", table=table.name, source=source, foods=foods, licence=about.licence),
                f"    {say('tables.components-and-words', components=table.components, words=known)}",
                *([f"    {say('tables.untried')}"] if about.untried else []),
                f"    {say('listing.credit', credit=about.credit)}",
                f"    {say('listing.imported', date=date, path=table.path)}",
                f"    {say(_STANDING[table.standing])}",
            ]
        lines += [f"    {say('listing.damaged', fault=fault)}" for fault in table.faults]
    _print_folded(console, (*lines, *problems))
    return text_of(sink)


def _print_folded(console: Console, lines: Sequence[str]) -> None:
    """Lines broken between words at the width there is, what goes on is set in; a path stays in one piece."""
    for line in lines:
        told = textwrap.wrap(
            clean(line), console.width, subsequent_indent=" " * 8, break_long_words=False, break_on_hyphens=False
        )
        for part in told:
            console.print(part, soft_wrap=True)


def odd(name: str, report: Report, standing: Standing = "pinned") -> str:
    """What is odd about a table just imported, a line for each check that found something.

    standing: how its files stand to those pinned; others than those are told before all else.
    """
    console, sink = console_of(None, colour=False)
    lines = [say(_STANDING[standing])] if standing == "differs" else []
    for key, faults in report.faults.items():
        if faults:
            lines.append(say("listing.odd", check=checks()[key].words, answer=_answer(key, report)))
            lines.append(f"    {faults[0].food_id}  {faults[0].name}: {faults[0].words}")
    if name != OWN and not any(report.looked[key] for key in _OF_UNITS):
        lines.append(say("listing.no-anchor", check=checks()["anchors"].words))
    if report.unsound:
        lines.append(say("listing.unsound", why=report.unsound))
    lines.append(say("listing.faulty", share=f"{report.faulty:.1%}", table=name))
    for line in lines:
        console.print(clean(line), soft_wrap=True)
    return text_of(sink)


LACKS = 0.2  # share of foods without a value from which a table lacks it


def next_step(name: str, table: FoodTable, words: int, report: Report) -> str:
    """How a table just imported is used, what reaches it, and what it lacks."""
    lines = [say("tables.use-next", name=name), say("tables.words-reach", words=f"{words:,}")]
    lacking = [
        f"{_NAMES[tag]} ({as_percent(share)})"
        for tag, share in report.missing.items()
        if tag != "ENERC_KCAL" and share > LACKS
    ]
    if lacking:
        lines.append(say("tables.lacks", figures=listed(lacking, len(lacking), 60)))
    if not len(table.tagnames) or "ALC" not in table.tagnames:
        lines.append(say("tables.lacks-alcohol"))
    if table.provenance.untried:
        lines.append(say("tables.untried"))
    return "".join(f"{line}\n" for line in lines)


def compared(name: str, found: Sequence[tuple[str, Link]]) -> str:
    """What each table has for one name: the food, how sure, and its figures of 100 g."""
    console, sink = console_of(None, colour=False)
    lines = [say("tables.compared", name=name)]
    for table, link in found:
        if link.food is None:
            lines.append(f"{table}: {say('tables.compared-nothing')}")
            continue
        told = [_figure(key, value) for key, value in of_food(link.food).items()]
        if total := link.food.values.get("CHOCDF"):  # as US labels count it
            told.append(f"{say('tables.carbohydrate-total')} {total:.1f}")
        lines += [f"{table}: {link.food.called} ({link.sureness})", f"    {', '.join(told)}"]
    _print_folded(console, (*lines, say("tables.compared-energy")))
    return text_of(sink)


def _figure(key: str, value: float | None) -> str:
    """A figure of 100 g of a food, one that is not known with a dash."""
    if key == "energy_kcal":
        return f"{short_name(key)} -" if value is None else f"{value:.0f} kcal"
    return f"{short_name(key)} {'-' if value is None else format(value, '.2f' if key == 'salt' else '.1f')}"


def check(name: str, report: Report, worst: int = 5, width: int | None = None) -> str:
    """What a check of a table found: faults by check, the worst rows of each, shares of missing values."""
    console, sink = console_of(width, colour=False)
    console.print(clean(say("listing.check", table=name, foods=f"{report.foods:,}", share=f"{report.faulty:.1%}")))
    if report.unsound:
        console.print(clean(say("listing.unsound", why=report.unsound)), soft_wrap=True)
    for key, faults in report.faults.items():
        console.print(f"\n{checks()[key].words}: {_answer(key, report)}", soft_wrap=True)
        for fault in faults[:worst]:
            console.print(Padding(clean(f"{fault.food_id}  {fault.name}: {fault.words}"), (0, 0, 0, 4)))
        if len(faults) > worst:
            console.print(Padding(say("sheet.and-more", number=f"{len(faults) - worst:,}"), (0, 0, 0, 4)))
    console.print(f"\n{say('listing.missing')}")
    table = Table(box=None, pad_edge=False, show_header=False, padding=(0, 2))
    for tagname, share in report.missing.items():
        table.add_row(_NAMES[tagname], f"{share:.1%}")
    console.print(Padding(table, (0, 0, 0, 4)))
    return text_of(sink)


def _answer(key: str, report: Report) -> str:
    faults, looked = len(report.faults[key]), report.looked[key]
    if not looked:
        return say("listing.too-few" if key == "middles" else "listing.no-values")
    if faults:
        said = "listing.not-so-components" if key == "middles" else "listing.not-so-foods"
        return say(said, number=f"{faults:,}", of=f"{looked:,}")
    return say("listing.so-components" if key == "middles" else "listing.so-foods", of=f"{looked:,}")


@contextmanager
def progress(words: str) -> Iterator[Callable[[int, int], None]]:
    """A bar on standard error while something is fetched; nothing where standard error is no terminal."""
    from rich.progress import BarColumn, DownloadColumn, Progress, TextColumn, TimeRemainingColumn

    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), DownloadColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console, transient=True, disable=not sys.stderr.isatty()) as bars:
        task = bars.add_task(clean(words), total=None)

        def tell(done: int, total: int) -> None:
            bars.update(task, completed=done, total=total or None)

        yield tell
