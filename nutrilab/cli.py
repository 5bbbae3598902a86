"""The command line: reads arguments, calls one function, prints. Heavy modules are imported when needed."""

from __future__ import annotations

import codecs
import gc
import io
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from nutrilab import __version__
from nutrilab.cli_draft import draft
from nutrilab.cli_output import WHERE, given, one_file, only_for, output_of, taken, write, write_folder
from nutrilab.cli_parts import cook, recipes_among, screen, sentences, stop, tables_option
from nutrilab.cli_swap import swap
from nutrilab.cli_tables import tables
from nutrilab.files import check_lines, content, text_of
from nutrilab.plain import brief, plain, quoted
from nutrilab.remarks import InputError

if TYPE_CHECKING:
    from nutrilab.asking import Choice
    from nutrilab.kitchen import Kitchen

FORMS = ("text", "json", "html", "label", "jsonld", "caption", "still", "csv", "pdf")  # as sheets.writer has them
LENGTHS = ("short", "medium", "long")  # as sheets.captions has them
SHAPES = ("wide", "square")  # as sheets.still has them
CHARTS = ("text", "csv", "html", "pdf")
LARGEST_INPUT = 10_000_000  # bytes
PROMPT = "  which (a number, a food id, other words to search for, none if it is no food, or skip)"
USAGE = (  # what click says of options, and how a cook is told
    (re.compile(r"is not a valid (?:float|integer)(?: range)?"), "is no number"),
    (re.compile(r"is not in the range x>0"), "must be above 0"),
)
_LONG = re.compile(r"'([^']*)'")
_LINE_END = re.compile(r"\r\n|\r|\n")


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
            click.echo("stopped", err=True)
            code = 1
        sys.exit(code if isinstance(code, int) else 0)


def _usage(error: click.ClickException) -> str:
    """A mistake on the command line as one sentence with the cure."""
    text = _LONG.sub(lambda found: f"'{brief(found[1])}'", " ".join(error.format_message().split()).rstrip("."))
    for said, plainly in USAGE:
        text = said.sub(plainly, text)
    context = getattr(error, "ctx", None)
    if context is None:
        return text
    return f"{text}{'' if text.endswith('?') else ';'} see {context.command_path} --help"


@click.group(cls=Sentences, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="nutrilab")
def main() -> None:
    """Calories, salt and the 14 allergens a portion, from a recipe as a cook writes it.

    Not covered: cross-contact in the kitchen. Check every pack and follow the local food law.
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
@click.option("--balance", is_flag=True, help="Show for every stage what went in, came out, was lost or left over.")
@click.option("--vitamins", is_flag=True, help="Show vitamins and minerals from 15 % of the daily reference value on.")
@click.option(
    "--length", type=click.Choice(LENGTHS), help="Of a caption: up to 150, 500 or 2,200 characters.  [medium]"
)
@click.option("--shape", type=click.Choice(SHAPES), help="Of a still: 1920 x 1080 or 1080 x 1080 pixels.  [wide]")
@tables_option
@sentences
def analyse(
    recipes: tuple[Path, ...],
    portions: float | None,
    form: str | None,
    output: str | None,
    balance: bool,
    vitamins: bool,
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
    only_for("caption", to, "--length", length)
    only_for("still", to, "--shape", shape)
    results = cook(recipes, names, portions, alternatives=to.form == "json")
    one_file(to, len(results), folders)
    read |= taken(results)
    width, colour = screen(to.path is None)
    view = writer.View(width, colour, balance, vitamins, length or LENGTHS[1], shape or SHAPES[0], to.pixels)
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
@tables_option
@sentences
def allergens(
    recipes: tuple[Path, ...], form: str | None, since: Path | None, output: str | None, names: str | None
) -> None:
    """The chart of dishes by allergen, for a menu board or a folder.

    \b
    Example:
      nutrilab allergens demo_recipes/*.yaml
      nutrilab allergens demo_recipes/*.yaml -o chart.html
      nutrilab allergens pie.yaml --since pie-last-month.json
    """

    from nutrilab.sheets import writer

    recipes = recipes_among(recipes)
    read = given(recipes, since)
    if since is not None and form not in (None, "text"):
        raise InputError("--since says what changed in words; leave --format out")
    to = output_of(output, form, CHARTS if since is None else ("text",), read)
    results = cook(recipes, names)
    read |= taken(results)
    if since is not None:
        from nutrilab.sheets import earlier

        write(earlier.changes(earlier.read_result(since), results), to.path, read)
        return
    width, colour = screen(to.path is None)
    page = writer.chart(results, "html" if to.printed else to.form, writer.View(width, colour))
    write(writer.printed(page) if to.printed and isinstance(page, str) else page, to.path, read)


@main.command()
@click.argument("file", type=click.Path(path_type=Path, allow_dash=True), default="-")
@click.option("--format", "form", type=click.Choice(["text", "jsonl"]), default="text", show_default=True)
@click.option(
    "--cups",
    type=click.Choice(["us", "metric"]),
    default="us",
    show_default=True,
    help="What a cup holds: 236.6 ml or 250 ml.",
)
@click.option("--ask", is_flag=True, help="Ask what each doubtful name stands for; decisions.yaml keeps the answers.")
@click.option("--explain", metavar="LINE", help="Say in words what is made of one line, and which row says so.")
@tables_option
@sentences
def lines(file: Path, form: str, cups: str, ask: bool, explain: str | None, names: str | None) -> None:
    """Read ingredient lines from FILE or standard input: grams, food, allergens of each.

    Decisions beside FILE (decisions.yaml) are kept to; with standard input, those of this folder.

    \b
    Example:
      echo "2 x 400g tins chopped tomatoes" | nutrilab lines
      nutrilab lines shopping.txt --format jsonl
      nutrilab lines shopping.txt --ask
      nutrilab lines --explain "2 bangers"
    """
    if explain is not None:
        _explain(explain, cups, names, plain_form=form == "text" and not ask and str(file) == "-")
        return
    from nutrilab.folder import Folder

    texts = _input_lines(file)
    folder = Path() if str(file) == "-" else file.parent
    opened = Folder(folder, names, alternatives=ask or form == "jsonl")
    if ask:
        _ask(file, folder, opened.kitchen(), texts)
        opened = Folder(folder, names, alternatives=form == "jsonl")
    records = (opened.line(text, cups) for text in texts)
    if form == "text":
        from nutrilab.sheets import terminal

        click.echo(terminal.lines(records, *screen()), nl=False)
        return
    from nutrilab.records import line_record
    from nutrilab.sheets.safe import json_text

    for record in records:
        sys.stdout.write(json_text(line_record(record), indent=None) + "\n")


def _explain(text: str, cups: str, names: str | None, plain_form: bool) -> None:
    """One line in words: no file, no records, no questions beside it."""
    if not plain_form:
        raise InputError("--explain takes one line in quotes and answers in words; leave FILE, --format and --ask out")
    from nutrilab.explaining import explain
    from nutrilab.folder import Folder
    from nutrilab.sheets import terminal

    check_lines([text], "--explain")
    record = Folder(Path(), names, alternatives=False).line(text, cups)
    click.echo(terminal.explained(text, explain(record), *screen()), nl=False)


def _ask(file: Path, folder: Path, opened: Kitchen, texts: list[str]) -> None:
    """Ask one question a doubtful name and keep each answer at once."""
    from nutrilab import decisions
    from nutrilab.asking import questions

    if str(file) == "-":
        raise InputError("--ask needs the lines in a file, because the answers come from standard input")
    for question in questions((opened.line(text) for text in texts), opened):
        click.echo(f'\n"{plain(question.name)}" in: {plain(question.text)}', err=True)
        food_id = _settled(question.choices, opened)
        if food_id is not None:
            decisions.add(folder, question.name, food_id)


def _settled(choices: tuple[Choice, ...], opened: Kitchen) -> str | None:
    """The food id, or "none", that the cook settles on, asked again after every search; None to skip the name."""
    from nutrilab.asking import answer

    _offer(choices)
    while True:
        said = click.prompt(PROMPT, default="skip", show_default=False, err=True)
        if said.strip().lower() == "skip":
            return None
        try:
            found = answer(said, choices, opened)
        except InputError as error:
            click.echo(f"  {error}", err=True)
            continue
        if isinstance(found, str):
            return found
        choices = found
        _offer(choices)


def _offer(choices: tuple[Choice, ...]) -> None:
    for number, choice in enumerate(choices, 1):
        click.echo(f"  {number}  {plain(f'{_told(choice)} {choice.food_id}')}", err=True)


def _told(choice: Choice) -> str:
    """A food with what decides between it and others."""
    kcal = "kcal not known" if choice.kcal is None else f"{choice.kcal:.0f} kcal"
    salt = "salt not known" if choice.salt is None else f"{choice.salt:.2g} g salt"
    return f"{choice.food_name} ({kcal}, {salt} per 100 g)"


def _input_lines(file: Path) -> list[str]:
    """The lines of a file or standard input, blank ones left out, all checked before the first is used.

    Raises InputError.
    """
    name = "standard input" if str(file) == "-" else str(file)
    try:
        if str(file) != "-" and (file.is_dir() or not file.exists()):
            content(file, LARGEST_INPUT)  # which says what it is instead; a pipe is as good as a file
        stream = sys.stdin.buffer if str(file) == "-" else file.open("rb")
        with stream:
            data = stream.read(LARGEST_INPUT + 1)
    except OSError as error:
        raise InputError(f"it cannot be read ({error.strerror})", name) from None
    if len(data) > LARGEST_INPUT:
        raise InputError("this is more than 10 MB of lines; give it in parts", name)
    text = text_of(data, name)
    found = _LINE_END.split(text)
    check_lines(found, name)
    return [line.strip() for line in found if line.strip()]


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
            raise InputError(f"no food has the id {quoted(food_id)}; search for its name without --id")
        click.echo(terminal.food(table.food(food_id), *screen()), nl=False)
        return
    if not query:
        raise InputError('say what to search for, such as: nutrilab foods "smoked haddock"')
    from nutrilab.asking import choice_of
    from nutrilab.linking import search

    found = search(" ".join(query), there, limit)
    if not found:
        raise InputError(f"nothing in the food tables is near {quoted(' '.join(query))}")
    for candidate in found:
        table = next(t for t in there if candidate.food_id in t)
        click.echo(plain(f"{candidate.food_id}  {_told(choice_of(table.food(candidate.food_id)))}"))


main.add_command(draft)
main.add_command(swap)
main.add_command(tables)
