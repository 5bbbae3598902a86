"""A collection from its sources to its folder of results: what is unchanged stays, the rest is done by an engine."""

from __future__ import annotations

import errno
import json
from collections import Counter
from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nutrilab.collection import results, sources
from nutrilab.collection.results import Place
from nutrilab.collection.sources import Found, Source
from nutrilab.collection.values import Entry, Fault, content_of
from nutrilab.messages import say
from nutrilab.remarks import InputError

if TYPE_CHECKING:
    from nutrilab.collection.tables import Known, Parts
    from nutrilab.collection.working import Part

TOGETHER = 40  # recipes of a job
_FULL = (errno.ENOSPC, errno.EDQUOT)

Progress = Callable[[int, int], None]  # how many are done, of how many
# Writes what people look at into a folder with new tables (folder, faults, food tables in words); tells how many dishes
# are not complete.
LayOut = Callable[[Path, Sequence[Fault], Sequence[str]], int]


@dataclass(frozen=True, slots=True)
class Order:
    """What is asked for.

    tables: food tables, those of the kitchens when None; workers: processes; dask: whether Dask does the work, at the
    scheduler's address or, when None, on a cluster of this machine; changed: whether it is to be said what moved;
    arguments: as they stood on the command line.
    """

    sources: tuple[Source, ...]
    tables: str | None = None
    workers: int = 1
    dask: bool = False
    scheduler: str | None = None
    changed: bool = False
    arguments: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a run.

    redone: dishes that were computed anew; incomplete: dishes that are not complete; moved: a sentence for each dish
    that moved, where that was asked for; first: whether there was no earlier run to compare with; passed: how many
    files hold no recipe, by ending.
    """

    dishes: int
    incomplete: int
    redone: int
    faults: tuple[Fault, ...]
    moved: tuple[str, ...] = ()
    first: bool = False
    passed: Mapping[str, int] = field(default_factory=dict)


@dataclass(slots=True)
class _Run:
    """What is gathered on the way."""

    order: Order
    place: Place
    found: Found
    lay_out: LayOut
    faults: list[Fault] = field(default_factory=list)


def collect(order: Order, place: Place, tell: Progress, lay_out: LayOut) -> Outcome:
    """Bring a folder of results up to date; the folder is claimed (results.claimed).

    Raises InputError: nothing to read, nothing that could be read, a disk that is full, whatever an engine refuses.
    The results then stay as they were.
    """
    found = sources.found_in(order.sources, place.folder, order.tables)
    if not found.entries and not found.faults:
        raise InputError(say("collection.nothing"), order.sources[0].given)
    if (same := _unchanged(order, place, found)) is not None:
        return replace(same, passed=found.passed)
    run = _Run(order, place, found, lay_out, list(found.faults))
    with _kept_or_cleared(place):
        return replace(_redone(run, tell), passed=found.passed)


@contextmanager
def _kept_or_cleared(place: Place) -> Iterator[None]:
    """Whatever goes wrong, the results stay; what was finished stays for the next run, but for a full disk."""
    try:
        yield
    except OSError as error:
        results.clear(place, all_=error.errno in _FULL)
        raise InputError(say("write.not-possible", problem=error.strerror or error), place.folder) from None
    except BaseException:
        results.clear(place)
        raise


def _unchanged(order: Order, place: Place, found: Found) -> Outcome | None:
    """The outcome of the last run, where nothing at all has changed since; nothing heavy is needed to know."""
    state = results.state_of(place.folder)
    if state is None or state.get("digest") != found.digest:
        return None
    faults = tuple(Fault(*one) for one in state["faults"])
    roots = [source.root for source in order.sources]
    for number, path, digest in state["needs"]:  # packs and hidden files are no recipes, so nobody looked at them yet
        if number >= len(roots) or content_of(roots[number] / path) != digest:
            return None
    return Outcome(state["dishes"], state["incomplete"], 0, faults)


def _redone(run: _Run, tell: Progress) -> Outcome:
    """Do what changed, put everything together anew and in its place. Raises InputError, OSError."""
    from nutrilab.collection import changed, tables

    known, parts = _known(run.place)
    entries = run.found.entries
    todo = [entry for entry in entries if not known.good(entry)]
    # A row that a stopped run left is none of the last results.
    of_last = {file for file, at in known.rows.items() if isinstance(at.store, tables.Kept)}
    unchanged = of_last & {entry.file for entry in entries} - {entry.file for entry in todo}
    for entry in todo:
        known.rows.pop(entry.file, None)
    _work(run, todo, known, parts, tell)
    files = [entry.file for entry in entries if entry.file in known.rows]
    if not files:
        raise InputError(_why_none(run.faults))
    first = results.state_of(run.place.folder) is None
    was = changed.before(run.place.folder, unchanged) if run.order.changed and not first else {}
    run.place.new.mkdir(parents=True)
    used = _food_tables(run)
    tables.put_together(files, known, run.place.new, _provenance(run, used))
    moved = tuple(changed.moved(was, run.place.new, unchanged, first)) if run.order.changed else ()
    named = [f"{one['source']}, {one['version']}" for one in used]
    incomplete = run.lay_out(run.place.new, run.faults, named)
    faults = [[one.file, one.line, one.sentence] for one in run.faults]
    counts = {"dishes": len(files), "incomplete": incomplete, "faults": faults, "needs": _needs(run, known)}
    digest = "" if any(one.again for one in run.faults) else run.found.digest
    results.finish(run.place, {"digest": digest, **counts})
    redone = sum(entry.file in known.rows for entry in todo)
    return Outcome(len(files), incomplete, redone, tuple(run.faults), moved, first)


def _needs(run: _Run, known: Known) -> list[tuple[int, str, str]]:
    """The other files that the dishes are made of: number of the source, place below it, SHA-256; each once."""
    roots = [source.root for source in run.order.sources]
    found: dict[tuple[int, str, str], None] = {}
    for entry in run.found.entries:
        if (at := known.rows.get(entry.file)) is not None and (files := at.files):
            number = roots.index(entry.root)
            found |= dict.fromkeys((number, path, digest) for path, digest in files.items())
    return list(found)


def _known(place: Place) -> tuple[Known, Parts]:
    """All rows there are, of the last results and of a run that was stopped; and where new ones are kept."""
    import pyarrow as pa

    from nutrilab.collection.tables import Kept, Known, Parts

    known = Known()
    try:
        kept = Kept(place.folder)
        known.add(kept, kept.groups())
    except (OSError, ValueError, pa.ArrowException):  # none yet, or half written: all is done again
        known = Known()
    parts = Parts(place.parts)
    known.add(parts, parts.groups())
    return known, parts


def _work(run: _Run, todo: Sequence[Entry], known: Known, parts: Parts, tell: Progress) -> None:
    """Have an engine do some recipes, and keep each part as it comes. Raises InputError, OSError."""
    from nutrilab.collection.rows import MARKED
    from nutrilab.collection.working import table_of

    done = 0
    tell(done, len(todo))
    with closing(_engine(run.order, todo)) as found:  # whatever happens here, its workers end
        for part in found:
            if part.dishes:
                number = parts.add(part)
                known.add(parts, [(number, table_of(part.dishes).select(["file", *MARKED]))])
            run.faults += part.faults
            done += part.count
            tell(done, len(todo))
    run.faults = _without_packs(run, known)
    order = {entry.file: place for place, entry in enumerate(run.found.entries)}
    run.faults.sort(key=lambda one: (order.get(one.file, -1), one.file))


def _without_packs(run: _Run, known: Known) -> list[Fault]:
    """The faults, but for files that a dish names as its own products: they are no recipes."""
    named: set[Path] = set()
    entries = {entry.file: entry for entry in run.found.entries}
    for file, entry in entries.items():
        if (at := known.rows.get(file)) is not None and at.packs:
            named |= {entry.root / path for path in json.loads(at.packs)}
    return [one for one in run.faults if one.file not in entries or entries[one.file].path not in named]


def _engine(order: Order, todo: Sequence[Entry]) -> Generator[Part]:
    """The parts of all jobs, by the engine that is asked for."""
    from nutrilab.collection.working import Job

    many = max(1, min(TOGETHER, -(-len(todo) // order.workers)))
    starts = range(0, len(todo), many)
    jobs = (Job(number, tuple(todo[start : start + many])) for number, start in enumerate(starts))
    if not todo:
        return
    if order.dask:
        from nutrilab.collection import cluster

        with cluster.client(order.scheduler, order.workers) as client:
            yield from cluster.run(jobs, order.tables, client)
    else:
        from nutrilab.collection import processes

        yield from processes.run(jobs, order.tables, order.workers)


def _why_none(faults: Sequence[Fault]) -> str:
    """Why there is no dish at all: what is wrong with most, and how many there are."""
    most = Counter(one.sentence for one in faults).most_common(1)[0][0]
    first = next(one for one in faults if one.sentence == most)
    where = say("collection.at-line", file=first.file, line=first.line) if first.line else first.file
    return say("collection.none-read", file=where, problem=first.sentence, number=len(faults))


def _provenance(run: _Run, used: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Where the tables come from: nutrilab, food tables, what the cooks say, the command, when."""
    import datetime

    import nutrilab
    from nutrilab.allergens import cautions
    from nutrilab.collection.marking import program

    kitchens = {str(entry.kitchen): entry.marks for entry in run.found.entries}
    return {
        "nutrilab": nutrilab.__version__,
        "program_sha256": program(),
        "food_tables": used,
        "kitchens": {name: asdict(marks) for name, marks in kitchens.items()},
        "arguments": list(run.order.arguments),
        "made": datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds"),
        "cautions": list(cautions()),
    }


def _food_tables(run: _Run) -> list[dict[str, Any]]:
    """The food tables of all kitchens, each once, with its source and the checksum of its file."""
    from nutrilab import store
    from nutrilab.collection.marking import names_of, table
    from nutrilab.foods import open_table

    imported = store.tables_folder()
    known = store.available(imported)
    kitchens = dict.fromkeys(entry.kitchen for entry in run.found.entries)
    names = dict.fromkeys(name for kitchen in kitchens for name in names_of(kitchen, run.order.tables))
    found = []
    for name in names:
        if name in known:
            told = open_table(known[name]).provenance
            about = {"source": told.source, "version": told.version, "licence": told.licence, "credit": told.credit}
            found.append({"name": name, **about, "sha256": table(known[name])})
    return found
