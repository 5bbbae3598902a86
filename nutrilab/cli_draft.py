"""The command that writes a recipe file from what was read of a text, a page or captions."""

from __future__ import annotations

import os
from pathlib import Path

import click

from nutrilab.cli_parts import sentences, tables_option
from nutrilab.files import there
from nutrilab.messages import say
from nutrilab.remarks import InputError

LARGEST_DRAFT = 1_000_000  # bytes, as of any recipe file


@click.command()
@click.argument("recipe", type=click.Path(path_type=Path))
@click.option("-o", "--output", metavar="FILE.yaml", help="Write to this new file, not the screen.")
@click.option(
    "--portions", type=click.FloatRange(min=0, min_open=True), help="Number of portions, where the recipe says none."
)
@tables_option
@sentences
def draft(recipe: Path, output: str | None, portions: float | None, names: str | None) -> None:
    """Write what is understood of RECIPE as a recipe file to correct: lines, stages, cooking, every guess.

    RECIPE is a text, a saved page, a JSON recipe, or captions (.srt, .vtt) of a cook who speaks. A file that is there
    already is never written over.

    \b
    Example:
      nutrilab draft soup.txt
      nutrilab draft saved-page.html -o soup.yaml
      nutrilab draft supper.srt -o supper.yaml
    """
    to = _place(output)
    text = _drafted(recipe, to, portions, names)
    if len(text.encode()) > LARGEST_DRAFT:
        raise InputError(say("draft.too-large"), recipe)
    if to is None:
        click.echo(text, nl=False)
        return
    from nutrilab import writing

    _place(output)  # once more: reading took its time
    writing.write({to: text}, {recipe: say("write.recipe-read")})
    click.echo(say("draft.look-at-it", name=to.name, file=to), err=True)


def _place(said: str | None) -> Path | None:
    """Where a draft goes; None for the screen. Raises InputError."""
    if said is None:
        return None
    path = Path(said)
    if path.is_dir() or said.endswith(("/", os.sep)):
        raise InputError(say("draft.a-folder"), said)
    if path.suffix.lower() not in (".yaml", ".yml"):
        raise InputError(say("draft.end-in-yaml"), said)
    if there(path):
        raise InputError(say("draft.there-already"), said)
    return path


def _drafted(path: Path, to: Path | None, portions: float | None, names: str | None) -> str:
    from nutrilab import draft as drafting
    from nutrilab.folder import Folder
    from nutrilab.recipe import YAML_NAMES

    if path.suffix.lower() in YAML_NAMES and path.is_file():
        raise InputError(say("draft.recipe-already"), path)
    here = to is None or os.path.realpath(to.parent) == os.path.realpath(path.parent)
    return drafting.of_file(Folder(path.parent, names, alternatives=False), path, portions, here)
