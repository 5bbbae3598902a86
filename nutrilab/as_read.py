"""The written method laid over a recipe: its stages as the method makes them, and what is to be said of that.

The seam between lines and method: records of lines go in as names, kinds and grams (`named`); the stages that come
back are cooked as any others. Places of remarks stay those of the cook's own list (`Places`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from nutrilab.allergens.dish import LineFindings
from nutrilab.cooking import yields
from nutrilab.cooking.kinds import is_a, kind_of, lineage
from nutrilab.cooking.media import FRIED
from nutrilab.foods import Food
from nutrilab.lines import Purpose
from nutrilab.measures import Ground, Weight
from nutrilab.messages import as_grams, by_few, listed, say
from nutrilab.method import AsRead, MethodRead, Named, Step
from nutrilab.method.pots import OVEN, WATERY, WET
from nutrilab.method.values import What, is_much
from nutrilab.once import once
from nutrilab.plain import brief
from nutrilab.recipe import Cooking, Line, Method, Part, Recipe, Stage
from nutrilab.remarks import Code, Remark
from nutrilab.results import CookedStage, DishResult, LineRecord
from nutrilab.text import words

LONG = 60.0  # [min] of heat after which food that weighs as before is a contradiction (common practice, no source)
FATTY = 10.0  # [g per 100 g] of fat from which food fries in its own (common practice, no source)
KEPT = 0.98  # cooked by raw weight from which nothing was lost
SHOWN = 40  # characters of a step that a remark quotes
Place = tuple[str, int]


@dataclass(frozen=True, slots=True)
class Places:
    """Where lines stand in the cook's own list, by where they stand in the stages that the method made."""

    of: Mapping[Place, Place] = field(default_factory=dict)

    def remark(self, one: Remark) -> Remark:
        """The remark at the cook's own place."""
        place = self.of.get((one.stage or "", one.line or 0))
        return replace(one, stage=place[0], line=place[1]) if place else one

    def told(self, lines: Iterable[LineFindings]) -> tuple[LineFindings, ...]:
        """What lines say of allergens, at the cook's own places and in the cook's own order."""
        if not self.of:
            return tuple(lines)
        found = []
        for one in lines:
            place = self.of.get((one.stage, one.number))
            found.append(one._replace(stage=place[0], number=place[1]) if place else one)
        found = list({(one.stage, one.number, one.text): one for one in found}.values())
        order = {place: n for n, place in enumerate(sorted(self.of.values()))}
        return tuple(sorted(found, key=lambda one: order.get((one.stage, one.number), -1)))


AS_WRITTEN = Places()


@dataclass(frozen=True, slots=True)
class Laid:
    """A recipe with its method laid over it; read: None where there was nothing to read."""

    recipe: Recipe
    read: MethodRead | None = None
    places: Places = AS_WRITTEN


def lay(recipe: Recipe, records: Mapping[str, LineRecord], keep_stages: bool = False) -> Laid:
    """Read the method of a recipe whose stages do not say how they are cooked.

    records: of its lines, by their text; keep_stages: another recipe takes its stages by name, so they stay.
    """
    if any(stage.cooking and stage.cooking.method for stage in recipe.stages):
        return Laid(recipe)
    if not recipe.method and not _may_be_bath(records.values()):
        return Laid(recipe)
    lines = named_lines(recipe, records)
    if not recipe.method:
        return Laid(_deep_fried(recipe, lines))
    from nutrilab.method import reading

    parts = [entry for stage in recipe.stages for entry in stage.entries if isinstance(entry, Part)]
    if keep_stages or any(part.share != 1 or part.file for part in parts):
        return _by_stage(recipe, lines)
    found = reading.read(recipe.method, lines, recipe.dish)
    if not found.stages:
        return Laid(_deep_fried(recipe, lines, found.steps), found)
    laid = replace(recipe, stages=_weighed(found.stages, recipe.stages[-1].cooking, lines))
    return Laid(_deep_fried(laid, lines, found.steps), found, Places(_places(recipe, laid)))


def named_lines(recipe: Recipe, records: Mapping[str, LineRecord]) -> tuple[Named, ...]:
    """The lines of a recipe as its method may call them."""
    found: list[Named] = []
    for stage in recipe.stages:
        heading = stage.name if len(recipe.stages) > 1 and stage is not recipe.stages[-1] else ""
        for entry in stage.entries:
            if isinstance(entry, Line) and (record := records.get(entry.text)) is not None:
                found.append(_named(len(found), entry, record, heading))
    return tuple(found)


def _named(number: int, entry: Line, record: LineRecord, heading: str) -> Named:
    names, kinds = _called(record)
    purpose = record.parsed.purpose or ("to serve" if heading and "serve" in words(heading) else None)
    return Named(number, entry.text, names, kinds, record.grams or 0.0, purpose, heading, entry.line)


@once
def _called(record: LineRecord) -> tuple[tuple[tuple[str, ...], ...], frozenset[str]]:
    """What a method may call a line: its names as words, its kinds."""
    names: list[tuple[str, ...]] = []
    kinds: set[str] = set()
    for food in record.foods:
        if own := words(food.name):
            names.append(own)
        if food.link.food is not None and food.weight.table_factor == 1:
            kinds.update(lineage(kind_of(food.link.food)))
    names += [own for name in record.parsed.names if (own := words(name)) and own not in names]
    return tuple(names), frozenset(kinds)


def _may_be_bath(records: Iterable[LineRecord]) -> bool:
    """Whether food may be fried in what a line gives: it says so, or it is much of an oil."""
    most = rest = 0.0
    for record in records:
        grams, oil, deep = _as_bath(record)
        if deep:
            return True
        if oil:
            most = max(most, grams)
        else:
            rest += grams
    return is_much(most, rest)


@once
def _as_bath(record: LineRecord) -> tuple[float, bool, bool]:
    """What a line weighs [g], whether it is an oil, and whether it says that food is fried in it."""
    found = [food.link.food for food in record.foods if food.weight.table_factor == 1]
    oil = any(food is not None and is_a(kind_of(food), "oil") for food in found)
    return record.grams or 0.0, oil, record.parsed.purpose == Purpose.DEEP_FRYING


def _deep_fried(recipe: Recipe, lines: Sequence[Named], steps: Sequence[Step] = ()) -> Recipe:
    """A stage of which only a line says that it is fried: "1 litre oil, for deep frying", or just the litre."""
    from nutrilab.method.heats import is_bath

    deep = {line.text for line in lines if line.purpose == Purpose.DEEP_FRYING or is_bath(line, lines, steps)}
    if not deep:
        return recipe

    def fried(stage: Stage) -> Stage:
        own = stage.cooking or Cooking()
        if own.method is not None or not any(isinstance(e, Line) and e.text in deep for e in stage.entries):
            return stage
        return replace(stage, cooking=replace(own, method=Method.DEEP_FRIED, read=True))

    return replace(recipe, stages=tuple(fried(stage) for stage in recipe.stages))


def _weighed(stages: Sequence[Stage], cook: Cooking | None, lines: Sequence[Named]) -> tuple[Stage, ...]:
    """The stages with what the cook weighed: the dish, and the oil that was left of what it was fried in."""
    if cook is None:
        return tuple(stages)
    oils = {line.text for line in lines if line.is_any("oil")}
    fried = [stage for stage in stages if any(isinstance(e, Line) and e.text in oils for e in stage.entries)]
    pan = max(fried, key=lambda stage: stage.cooking is not None and stage.cooking.method in FRIED, default=stages[-1])
    found = []
    for stage in stages:
        own = stage.cooking or Cooking(read=True)
        if stage is stages[-1] and cook.weight_after is not None:
            own = replace(own, weight_after=cook.weight_after, line=cook.line)
        if cook.oil_left is not None and (stage is pan or _oil_share(stage, oils) < 1):
            own = replace(own, oil_left=cook.oil_left * _oil_share(stage, oils), line=cook.line)
        found.append(replace(stage, cooking=own))
    return tuple(found)


def _oil_share(stage: Stage, oils: Collection[str]) -> float:
    """The share of the oil that a stage was fried in [0 to 1]; 1 where it has none, or all."""
    shares = [e.share for e in stage.entries if isinstance(e, Line) and e.text in oils]
    return min(shares, default=1.0)


def _by_stage(recipe: Recipe, lines: Sequence[Named]) -> Laid:
    """The stages as they are, each with the cooking that the steps on its own lines say."""
    stages: list[Stage] = []
    read: list[AsRead] = []
    from nutrilab.method import reading

    steps = reading.steps_of(recipe.method, lines)
    last = recipe.stages[-1]
    for stage in recipe.stages:
        heading = stage.name if len(recipe.stages) > 1 and stage is not last else ""
        own = [line for line in lines if line.heading == heading]
        found = reading.of_stage(steps, own, stage.name)
        stages.append(replace(stage, cooking=_with_own(found[0], stage.cooking)) if found else stage)
        read += [found[1]] if found else []
    return Laid(replace(recipe, stages=tuple(stages)), MethodRead((), tuple(read), steps))


def _with_own(read: Cooking, own: Cooking | None) -> Cooking:
    """What was read, with what the cook weighed."""
    if own is None:
        return read
    return replace(read, weight_after=own.weight_after, oil_left=own.oil_left, line=own.line)


def _places(before: Recipe, after: Recipe) -> dict[Place, Place]:
    there: dict[tuple[str, int | None], list[Place]] = {}
    for stage in before.stages:
        for number, entry in enumerate(stage.entries, 1):
            there.setdefault((entry.text, entry.line), []).append((stage.name, number))
    found: dict[Place, Place] = {}
    for stage in after.stages:
        for number, entry in enumerate(stage.entries, 1):
            if isinstance(entry, Line) and (places := there.get((entry.text, entry.line))):
                found[stage.name, number] = places.pop(0) if len(places) > 1 else places[0]  # parts of one line
    return found


# --- what is served beside


def as_served(weight: Weight, food: Food | None, name: str, purpose: str | None) -> Weight:
    """What is to serve and has no amount of its own weighs as it comes to the table: boiled rice, not dry.

    Its dry weight is said. A stated amount is of what the cook bought: it is boiled with the stages.
    """
    if food is None or purpose != Purpose.TO_SERVE or weight.ground != Ground.PRACTICE or weight.table_factor != 1:
        return weight
    if not any(is_a(kind_of(food), kind) for kind in WATERY) or not weight.grams:
        return weight
    of = yields.of_food(food, Method.BOILED)
    if of is None or of.cooked <= 1:
        return weight
    dry = weight.grams / of.cooked
    said = say("method.weighed-as-served", food=brief(name), boiled=as_grams(weight.grams), dry=as_grams(dry))
    remarks = (*weight.remarks, Remark(Code.WEIGHED_AS_SERVED, said))
    return replace(weight, state="cooked", table_factor=1 / of.cooked, remarks=remarks)


# --- what is said


@dataclass(frozen=True, slots=True)
class CookedAsRead:
    """A stage as the method was read: its foods, what was done, weight before and after [g], factor, the sentences."""

    stage: str
    foods: tuple[str, ...]
    done: str
    before: float
    after: float
    factor: float | None
    weight_from: str
    read: AsRead


def cooked_as_read(result: DishResult) -> tuple[CookedAsRead, ...]:
    """How a dish was cooked as its method was read, a row a stage that was heated or takes from others."""
    if result.method is None:
        return ()
    by_name = {stage.stage.name: stage for stage in result.stages}
    return tuple(_row(one, by_name[one.stage]) for one in result.method.read if one.stage in by_name)


def _row(one: AsRead, stage: CookedStage) -> CookedAsRead:
    result = stage.result
    before, after = result.raw.mass - result.left_over.mass, result.cooked.mass
    done = ", ".join(_said(fact.what, fact.value) for fact in one.facts) or say("method.put-together")
    factor = after / before if before else None
    return CookedAsRead(one.stage, one.foods, done, before, after, factor, result.weight_from, one)


def _said(what: What, value: str) -> str:
    if what == What.METHOD:
        return value
    if what == What.COVERED and value == "no":
        return say("method.uncovered")
    of_itself = what in (What.COVERED, What.DRAINED, What.FLAMED)
    key = what.replace(" ", "-")
    return say(f"method.is.{key}") if of_itself else say(f"method.read.{key}", value=value)


def remarks(result: DishResult) -> tuple[Remark, ...]:
    """What contradicts itself in a method as read, and the steps that were not understood."""
    if result.method is None:
        return ()
    found: list[Remark] = []
    for row in cooked_as_read(result):
        cooking = next(s.stage.cooking for s in result.stages if s.stage.name == row.stage)
        if cooking is None:
            continue
        minutes = cooking.minutes or 0.0
        hot = cooking.method in (*OVEN, *WET, "steamed") and minutes >= LONG
        if hot and KEPT * row.before <= row.after <= row.before / KEPT:
            said = say("method.long-heat-no-loss", minutes=f"{minutes:.0f}")
            found.append(Remark(Code.LONG_HEAT_NO_LOSS, said, row.stage))
        if cooking.method in FRIED and not _has_fat(result, row):
            foods = listed(row.foods) or say("method.it")
            said = say("method.fried-without-fat", foods=foods)
            found.append(Remark(Code.FRIED_WITHOUT_FAT, said, row.stage))
    for stage in result.stages:
        poured = [e.text for e in stage.stage.entries if isinstance(e, Line) and e.line is None and _is_water(e)]
        if poured:
            by_name = any(step.water for step in result.method.steps)
            said = say("method.pours-water" if by_name else "method.soaks", water=listed(poured))
            found.append(Remark(Code.WATER_FROM_METHOD, said, stage.stage.name))
    found += _missing(result.method)
    for loose in by_few(result.method.loose):
        found.append(Remark(Code.THROWN_AWAY_PART, say("method.thrown-away", steps=_quoted(loose))))
    for kept in by_few(result.method.kept):
        found.append(Remark(Code.KEPT_BACK, say("method.kept-back", steps=_quoted(kept))))
    for unread in by_few([step for step in result.method.unread if step.text]):
        found.append(Remark(Code.STEP_NOT_UNDERSTOOD, say("method.not-understood", steps=_quoted(unread))))
    return tuple(found)


def _quoted(steps: Sequence[Step]) -> str:
    return listed([f'"{brief(step.text, SHOWN)}"' for step in steps], limit=SHOWN + 2)


def _missing(read: MethodRead) -> Iterator[Remark]:
    """Foods that the method names and the list lacks: in the dish, or beside it."""
    beside = [name for name, step in read.missing if step.does == "serve"]
    inside = [name for name, step in read.missing if step.does != "serve"]
    if inside:
        words = say("method.names-unlisted", foods=listed(inside))
        yield Remark(Code.METHOD_NAMES_UNLISTED, words)
    if beside:
        words = say("method.serves-unlisted", foods=listed(beside))
        yield Remark(Code.SERVED_WITH_UNLISTED, words)


def _is_water(entry: Line) -> bool:
    """Whether an entry without a line is water that only the method names."""
    return entry.text.endswith(" ml water")


def _has_fat(result: DishResult, row: CookedAsRead) -> bool:
    """Whether there is fat to fry in: oil, butter, or what fries in its own; or the method says that none is needed."""
    if any(step.without_fat for step in row.read.steps):
        return True
    puts = [put for stage in result.stages for put in stage.puts if put.food is not None]
    fatty = any(put.food is not None and put.food.values.get("FAT", 0.0) >= FATTY for put in puts)
    return fatty or any(put.food is not None and is_a(kind_of(put.food), "oil") for put in puts)
