"""What every sheet has to say in words, said once: allergens, what is not complete, how a figure stands.

Texts are plain (see safe.py) and wait to be escaped for their format. No list of allergens is ever cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from nutrilab.declaration import ORDER, UNKNOWN, declared
from nutrilab.results import CookedStage, DishResult, LineRecord
from nutrilab.sheets.safe import plain

KNOWN = 0.995  # share of the ingredients' weight from which on a figure counts as known for all of it
LINE = 120  # characters of a line of a recipe in a sentence; its beginning tells which line it is


def stages_of(result: DishResult) -> Iterator[CookedStage]:
    """Every stage that is in the dish, also of other recipes, each once, what is taken before what takes it."""
    seen: set[int] = set()

    def walk(stage: CookedStage) -> Iterator[CookedStage]:
        if id(stage) not in seen:
            seen.add(id(stage))
            for source, _ in stage.sources:
                yield from walk(source)
            yield stage

    for end in result.stages[len(result.recipe.stages) - 1 :]:  # the dish, and what is served with it
        yield from walk(end)


def allergens(result: DishResult) -> list[str]:
    """What the dish contains, what to check, what packs say it may contain, and whether the answer is complete."""
    answer = result.allergens
    said = []
    if answer.contains:
        said.append(f"Contains: {', '.join(map(answer.named, answer.contains))}.")
    else:
        said.append("Contains: nothing in the words of the recipe points to one of the 14 allergens.")
    if answer.check:
        said.append(f"Check the pack: {', '.join(answer.check)}.")
    if answer.may:
        said.append(f"May contain, says the pack: {', '.join(answer.may)}.")
    if not answer.complete:
        lines = quoted(answer.unresolved)
        said.append(f"NOT COMPLETE: these lines were not understood, so allergens may be missing: {lines}.")
    return said


def quoted(lines: Iterable[str]) -> str:
    """Lines of a recipe in a sentence."""
    return ", ".join(f'"{plain(line.strip(), LINE)}"' for line in lines)


def without_figures(result: DishResult) -> list[str]:
    """Lines that have a food without weight or without a row in a food table: they are not in the figures."""
    records = (record for stage in stages_of(result) for record in stage.records if _left_out(record))
    return list(dict.fromkeys(record.parsed.text.strip() for record in records))


def _left_out(record: LineRecord) -> bool:
    if record.parsed.heading:
        return False
    return not record.foods or any(food.weight.grams is None or food.link.food is None for food in record.foods)


def known_for_all(result: DishResult, key: str) -> bool:
    """Whether a figure is known for all ingredients, as far as they have a weight."""
    return result.whole.coverage.get(key, 0.0) >= KNOWN


def portion_figure(result: DishResult, key: str) -> str:
    """A declared figure of a portion; "at least" where an ingredient's share of it is not known."""
    value = result.whole.per_portion[key]
    text = declared(key, value)
    lower = value is not None and (not known_for_all(result, key) or bool(without_figures(result)))
    return f"at least {text}" if lower else text


def gaps(result: DishResult) -> list[str]:
    """What the figures leave out."""
    said = []
    left_out = without_figures(result)
    if left_out and set(left_out) == {line.strip() for line in result.allergens.unresolved}:
        said.append("Nor are they in the figures.")
    elif left_out:
        said.append(f"NOT COMPLETE: these lines are not in the figures: {quoted(left_out)}.")
    names = {key: title.removeprefix("of which ").lower() for key, title in ORDER.items() if key != "energy_kj"}
    figures = result.whole.per_portion
    partly = {
        names[key]: f"{result.whole.coverage.get(key, 0.0):.0%}"
        for key in names
        if figures[key] is not None and not known_for_all(result, key)
    }
    if len(partly) > 1 and len(set(partly.values())) == 1 and len(partly) == sum(figures[k] is not None for k in names):
        partly = {"all": next(iter(partly.values()))}
    if partly:
        shares = ", ".join(f"{name} {share}" for name, share in partly.items())
        said.append(f"Known for a part of the ingredients' weight only: {shares}.")
    if unknown := [name for key, name in names.items() if figures[key] is None]:
        said.append(f"{UNKNOWN.capitalize()}: {', '.join(unknown)}.")
    return said
