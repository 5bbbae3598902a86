"""The command that opens the page for cooks without a terminal."""

from __future__ import annotations

from pathlib import Path

import click

from nutrilab.cli_parts import sentences, tables_option
from nutrilab.messages import say
from nutrilab.remarks import InputError


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), default=".")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="Port of this machine; 0 is any that is free.")
@click.option("--no-browser", is_flag=True, help="Only print the address; do not open a browser.")
@tables_option
@sentences
def page(folder: Path, port: int, no_browser: bool, names: str | None) -> None:
    """Open a page in the browser for the recipes of FOLDER: paste, look, correct, print. Ctrl-C ends it.

    It is served on this machine alone, to the browser that has the printed address, and needs no internet. What it
    saves are the files the other commands read: recipes, decisions.yaml and products.yaml in FOLDER.

    \b
    Example:
      nutrilab page
      nutrilab page recipes/
      nutrilab page recipes/ --port 8321 --no-browser
    """
    _check_installed()
    from nutrilab.page.server import serve

    serve(folder, port, names, not no_browser, click.echo)


def _check_installed() -> None:
    """Raises InputError where the packages of the extra are not there."""
    try:
        import starlette  # noqa: F401
        import uvicorn  # noqa: F401
    except ImportError:
        raise InputError(say("desk.not-installed")) from None
