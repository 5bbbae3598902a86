"""The command line: reads arguments, calls one function, prints. Heavy modules are imported when needed."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from data_loaders.schema import TableError
from nutrilab import __version__
from nutrilab.remarks import InputError

if TYPE_CHECKING:
    from nutrilab.kitchen import DishResult, Kitchen

LONGEST_LINE = 10_000  # characters; longer than any ingredient
LARGEST_INPUT = 10_000_000  # bytes
NO_RECIPES = ("products.yaml", "decisions.yaml", "kitchen.yaml")  # what lies beside recipes


def _tables_folder() -> Path:
    """Where imported food tables live; the environment variable is for tests and shared machines."""
    import os

    return Path(os.environ.get("NUTRILAB_TABLES") or click.get_app_dir("nutrilab"))


def _sentences(command: Callable[..., Any]) -> Callable[..., Any]:
    """Bad input ends with one sentence a problem on standard error and exit code 2."""

    @wraps(command)
    def run(*args: Any, **kwargs: Any) -> Any:
        try:
            return command(*args, **kwargs)
        except (InputError, TableError) as error:
            _stop([str(error)])

    return run


def _stop(problems: list[str]) -> None:
    for problem in problems:
        click.echo(problem.replace("\n", " "), err=True)
    sys.exit(2)


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="nutrilab")
def main() -> None:
    """Calories, salt and the 14 allergens a portion, from a recipe as a cook writes it.

    Not covered: cross-contact in the kitchen. Check every pack and follow the local food law.
    """
    gc.disable()  # a short process: going again and again over the word lists just read costs a fifth of its time


def _kitchen(folder: Path, alternatives: bool = True, products: str | None = None) -> Kitchen:
    """The kitchen with its food tables, and the decisions and own products that lie in a folder of recipes."""
    from nutrilab import decisions
    from nutrilab.kitchen import Kitchen
    from nutrilab.store import tables

    file = folder / (products or "products.yaml")
    if products and not file.resolve().is_relative_to(folder.resolve()):
        raise InputError(f'the file of own products "{products}" lies outside the folder of the recipe', folder)
    own = None
    if products or file.exists():
        from nutrilab.products import load

        own = load(file)
    return Kitchen(tables(_tables_folder()), decisions.read(folder), alternatives, own)


def _cook(recipes: tuple[Path, ...], portions: float | None = None, alternatives: bool = False) -> list[DishResult]:
    """All dishes, or one sentence for each recipe that cannot be used."""
    from nutrilab.recipe import read_recipe

    kitchens: dict[tuple[Path, str | None], Kitchen] = {}
    results, problems = [], []
    for path in _recipes_among(recipes):
        try:
            recipe = read_recipe(path)
            place = (path.parent, recipe.products)
            if place not in kitchens:
                kitchens[place] = _kitchen(path.parent, alternatives, recipe.products)
            results.append(kitchens[place].dish(recipe, portions))
        except InputError as error:
            problems.append(str(error))
    if problems:
        _stop(problems)
    return results


def _recipes_among(paths: tuple[Path, ...]) -> tuple[Path, ...]:
    """Several files less the kitchen's own, which a pattern like *.yaml takes in."""
    kept = tuple(path for path in paths if path.name not in NO_RECIPES)
    if len(paths) == 1 or len(kept) == len(paths):
        return paths
    return kept


@main.command()
@click.argument("recipes", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--portions", type=click.FloatRange(min=0, min_open=True), help="Number of portions, instead of the recipe's."
)
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write to this file instead of the screen.")
@click.option("--balance", is_flag=True, help="Show for every stage what went in, came out, was lost or left over.")
@_sentences
def analyse(recipes: tuple[Path, ...], portions: float | None, form: str, output: Path | None, balance: bool) -> None:
    """Energy, macronutrients, salt and allergens of one or more RECIPES.

    \b
    Example:
      nutrilab analyse demo_recipes/harbour-fish-pie.yaml
      nutrilab analyse demo_recipes/*.yaml --format json
    """
    results = _cook(recipes, portions, alternatives=form == "json")
    _write(_dishes_text(results, form, output is None, balance), output)


def _dishes_text(results: list[DishResult], form: str, to_screen: bool, balance: bool) -> str:
    if form == "json":
        import json

        from nutrilab.sheets.records import dish_record

        records = [dish_record(result) for result in results]
        return json.dumps(records[0] if len(records) == 1 else records, ensure_ascii=False, indent=1) + "\n"
    from nutrilab.sheets import terminal

    width, colour = _screen(to_screen)
    return "\n".join(terminal.dish(result, width, colour, balance) for result in results)


def _screen(to_screen: bool = True) -> tuple[int | None, bool]:
    """Width and whether colours show, of the terminal if there is one."""
    import shutil

    colour = to_screen and sys.stdout.isatty()
    return (shutil.get_terminal_size().columns if colour else None), colour


def _write(text: str, output: Path | None) -> None:
    """To the screen, or whole to a file: written beside it, then renamed."""
    import os

    if output is None:
        click.echo(text, nl=False)
        return
    temporary = output.with_name(output.name + ".part")
    try:
        temporary.write_text(text, encoding="utf-8")
        os.replace(temporary, output)
    except OSError as error:
        temporary.unlink(missing_ok=True)
        raise InputError(f"it cannot be written ({error.strerror})", output) from None


@main.command()
@click.argument("recipes", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--format", "form", type=click.Choice(["text", "csv"]), default="text", show_default=True)
@click.option("--since", type=click.Path(path_type=Path), help="An earlier JSON result: say what changed instead.")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write to this file instead of the screen.")
@_sentences
def allergens(recipes: tuple[Path, ...], form: str, since: Path | None, output: Path | None) -> None:
    """The chart of dishes by allergen, for a menu board or a folder.

    \b
    Example:
      nutrilab allergens demo_recipes/*.yaml
      nutrilab allergens demo_recipes/*.yaml --format csv -o chart.csv
      nutrilab allergens pie.yaml --since pie-last-month.json
    """
    from nutrilab.sheets import chart

    results = _cook(recipes, portions=None)
    if since is not None:
        _write(chart.changes(_earlier(since), results), output)
    elif form == "csv":
        _write(chart.as_csv(results), output)
    else:
        _write(chart.as_text(results, *_screen(output is None)), output)


def _earlier(path: Path) -> list[dict[str, Any]]:
    """The dishes of an earlier JSON result. Raises InputError."""
    import json

    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(f"it cannot be read ({error.strerror})", path) from None
    except (ValueError, RecursionError):
        raise InputError("this is no JSON result of nutrilab analyse", path) from None
    dishes = data if isinstance(data, list) else [data]
    if not all(isinstance(dish, dict) for dish in dishes):
        raise InputError("this is no JSON result of nutrilab analyse", path)
    return dishes


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
@_sentences
def lines(file: Path, form: str, cups: str, ask: bool) -> None:
    """Read ingredient lines from FILE or standard input: grams, food, allergens of each.

    Decisions beside FILE (decisions.yaml) are kept to; with standard input, those of this folder.

    \b
    Example:
      echo "2 x 400g tins chopped tomatoes" | nutrilab lines
      nutrilab lines shopping.txt --format jsonl
      nutrilab lines shopping.txt --ask
    """
    texts = _input_lines(file)
    folder = Path() if str(file) == "-" else file.parent
    kitchen = _kitchen(folder, alternatives=ask or form == "jsonl")
    if ask:
        _ask(file, folder, kitchen, texts)
        kitchen = _kitchen(folder, alternatives=form == "jsonl")
    records = (kitchen.line(text, cups) for text in texts)
    if form == "text":
        from nutrilab.sheets import terminal

        click.echo(terminal.lines(records, *_screen()), nl=False)
        return
    import json

    from nutrilab.sheets.records import line_record

    for record in records:
        sys.stdout.write(json.dumps(line_record(record), ensure_ascii=False) + "\n")


def _ask(file: Path, folder: Path, kitchen: Kitchen, texts: list[str]) -> None:
    """Ask one question a doubtful name and keep each answer at once."""
    from nutrilab import decisions
    from nutrilab.asking import questions

    if str(file) == "-":
        raise InputError("--ask needs the lines in a file, because the answers come from standard input")
    known = decisions.read(folder)
    for question in questions((kitchen.line(text) for text in texts), kitchen):
        click.echo(f'\n"{question.name}" in: {question.text}', err=True)
        for number, choice in enumerate(question.choices, 1):
            kcal = "kcal not known" if choice.kcal is None else f"{choice.kcal:.0f} kcal"
            salt = "salt not known" if choice.salt is None else f"{choice.salt:.2g} g salt"
            click.echo(f"  {number}  {choice.food_name} ({kcal}, {salt} per 100 g)", err=True)
        allowed = click.Choice([*(str(n) for n in range(1, len(question.choices) + 1)), "none", "skip"])
        answer = click.prompt("  which", type=allowed, default="skip", err=True)
        if answer != "skip":
            known[question.name] = "none" if answer == "none" else question.choices[int(answer) - 1].food_id
            decisions.write(folder, known)


def _input_lines(file: Path) -> list[str]:
    """The lines of a file or standard input, blank ones left out, all checked before the first is used.

    Raises InputError.
    """
    name = "standard input" if str(file) == "-" else str(file)
    try:
        stream = sys.stdin.buffer if str(file) == "-" else file.open("rb")
    except OSError as error:
        raise InputError(f"it cannot be read ({error.strerror})", name) from None
    with stream:
        data = stream.read(LARGEST_INPUT + 1)
    if len(data) > LARGEST_INPUT:
        raise InputError("this is more than 10 MB of lines; give it in parts", name)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise InputError("a letter here is not UTF-8; save the file as UTF-8", name, line) from None
    found = text.split("\n")
    for number, line_text in enumerate(found, 1):
        if len(line_text) > LONGEST_LINE:
            raise InputError(f"this line has {len(line_text):,} characters; no ingredient is that long", name, number)
    return [line.strip() for line in found if line.strip()]


@main.command()
@click.argument("query", nargs=-1)
@click.option("--id", "food_id", help="Show one food's whole record, such as sr:01001.")
@click.option("--limit", type=click.IntRange(1, 100), default=10, show_default=True)
@_sentences
def foods(query: tuple[str, ...], food_id: str | None, limit: int) -> None:
    """Search the food table for QUERY, or show one food.

    \b
    Example:
      nutrilab foods "smoked haddock"
      nutrilab foods --id sr:15035
    """
    from nutrilab.sheets import terminal
    from nutrilab.store import tables

    there = tables(_tables_folder())
    if food_id:
        table = next((t for t in there if food_id in t), None)
        if table is None:
            raise InputError(f'no food has the id "{food_id}"; search for its name without --id')
        click.echo(terminal.food(table.food(food_id), *_screen()), nl=False)
        return
    if not query:
        raise InputError('say what to search for, such as: nutrilab foods "smoked haddock"')
    from nutrilab.energy import salt as salt_of
    from nutrilab.linking import search

    found = search(" ".join(query), there, limit)
    if not found:
        raise InputError(f'nothing in the food tables is near "{" ".join(query)}"')
    for candidate in found:
        table = next(t for t in there if candidate.food_id in t)
        values = table.food(candidate.food_id).values
        kcal = f"{values['ENERC_KCAL']:.0f} kcal" if "ENERC_KCAL" in values else "kcal not known"
        salt = f"{salt_of(values['NA']):.2g} g salt" if "NA" in values else "salt not known"
        click.echo(f"{candidate.food_id}  {candidate.food_name}  ({kcal}, {salt} per 100 g)")


@main.group()
def tables() -> None:
    """List and import food tables."""


@tables.command("list")
@_sentences
def tables_list() -> None:
    """Show the food tables that are there.

    \b
    Example:
      nutrilab tables list
    """
    from nutrilab.foods import open_table
    from nutrilab.store import available

    for name, path in available(_tables_folder()).items():
        table = open_table(path)
        about = table.provenance
        click.echo(f"{name}: {about.source}, {about.version}, {len(table):,} foods, {about.licence}")
        click.echo(f"    credit: {about.credit}")
        click.echo(f"    imported {about.imported}, {path}")


@tables.command("import")
@click.argument("name")
@click.argument("path", type=click.Path(path_type=Path))
@click.option("--into", type=click.Path(path_type=Path), help="Folder for the table, instead of this kitchen's own.")
@_sentences
def tables_import(name: str, path: Path, into: Path | None) -> None:
    """Import a food table of kind NAME from a folder or archive at PATH.

    \b
    Example:
      nutrilab tables import usda-sr sr28.zip
    """
    from data_loaders import schema
    from data_loaders.registry import loader

    table = loader(name).load(path)
    target = schema.write(table, into or _tables_folder(), name)
    click.echo(
        f"{len(table.foods):,} foods and {len(table.measures):,} measures of {table.provenance.source}: {target}"
    )
