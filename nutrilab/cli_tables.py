"""The commands of ``nutrilab tables``."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from data_loaders.schema import TableError
from nutrilab.cli_parts import sentences
from nutrilab.messages import say
from nutrilab.plain import brief, file_name, plain
from nutrilab.store import tables_folder

SHOWN = 20  # sentences of what was left out of a table


@click.group()
def tables() -> None:
    """List, import, fetch, compare and check food tables."""


@tables.command("list")
@sentences
def tables_list() -> None:
    """Show the food tables that are there, with their credit lines and whether their files are the published ones.

    \b
    Example:
      nutrilab tables list
    """
    from data_loaders import publishers, registry
    from nutrilab.sheets.tables import listing
    from nutrilab.store import available

    found = [publishers.describe(name, path) for name, path in available(tables_folder()).items()]
    click.echo(listing(found, {table.name: _words(table.path) for table in found}, registry.problems()), nl=False)


def _words(path: Path) -> int:
    """How many words of the lists reach a table; 0 for one that cannot be used."""
    from nutrilab.foods import open_table
    from nutrilab.linking.brought import lists_of

    try:
        return len(lists_of(open_table(path)))
    except (TableError, ValueError):
        return 0


@tables.command("import")
@click.argument("name")
@click.argument("path", type=click.Path(path_type=Path))
@click.option("--into", type=click.Path(path_type=Path), help="Folder for the table, instead of this kitchen's own.")
@sentences
def tables_import(name: str, path: Path, into: Path | None) -> None:
    """Import a food table of kind NAME from a file, folder or archive at PATH.

    Kinds: usda-sr, usda-fdc, uk-cofid, fr-ciqual, fi-fineli, ch-sfcd, no-matvaretabellen and ca-cnf (both untried),
    own-products, and those other packages bring.

    \b
    Example:
      nutrilab tables import usda-sr sr28.zip
      nutrilab tables import fr-ciqual Table_Ciqual_2020.xls
      nutrilab tables import own-products packs.csv
    """
    from data_loaders import checking, own_products, publishers, registry, schema
    from data_loaders.leaving_out import leave_out
    from nutrilab.foods import FoodTable
    from nutrilab.linking.brought import check_words
    from nutrilab.sheets import tables as tables_view

    folder = into or tables_folder()
    if name == own_products.NAME:
        from nutrilab.products import import_products

        table, target = import_products(path, folder)
    else:
        table = leave_out(registry.load(name, path), path)
        check_words(table.words, path)
        target = schema.write(table, folder, name)
    _say_left_out(table.left_out)
    said = say(
        "tables.counts",
        foods=f"{len(table.foods):,}",
        measures=f"{len(table.measures):,}",
        source=plain(table.provenance.source),
        file=file_name(target),
    )
    click.echo(said)
    report = checking.check_foods(table.foods)
    click.echo(tables_view.odd(name, report, publishers.standing(name, table.provenance.inputs)), nl=False)
    if name != own_products.NAME and not report.unsound:
        click.echo(tables_view.next_step(name, FoodTable(target), _words(target), report), nl=False)


def _say_left_out(left_out: Sequence[str]) -> None:
    """What of a table was not taken over, the first of it in full."""
    for sentence in left_out[:SHOWN]:
        click.echo(plain(sentence), err=True)
    if len(left_out) > SHOWN:
        click.echo(say("tables.more-left-out", number=f"{len(left_out) - SHOWN:,}"), err=True)


@tables.command("fetch")
@click.argument("name")
@click.option("--file", help="Which of the publisher's downloads, where there are several.")
@click.option("--sha256", help="The file's checksum as you know it from the publisher, where none is pinned.")
@sentences
def tables_fetch(name: str, file: str | None, sha256: str | None) -> None:
    """Fetch the food table NAME from its publisher, check it, and import it.

    \b
    Example:
      nutrilab tables fetch fr-ciqual
    """
    from data_loaders import fetching
    from data_loaders.checking import check_foods
    from nutrilab.sheets.tables import odd, progress

    with progress(name) as tell:
        table, target = fetching.fetch(name, tables_folder(), file, sha256, tell)
    _say_left_out(table.left_out)
    click.echo(
        say(
            "tables.fetched",
            foods=f"{len(table.foods):,}",
            source=plain(table.provenance.source),
            file=file_name(target),
        )
    )
    click.echo(odd(name, check_foods(table.foods)), nl=False)


@tables.command("check")
@click.argument("name", default="usda-sr")
@click.option("--worst", type=click.IntRange(0, 1000), default=5, show_default=True, help="Rows shown of each check.")
@sentences
def tables_check(name: str, worst: int) -> None:
    """Hold the figures of the food table NAME against each other and show the rows that cannot be right.

    \b
    Example:
      nutrilab tables check uk-cofid
    """
    from data_loaders import checking
    from nutrilab.sheets.tables import check
    from nutrilab.store import available

    there = available(tables_folder())
    if name not in there:
        raise TableError(say("tables.not-there", names=", ".join(there)), brief(name))
    click.echo(check(name, checking.check_foods(checking.read_foods(there[name])), worst), nl=False)


@tables.command("compare")
@click.argument("names", nargs=-1, required=True)
@click.argument("food")
@sentences
def tables_compare(names: Sequence[str], food: str) -> None:
    """Show what the food tables NAMES have for one FOOD, with their figures of 100 g.

    \b
    Example:
      nutrilab tables compare uk-cofid usda-sr "butter"
    """
    from nutrilab.foods import embedded
    from nutrilab.lines import parse_line
    from nutrilab.linking.linker import TableLinker
    from nutrilab.sheets.tables import compared
    from nutrilab.store import tables as opened

    bridge = TableLinker(embedded(), None, alternatives=False)
    line = parse_line(food)  # as an ingredient is read: "beef mince (5 %)"
    query = line.query(line.name)
    found = [
        (name, TableLinker(table, bridge, alternatives=False).link(query))
        for name, table in zip(names, opened(tables_folder(), tuple(names)), strict=True)
    ]
    click.echo(compared(brief(food), found), nl=False)
