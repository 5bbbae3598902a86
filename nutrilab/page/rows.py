"""The lines of a recipe in its own order, each with what was made of it: grams, food, how sure, allergens."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from nutrilab.folder import Dish
from nutrilab.lexicon.sureness import Sureness
from nutrilab.messages import as_grams, say
from nutrilab.page.look import Look
from nutrilab.plain import quoted
from nutrilab.recipe import Line, Part, Recipe, stage_key
from nutrilab.results import CookedStage, LineRecord, total
from nutrilab.settling import ToSettle
from nutrilab.tracing import Used, all_stages

SURE = {
    Sureness.SURE: "desk.sure",
    Sureness.LIKELY: "desk.likely",
    Sureness.DOUBTFUL: "desk.doubtful",
    Sureness.NONE: "desk.no-food-found",
}
SERVED = "serve with"  # the stage of what is served beside, as the kitchen calls it
Place = tuple[str, int]


@dataclass(frozen=True, slots=True)
class Row:
    """A line.

    line: where it stands in the file; grams: what counts, "" where nobody knows; foods: what they are counted as; sure:
    how sure, in words; state: "sure", "likely", "doubtful", "none", "heading", "no-food" or "part"; contains, check,
    may: allergens; open: whether it asks for something; stage: heading above it, "" where it goes on; of: its words
    as an open line is found again by.
    """

    line: int
    text: str
    grams: str = ""
    foods: tuple[str, ...] = ()
    sure: str = ""
    state: str = "part"
    contains: tuple[str, ...] = ()
    check: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    open: bool = False
    stage: str = ""
    remarks: tuple[str, ...] = ()
    of: str = ""


@dataclass(frozen=True, slots=True)
class Found:
    """A line of the recipe with all that was cooked of it: several times where the method parts it."""

    line: Line
    place: Place
    cooked: tuple[tuple[CookedStage, int, LineRecord], ...]

    @property
    def record(self) -> LineRecord | None:
        """What was read of it."""
        return self.cooked[0][2] if self.cooked else None

    @property
    def grams(self) -> float | None:
        """What of it counts [g]."""
        return total(stage.weight(number, food).grams for stage, number, record in self.cooked for food in record.foods)

    def used(self) -> Iterator[Used]:
        """Each of its foods."""
        for stage, number, record in self.cooked[:1]:
            for place, food in enumerate(record.foods):
                yield Used(food, record, stage, number, place, self.grams)


def found_lines(recipe: Recipe, dish: Dish) -> tuple[Found, ...]:
    """Every line of a recipe's own list, what is served beside last."""
    cooked: dict[Place, list[tuple[CookedStage, int, LineRecord]]] = {}
    for stage in all_stages(dish):
        for number, record in stage.lines:
            place = dish.places.get((stage.stage.name, number), (stage.stage.name, number))
            cooked.setdefault(_key(place), []).append((stage, number, record))
    found = []
    for place, entry in _entries(recipe):
        if isinstance(entry, Line):
            here = tuple(one for one in cooked.get(_key(place), ()) if one[2].parsed.text.strip() == entry.text.strip())
            found.append(Found(entry, place, here))
    return tuple(found)


def _key(place: Place) -> Place:
    return stage_key(place[0]), place[1]


def _entries(recipe: Recipe) -> Iterator[tuple[Place, object]]:
    for stage in recipe.stages:
        yield from (((stage.name, number), entry) for number, entry in enumerate(stage.entries, 1))
    yield from (((SERVED, number), entry) for number, entry in enumerate(recipe.serve_with, 1))


def _in_order(recipe: Recipe) -> list[tuple[Place, object]]:
    """The entries as the cook wrote them: where stages were made of headings, the list begins with what has none."""
    entries = list(_entries(recipe))
    lines = [getattr(entry, "line", None) for _, entry in entries]
    if None not in lines:
        return sorted(entries, key=lambda one: getattr(one[1], "line", 0))
    written = [one for one, line in zip(entries, lines, strict=True) if line is not None]
    made = all(isinstance(entry, Part) for (_, entry), line in zip(entries, lines, strict=True) if line is None)
    return sorted(written, key=lambda one: getattr(one[1], "line", 0)) if made else entries


def rows(look: Look) -> tuple[Row, ...]:
    """The lines as they are shown: of a recipe that cannot be cooked their words, of one that cannot be read none."""
    if look.recipe is None:
        return ()
    by_place = {one.place: one for one in found_lines(look.recipe, look.dish)} if look.dish else {}
    shown: list[Row] = []
    before = None
    several = len(look.recipe.stages) > 1 or bool(look.recipe.serve_with)
    for place, entry in _in_order(look.recipe):
        if isinstance(entry, Part) and not _as_written(look, entry):
            continue
        stage = place[0] if several and place[0] != before else ""
        before = place[0]
        at = by_place.get(place)
        if at is not None and at.record is not None:
            shown.append(_row(at, at.record, stage))
        else:
            text = getattr(entry, "text", "")
            shown.append(Row(getattr(entry, "line", None) or 0, text, stage=stage, of=text))
    return tuple(shown)


def _as_written(look: Look, part: Part) -> bool:
    """Whether the cook wrote a stage's name there: in plain text a heading alone puts what it made into the dish."""
    return look.is_yaml or (part.line is not None and part.text in look.text.splitlines()[part.line - 1])


def _row(found: Found, record: LineRecord, stage: str) -> Row:
    grams = found.grams
    state = "heading" if record.parsed.heading else "no-food" if record.no_food else str(record.sureness)
    open_ = not record.resolved or any(food.left_out for food in record.foods)
    names = tuple(food.link.food.name if food.link.food else say("trace.no-food-found", food=quoted(food.name))
                  for food in record.foods if not food.no_food)  # fmt: skip
    todo = tuple(remark.message for remark in record.remarks if remark.to_do)
    return Row(
        line=found.line.line or 0,
        text=found.line.written,
        grams="" if grams is None else as_grams(grams),
        foods=names,
        sure=say("trace.heading") if state == "heading" else _sure(record, state),
        state=state,
        contains=tuple(record.findings.contains),
        check=tuple(record.findings.check),
        may=tuple(record.findings.may),
        open=open_ and state != "heading",
        stage=stage,
        remarks=tuple(dict.fromkeys(todo)),
        of=found.line.text,
    )


def _sure(record: LineRecord, state: str) -> str:
    if state == "no-food":
        return say("desk.no-food-decided")
    decided = any(food.link.decided for food in record.foods)
    own = any(food.product is not None for food in record.foods)
    if own and record.sureness.stands:
        return say("desk.own-pack")
    return say("desk.decided") if decided and record.sureness.stands else say(SURE[record.sureness])


def line_of(found: Sequence[Found], at: tuple[str, int] | None) -> int:
    """The line of the file where a place of the cook's own list stands; 0 where it is none."""
    if at is None:
        return 0
    lines: Mapping[Place, int] = {_key(one.place): one.line.line or 0 for one in found}
    return lines.get(_key(at), 0)


@dataclass(frozen=True, slots=True)
class ToDo:
    """One thing to settle, as the page shows it: line: of the file, 0 where it is of none."""

    what: str
    where: str
    advice: str
    line: int
    of: str


def to_do(one: ToSettle, found: Sequence[Found]) -> ToDo:
    """A thing to settle with the line it leads to."""
    return ToDo(one.what, one.where, one.advice, line_of(found, one.at), one.of)
