"""A recipe from a plain text file: first line the dish, "Serves 6", headings with a colon, else ingredients."""

from __future__ import annotations

import re

from nutrilab.recipe.amounts import decimal
from nutrilab.recipe.values import Line, Recipe, Stage, stage_key
from nutrilab.remarks import InputError, Remark

_SERVES = re.compile(
    r"(?:serves|serving|servings|makes|portions|for)\s*:?\s*(?:about\s+)?(\d+(?:[.,]\d+)?)(?:\s*(?:-|–|to)\s*(\d+))?"
    r"(?:\s+(?:people|portions|servings|pieces|slices|squares|buns|biscuits|scones|cakes))?\.?",
    re.IGNORECASE,
)


def read(text: str, file: str) -> Recipe:
    """Read a recipe from plain text.

    Stages that no later line refers to are all part of the dish: they are joined in a last stage
    named as the dish, unless the last stage is the only one left. Raises InputError.
    """
    numbered = [(number, line.strip()) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    if not numbered:
        raise InputError("the file is empty; its first line is the dish, then Serves 6, then the ingredients", file)
    dish = numbered[0][1].rstrip(":").strip()
    portions, remarks = None, []
    blocks: list[tuple[str, int, list[Line]]] = [(dish, numbered[0][0], [])]
    for number, line in numbered[1:]:
        if portions is None and (found := _SERVES.fullmatch(line)):
            portions = decimal(found[1])
            if portions == 0:
                raise InputError("portions must be a number above 0", file, number)
            if found[2]:
                remarks.append(Remark("portions-range", f'"{line}": counted as {found[1]} portions.', line=number))
        elif line.endswith(":"):
            blocks.append((line.rstrip(":").strip(), number, []))
        else:
            blocks[-1][2].append(Line(line.lstrip("-*•· ").strip() or line, number))
    return Recipe(dish, _stages(blocks, file), portions, remarks=tuple(remarks))


def _stages(blocks: list[tuple[str, int, list[Line]]], file: str) -> tuple[Stage, ...]:
    """Stages in order; those nobody takes up end in the dish."""
    (dish, first, loose), headed = blocks[0], blocks[1:]
    for name, number, lines in headed:
        if not lines:
            raise InputError(f'nothing stands under "{name}:"', file, number)
    if not headed:
        if not loose:
            raise InputError("there are no ingredients under the dish", file, first)
        return (Stage(dish, tuple(loose), line=first),)
    texts = [line.text for _, _, lines in headed for line in lines] + [line.text for line in loose]
    free = [name for name, _, _ in headed if not any(_refers(text, name) for text in texts)]
    stages = [Stage(name, tuple(lines), line=number) for name, number, lines in headed]
    if not loose and free == [headed[-1][0]]:
        return tuple(stages)
    joined = [*loose, *(Line(f"all of {name}", number) for name, number, _ in headed if name in free)]
    return (*stages, Stage(_unused(dish, stages), tuple(joined), line=first))


def _refers(text: str, stage: str) -> bool:
    head, _, tail = text.lower().partition(" of ")
    return bool(tail) and bool(head) and stage_key(tail.removeprefix("the ")) == stage_key(stage)


def _unused(dish: str, stages: list[Stage]) -> str:
    """The dish as the name of the last stage, unless a heading already has it."""
    taken = {stage_key(stage.name) for stage in stages}
    return dish if stage_key(dish) not in taken else f"{dish} (whole)"
