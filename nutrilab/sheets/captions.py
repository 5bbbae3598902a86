"""Words to hand on: one line for the screen, three lines for the description under it."""

from __future__ import annotations

from nutrilab.law.rounding import ORDER, declared
from nutrilab.results import DishResult
from nutrilab.sheets.safe import plain
from nutrilab.sheets.sentences import allergens, gaps, portion_figure

NAME = 100  # characters of a dish's name


def caption(result: DishResult) -> str:
    """The line for the screen, and below an empty line the three for a description."""
    return f"{screen(result)}\n\n{description(result)}\n"


def screen(result: DishResult) -> str:
    """One line: energy and salt of a portion, allergens, whether that is all, to check every pack.

    It is as short as its allergens let it be: with four of them some 90 characters.
    """
    answer = result.allergens
    kcal, salt = portion_figure(result, "energy_kcal"), portion_figure(result, "salt")
    said = [f"A portion: {'energy ' if kcal[0] == 'n' else ''}{kcal}, salt {salt}."]
    if answer.contains:
        said.append(f"Contains {', '.join(map(answer.named, answer.contains))}.")
    else:
        said.append("The words name no allergen.")
    if answer.may:
        said.append(f"May contain {', '.join(answer.may)}.")
    if not answer.complete:
        said.append(f"NOT COMPLETE: {_lines(len(answer.unresolved))} not understood.")
    elif left_out := result.unweighed:
        said.append(f"NOT COMPLETE: {_lines(len(left_out))} not counted.")
    said.append(f"Check every pack{', above all for ' + ', '.join(answer.check) if answer.check else ''}.")
    return " ".join(said)


def _lines(count: int) -> str:
    return f"{count} line{'' if count == 1 else 's'}"


def description(result: DishResult) -> str:
    """Three lines: the figures of a portion; the allergens and what is not complete; the cautions."""
    names = {key: title.removeprefix("of which ").lower() for key, title in ORDER.items()}
    kj = declared("energy_kj", result.whole.per_portion["energy_kj"])
    energy = f"energy {portion_figure(result, 'energy_kcal')} ({kj})"
    others = [f"{names[key]} {portion_figure(result, key)}" for key in ORDER if not key.startswith("energy")]
    portion = f"{plain(result.recipe.dish, NAME)}, a portion of {result.portion_weight:.0f} g"
    first = f"{portion}: {', '.join([energy, *others])}."
    return "\n".join([first, " ".join([*allergens(result), *gaps(result)]), " ".join(result.cautions)])
