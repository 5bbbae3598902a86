"""The loaders by their word on the command line, imported when asked for: ours, and those other packages bring.

Another package brings a loader by an entry point of the group ``nutrilab.food_tables``, whose name is the word on the
command line and whose value is a module with ``NAME`` and ``load`` (docs/adding-a-food-table.md).
"""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, cast

from data_loaders.schema import FOOD_COLUMNS, VARIATION_COLUMNS, TableData, TableError, check
from nutrilab.messages import say
from nutrilab.plain import brief

if TYPE_CHECKING:
    from importlib.metadata import EntryPoint

GROUP = "nutrilab.food_tables"
LOADERS = {
    "usda-sr": "data_loaders.usda_sr",
    "usda-fdc": "data_loaders.usda_fdc",
    "uk-cofid": "data_loaders.uk_cofid",
    "fr-ciqual": "data_loaders.fr_ciqual",
    "fi-fineli": "data_loaders.fi_fineli",
    "ch-sfcd": "data_loaders.ch_sfcd",
    "no-matvaretabellen": "data_loaders.no_matvaretabellen",
    "ca-cnf": "data_loaders.ca_cnf",
    "own-products": "data_loaders.own_products",
}
# Ids that stand in decisions and results; a table of another package may not bring foods under them.
PREFIXES = ("sr:", "fdc:", "uk:", "fr:", "fi:", "ch:", "no:", "ca:", "own:", "mix:")


class Loader(Protocol):
    """What a loader module offers."""

    NAME: str

    def load(self, path: Path) -> TableData: ...


def names() -> dict[str, str]:
    """Every kind of table that can be imported -> who brings its loader; nothing is imported."""
    return dict.fromkeys(LOADERS, "nutrilab") | {point.name: _brings(point) for point in _others()[0].values()}


def problems() -> list[str]:
    """One sentence for each loader of another package that cannot be used; the others stay usable."""
    others, refused, found = _others()
    found += [str(TableError(words, name)) for name, words in refused.items()]
    for point in others.values():
        try:
            _module(point)
        except TableError as error:
            found.append(str(error))
    return found


def loader(name: str) -> Loader:
    """The loader of a kind of table. Raises TableError for an unknown or a broken one."""
    if name in LOADERS:
        return cast(Loader, import_module(LOADERS[name]))
    others, refused, _ = _others()
    if name in others:
        return _module(others[name])
    if name in refused:
        raise TableError(refused[name], name)
    raise TableError(say("load.no-such-kind-food-table", names=", ".join(names())), brief(name))


def load(name: str, path: Path) -> TableData:
    """Read a table of a kind by its loader. Raises TableError, whatever a loader of another package raises."""
    reader = loader(name)
    if name in LOADERS:
        return reader.load(path)
    try:
        table = reader.load(path)
        if not isinstance(table, TableData):
            raise TableError(say("load.loader-gives-no-tabledata-tell", name=name), path)
        check(table, path)
        _check_numbers(table, path)
        ours = [food_id for food_id in table.foods["food_id"] if food_id.startswith(PREFIXES)]
    except TableError:
        raise
    except Exception as error:
        raise TableError(say("load.loader-failed-tell-those-who", name=name, problem=_words(error)), path) from error
    if ours:
        message = say("load.food-has-id-belongs-another", food=ours[0], name=name)
        raise TableError(message, path)
    return table


def _check_numbers(table: TableData, path: Path) -> None:
    """Refuse columns that are not numbers of 64 bits: the core reads them as such, and would read other things."""
    columns = [(name, table.foods[name]) for name in ("refuse", *table.foods.columns[len(FOOD_COLUMNS) :])]
    columns += [(name, table.measures[name]) for name in ("amount", "grams")]
    if table.variation is not None:
        columns += [(name, table.variation[name]) for name in VARIATION_COLUMNS[2:-1]]
    for name, column in columns:
        if column.dtype != "float64":
            raise TableError(say("load.column-holds-not-float64-use", name=name, kind=column.dtype), path)
        if column.isin([float("inf"), float("-inf")]).any() or (column < 0).any():
            raise TableError(say("load.column-holds-number-below-zero", name=name), path)


def _words(error: BaseException) -> str:
    return " ".join(f"{type(error).__name__}: {error}".split())[:200]


def _brings(point: EntryPoint) -> str:
    package = point.dist
    return (
        say("load.package", name=package.name, version=package.version) if package else say("load.package-without-name")
    )


def _others() -> tuple[dict[str, EntryPoint], dict[str, str], list[str]]:
    """Loaders of other packages by name; why a name cannot stand, by the name; sentences for unreadable packages."""
    found: dict[str, EntryPoint] = {}
    refused: dict[str, str] = {}
    points, unread = _points()
    for point in points:
        name, by = point.name, _brings(point)
        if name in LOADERS:
            refused[name] = say("load.brings-loader-name-nutrilab-has", by=by)
        elif name in found and found[name].value != point.value:
            refused[name] = say("load.both-bring-uninstall-one-them", by=by, other=_brings(found.pop(name)))
        elif name not in refused:
            found[name] = point
    return found, refused, unread


def _points() -> tuple[list[EntryPoint], list[str]]:
    """Entry points of our group, the first of packages of the same name counting; sentences for unreadable lists."""
    from importlib.metadata import distributions

    found: dict[str, list[EntryPoint]] = {}
    unread = []
    for package in distributions():
        try:
            found.setdefault(package.name, list(package.entry_points.select(group=GROUP)))
        except Exception as error:  # somebody else's broken package must not stop a kitchen
            if GROUP in (package.read_text("entry_points.txt") or ""):
                unread.append(say("load.package-s-list-food-tables", problem=_words(error)))
    return [point for points in found.values() for point in points], unread


def _module(point: EntryPoint) -> Loader:
    """The loader behind an entry point. Raises TableError when it cannot be imported or is none."""
    try:
        module = point.load()
    except (Exception, SystemExit) as error:
        raise TableError(
            say("load.loader-cannot-used", package=_brings(point), problem=_words(error)), point.name
        ) from error
    if not callable(getattr(module, "load", None)) or getattr(module, "NAME", None) != point.name:
        message = say("load.loader-has-no-load-path", package=_brings(point), name=point.name)
        raise TableError(message, point.name)
    return cast(Loader, module)
