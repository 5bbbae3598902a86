"""From a recipe to its result: every stage cooked of its lines and of what was made before."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import cast

import numpy as np

from nutrilab import as_read, improbable, nutrition, plausible, tracing
from nutrilab.allergens import Findings
from nutrilab.allergens.dish import DishAllergens, LineFindings, merge
from nutrilab.allergens.method import of_method
from nutrilab.bench import Bench
from nutrilab.cooking.errors import ENERGY_KCAL, ENERGY_KJ, ends_of
from nutrilab.cooking.media import Item, item
from nutrilab.decisions import fault
from nutrilab.foods import Food, FoodTable, restated
from nutrilab.law.energy import KJ_PER_KCAL
from nutrilab.lines import Purpose, parse_line
from nutrilab.measures import PORTIONS, Ground
from nutrilab.messages import as_grams, say
from nutrilab.method import MethodRead
from nutrilab.nutrition import Put
from nutrilab.once import once
from nutrilab.plain import plain, quoted
from nutrilab.recipe import InputError, Line, Part, Recipe, Stage, stage_key
from nutrilab.recipe.amounts import check_portions
from nutrilab.recipe.swapped import as_written, swapped_lines, with_swaps
from nutrilab.remarks import Code, Remark
from nutrilab.results import CookedStage, DishResult, LineFood, LineRecord, Looked, told_of
from nutrilab.variation import DECLARED, variation
from nutrilab.variation.scale import ENERGY
from nutrilab.variation.which import unsaid, which

__all__ = ["CookedStage", "DishResult", "Kitchen", "LineFood", "LineRecord"]

PLACES = 32  # of a line in its stage, of which is kept what the line puts into the pot there
_NOT_YET = cast(Looked, None)
_Cooked = tuple[Recipe, float, tuple[CookedStage, ...], nutrition.Totals]
_Told = tuple[nutrition.Batch, tuple[str, ...], float, MethodRead | None]
Found = tuple[_Cooked, _Told]  # a dish, but for what is found of it when it is asked for
Made = dict[tuple[Path | None, str], CookedStage]


class Kitchen(Bench):
    """The bench with its stove: ready to read lines and cook dishes."""

    def dish(
        self, recipe: Recipe, portions: float | None = None, made_into: Callable[..., DishResult] = DishResult
    ) -> DishResult:
        """Cook a recipe. Raises InputError: no portions, more of a stage than was made, an impossible dish.

        made_into: what a dish is handed out as.
        """
        eaters = recipe.portions or portions or PORTIONS
        records = self._records(recipe, eaters)
        laid = _laid(recipe, records)
        recipe = laid.recipe
        made = self._cook(recipe, eaters, {}, records)
        stages = [made[recipe.path, stage_key(stage.name)] for stage in recipe.stages]
        ends, cooked = stages[-1:], stages[-1].result.cooked
        count = self._portions(recipe, portions, cooked.mass)
        weighed = recipe.portion_weight is not None and recipe.portions is None and portions is None
        batch = nutrition.divided(cooked, count, nutrition.BY_WEIGHT if weighed else nutrition.BY_EYE)
        if extra := self._serve_with(recipe, count):
            stages.append(extra)
            ends.append(extra)
            batch = batch + extra.result.cooked
        left_out, share = tracing.unweighed(ends)
        batch = batch if share in (0, 1) else replace(batch, raw=batch.raw / share)
        whole = nutrition.totals(batch, count, cooked)
        found: Found = (recipe, count, tuple(stages), whole), (batch, left_out, share, laid.read)
        return made_into(*found[0], _Looked(self, laid, found), *found[1], laid.places.of)

    def remarks(self, result: DishResult) -> tuple[Remark, ...]:
        """All there is to say of a dish, of its stages and of those it takes from other recipes, each once."""
        stages = tracing.all_stages(result)
        found = [*result.recipe.remarks, *self._of_packs(stages), *self._of_decisions(stages)]
        for stage in stages:
            found += stage.result.remarks
            for number, record in stage.lines:
                found += [remark.at(stage.stage.name, number) for remark in stage.remarks_on(number, record)]
        return tuple(dict.fromkeys(found))

    def _of_packs(self, stages: Sequence[CookedStage]) -> tuple[Remark, ...]:
        """What is to be said of the packs a dish uses."""
        used = {one.food_id: one for stage in stages for record in stage.records for one in record.products}
        return self.products.remarks(used.values()) if self.products else ()

    def _of_decisions(self, stages: Sequence[CookedStage]) -> Iterator[Remark]:
        """Decisions that no line matches though one is so like them that a slip of the pen is likely."""
        for name, meant in self.unmatched(record for stage in stages for record in stage.records):
            if meant is not None:
                place = fault(self.decided.given, name, say("decisions.near", name=quoted(name), near=quoted(meant)))
                words = place.message
                if isinstance(place.file, Path):
                    words = say("file.at-line", file=place.file.name, line=place.line, problem=words)
                yield Remark(Code.DECISION_NEAR, words)

    def _portions(self, recipe: Recipe, asked: float | None, cooked: float) -> float:
        count = recipe.portions if asked is None else asked
        if count is not None:
            try:
                check_portions(count)
            except ValueError as error:
                raise InputError(str(error), recipe.path) from None
            return count
        if recipe.portion_weight is None:
            name = recipe.path.name if recipe.path else ""
            from nutrilab.recipe.portions import how_to_say

            raise InputError(say("portions.none", hint=how_to_say(name)), recipe.path)
        if recipe.portion_weight > cooked:
            message = say("portions.heavier-than-dish", portion=as_grams(recipe.portion_weight), dish=as_grams(cooked))
            raise InputError(message, recipe.path)
        return cooked / recipe.portion_weight

    def _serve_with(self, recipe: Recipe, count: float) -> CookedStage | None:
        """The lines served beside each portion, as a stage for all portions."""
        if not recipe.serve_with:
            return None
        lines = [*recipe.serve_with, *(more for line in recipe.serve_with if line.was for more in line.was.more)]
        records = tuple(self._line(line, recipe, 1.0, {}).part(line.share) for line in lines)
        numbered = tuple(enumerate(records, 1))
        items = [item(put) for n, record in numbered for put in _weighed_out(record, n, self.tables, count)]
        stage = Stage("serve with", tuple(lines))
        result = nutrition.cook_stage(items, [], None, "serve with")
        return CookedStage(stage, records, tuple(n for n, _ in numbered), result, tuple(items))

    def _records(self, recipe: Recipe, portions: float) -> dict[str, LineRecord]:
        """The lines of a recipe by their text."""
        entries = [entry for stage in recipe.stages for entry in stage.entries if not isinstance(entry, Part)]
        texts = dict.fromkeys([entry.was.text if entry.was else entry.text for entry in entries])
        return {text: self.line(text, recipe.cup, portions) for text in texts}

    def _line(self, entry: Line, recipe: Recipe, portions: float, known: Mapping[str, LineRecord]) -> LineRecord:
        """The record of a line of a recipe; known: records by text."""
        if entry.was is None or not entry.was.grams_stand:
            return known.get(entry.text) or self.line(entry.text, recipe.cup, portions)
        old = known.get(entry.was.text) or self.line(entry.was.text, recipe.cup, portions)
        return self.instead(entry.text, old, recipe.cup, portions)

    def _cook(self, recipe: Recipe, portions: float, made: Made, records: Mapping[str, LineRecord]) -> Made:
        """Cook all stages of a recipe, and of the recipes it takes from, into ``made``; records: by text of a line."""
        for other in recipe.others.values():
            if (other.path, stage_key(other.stages[-1].name)) not in made:
                eaters = other.portions or PORTIONS
                known = self._records(other, eaters)
                self._cook(_laid(other, known, keep_stages=True).recipe, eaters, made, known)
        for stage in recipe.stages:
            made[recipe.path, stage_key(stage.name)] = self._stage(recipe, stage, portions, made, records)
        _check_taken(recipe, made)
        return made

    def _stage(
        self, recipe: Recipe, stage: Stage, portions: float, made: Made, known: Mapping[str, LineRecord]
    ) -> CookedStage:
        items: list[Item] = []
        parts: list[tuple[str, nutrition.Batch]] = []
        records: list[LineRecord] = []
        numbers: list[int] = []
        taken: list[tuple[CookedStage, float]] = []
        for number, entry in enumerate(stage.entries, 1):
            if isinstance(entry, Part):
                source = made[_place(recipe, entry)]
                taken.append((source, _share(recipe, entry, source)))
                parts.append((entry.text, source.result.cooked.scaled(taken[-1][1])))
            else:
                record = self._line(entry, recipe, portions, known).part(entry.share)
                records.append(record)
                numbers.append(number)
                items += _items(record, number, self.tables)
        try:
            # The kind of dish tells the loss of what is cooked last, not of a dough or a sauce on its way there.
            dish = recipe.dish if stage is recipe.stages[-1] else ""
            cooking = stage.cooked(weight_in(items, parts)) if stage.weighed_of else stage.cooking
            result = nutrition.cook_stage(items, parts, cooking, stage.name, dish)
        except InputError as error:
            line = stage.cooking.line if stage.cooking else stage.line
            raise InputError(str(error), recipe.path, line) from None
        return CookedStage(stage, tuple(records), tuple(numbers), result, tuple(items), tuple(taken))


class _Looked:
    """What is found of a dish when it is asked for (`results.Looked`)."""

    def __init__(self, kitchen: Kitchen, laid: as_read.Laid, found: Found) -> None:
        self._kitchen, self._laid, self._found = kitchen, laid, found

    @cached_property
    def at(self) -> DishResult:
        """The dish as cooked, not yet looked at."""
        return DishResult(*self._found[0], _NOT_YET, *self._found[1])

    @cached_property
    def allergens(self) -> DishAllergens:
        recipe, _, stages, _ = self._found[0]
        own = len(recipe.stages)
        steps = [line.text for one in (recipe, *recipe.others.values()) for line in one.method]
        told = self._laid.places.told(told_of(stages[own - 1 : own], silent=bool(steps)))
        told += tuple(line for stage in stages[own:] for line in stage.told)
        found = merge(told)
        if steps and (more := of_method(steps, (*told, *_named_before(recipe)), found)):
            found = merge((*told, *more))
        return found.with_dose(tracing.sulphite_dose(self.at) if self._kitchen.products else ())

    @cached_property
    def remarks(self) -> tuple[Remark, ...]:
        said = [*improbable.of_dish(self.at), *self._kitchen.remarks(self.at), *as_read.remarks(self.at)]
        return plausible.first([self._laid.places.remark(one) for one in (*said, *_untried(self.tables))])

    @cached_property
    def tables(self) -> tuple[FoodTable, ...]:
        return tracing.tables_of(self.at, self._kitchen.all_tables)


def _laid(recipe: Recipe, records: Mapping[str, LineRecord], keep_stages: bool = False) -> as_read.Laid:
    """The method laid over a recipe; it speaks of swapped lines by the words that they stand for."""
    laid = as_read.lay(as_written(recipe), records, keep_stages)
    whole = with_swaps(laid.recipe, recipe)
    return laid if whole is laid.recipe else replace(laid, recipe=whole)


def _named_before(recipe: Recipe) -> Iterator[LineFindings]:
    """The old words of swapped lines: a step that names them means what is there now."""
    for one in (recipe, *recipe.others.values()):
        for line in swapped_lines(one):
            if line.was is not None:
                yield LineFindings(Findings(), line.was.text)


def weight_in(items: Sequence[Item], parts: Sequence[tuple[str, nutrition.Batch]]) -> float:
    """What goes into a stage [g]."""
    return sum(one.put.grams for one in items) + sum(batch.mass for _, batch in parts)


def _as_weighed(food: LineFood) -> Food | None:
    """The linked food in the state it was weighed in ("200 g cooked rice" linked to raw rice)."""
    found, factor = food.link.food, food.weight.table_factor
    if found is None or factor == 1:
        return found
    key = restated, factor
    if key not in found.worked:
        found.worked[key] = restated(found, factor)
    return cast(Food, found.worked[key])


def _place(recipe: Recipe, part: Part) -> tuple[Path | None, str]:
    owner = recipe.others[part.file] if part.file else recipe
    return owner.path, stage_key(part.stage)


def _share(recipe: Recipe, part: Part, source: CookedStage) -> float:
    """Share of a stage that a part takes. Raises InputError when it is more than was made."""
    if part.share is not None:
        return part.share
    mass, grams = source.result.cooked.mass, part.grams or 0.0  # a part has a share or a weight
    if grams > mass * (1 + 1e-9):
        message = say("recipe.more-used-than-made", used=as_grams(grams), stage=quoted(part.stage), made=as_grams(mass))
        raise InputError(message, recipe.path, part.line)
    return grams / mass


def _check_taken(recipe: Recipe, made: Made) -> None:
    """No stage is used up more than once over, shares and weights together."""
    taken: dict[tuple[Path | None, str], float] = {}
    for stage in recipe.stages:
        for entry in stage.entries:
            if isinstance(entry, Part):
                place = _place(recipe, entry)
                taken[place] = taken.get(place, 0.0) + _share(recipe, entry, made[place])
                if taken[place] > 1 + 1e-9:
                    raise InputError(say("recipe.more-than-all", stage=quoted(entry.stage)), recipe.path, entry.line)


def _untried(tables: Sequence[FoodTable]) -> Iterator[Remark]:
    """A word on each table that was read by a loader nobody has tried on the publisher's own file."""
    for table in tables:
        if table.provenance.untried:
            yield Remark(Code.UNTRIED_TABLE, say("link.untried-table", table=plain(table.provenance.source)))


def _items(record: LineRecord, number: int, tables: Sequence[FoodTable]) -> Sequence[Item]:
    """What a line of a stage, the so many'th of it, puts into the pot; kept by the record, for a line that many dishes
    have stands in few places.
    """
    known: dict[int, tuple[Item, ...]] = record.worked.setdefault(_items, {})
    found = known.get(number)
    if found is None:
        there = next(iter(known.values()), None)
        puts = _weighed_out(record, number, tables) if there is None else (one.put.at(number) for one in there)
        found = tuple(map(item, puts))
        if len(known) < PLACES:
            known[number] = found
    return found


def _weighed_out(record: LineRecord, number: int, tables: Sequence[FoodTable], times: float = 1.0) -> Iterator[Put]:
    """The foods of a line with their weights; one without grams is named by its own remark and puts nothing in."""
    for place, food in enumerate(record.foods):
        weight, grams = food.weight, food.weight.grams
        if grams is not None:
            low, high = (grams if end is None else end for end in (weight.low, weight.high))
            ends = (grams * times, low * times, high * times)
            fried = record.parsed.purpose in (None, Purpose.FRYING, Purpose.DEEP_FRYING)
            open_ = fried and weight.ground == Ground.PRACTICE
            at = Put(_as_weighed(food), *ends, food.name, record.parsed, line=number, unmeasured=open_, place=place)
            varies = None if at.food is None else _varies(at.food)
            yield replace(at, varies=varies, which=_which(food, at, tables))


def _is_pack(food: Food) -> bool:
    return food.food_id.startswith("own:")


@once
def _varies(food: Food) -> np.ndarray | None:
    """What 100 g of a food may hold less and more from batch to batch; nothing of a pack, which states its own."""
    if _is_pack(food):
        return None
    found = {tagname: one for tagname in DECLARED if (one := variation(food, tagname)) is not None}
    ends = {tagname: (max(0.0, one.value - one.low), max(0.0, one.high - one.value)) for tagname, one in found.items()}
    return ends_of(_with_energy(ends))


def _which(food: LineFood, put: Put, tables: Sequence[FoodTable]) -> np.ndarray | None:
    """What 100 g may hold less and more, were it another food; not of a pack, nor where an id was decided."""
    linked, weighed = food.link.food, put.food
    if linked is None or weighed is None or _is_pack(linked) or (food.link.decided and not food.stands_for):
        return None
    reading = parse_line(food.stands_for) if food.stands_for else put.reading
    open_ = unsaid(linked, reading, food.stands_for or food.name)
    table = next((one for one in tables if linked.food_id in one), tables[0])
    key = _which, linked.food_id, food.link.sureness, open_, table
    if key not in weighed.worked:
        weighed.worked[key] = ends_of(_with_energy(which(weighed, linked, food.link.sureness, table, open_)))
    return cast("np.ndarray | None", weighed.worked[key])


def _with_energy(ends: Mapping[str, tuple[float, float]]) -> dict[str, tuple[float, float]]:
    """Ends by the names of the spread of a batch."""
    found = dict(ends)
    if ENERGY in found:
        down, up = found.pop(ENERGY)
        found |= {ENERGY_KCAL: (down, up), ENERGY_KJ: (down * KJ_PER_KCAL, up * KJ_PER_KCAL)}
    return found
