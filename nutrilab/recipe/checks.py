"""What must hold between the stages of a recipe before anything is computed."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from dataclasses import replace

from nutrilab.recipe.amounts import part_of
from nutrilab.recipe.values import Line, Part, Recipe, Stage, stage_key
from nutrilab.remarks import InputError

_PLENTY = 1 + 1e-9  # all of a stage, with room for the rounding of thirds


def tie(recipe: Recipe, file: str) -> Recipe:
    """Turn the lines that take parts of stages into parts, and check that the stages fit together.

    Raises InputError: two stages of one name, an unknown stage, a stage used before it is made or of
    itself, more than all of a stage, a stage made and never used, a stage among what is served with the dish.
    """
    made: dict[str, Stage] = {}
    all_names = [stage.name for stage in recipe.stages]
    for name in all_names:
        if sum(stage_key(name) == stage_key(other) for other in all_names) > 1:
            line = next(s.line for s in reversed(recipe.stages) if stage_key(s.name) == stage_key(name))
            raise InputError(f'two stages are named "{name}"; give each its own name', file, line)
    stages = []
    for stage in recipe.stages:
        entries = tuple(_entry(entry, stage, all_names, made, file) for entry in stage.entries)
        made[stage_key(stage.name)] = stage
        stages.append(replace(stage, entries=entries))
    _check_shares(stages, file)
    _check_served(recipe, made, file)
    _check_used(stages, file)
    return replace(recipe, stages=tuple(stages))


def parts(stages: list[Stage] | tuple[Stage, ...]) -> Iterator[Part]:
    """All parts of stages taken anywhere in these stages."""
    return (entry for stage in stages for entry in stage.entries if isinstance(entry, Part))


def _entry(entry: Line | Part, stage: Stage, names: list[str], made: dict[str, Stage], file: str) -> Line | Part:
    """A line as it is, or the part of a stage it speaks of."""
    try:
        part = part_of(entry.text, entry.line)
    except ValueError as error:
        raise InputError(str(error), file, entry.line) from None
    if part is None or part.file:
        return part or entry
    key = stage_key(part.stage)
    if key in made:
        return part
    if key == stage_key(stage.name):
        raise InputError(f'the stage "{stage.name}" takes from itself', file, entry.line)
    if any(key == stage_key(name) for name in names):
        raise InputError(f'"{part.stage}" is used here before it is made; put its stage first', file, entry.line)
    near = difflib.get_close_matches(part.stage.lower(), [name.lower() for name in names], 1, 0.75)
    surely = part.text.lower().startswith("all of") or "%" in part.text
    if near or surely:
        hint = f'did you mean "{near[0]}"?' if near else f"the stages before are: {_named(made)}"
        raise InputError(f'there is no stage "{part.stage}"; {hint}', file, entry.line)
    return entry  # "half of a lemon", "600 g of potatoes": an ingredient after all


def _named(made: dict[str, Stage]) -> str:
    return ", ".join(stage.name for stage in made.values()) or "none"


def _check_shares(stages: list[Stage], file: str) -> None:
    taken: dict[tuple[str, str | None], float] = {}
    for part in parts(stages):
        key = (stage_key(part.stage), part.file)
        taken[key] = taken.get(key, 0.0) + (part.share or 0.0)
        if taken[key] > _PLENTY:
            raise InputError(f'more than all of "{part.stage}" is used', file, part.line)


def _check_served(recipe: Recipe, made: dict[str, Stage], file: str) -> None:
    """What is served with a portion are lines: read as one, a stage would lose its figures and its allergens."""
    for line in recipe.serve_with:
        try:
            part = part_of(line.text, line.line)
        except ValueError as error:
            raise InputError(str(error), file, line.line) from None
        if part and (part.file or stage_key(part.stage) in made):
            words = (
                f'"serve with" takes no stage; write its ingredients for a portion, or "{line.text}" in the last stage'
            )
            raise InputError(words, file, line.line)


def _check_used(stages: list[Stage], file: str) -> None:
    used = {stage_key(part.stage) for part in parts(stages) if not part.file}
    for stage in stages[:-1]:
        if stage_key(stage.name) not in used and not stage.left_over:
            hint = f'write "all of {stage.name}" where it goes in, or "left over: true" in the stage'
            raise InputError(f'the stage "{stage.name}" is made but never used; {hint}', file, stage.line)
