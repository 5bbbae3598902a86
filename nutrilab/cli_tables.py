"""The commands of ``nutrilab tables``."""

from __future__ import annotations

from pathlib import Path

import click

from nutrilab.cli_parts import sentences, tables_folder


@click.group()
def tables() -> None:
    """List and import food tables."""


@tables.command("list")
@sentences
def tables_list() -> None:
    """Show the food tables that are there.

    \b
    Example:
      nutrilab tables list
    """
    from nutrilab.foods import open_table
    from nutrilab.store import available

    for name, path in available(tables_folder()).items():
        table = open_table(path)
        about = table.provenance
        click.echo(f"{name}: {about.source}, {about.version}, {len(table):,} foods, {about.licence}")
        click.echo(f"    credit: {about.credit}")
        click.echo(f"    imported {about.imported}, {path}")


@tables.command("import")
@click.argument("name")
@click.argument("path", type=click.Path(path_type=Path))
@click.option("--into", type=click.Path(path_type=Path), help="Folder for the table, instead of this kitchen's own.")
@sentences
def tables_import(name: str, path: Path, into: Path | None) -> None:
    """Import a food table of kind NAME from a folder or archive at PATH.

    \b
    Example:
      nutrilab tables import usda-sr sr28.zip
    """
    from data_loaders import schema
    from data_loaders.registry import loader

    table = loader(name).load(path)
    target = schema.write(table, into or tables_folder(), name)
    click.echo(
        f"{len(table.foods):,} foods and {len(table.measures):,} measures of {table.provenance.source}: {target}"
    )
