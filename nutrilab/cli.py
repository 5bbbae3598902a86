"""The command line: reads arguments, calls one function, prints. Heavy modules are imported when needed."""

from __future__ import annotations

import codecs
import gc
import io
import re
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from nutrilab import __version__
from nutrilab.cli_draft import draft
from nutrilab.cli_lines import lines
from nutrilab.cli_output import WHERE, given, one_file, only_for, output_of, taken, write, write_folder
from nutrilab.cli_page import page
from nutrilab.cli_parts import cook, recipes_among, screen, sentences, stop, tables_option
from nutrilab.cli_swap import swap
from nutrilab.cli_tables import tables
from nutrilab.messages import say
from nutrilab.plain import brief, plain, quoted
from nutrilab.remarks import InputError

FORMS = ("text", "json", "html", "label", "jsonld", "caption", "still", "csv", "pdf")  # as sheets.writer has them
LENGTHS = ("short", "medium", "long")  # as sheets.captions has them
SHAPES = ("wide", "square")  # as sheets.still has them
CHARTS = ("text", "csv", "html", "pdf")
PAPERS = ("a4", "a3")  # as sheets.chart_room has them
USAGE = (  # what click says of options, and how a cook is told
    (re.compile(r"is not a valid (?:float|integer)(?: range)?"), "cli.no-number"),
    (re.compile(r"is not in the range x>0"), "cli.above-0"),
)
_LONG = re.compile(r"'([^']*)'")


class Sentences(click.Group):
    """A command line on which a wrong option ends as bad input does: one sentence on standard error, exit code 2."""

    def main(self, *args: Any, **kwargs: Any) -> Any:
        """As click has it, but for how mistakes end where this is the whole program."""
        if not kwargs.get("standalone_mode", True):
            return super().main(*args, **kwargs)
        code = 0
        try:
            code = super().main(*args, **kwargs | {"standalone_mode": False})
        except click.exceptions.NoArgsIsHelpError as error:
            error.show()
            code = error.exit_code
        except click.ClickException as error:
            stop([_usage(error)])
        except click.Abort:
            click.echo(say("cli.stopped"), err=True)
            code = 1
        sys.exit(code if isinstance(code, int) else 0)


def _usage(error: click.ClickException) -> str:
    """A mistake on the command line as one sentence with the cure."""
    text = _LONG.sub(lambda found: f"'{brief(found[1])}'", " ".join(error.format_message().split()).rstrip("."))
    for said, plainly in USAGE:
        if said.search(text):
            text = said.sub(say(plainly), text)
    context = getattr(error, "ctx", None)
    if context is None:
        return text
    command = context.command_path
    if text.endswith("?"):
        return say("cli.asks-see-help", problem=text, command=command)
    return say("cli.see-help", problem=text, command=command)


@click.group(cls=Sentences, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="nutrilab")
def main() -> None:
    """Calories, salt and the 14 allergens a portion, from a recipe as a cook writes it.

    Not covered: cross-contact in the kitchen. Check every pack and follow the local food law.

    \b
    Rather in the browser, without commands:
      nutrilab page
    """
    _write_every_letter()
    gc.disable()  # a short process: going again and again over the word lists just read costs a fifth of its time


def _write_every_letter() -> None:
    """No letter ends a command: a file or pipe gets UTF-8, a screen that lacks the letter a mark in its place."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper) and codecs.lookup(stream.encoding).name != "utf-8":
            stream.reconfigure(encoding=None if stream.isatty() else "utf-8", errors="replace")


@main.command()
@click.argument("recipes", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--portions", type=click.FloatRange(min=0, min_open=True), help="Number of portions, instead of the recipe's."
)
@click.option("--format", "form", type=click.Choice(FORMS), show_default="by the name of -o, else text")
@click.option("-o", "--output", metavar="PATH", help=WHERE.format("file or folder"))
@click.option(
    "--explain", is_flag=True, help="Say where every figure comes from: words, weights, cooking, notes, sources."
)
@click.option("--balance", is_flag=True, help="Show for every stage what went in, came out, was lost or left over.")
@click.option("--vitamins", is_flag=True, help="Show vitamins and minerals from 15 % of the daily reference value on.")
@click.option(
    "--long", "long_", is_flag=True, help="CSV with a row for every figure, line and allergen, not a row a dish."
)
@click.option(
    "--length", type=click.Choice(LENGTHS), help="Of a caption: up to 300, 600 or 2,200 characters.  [medium]"
)
@click.option("--shape", type=click.Choice(SHAPES), help="Of a still: 1920 x 1080 or 1080 x 1080 pixels.  [wide]")
@tables_option
@sentences
def analyse(
    recipes: tuple[Path, ...],
    portions: float | None,
    form: str | None,
    output: str | None,
    explain: bool,
    balance: bool,
    vitamins: bool,
    long_: bool,
    length: str | None,
    shape: str | None,
    names: str | None,
) -> None:
    """Energy, macronutrients, salt and allergens of one or more RECIPES, or of those in a folder.

    \b
    Example:
      nutrilab analyse demo_recipes/harbour-fish-pie.yaml
      nutrilab analyse demo_recipes/ --format json
      nutrilab analyse demo_recipes/*.yaml --format html -o sheets/
      nutrilab analyse demo_recipes/ -o dishes.csv
      nutrilab analyse pie.yaml --explain
      nutrilab analyse pie.yaml -o pie.pdf
      nutrilab analyse pie.yaml --format label -o label.pdf
      nutrilab analyse pie.yaml --format caption --length short
      nutrilab analyse pie.yaml -o pie.png --shape square
    """
    from nutrilab.sheets import writer

    recipes = recipes_among(recipes)
    folders = [one for one in FORMS if writer.has_folder(one)]
    read = given(recipes)
    to = output_of(output, form, FORMS, read, folders)
    only_for("text", to, "--explain", explain or None)
    only_for("text", to, "--balance", balance or None)
    only_for("text html pdf", to, "--vitamins", vitamins or None)
    only_for("csv", to, "--long", long_ or None)
    only_for("caption", to, "--length", length)
    only_for("still", to, "--shape", shape)
    results = cook(recipes, names, portions, alternatives=to.form == "json")
    one_file(to, len(results), folders)
    read |= taken(results)
    view = writer.View(*screen(to.path is None), balance, vitamins, long_, explain=explain, pixels=to.pixels)
    view = replace(view, folder=to.folder, length=length or view.length, shape=shape or view.shape)
    if to.folder and to.path is not None:
        write_folder(writer.folder(results, to.form, view), to.path, read)
    else:
        page = writer.together(results, to.form, view)
        write(writer.printed(page) if to.printed and isinstance(page, str) else page, to.path, read)
    for note in writer.notes(results, to.form, view):
        click.echo(plain(note), err=True)


@main.command()
@click.argument("recipes", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--format", "form", type=click.Choice(CHARTS), show_default="by the name of -o, else text")
@click.option("--since", type=click.Path(path_type=Path), help="An earlier JSON result: say what changed instead.")
@click.option("-o", "--output", metavar="PATH", help=WHERE.format("file"))
@click.option(
    "--paper",
    type=click.Choice(PAPERS),
    help="The paper of an HTML or PDF chart, lying on its long side; for a wall take a3.  [a4]",
)
@click.option("--checks", is_flag=True, help="Print what to check for each dish on sheets after the chart.")
@tables_option
@sentences
def allergens(
    recipes: tuple[Path, ...],
    form: str | None,
    since: Path | None,
    output: str | None,
    paper: str | None,
    checks: bool,
    names: str | None,
) -> None:
    """The chart of dishes by allergen, for a menu board or a folder.

    \b
    Example:
      nutrilab allergens demo_recipes/*.yaml
      nutrilab allergens demo_recipes/*.yaml -o chart.html
      nutrilab allergens demo_recipes/ --paper a3 -o wall.pdf
      nutrilab allergens pie.yaml --since pie-last-month.json
    """

    from nutrilab.sheets import writer

    recipes = recipes_among(recipes)
    read = given(recipes, since)
    if since is not None and form not in (None, "text"):
        raise InputError(say("cli.since-in-words"))
    to = output_of(output, form, CHARTS if since is None else ("text",), read)
    if (paper or checks) and to.form not in ("html", "pdf"):
        raise InputError(say("cli.for-paper"))
    results = cook(recipes, names)
    read |= taken(results)
    if since is not None:
        from nutrilab.sheets import earlier

        write(earlier.changes(earlier.read_result(since), results), to.path, read)
        return
    width, colour = screen(to.path is None)
    view = writer.View(width, colour, paper=paper or PAPERS[0], checks=checks)
    page = writer.chart(results, "html" if to.printed else to.form, view)
    write(writer.printed(page) if to.printed and isinstance(page, str) else page, to.path, read)


@main.command()
@click.argument("query", nargs=-1)
@click.option("--id", "food_id", help="Show one food's whole record, such as sr:01001.")
@click.option("--limit", type=click.IntRange(1, 100), default=10, show_default=True)
@tables_option
@sentences
def foods(query: tuple[str, ...], food_id: str | None, limit: int, names: str | None) -> None:
    """Search the food table for QUERY, or show one food.

    \b
    Example:
      nutrilab foods "smoked haddock"
      nutrilab foods --id sr:15035
    """
    from nutrilab.folder import Folder
    from nutrilab.sheets import terminal

    there = Folder(Path(), names).tables
    if food_id:
        table = next((t for t in there if food_id in t), None)
        if table is None:
            raise InputError(say("cli.no-such-id", food=quoted(food_id)))
        click.echo(terminal.food(table.food(food_id), *screen()), nl=False)
        return
    if not query:
        raise InputError(say("cli.search-what"))
    from nutrilab.asking import choice_of
    from nutrilab.linking import search

    found = search(" ".join(query), there, limit)
    if not found:
        raise InputError(say("cli.nothing-near", words=quoted(" ".join(query))))
    for candidate in found:
        table = next(t for t in there if candidate.food_id in t)
        click.echo(plain(f"{candidate.food_id}  {choice_of(table.food(candidate.food_id)).told}"))


main.add_command(draft)
main.add_command(lines)
main.add_command(page)
main.add_command(swap)
main.add_command(tables)
