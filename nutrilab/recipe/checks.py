"""What must hold between the stages of a recipe before anything is computed."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import cache

from nutrilab.files import LONGEST_LINE
from nutrilab.messages import named, say
from nutrilab.plain import Names, brief, quoted
from nutrilab.recipe.amounts import part_of
from nutrilab.recipe.values import Line, Part, Recipe, Stage, stage_key
from nutrilab.remarks import InputError

MOST_LINES = 5_000  # ingredients of a recipe, parts of stages among them; a feast has some two hundred
MOST_TEXT = 300_000  # characters of all of them; a long recipe has some two thousand
LIKE = 0.75  # how like the name of a stage a name must be to be a slip of it [0 to 1]
_AMOUNT = re.compile(r"[\d½⅓⅔¼¾]")  # begins an ingredient of which a share is taken
_PLENTY = 1 + 1e-9  # all of a stage, with room for the rounding of thirds


def check_size(recipe: Recipe, file: str) -> None:
    """Refuse a recipe that no kitchen cooks. Raises InputError: a line or the list of them is too long."""
    lines = [*(entry for stage in recipe.stages for entry in stage.entries), *recipe.serve_with]
    if len(lines) > MOST_LINES:
        raise InputError(say("recipe.too-many-lines", number=f"{len(lines):,}", most=f"{MOST_LINES:,}"), file)
    if sum(len(line.text) for line in lines) > MOST_TEXT:
        raise InputError(say("recipe.too-much-text", most=f"{MOST_TEXT:,}"), file)
    for line in lines:
        if len(line.text) > LONGEST_LINE:
            words = say("recipe.line-too-long", number=f"{len(line.text):,}")
            raise InputError(words, file, line.line)


def tie(recipe: Recipe, file: str) -> Recipe:
    """Turn the lines that take parts of stages into parts, and check that the stages fit together.

    Raises InputError: two stages of one name, an unknown stage, a stage used before it is made or of
    itself, more than all of a stage, a stage made and never used, a stage among what is served with the dish.
    """
    made: dict[str, Stage] = {}
    names = {stage_key(stage.name): stage.name for stage in recipe.stages}
    times = Counter(stage_key(stage.name) for stage in recipe.stages)
    for stage in reversed(recipe.stages):
        if times[stage_key(stage.name)] > 1:
            raise InputError(say("recipe.stage-twice", stage=quoted(stage.name)), file, stage.line)
    there = Names(names.values())
    near = cache(lambda name: there.nearest(name, LIKE))  # one line stands often, such as "half of a lemon"
    stages = []
    for stage in recipe.stages:
        entries = tuple(_entry(entry, stage, names, near, made, file) for entry in stage.entries)
        made[stage_key(stage.name)] = stage
        stages.append(replace(stage, entries=entries))
    _check_shares(stages, file)
    _check_served(recipe, made, file)
    _check_used(stages, file)
    return replace(recipe, stages=tuple(stages))


def parts(stages: list[Stage] | tuple[Stage, ...]) -> Iterator[Part]:
    """All parts of stages taken anywhere in these stages."""
    return (entry for stage in stages for entry in stage.entries if isinstance(entry, Part))


def _entry(
    entry: Line | Part,
    stage: Stage,
    names: Mapping[str, str],
    nearest_to: Callable[[str], str | None],
    made: Mapping[str, Stage],
    file: str,
) -> Line | Part:
    """A line as it is, or the part of a stage it speaks of; names: those of all stages, by key."""
    if isinstance(entry, Line) and entry.whole:
        return entry
    try:
        part = part_of(entry.text, entry.line)
    except ValueError as error:
        raise InputError(str(error), file, entry.line) from None
    if part is None or part.file:
        return part or entry
    key = stage_key(part.stage)
    if key not in names and (called := stage_key(f"the {part.stage}")) in names:  # its own name begins with "the"
        key, part = called, replace(part, stage=names[called])
    if key in made:
        return part
    if key == stage_key(stage.name):
        raise InputError(say("recipe.takes-from-itself", stage=quoted(stage.name)), file, entry.line)
    if key in names:
        raise InputError(say("recipe.used-before-made", stage=quoted(part.stage)), file, entry.line)
    near = nearest_to(part.stage)
    if near or part.text.lower().startswith("all of") or "%" in part.text:
        there = named(one.name for one in made.values()) or say("list.nothing")
        hint = say("list.did-you-mean", name=quoted(near)) if near else say("recipe.stages-before", names=there)
        raise InputError(say("recipe.no-stage", stage=quoted(part.stage), hint=hint), file, entry.line)
    if part.share is not None and _AMOUNT.match(part.stage) and isinstance(entry, Line):
        return Line(part.stage, entry.line, part.share)  # "half of 50 g butter"
    return entry  # "half of a lemon", "600 g of potatoes": an ingredient after all


def _check_shares(stages: list[Stage], file: str) -> None:
    taken: dict[tuple[str, str | None], float] = {}
    for part in parts(stages):
        key = (stage_key(part.stage), part.file)
        taken[key] = taken.get(key, 0.0) + (part.share or 0.0)
        if taken[key] > _PLENTY:
            raise InputError(say("recipe.more-than-all", stage=quoted(part.stage)), file, part.line)


def _check_served(recipe: Recipe, made: dict[str, Stage], file: str) -> None:
    """What is served with a portion are lines: read as one, a stage would lose its figures and its allergens."""
    for line in recipe.serve_with:
        try:
            part = part_of(line.text, line.line)
        except ValueError as error:
            raise InputError(str(error), file, line.line) from None
        if part and (part.file or stage_key(part.stage) in made):
            words = say("recipe.serve-with-stage", line=quoted(line.text))
            raise InputError(words, file, line.line)


def _check_used(stages: list[Stage], file: str) -> None:
    used = {stage_key(part.stage) for part in parts(stages) if not part.file}
    for stage in stages[:-1]:
        if stage_key(stage.name) not in used and not stage.left_over:
            hint = say("recipe.where-it-goes", stage=brief(stage.name))
            raise InputError(say("recipe.never-used", stage=quoted(stage.name), hint=hint), file, stage.line)
