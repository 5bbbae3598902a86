"""A recipe with swapped lines, and the same as the cook wrote it: the method is read with the cook's own words."""

from __future__ import annotations

from dataclasses import replace

from nutrilab.recipe.values import Cooking, Line, Part, Recipe, Stage

Entry = Line | Part
Known = dict[tuple[str, int | None], Line]  # swapped lines by the text and the place of what they stand for


def as_written(recipe: Recipe) -> Recipe:
    """The recipe without its swaps; itself where it has none."""
    if not swapped_lines(recipe):
        return recipe
    return replace(recipe, stages=tuple(_written(stage) for stage in recipe.stages))


def swapped_lines(recipe: Recipe) -> list[Line]:
    """The lines of the stages that stand for others."""
    entries = [entry for stage in recipe.stages for entry in stage.entries if isinstance(entry, Line)]
    return [entry for entry in entries if entry.was is not None]


def _written(stage: Stage) -> Stage:
    return replace(stage, entries=tuple(_old(entry) for entry in stage.entries))


def _old(entry: Entry) -> Entry:
    if isinstance(entry, Part) or entry.was is None:
        return entry
    return replace(entry, text=entry.was.text, share=entry.was.share, was=None)


def with_swaps(laid: Recipe, recipe: Recipe) -> Recipe:
    """A recipe over which its method was laid as it was written, with the swaps of `recipe` in their places.

    What a line comes to beside its own place stands at the end of the stage: the others keep their numbers.
    """
    known: Known = {(line.was.text, line.line): line for line in swapped_lines(recipe) if line.was}
    last = recipe.stages[-1].weighed_of  # the one stage that was weighed where the method made the others
    if last is not None:
        laid = replace(laid, stages=(*laid.stages[:-1], replace(laid.stages[-1], weighed_of=last)))
    if not known:
        return laid
    return replace(laid, stages=tuple(_swapped(stage, known) for stage in laid.stages))


def _swapped(stage: Stage, known: Known) -> Stage:
    entries: list[Entry] = []
    behind: list[Entry] = []
    for entry in stage.entries:
        new = known.get((entry.text, entry.line)) if isinstance(entry, Line) else None
        if new is None or new.was is None or isinstance(entry, Part):
            entries.append(entry)
            continue
        part = entry.share / new.was.share  # as much of it as the method takes here
        entries.append(new if part == 1 else replace(new, share=new.share * part))
        behind += [replace(more, share=more.share * part) for more in new.was.more]
    texts = {text: line.text for (text, _), line in known.items()}
    return replace(stage, entries=(*entries, *behind), cooking=_renamed(stage.cooking, texts))


def _renamed(cooking: Cooking | None, texts: dict[str, str]) -> Cooking | None:
    """The cooking with the new texts of the lines it speaks of."""
    if cooking is None:
        return None
    marinade, coating, thrown = (
        tuple(texts.get(text, text) for text in some) for some in (cooking.marinade, cooking.coating, cooking.thrown)
    )
    return replace(cooking, marinade=marinade, coating=coating, thrown=thrown)
