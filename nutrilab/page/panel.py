"""One line opened: what its foods may be, what one of its things weighs, its pack, and what if it were another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from data_loaders.own_products import cells
from nutrilab.asking import Choice, answer, choice_of, choices_for
from nutrilab.asking_dish import of_piece
from nutrilab.decisions import decided
from nutrilab.folder import Folder
from nutrilab.kitchen import Kitchen
from nutrilab.page.look import Look, told
from nutrilab.page.rows import SERVED, Found, found_lines
from nutrilab.recipe import stage_key
from nutrilab.recipe.writing import number
from nutrilab.remarks import InputError
from nutrilab.results import LineFood
from nutrilab.sheets import swap_words
from nutrilab.sheets.answer import in_full
from nutrilab.swapping import Done

# Words of a label in the order of the law, as products.yaml has them.
FIGURES = ("energy kj", "energy kcal", "fat", "saturates", "carbohydrate", "sugars", "fibre", "protein", "salt")
PACK = ("name", "aliases", "ingredients", "contains", "may contain", "per", "density", *FIGURES)


@dataclass(frozen=True, slots=True)
class FoodChoice:
    """A food of the line to be chosen: its name, what was decided of it, why it is counted as it is, what it may be."""

    name: str
    was: str
    why: str
    choices: tuple[Choice, ...]
    searched: str = ""
    problem: str = ""


@dataclass(frozen=True, slots=True)
class Piece:
    """What one of a line's things weighs: the name it is decided under, what it counts as now, what was decided."""

    name: str
    now: str
    was: str


@dataclass(frozen=True, slots=True)
class Panel:
    """An open line. pack: what is known of its pack, by the words of a label; gone: the recipe has no such line now."""

    line: int
    text: str
    foods: tuple[FoodChoice, ...]
    piece: Piece | None
    pack: Mapping[str, str]
    evidence: tuple[str, ...]
    tried: Tried | None = None
    gone: bool = False


@dataclass(frozen=True, slots=True)
class Kept:
    """A line that a swap changes: where it stands in the file, its words, those it would have."""

    line: int
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class Tried:
    """A swap that was tried: what it was, the answer in sentences, the figures, the allergens that move.

    changed: the lines that it changes, in words; kept: the same as they are written, none where one of them is not in
    this text.
    """

    new: str
    problem: str = ""
    first: tuple[str, ...] = ()
    rows: tuple[tuple[str, str, str, str, str, str], ...] = ()
    moved: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    kept: tuple[Kept, ...] = ()


def at_line(look: Look, line: int, text: str = "") -> Found | None:
    """The line that has the words of the open one now, the nearest of several; by its number where none are known."""
    if look.recipe is None or look.dish is None:
        return None
    found = [one for one in found_lines(look.recipe, look.dish) if one.record is not None]
    if not text:
        return next((one for one in found if one.line.line == line), None)
    same = [one for one in found if one.line.text == text]
    return min(same, key=lambda one: abs((one.line.line or 0) - line), default=None)


def gone(line: int, text: str) -> Panel:
    """What is left of an open line that is not found in the recipe any more: its fields."""
    return Panel(line, text, (), None, dict.fromkeys(PACK, "") | {"per": "100 g"}, (), gone=True)


def panel(look: Look, found: Found, folder: Folder, fields: Mapping[str, str], tried: Tried | None = None) -> Panel:
    """A line opened. fields: what stands in the form, with what is searched for."""
    recipe, record = look.recipe, found.record
    assert recipe is not None  # a line was found in it
    assert record is not None
    kitchen = folder.kitchen(folder.packs_of(recipe))
    asked = next((question for one in found.used() if (question := of_piece(one)) is not None), None)
    piece = None
    if asked is not None:
        piece = Piece(asked.name, asked.one or "", decided(folder.decisions, asked.name, weight=True))
    foods = record.foods
    evidence = (record.findings.contains, record.findings.check, record.findings.may)
    return Panel(
        line=found.line.line or 0,
        text=found.line.text,
        foods=tuple(_choice(n, food, kitchen, folder, fields) for n, food in enumerate(foods)),
        piece=piece,
        pack=_pack(foods),
        evidence=tuple(dict.fromkeys(sentence for of in evidence for some in of.values() for sentence in some)),
        tried=tried,
    )


def _choice(number: int, food: LineFood, kitchen: Kitchen, folder: Folder, fields: Mapping[str, str]) -> FoodChoice:
    choices, wanted, problem = choices_for(food, kitchen), fields.get(f"search-{number}", "").strip(), ""
    if wanted:
        try:
            found = answer(wanted, (), kitchen, food.name)
            choices = _together(_of_id(found, kitchen) if isinstance(found, str) else found, choices)
        except InputError as error:
            problem = told(error)
    was = decided(folder.decisions, food.name)
    return FoodChoice(food.name, was, food.link.why, choices, wanted, problem)


def _of_id(food_id: str, kitchen: Kitchen) -> tuple[Choice, ...]:
    """The food of an id as a choice; nothing of what is none."""
    return (choice_of(kitchen.linker.food(food_id)),) if food_id in kitchen.linker else ()


def _together(first: Sequence[Choice], then: Sequence[Choice]) -> tuple[Choice, ...]:
    found: dict[str, Choice] = {}
    for one in (*first, *then):
        if one.written not in found or one.now:
            found[one.written] = one
    return tuple(found.values())


def _pack(foods: Sequence[LineFood]) -> dict[str, str]:
    """What stands in the list of packs of a food of the line, else its name."""
    product = next((food.product for food in foods if food.product is not None), None)
    if product is not None:
        return dict.fromkeys(PACK, "") | cells(product)
    return dict.fromkeys(PACK, "") | {"per": "100 g", "aliases": foods[0].name if foods else ""}


def swap(look: Look, found: Found, folder: Folder, new: str) -> Tried:
    """What if the food of a line were another, in every line of that name: the dish before and after."""
    recipe = look.recipe
    assert recipe is not None  # a line was found in it
    old = next((food.name for food in found.record.foods), "") if found.record else ""
    try:
        tried = folder.swap(recipe, f"{old} = {new}")
    except InputError as error:
        return Tried(new, told(error, own=True))
    kept = _kept(look, tried.done, new)
    return Tried(
        new,
        first=tuple(swap_words.first(tried)),
        rows=tuple(swap_words.rows(tried)),
        moved=tuple(sentence for _, sentence in swap_words.allergens(tried)) or (swap_words.nothing_moves(tried),),
        notes=tried.notes,
        after=tuple(in_full(tried.after)),
        changed=tuple(map(swap_words.swapped, tried.done)),
        kept=kept,
    )


def _kept(look: Look, done: Sequence[Done], new: str) -> tuple[Kept, ...]:
    """All lines that a swap changes as they are written into the text, so that it is cooked as it was tried."""
    assert look.recipe is not None
    assert look.dish is not None
    lines = {(stage_key(one.place[0]), one.place[1]): one for one in found_lines(look.recipe, look.dish)}
    kept = []
    for one in done:
        at = lines.get((stage_key(one.stage or SERVED), one.line))
        if one.file is not None or at is None or at.line.line is None or at.record is None:
            return ()
        grams = at.grams if one.grams_stand and len(at.record.foods) == 1 else None
        words = one.new if grams is None else f"{number(float(f'{grams:.4g}'))} g {new}"  # 12000 g, not 1.2e+04
        kept.append(Kept(at.line.line, at.line.text, words))
    return tuple(kept)
