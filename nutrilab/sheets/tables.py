"""What `nutrilab tables` prints: the tables there are, what a check of one found, how far a download is."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager

from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from data_loaders.checking import Report, checks
from data_loaders.own_products import NAME as OWN
from data_loaders.publishers import Described
from nutrilab.foods import FoodTable
from nutrilab.law.energy import available_carbohydrate, energy_regulation, salt
from nutrilab.linking.links import Link
from nutrilab.messages import as_percent, listed, say
from nutrilab.sheets.terminal import clean, console_of, text_of

_STANDING = {
    "pinned": "its files have the checksums pinned for them",
    "not pinned": "no checksum is pinned for its files",
    "differs": "CHECKSUM DIFFERS: its files are not the ones pinned; another release, or not the publisher's",
}
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
            lines.append(f"{table.name}: CANNOT BE USED")
        else:
            lines.append(f"{table.name}: {about.source}, {about.version}, {table.foods:,} foods, {about.licence}")
            known = f"{words.get(table.name, 0):,}"
            reach = say("tables.components-and-words", components=table.components, words=known)
            lines.append(f"    {reach}")
            if about.untried:
                lines.append("    " + say("tables.untried"))
            lines.append(f"    credit: {about.credit}")
            lines.append(f"    imported {about.imported or 'at an unknown time'}, {table.path}")
            lines.append(f"    {_STANDING[table.standing]}")
        lines += [f"    DAMAGED: {fault}" for fault in table.faults]
    for line in (*lines, *problems):
        console.print(clean(line), soft_wrap=True)
    return text_of(sink)


def odd(name: str, report: Report) -> str:
    """What is odd about a table just imported, a line for each check that found something."""
    console, sink = console_of(None, colour=False)
    lines = []
    for key, faults in report.faults.items():
        if faults:
            lines.append(f"odd: {checks()[key].words}: {_answer(key, report)}")
            lines.append(f"    {faults[0].food_id}  {faults[0].name}: {faults[0].words}")
    if name != OWN and not any(report.looked[key] for key in _OF_UNITS):
        lines.append(
            f"not known: {checks()['anchors'].words}: none of them was found, so a wrong unit would not be seen"
        )
    if report.unsound:
        lines.append(f"THIS CANNOT BE WHAT IT SAYS IT IS: {report.unsound}")
    lines.append(
        f"{report.faulty:.1%} of its foods have a figure to ask about; see all with nutrilab tables check {name}"
    )
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
        values = link.food.values
        energy = energy_regulation(values)[1] if {"PROCNT", "FAT"} <= values.keys() else None
        sodium = values.get("NA")
        figures = {
            "fat": values.get("FAT"), "saturates": values.get("FASAT"), "carbohydrate": available_carbohydrate(values),
            "sugars": values.get("SUGAR"), "protein": values.get("PROCNT"),
        }  # fmt: skip
        told = ["energy -" if energy is None else f"{energy:.0f} kcal"]
        told += [f"{what} {'-' if value is None else format(value, '.1f')}" for what, value in figures.items()]
        if "CHOCDF" in values:  # as US labels count it
            told.append(f"{say('tables.carbohydrate-total')} {values['CHOCDF']:.1f}")
        told.append(f"salt {'-' if sodium is None else format(salt(sodium), '.2f')}")
        lines += [f"{table}: {link.food.called} ({link.sureness})", f"    {', '.join(told)}"]
    for line in (*lines, say("tables.compared-energy")):
        console.print(clean(line), soft_wrap=True)
    return text_of(sink)


def check(name: str, report: Report, worst: int = 5, width: int | None = None) -> str:
    """What a check of a table found: faults by check, the worst rows of each, shares of missing values."""
    console, sink = console_of(width, colour=False)
    console.print(clean(f"{name}: {report.foods:,} foods, {report.faulty:.1%} with a figure to ask about"))
    if report.unsound:
        console.print(clean(f"THIS CANNOT BE WHAT IT SAYS IT IS: {report.unsound}"), soft_wrap=True)
    for key, faults in report.faults.items():
        console.print(f"\n{checks()[key].words}: {_answer(key, report)}", soft_wrap=True)
        for fault in faults[:worst]:
            console.print(Padding(clean(f"{fault.food_id}  {fault.name}: {fault.words}"), (0, 0, 0, 4)))
        if len(faults) > worst:
            console.print(Padding(f"and {len(faults) - worst:,} more", (0, 0, 0, 4)))
    console.print("\nfoods without a value, which counts as missing and never as zero")
    table = Table(box=None, pad_edge=False, show_header=False, padding=(0, 2))
    for tagname, share in report.missing.items():
        table.add_row(_NAMES[tagname], f"{share:.1%}")
    console.print(Padding(table, (0, 0, 0, 4)))
    return text_of(sink)


def _answer(key: str, report: Report) -> str:
    faults, looked, what = len(report.faults[key]), report.looked[key], "components" if key == "middles" else "foods"
    if not looked:
        return "too few foods to tell" if key == "middles" else "no food has the values to tell"
    return f"NOT SO in {faults:,} of {looked:,} {what}" if faults else f"so in all {looked:,} {what}"


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
