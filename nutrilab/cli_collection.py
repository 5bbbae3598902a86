"""The command that does all recipes at once, and asks what is worth most to the whole collection."""

from __future__ import annotations

import os
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from nutrilab.cli_parts import sentences, stop, tables_option
from nutrilab.messages import listed, say
from nutrilab.plain import file_name, plain
from nutrilab.remarks import InputError

if TYPE_CHECKING:
    from nutrilab.collection.doubtful import Doubtful
    from nutrilab.collection.results import Place
    from nutrilab.collection.run import Order, Outcome, Progress
    from nutrilab.collection.sources import Source
    from nutrilab.collection.values import Fault

ENGINES = ("processes", "dask")
FEW = 5  # problems that are said on the screen
KINDS = 6  # of files that are not read, by ending


@click.command()
@click.argument("sources", nargs=-1, required=True)
@click.option("-o", "--output", required=True, metavar="FOLDER", help="Where the results go, a folder of their own.")
@click.option("--workers", type=click.IntRange(1, 1024), help="Processes at work.  [as many as this machine has cores]")
@click.option("--engine", type=click.Choice(ENGINES), default=ENGINES[0], show_default=True, help="What does the work.")
@click.option("--scheduler", metavar="ADDRESS", help="Of a Dask cluster; without it, one on this machine.")
@click.option("--changed", is_flag=True, help="Say which dishes moved since the last run, by how much, and why.")
@click.option("--ask", is_flag=True, help="Ask what doubtful names stand for, those in the most dishes first.")
@tables_option
@sentences
def collection(
    sources: tuple[str, ...],
    output: str,
    workers: int | None,
    engine: str,
    scheduler: str | None,
    changed: bool,
    ask: bool,
    names: str | None,
) -> None:
    """All recipes of SOURCES at once: tables, a spreadsheet and a page that finds a dish.

    SOURCES are folders, which are read with all below them, recipe files, and .jsonl files with a schema.org recipe a
    line. A recipe that cannot be read stands in problems.csv and stops no other; what has not changed is not done
    again. Exit code 0 when all were read, 1 when some were not, 2 when nothing could be done.

    \b
    Example:
      nutrilab collection recipes/ -o results/
      nutrilab collection recipes/ -o results/ --changed
      nutrilab collection recipes/ -o results/ --ask
      nutrilab collection archive.jsonl -o results/ --engine dask --scheduler tcp://10.0.0.5:8786
    """
    from nutrilab.collection.run import Order

    if scheduler is not None and engine != "dask":
        raise InputError(say("collection.scheduler-for-dask"))
    with ExitStack() as held:
        there = tuple(_source(text, held) for text in sources)
        order = Order(there, names, workers or _cores(), engine == "dask", scheduler, changed, tuple(sys.argv[1:]))
        place = held.enter_context(_results(output))
        outcome = _run(order, place, output)
        if ask and _asked(order, place):
            outcome = _run(order, place, output)
    if outcome.faults:
        sys.exit(1)


def _cores() -> int:
    """How many cores this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on this system
        return os.cpu_count() or 1


def _source(text: str, held: ExitStack) -> Source:
    """A source as it is said; one at an address is fetched. Raises InputError."""
    from nutrilab.collection import remote
    from nutrilab.collection.sources import Source

    path = remote.local(text) if remote.is_address(text) else Path(text)
    if path is not None:
        return Source(text, path)
    folder = held.enter_context(tempfile.TemporaryDirectory(prefix="nutrilab-"))
    return Source(text, remote.fetched(text, Path(folder) / "source"), remote=True)


@contextmanager
def _results(output: str) -> Iterator[Place]:
    """The place of the results while this run has it; those at an address are fetched before and put back after."""
    from nutrilab.collection import remote, results

    path = remote.local(output) if remote.is_address(output) else Path(output)
    if path is not None:
        place = results.place_of(path)
        with results.claimed(place):
            yield place
        return
    with tempfile.TemporaryDirectory(prefix="nutrilab-") as folder:
        place = results.place_of(Path(folder) / "results")
        remote.results_from(output, place.folder)
        before = results.state_of(place.folder)
        with results.claimed(place):
            yield place
        if results.state_of(place.folder) != before:
            remote.results_to(output, place.folder)


def _run(order: Order, place: Place, output: str) -> Outcome:
    """One run, with a bar where somebody watches; what it comes to in words."""
    from nutrilab.allergens import cautions
    from nutrilab.collection.run import collect

    try:
        with _bar() as tell:
            outcome = collect(order, place, tell, _laid_out)
    except KeyboardInterrupt:
        stop([say("collection.stopped", folder=file_name(output))])
        raise
    for sentence in (*outcome.moved, *(cautions() if outcome.moved else ())):
        click.echo(plain(sentence))
    _say(order, outcome, output)
    return outcome


def _laid_out(folder: Path, faults: Sequence[Fault], tables: Sequence[str]) -> int:
    """What people look at; its room is opened only where something is new."""
    from nutrilab.sheets.collection_page import lay_out

    return lay_out(folder, faults, tables)


@contextmanager
def _bar() -> Iterator[Progress]:
    """What is told how far a run is: a bar with what is left, on a terminal only."""
    if not sys.stderr.isatty():
        yield lambda done, of: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(say("collection.recipes"), total=None)
        yield lambda done, of: bar.update(task, completed=done, total=of)


def _say(order: Order, outcome: Outcome, output: str) -> None:
    """What came of a run, on standard error."""
    if order.changed and not outcome.moved:
        click.echo(say("changed.first" if outcome.first else "changed.none"), err=True)
    for one in outcome.faults[:FEW]:
        where = say("collection.at-line", file=one.file, line=one.line) if one.line else one.file
        click.echo(plain(f"{where}: {one.sentence}"), err=True)
    if len(outcome.faults) > FEW:
        click.echo(say("collection.more-problems", number=f"{len(outcome.faults) - FEW:,}"), err=True)
    many = say("collection.dishes", number=f"{outcome.dishes:,}")
    dishes = say("collection.one-dish") if outcome.dishes == 1 else many
    told = say("collection.done", dishes=dishes, redone=f"{outcome.redone:,}", folder=file_name(output))
    click.echo(plain(told), err=True)
    if outcome.incomplete:
        click.echo(say("collection.incomplete", number=f"{outcome.incomplete:,}"), err=True)
    if outcome.passed:
        files = [f"{number:,} {plain(ending)}" for ending, number in Counter(outcome.passed).most_common()]
        click.echo(say("collection.passed", files=listed(files, KINDS)), err=True)


# -- questions --------------------------------------------------------------------------------------------------------


def _asked(order: Order, place: Place) -> bool:
    """Ask about the doubtful names, what touches most first, and keep each answer at once; whether there was any.

    Raises InputError where answers cannot be kept.
    """
    from nutrilab import decisions
    from nutrilab.asking import questions
    from nutrilab.cli_lines import put, settled
    from nutrilab.collection import doubtful
    from nutrilab.collection.sources import found_in
    from nutrilab.folder import Folder

    if (remote := next((source for source in order.sources if source.remote), None)) is not None:
        raise InputError(say("collection.ask-elsewhere"), remote.given)
    entries = {entry.file: entry for entry in found_in(order.sources, place.folder, order.tables).entries}
    opened: dict[Path, Folder] = {}
    answered = False
    for one in doubtful.ranked(place.folder, lambda file: entries[file].kitchen):
        kitchen = entries[one.file].kitchen
        folder = opened.setdefault(kitchen, Folder(kitchen, order.tables))
        bench = folder.kitchen()
        for question in questions([bench.line(one.text)], bench):
            if decisions.key_of(question.name) != decisions.key_of(one.name):
                continue
            put(question, moves=False)
            click.echo(f"  {_touched(one)}", err=True)
            try:
                value = settled(question, bench)
            except click.Abort:  # enough for today: what was answered counts
                return answered
            if value is not None:
                decisions.add(kitchen, question.name, value)
                answered = True
    if not answered:
        click.echo(say("collection.nothing-asked"), err=True)
    return answered


def _touched(one: Doubtful) -> str:
    """What a doubtful name touches; calories that nobody knows are not zero."""
    number = f"{one.dishes:,}"
    if one.unknown == one.lines:
        return say("collection.in-dishes-unknown", number=number)
    return say("collection.in-dishes", number=number, kcal=f"{one.energy:,.0f}")
