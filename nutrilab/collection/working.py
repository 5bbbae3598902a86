"""The work that every engine does: some recipes to rows of both tables. A bad recipe costs itself and no other."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from nutrilab.collection.rows import Files, Row, dish_row, dish_schema, line_rows, line_schema, needs_of
from nutrilab.collection.sources import content_at
from nutrilab.collection.values import WHOLE_FILE, Entry, Fault, sha256
from nutrilab.collection.values import content_of as file_digest
from nutrilab.folder import OPEN_AT_ONCE, Folder
from nutrilab.messages import say
from nutrilab.plain import file_name
from nutrilab.recipe import Recipe, largest, page_file, read_recipe
from nutrilab.remarks import InputError, NutrilabError

if TYPE_CHECKING:
    import pyarrow as pa

    from nutrilab.folder import Dish


@dataclass(frozen=True, slots=True)
class Job:
    """Some recipes to be done together; each: one by one, because together they ended a worker."""

    number: int
    entries: tuple[Entry, ...]
    each: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """What a job comes to: rows of both tables as Arrow bytes, and what could not be done."""

    number: int
    dishes: bytes
    lines: bytes
    faults: tuple[Fault, ...]
    count: int


@dataclass(slots=True)
class Kitchens:
    """The kitchens of a worker, each opened once; the longest unused is closed where there are many.

    digests: of the files that dishes name, each taken before the file is read first, so that it is none of what a file
    became since.
    """

    tables: str | None
    digests: dict[Path, str] = field(default_factory=dict)
    _open: dict[Path, Folder | NutrilabError] = field(default_factory=dict)

    def of(self, path: Path) -> Folder:
        """The kitchen of a folder. Raises NutrilabError, each time the same."""
        found = self._open.pop(path, None)
        if found is None:
            found = self._opened(path)
        self._open[path] = found
        if len(self._open) > OPEN_AT_ONCE:
            del self._open[next(iter(self._open))]
        if isinstance(found, NutrilabError):
            raise found
        return found

    def digest(self, path: Path) -> str:
        """SHA-256 of a file as it was when it was first asked for."""
        if path not in self.digests:
            self.digests[path] = file_digest(path)
        return self.digests[path]

    def _opened(self, path: Path) -> Folder | NutrilabError:
        try:
            folder = Folder(path, self.tables, alternatives=False)
            folder.kitchen()
        except NutrilabError as error:
            return error
        return folder


def work(job: Job, kitchens: Kitchens, at: Callable[[int], None] = lambda _: None) -> Part:
    """Read and cook the recipes of a job. at: told the place of each that is done one by one.

    Raises only what ends a worker anyway, and of recipes that are done together whatever is a fault of ours.
    """
    dishes: list[Row] = []
    lines: list[Row] = []
    faults: list[Fault] = []
    groups = [[entry] for entry in job.entries] if job.each else _by_kitchen(job.entries)
    for place, group in enumerate(groups):
        at(place)
        try:
            for entry, needs, dish in _cooked(group, kitchens, faults):
                more = list(line_rows(entry, dish))
                dishes.append(dish_row(entry, dish, *needs))
                lines += more
        except (Exception, MemoryError) as error:
            if not job.each:
                raise
            words = say("collection.fault-of-ours", kind=type(error).__name__)
            faults.append(Fault(group[0].file, None, words, again=True))
    tables = (_bytes(dishes, dish_schema()), _bytes(lines, line_schema()))
    return Part(job.number, *tables, tuple(faults), len(job.entries))


def _by_kitchen(entries: Sequence[Entry]) -> list[list[Entry]]:
    found: dict[Path, list[Entry]] = {}
    for entry in entries:
        found.setdefault(entry.kitchen, []).append(entry)
    return list(found.values())


def _cooked(entries: Sequence[Entry], kitchens: Kitchens, faults: list[Fault]) -> Iterator[tuple[Entry, Files, Dish]]:
    """The dishes of entries of one kitchen; of what cannot be read or cooked a fault."""
    read: list[tuple[Entry, Recipe, Files]] = []
    for entry in entries:
        data = b""
        try:
            data = content_of(entry)
            read.append((entry, *_with_files(entry, data, kitchens)))
        except NutrilabError as error:
            faults.append(fault(entry, error, names_others(data)))
    try:
        found = kitchens.of(entries[0].kitchen).dishes([recipe for _, recipe, _ in read], errors="keep")
    except NutrilabError as error:
        faults += [fault(entry, error) for entry, *_ in read]
        return
    for (entry, recipe, needs), dish in zip(read, found, strict=True):
        if isinstance(dish, NutrilabError):
            faults.append(fault(entry, dish, bool(recipe.products or recipe.others)))
        else:
            yield entry, needs, dish


def _with_files(entry: Entry, data: bytes, kitchens: Kitchens) -> tuple[Recipe, Files]:
    """A recipe, and the files it is made of, read after their digests were taken. Raises InputError."""
    recipe = recipe_of(entry, data)
    if not recipe.others and not recipe.products:
        return recipe, ({}, {})
    needs = needs_of(entry, recipe, Folder(entry.kitchen).packs_of(recipe), kitchens.digest)
    return recipe_of(entry, data), needs


class ChangedError(InputError):
    """A file is not the one any more whose digest was taken, or is gone."""

    def __init__(self, entry: Entry) -> None:
        super().__init__(say("collection.changed-meanwhile"), entry.path)


def content_of(entry: Entry) -> bytes:
    """The bytes of an entry, just those whose digest it has. Raises ChangedError."""
    try:
        data = content_at(entry)
    except OSError:
        raise ChangedError(entry) from None
    if sha256(data) != entry.digest:
        raise ChangedError(entry)
    return data


def names_others(data: bytes) -> bool:
    """Whether a recipe may name other files; a backslash may write any letter in YAML."""
    told = data.lower()
    return b"from" in told or b"products" in told or b"\\" in told


def recipe_of(entry: Entry, data: bytes) -> Recipe:
    """The recipe that the bytes of an entry hold. Raises InputError."""
    if entry.start == WHOLE_FILE and len(data) > largest(entry.path):
        read_recipe(entry.path)  # refuses it with its whole size
        raise ChangedError(entry)
    if entry.start == WHOLE_FILE:
        return read_recipe(entry.path, data)
    if not data.lstrip().startswith(b"{"):
        raise InputError(say("collection.no-object"), entry.file)
    return replace(page_file.read(data, entry.file, say("page.no-name")), path=entry.path)  # packs lie beside it


def _line_of(entry: Entry) -> int | None:
    """The line of an entry in a file of many."""
    return None if entry.start == WHOLE_FILE else int(entry.file.rpartition("#")[2])


def fault(entry: Entry, error: NutrilabError, again: bool = False) -> Fault:
    """What an error says of an entry; where it speaks of another file, that file's name stands before it.

    again: whether it may lie in another file, which nobody looks at before the next run.
    """
    line, sentence = error.line, error.message
    again = again or isinstance(error, ChangedError)
    if entry.start != WHOLE_FILE:
        return Fault(entry.file, _line_of(entry), sentence, again)
    if error.file is not None and Path(str(error.file)).name != entry.path.name:
        where = file_name(Path(str(error.file)).name)
        sentence, line = say("collection.of-file", file=where, line=line or 1, problem=sentence), None
    return Fault(entry.file, line, sentence, again)


def _bytes(rows: Sequence[Row], schema: pa.Schema) -> bytes:
    """Rows as one Arrow stream."""
    import pyarrow as pa

    columns = [pa.array([row[name] for row in rows], schema.field(name).type) for name in schema.names]
    sink = pa.BufferOutputStream()
    options = pa.ipc.IpcWriteOptions(compression="lz4")
    with pa.ipc.new_stream(sink, schema, options=options) as stream:
        stream.write_table(pa.table(columns, schema=schema))
    return bytes(sink.getvalue())


def table_of(data: bytes) -> pa.Table:
    """The rows of an Arrow stream. Raises pyarrow.ArrowInvalid for what is none."""
    import pyarrow as pa

    return pa.ipc.open_stream(data).read_all()
