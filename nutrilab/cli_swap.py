"""The command ``nutrilab swap``."""

from __future__ import annotations

from pathlib import Path

import click

from nutrilab.cli_output import WHERE, given, output_of, taken, write
from nutrilab.cli_parts import screen, sentences, tables_option

FORMS = ("text", "json", "html")


@click.command()
@click.argument("recipe", type=click.Path(path_type=Path))
@click.option(
    "--swap", "swaps", multiple=True, metavar='"OLD = NEW"', help="What goes and what comes; as often as need be."
)
@click.option(
    "--portions", type=click.FloatRange(min=0, min_open=True), help="Number of portions, after the swap only."
)
@click.option("--weight-after", metavar="WEIGHT", help='What the cooked dish weighs after the swap, such as "1.9 kg".')
@click.option(
    "--scale-to",
    "guests",
    metavar="N",
    type=click.FloatRange(min=0, min_open=True),
    help="Show the list scaled for N guests, with portions of the same size.",
)
@click.option("--format", "form", type=click.Choice(FORMS), show_default="by the name of -o, else text")
@click.option("-o", "--output", metavar="PATH", help=WHERE.format("file"))
@tables_option
@sentences
def swap(
    recipe: Path,
    swaps: tuple[str, ...],
    portions: float | None,
    weight_after: str | None,
    guests: float | None,
    form: str | None,
    output: str | None,
    names: str | None,
) -> None:
    """What if: RECIPE before and after an ingredient is swapped for another, in figures and allergens.

    OLD is the words of an ingredient, NEW an ingredient; where NEW has no amount, the old grams stand. No recipe file
    is changed. What is gone of the allergens is gone by the words alone: check every pack.

    \b
    Example:
      nutrilab swap demo_recipes/harbour-fish-pie.yaml --swap "whole milk = oat drink"
      nutrilab swap demo_recipes/harbour-fish-pie.yaml --swap "cheddar = 30 g parmesan" --format json
      nutrilab swap demo_recipes/low-tide-leek-soup.yaml --weight-after "1.7 kg" --portions 5 -o soup-smaller.html
      nutrilab swap demo_recipes/lamplight-chickpea-stew.yaml --scale-to 40
    """
    from nutrilab.folder import Folder
    from nutrilab.recipe import read_recipe

    read = given([recipe])
    to = output_of(output, form, FORMS, read)
    cooked = read_recipe(recipe)
    found = Folder(recipe.parent, names, to.form == "json").swap(cooked, swaps, portions, weight_after, guests)
    read |= taken([found.before])
    width, colour = screen(to.path is None)
    from nutrilab.sheets import writer

    page = writer.swapped(found, to.form, writer.View(width, colour))
    write(writer.printed(page) if to.printed else page, to.path, read)
