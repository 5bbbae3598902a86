"""The command that reads ingredient lines, of a list or of a recipe, and asks what it is not sure of."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from nutrilab.cli_parts import screen, sentences, tables_option
from nutrilab.files import check_lines, content, text_of
from nutrilab.messages import say
from nutrilab.plain import plain, quoted
from nutrilab.remarks import InputError, NutrilabError

if TYPE_CHECKING:
    from nutrilab.asking import Choice, Question
    from nutrilab.folder import Folder
    from nutrilab.kitchen import Kitchen
    from nutrilab.recipe import Recipe
    from nutrilab.results import DishResult, LineRecord

LARGEST_INPUT = 10_000_000  # bytes
SKIP = "skip"
_LINE_END = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True, slots=True)
class _Text:
    """A line to be read: its text, the share of it that is meant [0 to 1], what a cup holds."""

    text: str
    cup: str
    share: float = 1.0


@click.command()
@click.argument("file", type=click.Path(path_type=Path, allow_dash=True), default="-")
@click.option("--format", "form", type=click.Choice(["text", "jsonl"]), default="text", show_default=True)
@click.option(
    "--cups",
    type=click.Choice(["us", "metric"]),
    show_default="us, or what the recipe says",
    help="What a cup holds: 236.6 ml or 250 ml.",
)
@click.option(
    "--ask", is_flag=True, help="Ask what doubtful names stand for, of a recipe what pieces weigh too, and keep it."
)
@click.option("--explain", metavar="LINE", help="Say in words what is made of one line, and which row says so.")
@tables_option
@sentences
def lines(file: Path, form: str, cups: str | None, ask: bool, explain: str | None, names: str | None) -> None:
    """Read ingredient lines from FILE or standard input: grams, food, allergens of each.

    FILE is a list of lines, or a recipe, a page or captions, of which the ingredients are read. Decisions beside FILE
    (decisions.yaml) are kept to, and --ask writes the answers there; with standard input, those of this folder.

    \b
    Example:
      echo "2 x 400g tins chopped tomatoes" | nutrilab lines
      nutrilab lines shopping.txt --format jsonl
      nutrilab lines soup.yaml --ask
      nutrilab lines --explain "2 bangers"
    """
    if explain is not None:
        _explain(explain, cups or "us", names, plain_form=form == "text" and not ask and str(file) == "-")
        return
    from nutrilab.folder import Folder
    from nutrilab.recipe.recognised import holds_recipe

    if ask and str(file) == "-":
        raise InputError(say("ask.needs-file"))
    place = Path() if str(file) == "-" else file.parent
    opened = Folder(place, names, alternatives=ask or form == "jsonl")
    recipe = _recipe(file, opened) if str(file) != "-" and holds_recipe(file) else None
    texts = _texts(file, recipe, cups)
    if recipe is not None:
        _say_read(recipe, len(texts))
    if ask:
        _ask(place, opened, recipe, texts)
        opened = Folder(place, names, alternatives=form == "jsonl")
    kitchen = opened.kitchen(opened.packs_of(recipe) if recipe else None)
    _write((kitchen.line(one.text, one.cup).part(one.share) for one in texts), form)


def _write(records: Iterable[LineRecord], form: str) -> None:
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
        raise InputError(say("cli.explain-one-line"))
    from nutrilab.explaining import explain
    from nutrilab.folder import Folder
    from nutrilab.sheets import terminal

    check_lines([text], "--explain")
    record = Folder(Path(), names, alternatives=False).line(text, cups)
    click.echo(terminal.explained(text, explain(record), *screen()), nl=False)


# -- what is read -----------------------------------------------------------------------------------------------------


def _recipe(file: Path, opened: Folder) -> Recipe:
    """The recipe of a file, as `analyse` reads it, of captions as `draft` does. Raises InputError."""
    from nutrilab.recipe import CAPTION_NAMES, read_recipe

    if file.suffix.lower() in CAPTION_NAMES and file.is_file():
        from nutrilab import spoken

        return spoken.read(file, opened.kitchen()).recipe
    return read_recipe(file)


def _texts(file: Path, recipe: Recipe | None, cups: str | None) -> list[_Text]:
    if recipe is None:
        return [_Text(text, cups or "us") for text in _input_lines(file)]
    from nutrilab.recipe import lines_of

    return [_Text(line.text, cups or recipe.cup, line.share) for line in lines_of(recipe)]


def _say_read(recipe: Recipe, count: int) -> None:
    """What of a recipe was taken for ingredients, and what its reader says of lines that were not."""
    lines_ = say("ask.one-line") if count == 1 else say("ask.lines", number=count)
    where = f"{recipe.path}: " if recipe.path else ""
    click.echo(plain(where + say("ask.read", dish=quoted(recipe.dish), lines=lines_)), err=True)
    for remark in recipe.remarks:
        click.echo(f"  {plain(remark.message)}", err=True)


def _input_lines(file: Path) -> list[str]:
    """The lines of a file or standard input, blank ones left out, all checked before the first is used.

    Raises InputError.
    """
    name = say("thing.input") if str(file) == "-" else str(file)
    try:
        if str(file) != "-" and (file.is_dir() or not file.exists()):
            content(file, LARGEST_INPUT)  # which says what it is instead; a pipe is as good as a file
        stream = sys.stdin.buffer if str(file) == "-" else file.open("rb")
        with stream:
            data = stream.read(LARGEST_INPUT + 1)
    except OSError as error:
        raise InputError(say("file.not-readable", problem=error.strerror), name) from None
    if len(data) > LARGEST_INPUT:
        raise InputError(say("cli.too-many-lines"), name)
    text = text_of(data, name)
    found = _LINE_END.split(text)
    check_lines(found, name)
    return [line.strip() for line in found if line.strip()]


# -- questions --------------------------------------------------------------------------------------------------------


def _ask(place: Path, opened: Folder, recipe: Recipe | None, texts: list[_Text]) -> None:
    """Ask, and keep each answer at once; then say which decisions nothing here matches."""
    from nutrilab import decisions
    from nutrilab.asking import questions

    kitchen = opened.kitchen(opened.packs_of(recipe) if recipe else None)
    dish = None if recipe is None else _cooked(opened, recipe)
    asked: Iterable[Question]
    if dish is None:
        asked = questions((kitchen.line(one.text, one.cup) for one in texts), kitchen)
    else:
        from nutrilab.asking_dish import of_dish

        asked = of_dish(dish, kitchen)
        if not asked:
            click.echo(say("ask.every-name-sure"), err=True)
    no_food: set[tuple[str, ...]] = set()
    for question in asked:
        if decisions.key_of(question.of) in no_food:
            continue
        _put(question, moves=dish is not None)
        value = _weighed(question.unit) if question.of_weight else _settled(question, kitchen)
        if value is not None:
            decisions.add(place, question.name, value)
        if value == decisions.NONE:
            no_food.add(decisions.key_of(question.of))
    if dish is not None:
        for sentence in opened.unmatched([dish], others=True):
            click.echo(plain(sentence), err=True)


def _cooked(opened: Folder, recipe: Recipe) -> DishResult | None:
    """The dish; None where it cannot be counted yet, which is said."""
    from nutrilab.measures import PORTIONS

    try:
        return opened.dish(recipe, None if recipe.portions or recipe.portion_weight else PORTIONS)
    except NutrilabError as error:
        click.echo(plain(say("ask.cannot-cook", why=error)), err=True)
        return None


def _put(question: Question, moves: bool) -> None:
    """A question in words: the name, its line, why it is worth an answer, and what may be meant."""
    click.echo(f"\n{say('ask.in', name=quoted(question.name), line=plain(question.text))}", err=True)
    if moves:
        from nutrilab.sheets.sentences import percent

        share = None if question.moves is None else percent(question.moves)
        why = say("ask.moves-unknown") if share is None else say("ask.moves", share=share)
        click.echo(f"  {why}", err=True)
    if question.one is not None:
        click.echo(f"  {plain(question.one)}", err=True)
    _offer(question.choices)


def _weighed(unit: str) -> str | None:
    """What the cook says one weighs; None to skip it."""
    from nutrilab.asking import answer_weight

    asked = say("ask.weight-of", unit=unit) if unit else say("ask.weight")
    while (said := _said(asked)) is not None:
        try:
            return answer_weight(said)
        except InputError as error:
            click.echo(f"  {error}", err=True)
    return None


def _settled(question: Question, kitchen: Kitchen) -> str | None:
    """What the cook settles on, asked again after every search; None to skip the name."""
    from nutrilab.asking import answer

    choices = question.choices
    while (said := _said(say("ask.which"))) is not None:
        try:
            found = answer(said, choices, kitchen, question.name)
        except InputError as error:
            click.echo(f"  {error}", err=True)
            continue
        if isinstance(found, str):
            return found
        choices = found
        _offer(choices)
    return None


def _said(asked: str) -> str | None:
    """What is answered; None for nothing or "skip"."""
    said = str(click.prompt(f"  {asked}", default=SKIP, show_default=False, err=True))
    return None if said.strip().lower() == SKIP else said


def _offer(choices: tuple[Choice, ...]) -> None:
    for number, choice in enumerate(choices, 1):
        now = f", {say('ask.now')}" if choice.now else ""
        click.echo(f"  {number}  {plain(f'{choice.told} {choice.food_id}{now}')}", err=True)
