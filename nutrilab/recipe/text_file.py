"""A recipe from a plain text file: first line the dish, "Serves 6", headings with a colon, else ingredients.

Method, notes and times are left out, and remarks say which lines; what begins with an amount is never left out in
silence.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from nutrilab.messages import as_portions, by_few, listed, say
from nutrilab.plain import brief, quoted
from nutrilab.recipe import prose, said
from nutrilab.recipe.portions import read_yield, says_yield, split_yield
from nutrilab.recipe.values import Cooking, Line, Recipe, Stage, stage_key
from nutrilab.remarks import Code, InputError, Remark

MOST_FILE_LINES = 5_000  # lines of a file, its method among them
SHOWN = 30  # characters of a line of a recipe that a remark quotes
_PART = re.compile(r"[-*•· ]*(?:all|half|a half|a third|a quarter|three quarters) of ", re.IGNORECASE)
_NOUGHT = re.compile(r"(?<![\d.,])0+(?:[.,]0+)?(?![\d.,])")


def read(text: str, file: str) -> Recipe:
    """Read a recipe from plain text.

    Stages that no later line refers to are all part of the dish: they are joined in a last stage
    named as the dish, unless the last stage is the only one left. Raises InputError.
    """
    numbered = [Line(line.strip(), number) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    if not numbered:
        raise InputError(say("recipe.empty-text"), file)
    if len(numbered) > MOST_FILE_LINES:
        raise InputError(say("recipe.file-too-long", number=f"{len(numbered):,}", most=f"{MOST_FILE_LINES:,}"), file)
    title, *rest = numbered
    dish, yields = split_yield(title.text.lstrip("#*_ ").rstrip("#*_: ") or title.text)
    sorted_ = _Sorted([_Block(dish, title.line or 1)])
    _sort(_stated(rest, sorted_, file), sorted_)
    if yields and not sorted_.yields:
        sorted_.yields.append(Line(yields, title.line))
    portions, remarks = _portions(sorted_.yields, file)
    remarks += _left_out(sorted_)
    stated = {one.key: one for one in sorted_.stated}
    weight, cups = stated.get("portion weight"), stated.get("cups")
    if weight and portions is not None:
        words = say("portions.said-too", line=quoted(weight.line.text), portions=as_portions(portions))
        remarks.append(Remark(Code.PORTIONS_TWICE, words, line=weight.line.line))
    return Recipe(
        dish,
        _with_weights(_stages(sorted_.blocks, file), sorted_.stated),
        portions,
        portion_weight=float(weight.value) if weight else None,
        cup=str(cups.value) if cups else "us",
        method=tuple(sorted_.method),
        remarks=tuple(remarks),
    )


def _stated(lines: Sequence[Line], into: _Sorted, file: str) -> list[Line]:
    """The lines without those that state weights and the like, which are kept. Raises InputError: a value twice."""
    found = []
    for line in lines:
        one = said.said(line, file)
        if one is None:
            found.append(line)
        elif any(other.key == one.key for other in into.stated):
            raise InputError(say("recipe.said-twice", line=quoted(line.text)), file, line.line)
        else:
            into.stated.append(one)
    return found


def _with_weights(stages: tuple[Stage, ...], stated: Sequence[said.Said]) -> tuple[Stage, ...]:
    """The stages with what the cook weighed: the whole dish, what is left of the oil it was fried in."""
    *before, last = stages
    cooking = Cooking()
    for one in stated:
        if one.key == "weight after":
            cooking = replace(cooking, weight_after=float(one.value), line=one.line.line)
        elif one.key == "oil left":
            cooking = replace(cooking, oil_left=float(one.value), line=one.line.line)
    return stages if cooking == Cooking() else (*before, replace(last, cooking=cooking))


@dataclass(slots=True)
class _Block:
    """A heading, its lines, and whether lines under it were left out."""

    name: str
    line: int
    lines: list[Line] = field(default_factory=list)
    emptied: bool = False


@dataclass(slots=True)
class _Sorted:
    """The lines of a file by what they are.

    method: steps of the method; steps: those of them that no heading tells, only their shape; out: all lines that are
    left out; amounts: those of them that begin with an amount; counted: ingredients that stand under the method.
    stated: weights and the like; headings: lines without a colon that were taken for headings.
    """

    blocks: list[_Block]
    yields: list[Line] = field(default_factory=list)
    method: list[Line] = field(default_factory=list)
    steps: list[Line] = field(default_factory=list)
    out: list[Line] = field(default_factory=list)
    amounts: list[Line] = field(default_factory=list)
    counted: list[Line] = field(default_factory=list)
    stated: list[said.Said] = field(default_factory=list)
    headings: list[Line] = field(default_factory=list)

    def leave(self, line: Line, part: prose.Section) -> None:
        """Leave a line out as one of this part."""
        self.out.append(line)
        self.blocks[-1].emptied = True
        if part == "method":
            self.method.append(line)
        if prose.amount_at_head(prose.unnumbered(line.text)) and not prose.step(line.text, in_method=True):
            self.amounts.append(line)


def _sort(lines: Sequence[Line], into: _Sorted) -> None:
    part: prose.Section = "ingredients"
    listed = _list_of_steps(lines)
    for number, line in enumerate(lines):
        follows = lines[number + 1].text if number + 1 < len(lines) else ""
        lists = _lists(follows) and not prose.step(follows, in_method=True)
        heading = prose.section(line.text)
        named = prose.bare(line.text)
        if says_yield(named):
            into.yields.append(Line(named, line.line))
            if " with " in named:  # "Serves 4 with crusty bread"
                into.method.append(line)
        elif prose.is_times(line.text):
            into.leave(line, "notes")
        elif heading and not (lists and prose.is_making(line.text)):
            part = heading
            if yields := split_yield(named.rstrip(" :"))[1]:
                into.yields.append(Line(yields, line.line))
        elif said := prose.label(line.text):
            part = _labelled(Line(said[1], line.line), said[0], part, into)
        elif named.endswith(":") or line.text.startswith("#"):
            if part == "ingredients" or (lists and prose.is_short(named)):
                into.blocks.append(_Block(named.rstrip(":").strip(), line.line or 0))
                part = "ingredients"
            else:
                into.leave(line, part)
        elif part == "ingredients" and prose.heads(named, [one.text for one in lines[number + 1 : number + 3]]):
            into.blocks.append(_Block(named, line.line or 0))
            into.headings.append(line)
        elif part != "ingredients":
            _in_prose(line, part, into)
        elif _is_step(line.text, listed):
            into.steps.append(line)
            into.leave(line, "method")
        else:
            into.blocks[-1].lines.append(Line(prose.unnumbered(line.text), line.line))


def _labelled(line: Line, said: prose.Section, part: prose.Section, into: _Sorted) -> prose.Section:
    """A line with its section before a colon; a note is one line, the others go on. Returns the part that follows."""
    if said == "ingredients":
        into.blocks[-1].lines.append(line)
        return said
    into.leave(line, said)
    return part if said == "notes" else said


def _in_prose(line: Line, part: prose.Section, into: _Sorted) -> None:
    """A line under "Method" or "Notes": left out, but for an ingredient that stands under the method."""
    text = line.text
    told = prose.numbered(text) or prose.is_sentence(text) or prose.step(text, in_method=True)
    if part == "method" and _lists(text) and not told:
        into.blocks[-1].lines.append(Line(prose.unnumbered(text), line.line))
        into.counted.append(line)
    else:
        into.leave(line, part)


def _lists(text: str) -> bool:
    """Whether a line begins as one of a list of ingredients does: with an amount, or a part of a stage."""
    return bool(prose.amount_at_head(text)) or _PART.match(text) is not None


def _list_of_steps(lines: Sequence[Line]) -> bool:
    """Whether the numbered lines of a file are its method: most of them have the shape of a step."""
    listed = [line.text for line in lines if prose.numbered(line.text)]
    return 2 * sum(map(prose.step, listed)) >= max(2, len(listed))


def _is_step(text: str, listed: bool) -> bool:
    """Whether a line among ingredients is a step; listed: its neighbours with numbers are."""
    return prose.step(text) or (listed and prose.may_be_step(text))


def _portions(said: Sequence[Line], file: str) -> tuple[float | None, list[Remark]]:
    """Portions and what is to be said of them. Raises InputError for none at all."""
    portions, found = read_yield(line.text for line in said)
    if portions is None:
        for line in said:
            if _NOUGHT.search(line.text):
                raise InputError(say("portions.above-0"), file, line.line)
        return None, [
            Remark(Code.PORTIONS_NOT_READ, say("portions.not-read", line=quoted(line.text)), line=line.line)
            for line in said
        ]
    remarks = [r.at(None, said[r.line - 1].line if r.line else None) for r in found]
    others = [line for line in said if read_yield([line.text])[0] not in (portions, None)]
    remarks += [
        Remark(
            Code.PORTIONS_TWICE,
            say("portions.said-too", line=quoted(line.text), portions=as_portions(portions)),
            line=line.line,
        )
        for line in others
    ]
    return portions, remarks


def _left_out(found: _Sorted) -> list[Remark]:
    """What is said of the lines that are no ingredients."""
    remarks = []
    if found.out:
        words = say("recipe.left-out", lines=_places(found))
        remarks.append(Remark(Code.LEFT_OUT, words))
    for lines in by_few(found.steps):
        remarks.append(Remark(Code.LEFT_OUT_AS_STEP, say("recipe.taken-for-steps", lines=_quoted(lines))))
    for lines in by_few(found.amounts):
        remarks.append(Remark(Code.AMOUNT_LEFT_OUT, say("recipe.amount-left-out", lines=_quoted(lines))))
    for lines in by_few(found.headings):
        remarks.append(Remark(Code.TAKEN_FOR_HEADING, say("recipe.taken-for-headings", lines=_quoted(lines))))
    for lines in by_few(found.counted):
        remarks.append(Remark(Code.AMOUNT_IN_METHOD, say("recipe.amount-in-method", lines=_quoted(lines))))
    return remarks


def _quoted(lines: Sequence[Line]) -> str:
    """Lines as a remark quotes them, by the first words of each."""
    return listed([say("recipe.line", text=brief(line.text, SHOWN), line=line.line) for line in lines], limit=2 * SHOWN)


def _places(found: _Sorted) -> str:
    """Where the lines left out stand, with what lies between them: "line 3, lines 17 to 26"."""
    kept = [line.line or 0 for block in found.blocks for line in block.lines]
    runs: list[list[int]] = []
    for number in sorted(line.line or 0 for line in found.out):
        if runs and not any(runs[-1][-1] < other < number for other in kept):
            runs[-1].append(number)
        else:
            runs.append([number])
    return listed([_run(run[0], run[-1]) for run in runs], len(runs))


def _run(first: int, last: int) -> str:
    return say("recipe.place", line=first) if first == last else say("recipe.places", first=first, last=last)


def _stages(blocks: Sequence[_Block], file: str) -> tuple[Stage, ...]:
    """Stages in order; those nobody takes up end in the dish."""
    top, headed = blocks[0], [block for block in blocks[1:] if block.lines or not block.emptied]
    for block in headed:
        if not block.lines:
            raise InputError(say("recipe.nothing-under", heading=quoted(block.name + ":")), file, block.line)
    if not headed:
        if not top.lines:
            raise InputError(say("recipe.no-ingredients"), file, top.line)
        return (Stage(top.name, tuple(top.lines), line=top.line),)
    taken = {key for block in blocks for line in block.lines if (key := _referred(line.text))}
    free = [block.name for block in headed if _key(block.name) not in taken]
    stages = [Stage(block.name, tuple(block.lines), line=block.line) for block in headed]
    if not top.lines and free == [headed[-1].name]:
        return tuple(stages)
    unused = set(free)
    joined = [*top.lines, *(Line(f"all of {block.name}", block.line) for block in headed if block.name in unused)]
    return (*stages, Stage(_unused(top.name, stages), tuple(joined), line=top.line))


def _referred(text: str) -> str | None:
    """The key of what a line takes part of: "half of the mash" -> mash."""
    head, _, tail = text.lower().partition(" of ")
    return _key(tail) if tail and head else None


def _key(name: str) -> str:
    """The key of a stage by what it is called: "half of the mash" is of "Mash", "all of the base" of "The base"."""
    return stage_key(name.lower().removeprefix("the "))


def _unused(dish: str, stages: list[Stage]) -> str:
    """The dish as the name of the last stage, unless a heading already has it."""
    taken = {stage_key(stage.name) for stage in stages}
    return dish if stage_key(dish) not in taken else f"{dish} (whole)"
