"""What if: an ingredient of a recipe swapped for another, by the cook's own words for both.

The old words are looked for in the names of the lines, in those of the recipes that lend a stage too; the recipe that
comes out has the new lines in the old places (`recipe.Was`).
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from nutrilab.bench import Bench
from nutrilab.files import check_lines
from nutrilab.lexicon.same import also_called, name_of
from nutrilab.lines import parse_line
from nutrilab.messages import named, say
from nutrilab.plain import brief, quoted
from nutrilab.recipe import Cooking, InputError, Line, Part, Recipe, Stage, stage_key
from nutrilab.recipe.amounts import part_of, weight
from nutrilab.results import CookedStage, DishResult, LineRecord
from nutrilab.swapping.lines import new_line
from nutrilab.swapping.values import Name, Place, Spot, Wish
from nutrilab.text import words
from nutrilab.tracing import all_stages

HOW = '--swap "whole milk = oat drink"'
SERVED = ""  # in place of a stage's name: what is served with the dish
LONGEST_NAME = 40  # characters of a name in a message
_SIDES = re.compile(r"\s*=\s*")


@dataclass(frozen=True, slots=True)
class Done:
    """A line that was swapped; file: of another recipe it stands in, None for this one's own."""

    old: str
    new: str
    stage: str
    line: int
    file: str | None
    grams_stand: bool


@dataclass(frozen=True, slots=True)
class Swapped:
    """A recipe with its swaps, the lines that changed, and what is to be said of it."""

    recipe: Recipe
    done: tuple[Done, ...]
    notes: tuple[str, ...]


def wish(text: str) -> Wish:
    """Read "OLD = NEW". Raises InputError."""
    old, *rest = _SIDES.split(text.strip(), maxsplit=1)
    new = rest[0] if rest else ""
    if not words(old) or not words(new):
        raise InputError(say("swap.no-swap", text=quoted(text), example=HOW))
    if "=" in new:
        raise InputError(say("swap.two-signs", text=quoted(text), example=HOW))
    check_lines([old, new], "--swap")
    reading = parse_line(new)
    if reading.heading or not reading.names:
        raise InputError(say("swap.no-ingredient", text=quoted(new), example=HOW))
    return Wish(old, new, reading)


def in_proportion(found: Swapped, before: DishResult) -> Recipe:
    """The swapped recipe whose weighings, made with the old ingredients, hold in proportion to what goes in now."""
    cooked = all_stages(before)
    names = Counter(stage_key(one.stage.name) for one in cooked)
    went_in = {key: _went_in(one) for one in cooked if names[key := stage_key(one.stage.name)] == 1}
    # of a dish whose stages the method made, only the whole was weighed
    whole = _went_in(before.stages[len(before.recipe.stages) - 1])
    recipe = _of(found.recipe, went_in)
    return replace(recipe, stages=(*recipe.stages[:-1], replace(recipe.stages[-1], weighed_of=whole)))


def _of(recipe: Recipe, went_in: Mapping[str, float]) -> Recipe:
    stages = tuple(replace(stage, weighed_of=went_in.get(stage_key(stage.name))) for stage in recipe.stages)
    return replace(recipe, stages=stages, others={name: _of(other, went_in) for name, other in recipe.others.items()})


def _went_in(stage: CookedStage) -> float:
    return sum(put.grams for put in stage.puts) + sum(stage.taken)


def asked(recipe: Recipe, weight_after: str | float | None) -> Recipe:
    """The recipe with another weight of the whole dish after cooking, a text with a unit or [g]. Raises InputError.

    What it weighed before was weighed of the old ingredients: the lines tell better.
    """
    if weight_after is None:
        return recipe
    try:
        grams = weight(str(weight_after))
    except ValueError as error:
        raise InputError(f"--weight-after: {error}") from None
    last = recipe.stages[-1]
    cooking = replace(last.cooking or Cooking(), weight_before=None, weight_after=grams, loss=None)
    return replace(recipe, stages=(*recipe.stages[:-1], replace(last, cooking=cooking, weighed_of=None)))


def swap(recipe: Recipe, wishes: Sequence[Wish], bench: Bench, weighed_again: bool = False) -> Swapped:
    """Swap all that is wished, each looked for in the list as the cook wrote it, else in what an earlier one made.

    weighed_again: whether the weight of the whole dish is a new one.
    Raises InputError: words that are in no line, or in lines of different names; one ingredient swapped twice.
    """
    first = spots(recipe, bench)
    done: dict[Place, Done] = {}
    notes: list[str] = []
    for one in wishes:
        there, found = first, _matching(one.old, first)
        if not found:  # "milk = oat drink" and "oat drink = milk" beside it: the second is there only since the first
            there = spots(recipe, bench)
            found = _matching(one.old, there)
        _check(one, found, there, recipe)
        notes += _notes(one, found, there, recipe)
        changed: dict[Place, Line] = {}
        for spot, names in found:
            now = spot if spot.place not in done or there is not first else _again(recipe, spot, bench)
            if not set(names) <= set(now.names):
                said = say("swap.twice", name=quoted(names[0].written))
                raise InputError(said, recipe.path)
            changed[spot.place] = new_line(now, names, one)
            done[spot.place] = _done(recipe, now, changed[spot.place])
        recipe = _with(recipe, changed)
    if any(one.old != one.new for one in done.values()):
        notes += _weighings(recipe, done, weighed_again)
    return Swapped(recipe, tuple(done.values()), tuple(dict.fromkeys(notes)))


def _done(recipe: Recipe, spot: Spot, line: Line) -> Done:
    old = spot.line.was.text if spot.line.was else spot.line.text
    more = line.was.more if line.was else ()
    new = "; ".join(one.text for one in (line, *more))
    stands = line.was is None or (line.was.grams_stand and not more)
    return Done(old, new, spot.stage, spot.number, _other(spot.recipe, recipe), stands)


# --- what could be swapped


def spots(recipe: Recipe, bench: Bench) -> list[Spot]:
    """Every line that goes into the dish, from the recipes that lend a stage too, each once."""
    found: list[Spot] = []
    seen: set[tuple[Path | None, str]] = set()
    _stages(recipe, [stage.name for stage in recipe.stages], bench, seen, found)
    for number, line in enumerate(recipe.serve_with, 1):
        found.append(_spot(recipe, SERVED, number, line, bench))
    return found


def _stages(
    recipe: Recipe, names: Sequence[str], bench: Bench, seen: set[tuple[Path | None, str]], found: list[Spot]
) -> None:
    by_key = {stage_key(stage.name): stage for stage in recipe.stages}
    for stage in (by_key[stage_key(name)] for name in names):
        if (recipe.path, stage.name) in seen:
            continue
        seen.add((recipe.path, stage.name))
        for number, entry in enumerate(stage.entries, 1):
            if isinstance(entry, Line):
                found.append(_spot(recipe, stage.name, number, entry, bench))
            else:
                _stages(recipe.others[entry.file] if entry.file else recipe, [entry.stage], bench, seen, found)


def _spot(recipe: Recipe, stage: str, number: int, line: Line, bench: Bench) -> Spot:
    record = bench.line(line.text, recipe.cup)
    return Spot(recipe, stage, number, line, tuple(_names(record)), record)


def _again(recipe: Recipe, spot: Spot, bench: Bench) -> Spot:
    """The spot as an earlier swap left it: the other food of its line went."""
    return next(one for one in spots(recipe, bench) if one.place == spot.place)


def _names(record: LineRecord) -> Iterator[Name]:
    """The foods that a line names, a choice's others too, as they are written in it."""
    parsed = record.parsed
    beside = parsed.prepared
    for at, written in enumerate(parsed.names):
        # the linker turns "milk, coconut" round: that is no milk
        called = record.foods[at].name if at < len(record.foods) and len(parsed.names) == 1 else written
        yield Name(written, words(called), beside)
    for more in parsed.added:
        yield from (Name(written, words(written), more.prepared) for written in more.names)


# --- what is meant


def _matching(old: str, there: Sequence[Spot]) -> list[tuple[Spot, tuple[Name, ...]]]:
    """The lines and names that some words mean: the whole line, the very name, its words, another word for it."""
    tokens = words(old)
    alone = [spot for spot in there if len(spot.names) == 1 and words(spot.line.text) == tokens]
    if alone:
        return [(spot, spot.names) for spot in alone]
    wanted = words(_name_in(old))
    for means in (_same, _all_of, _within, _otherwise):
        found = [(spot, tuple(n for n in spot.names if means(wanted, n))) for spot in there]
        if any(names for _, names in found):
            return [(spot, names) for spot, names in found if names]
    return []


def _name_in(old: str) -> str:
    """The words without an amount that was copied with them: "700 ml whole milk"."""
    read = parse_line(old)
    return read.name if read.quantity is not None and read.name else old


def _same(wanted: tuple[str, ...], name: Name) -> bool:
    return name_of(wanted) == name.key


def _all_of(wanted: tuple[str, ...], name: Name) -> bool:
    return sorted(wanted) == sorted(name.tokens)


def _within(wanted: tuple[str, ...], name: Name) -> bool:
    return set(wanted) <= {*name.tokens, *name.beside} and not set(wanted).isdisjoint(name.tokens)


def _otherwise(wanted: tuple[str, ...], name: Name) -> bool:
    return any(_same(other, name) or _within(other, name) for other in also_called(wanted))


def _check(one: Wish, found: Sequence[tuple[Spot, tuple[Name, ...]]], there: Sequence[Spot], recipe: Recipe) -> None:
    """Refuse words that mean nothing, or several things. Raises InputError."""
    if not found:
        could = dict.fromkeys(name.written for spot in there for name in spot.names)
        said = say("swap.in-no-line", name=quoted(one.old), names=_all(could))
        raise InputError(said, recipe.path)
    meant = {name.key: name.written for _, names in found for name in names}
    if len(meant) > 1:
        said = say("swap.several", name=quoted(one.old), names=_all(meant.values()))
        raise InputError(said, recipe.path)
    part = part_of_stage(one.new, recipe)
    if part is not None:
        said = say("swap.a-stage", name=quoted(one.new))
        raise InputError(said, recipe.path)


def _all(names: Iterable[str]) -> str:
    """All names it could be: whoever has to choose needs the last of them too."""
    return ", ".join(brief(name, LONGEST_NAME) for name in names)


def part_of_stage(text: str, recipe: Recipe) -> Part | None:
    """The part of a stage of the recipe that a text takes, if it does."""
    try:
        part = part_of(text)
    except ValueError:
        return None
    stages = {stage_key(stage.name) for stage in recipe.stages}
    return part if part is not None and (part.file or stage_key(part.stage) in stages) else None


def _notes(
    one: Wish, found: Sequence[tuple[Spot, tuple[Name, ...]]], there: Sequence[Spot], recipe: Recipe
) -> Iterator[str]:
    """What the cook may not expect: lines of other files, and others of nearly the same name that stay."""
    files = list(dict.fromkeys(name for spot, _ in found if (name := _other(spot.recipe, recipe))))
    if files:
        only = all(_other(spot.recipe, recipe) for spot, _ in found)
        yield say(
            "swap.only-in-other-files" if only else "swap.also-in-other-files",
            name=quoted(one.old),
            files=named(files),
        )
    swapped = {(id(spot), name) for spot, names in found for name in names}
    key = next(name.key for _, names in found for name in names)
    wanted = words(_name_in(one.old))
    left = dict.fromkeys(
        name.written
        for spot in there
        for name in spot.names
        if name.key != key and (id(spot), name) not in swapped and (_within(wanted, name) or _otherwise(wanted, name))
    )
    if left:
        yield say("swap.other-name", names=named(left))


def _weighings(recipe: Recipe, done: Mapping[Place, Done], again: bool) -> Iterator[str]:
    """Weighings that were made with the old ingredients: of the first changed stage and of what is made after it."""
    changed = {stage for path, stage, _ in done if path == recipe.path and stage != SERVED}
    at = next((n for n, stage in enumerate(recipe.stages) if stage.name in changed), None)
    if any(path != recipe.path for path, _, _ in done):
        at = 0
    stages = recipe.stages[at : -1 if again else None] if at is not None else ()
    if weighed := [stage.name for stage in stages if _is_weighed(stage)]:
        yield say("swap.weighed-before", stages=named(weighed))


def _is_weighed(stage: Stage) -> bool:
    cooking = stage.cooking
    return cooking is not None and (cooking.weight_before is not None or cooking.weight_after is not None)


def _other(one: Recipe, recipe: Recipe) -> str | None:
    """The name of the file of a recipe that is another's."""
    return one.path.name if one.path is not None and one.path != recipe.path else None


# --- the recipe with it


def _with(recipe: Recipe, changed: Mapping[Place, Line]) -> Recipe:
    """The recipe, and those that lend it a stage, with some lines changed."""
    stages = tuple(_stage(recipe, stage, changed) for stage in recipe.stages)
    served = tuple(changed.get((recipe.path, SERVED, number), line) for number, line in enumerate(recipe.serve_with, 1))
    others = {name: _with(other, changed) for name, other in recipe.others.items()}
    return replace(recipe, stages=stages, serve_with=served, others=others)


def _stage(recipe: Recipe, stage: Stage, changed: Mapping[Place, Line]) -> Stage:
    entries = (changed.get((recipe.path, stage.name, n), entry) for n, entry in enumerate(stage.entries, 1))
    return replace(stage, entries=tuple(entries))
