"""A dish as a recipe file for the cook to correct: the lines as written, the cooking as read, each guess with its why.

What comes back from such a file is cooked as its source is, to the last digit (docs/draft.md).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from nutrilab.as_read import CookedAsRead, cooked_as_read
from nutrilab.folder import Folder
from nutrilab.lexicon.sureness import Sureness
from nutrilab.measures import PORTIONS, Ground
from nutrilab.messages import as_grams, say
from nutrilab.plain import brief, plain
from nutrilab.recipe import CAPTION_NAMES, Cooking, InputError, Line, Method, Part, Recipe, read_recipe
from nutrilab.recipe.amounts import part_of
from nutrilab.recipe.writing import number, percent, scalar
from nutrilab.recipe.yaml_file import AS_WRITTEN
from nutrilab.results import CookedStage, DishResult, LineRecord

LONGEST_NOTE = 160  # characters of a comment
SHOWN = 60  # characters of a sentence or food in a comment
_AMOUNTS = (Ground.PRACTICE, Ground.NONE)  # grounds of a weight that the line itself does not say
# Fields of a cooking by their keys, in the order they are written.
_KEYS = (
    ("method", "method"), ("minutes", "minutes"), ("drained", "drained"), ("covered", "covered"),
    ("weight before", "weight_before"), ("weight after", "weight_after"), ("loss", "loss"),
    ("fat drained", "fat_drained"), ("fat poured off", "fat_poured"), ("boiled off", "boiled_off"),
    ("frying oil left", "oil_left"), ("salted water", "salted_water"), ("flamed", "flamed"),
    ("marinade left behind", "marinade"), ("coated in", "coating"), ("thrown away", "thrown"),
    ("read from method", "read"),
)  # fmt: skip
_LINES = ("marinade", "coating", "thrown")  # lists of lines of the stage
_GRAMS = ("weight_before", "weight_after", "fat_drained", "oil_left", "boiled_off")


@dataclass(frozen=True, slots=True)
class Said:
    """What else is known of a draft: notes for its head; of lines, by their text, what is to be said of them."""

    head: tuple[str, ...] = ()
    lines: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def of_file(
    folder: Folder, path: Path, portions: float | None = None, here: bool = True, data: bytes | None = None
) -> str:
    """The draft of a text, a page, a JSON recipe or captions.

    portions: where it says none; here: whether the draft is to lie in the same folder; data: the content of the file,
    where it is at hand. Raises NutrilabError.
    """
    if path.suffix.lower() in CAPTION_NAMES:
        from nutrilab import spoken

        heard = spoken.read(path, folder.kitchen(), data)
        recipe, said = heard.recipe, Said(heard.head, heard.lines)
    else:
        recipe, said = read_recipe(path, data), Said()
    recipe = with_portions(recipe, portions)
    check_place(recipe.others, here, path)
    count = None if recipe.portions or recipe.portion_weight else PORTIONS
    return draft(folder.dish(recipe, count), recipe, path.name, said)


def draft(result: DishResult, source: Recipe, name: str, said: Said | None = None) -> str:
    """A dish as the text of a recipe file.

    source: the recipe before its method was laid over it; name: of the file it came from; said: what the reader of
    its source has to say of it.
    """
    said = said or Said()
    recipe = result.recipe
    found = [*_head(result, source, name, said), f"dish: {scalar(recipe.dish)}", *_top(source)]
    if recipe.method:
        found += [f"method as written:  {_note(say('draft.as-they-stood'))}"]
        found += [f"  - {scalar(line.text)}" for line in recipe.method]
    rows = {row.stage: row for row in cooked_as_read(result)}
    found += ["stages:"]
    listed = frozenset(entry.text for stage in source.stages for entry in stage.entries)
    for stage in result.stages[: len(recipe.stages)]:
        found += _stage(stage, rows.get(stage.stage.name), said, listed)
    if recipe.serve_with:
        found += ["serve with:", *(f"  - {_entry(line)}" for line in recipe.serve_with)]
    return "\n".join(found) + "\n"


def _head(result: DishResult, source: Recipe, name: str, said: Said) -> Iterator[str]:
    yield _note(say("draft.head", file=brief(name)))
    yield _note(say("draft.then"))
    for words in (*said.head, *(remark.message for remark in source.remarks)):
        yield _note(say("draft.note", note=words))
    for step in result.method.unread if result.method else ():
        yield _note(say("draft.not-understood", step=brief(step.text)))


def _top(source: Recipe) -> Iterator[str]:
    if source.portions is not None:
        yield f"portions: {number(source.portions)}"
    if source.portion_weight is not None:
        yield f"portion weight: {number(source.portion_weight)} g"
    if source.portions is None and source.portion_weight is None:
        yield f"# portions: 4  {_note(say('draft.no-portions'))}"
    if source.drink:
        yield "drink: true"
    if source.cup != "us":
        yield f"cups: {source.cup}"
    for key, text in (("notes", source.notes), ("source", source.source)):
        if text:
            yield f"{key}: {scalar(text)}"


def _stage(stage: CookedStage, row: CookedAsRead | None, said: Said, listed: frozenset[str]) -> Iterator[str]:
    """A stage; listed: the texts of the lines that the cook has."""
    yield f"  - stage: {scalar(stage.stage.name)}"
    if stage.stage.left_over:
        yield "    left over: true"
    yield "    ingredients:"
    records = dict(stage.lines)
    for at, entry in enumerate(stage.stage.entries, 1):
        record = records.get(at)
        notes = [*said.lines.get(entry.text, ()), *_guesses(record)] if record is not None else []
        if isinstance(entry, Line) and entry.text not in listed:
            notes.append(say("draft.from-method"))
        yield from _item(f"      - {_entry(entry)}", notes)
    if stage.stage.cooking is not None and replace(stage.stage.cooking, line=None) != Cooking():
        yield from _cooking(stage, stage.stage.cooking, row)


def _item(text: str, notes: Sequence[str]) -> Iterator[str]:
    """A line of the file, with one note behind it, more of them above it."""
    indent = text[: len(text) - len(text.lstrip())]
    for words in notes[:-1]:
        yield f"{indent}{_note(words)}"
    yield f"{text}  {_note(notes[-1])}" if notes else text


def _guesses(record: LineRecord) -> Iterator[str]:
    """What is not sure of a line: which food, how much."""
    for food in record.foods:
        found, weight = food.link.food, food.weight
        if food.no_food or record.parsed.heading:
            continue
        if found is None:
            yield say("draft.no-food", food=brief(food.name, SHOWN))
        elif food.link.sureness != Sureness.SURE:
            yield say("draft.food", food=brief(found.name, SHOWN), sureness=food.link.sureness)
        if weight.grams is None:
            yield say("draft.no-amount", food=brief(food.name, SHOWN))
        elif weight.ground in _AMOUNTS:
            ground = weight.ground.words
            yield say("draft.amount", weight=f"{weight.grams:.3g} g", food=brief(food.name, SHOWN), ground=ground)


def _cooking(stage: CookedStage, cooking: Cooking, row: CookedAsRead | None) -> Iterator[str]:
    why: dict[str, str] = {fact.what: fact.sentence for fact in row.read.facts} if row else {}
    if cooking == Cooking(method=Method.RAW, read=True):
        yield f"    cooking: {{method: raw}}  {_note(say('draft.nothing-heats'))}"
        return
    result = stage.result
    before, after = result.raw.mass - result.left_over.mass, result.cooked.mass
    weighs = say("draft.weights", before=as_grams(before), after=as_grams(after), ground=result.weight_from.words)
    yield f"    cooking:  {_note(weighs)}"
    for key, name in _KEYS:
        value = getattr(cooking, name)
        if value is None or value == () or (value is False and name != "covered"):
            continue
        notes = _why(key, name, cooking, why)
        if name in _LINES:
            yield f"      {key}:{''.join(f'  {_note(words)}' for words in notes)}"
            yield from (f"        - {scalar(text)}" for text in value)
        elif name == "boiled_off":
            off, low, high = (number(one) for one in value)
            yield from _item(f"      {key}: {off} g", notes)
            yield f"      {key} at least: {low} g"
            yield f"      {key} at most: {high} g"
        else:
            yield from _item(f"      {key}: {_value(name, value)}", notes)


def _why(key: str, name: str, cooking: Cooking, why: Mapping[str, str]) -> list[str]:
    """Why a value of a cooking stands there: the sentence it was read from, or that none says it."""
    if not cooking.read or name in ("weight_after", "oil_left"):
        return []
    if name == "read":
        return [say("draft.take-out")]
    if key in why:
        return [say("draft.from-step", step=brief(why[key], SHOWN))]
    return [say("draft.follows")]


def _value(name: str, value: float | bool | str) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float | int):
        return f"{percent(value)}%" if name == "loss" else f"{number(value)} g" if name in _GRAMS else number(value)
    return str(value)


def _entry(entry: Line | Part) -> str:
    """An entry of a list of ingredients; one that only looks like a part of a stage says that it is none."""
    if isinstance(entry, Line) and entry.share != 1:
        return scalar(entry.written)
    whole = isinstance(entry, Line) and _looks_like_part(entry.text)
    return f"{AS_WRITTEN}: {scalar(entry.text)}" if whole else scalar(entry.text)


def _looks_like_part(text: str) -> bool:
    try:
        return part_of(text) is not None
    except ValueError:
        return True


def _note(words: str) -> str:
    """A comment on one line, harmless."""
    shown = " ".join(plain(words).split())
    return f"# {plain(shown, LONGEST_NOTE)}"


def with_portions(recipe: Recipe, portions: float | None) -> Recipe:
    """The recipe with portions that the cook says on the command line, where it says none of its own."""
    if portions is None or recipe.portions is not None:
        return recipe
    return replace(recipe, portions=portions)


def check_place(names: Iterable[str], here: bool, file: object) -> None:
    """Refuse a draft that takes stages of recipes beside its source and would lie elsewhere. Raises InputError."""
    if (first := next(iter(names), None)) is not None and not here:
        raise InputError(say("draft.elsewhere", file=brief(first)), file)
