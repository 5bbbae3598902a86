"""From a line to its record and from a recipe to its result: every step of the house in order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from nutrilab import allergens, borrowing, improbable, nutrition, plausible, tracing
from nutrilab.allergens import Findings
from nutrilab.allergens.dish import LineFindings, merge
from nutrilab.allergens.method import of_method
from nutrilab.allergens.naming import named_by_words
from nutrilab.decisions import fault, without
from nutrilab.foods import Food, FoodTable, restated
from nutrilab.lines import NO_AMOUNT, Amount, ParsedLine, Purpose, parse_line
from nutrilab.linking import Candidate, Link, Linker, search
from nutrilab.linking.query import Query, read
from nutrilab.linking.sureness import Sureness
from nutrilab.measures import PORTIONS, Ground, Weight, weigh
from nutrilab.nutrition import Put, StageResult
from nutrilab.plain import brief, named, quoted
from nutrilab.products import Product, Products, as_food
from nutrilab.recipe import InputError, Part, Recipe, Stage, stage_key
from nutrilab.recipe.amounts import check_portions
from nutrilab.recipe.portions import how_to_say
from nutrilab.remarks import Remark
from nutrilab.results import CookedStage, DishResult, LineFood, LineRecord, told_of
from nutrilab.text import words
from nutrilab.wording import Wording

__all__ = ["CookedStage", "DishResult", "Kitchen", "LineFood", "LineRecord"]

_PACKS = ("pack", "tin", "jar", "bottle", "tub", "carton", "box", "bag", "sachet")  # units that are a product's pack
_SAME_AGAIN = ("extra", "more", "another")


Made = dict[tuple[Path | None, str], CookedStage]


class Kitchen:
    """Food tables and the cook's decisions, ready to read lines and dishes."""

    def __init__(
        self,
        tables: Sequence[FoodTable],
        decisions: Mapping[str, str] | None = None,
        alternatives: bool = True,
        products: Products | None = None,
        borrow: FoodTable | None = None,
    ) -> None:
        """alternatives: whether links list what else it could be; leaving that out saves the index.

        borrow: a table that may lend what the others lack of a food.
        """
        self.tables = tuple(tables)
        self._lender = Linker([borrow], alternatives=False) if borrow is not None else None
        self.products = products
        given = decisions or {}
        self._own = _decided_products(given, products)
        self._own_by_words = {words(told): product for told, product in reversed(self._own.items())}
        self.linker = Linker(self.tables, without(given, self._own), alternatives)

    @property
    def _all_tables(self) -> tuple[FoodTable, ...]:
        return (*self.tables, *(t for t in (self._lender.tables if self._lender else ()) if t not in self.tables))

    def search(self, query: str, limit: int = 10) -> list[Candidate]:
        """Foods of the tables whose names are near some words, best first."""
        return search(query, self.tables, limit)

    def has_food(self, food_id: str) -> bool:
        """Whether a food of the tables, a mix or an own product has this id."""
        own = self.products.all if self.products else ()
        return food_id in self.linker or any(product.food_id == food_id for product in own)

    def line(self, text: str, cup: str = "us", portions: float = PORTIONS) -> LineRecord:
        """Read, link and weigh one ingredient line and find its allergens. Never raises on any text.

        cup: "us" or "metric"; portions: how many the dish serves, for what is added "to taste".
        """
        parsed = parse_line(text, cup)
        foods = self._foods(parsed, cup, portions)
        for more in parsed.added:
            foods += self._foods(_named_as(more, parsed), cup, portions)
        findings = _allergens(self._in_order(parsed), foods)
        weighed = any(food.weight.grams is not None or food.no_food for food in foods)
        remarks = [r for r in parsed.remarks if not (weighed and r.code == NO_AMOUNT)]  # the scales say what they took
        for food in foods:
            remarks += [*food.weight.remarks, *food.link.remarks]
            if food.link.food is not None and not food.link.food.borrowed:  # else two tables differ, and that was said
                remarks += plausible.contradictions(brief(food.name), food.link.food.values)
        record = LineRecord(parsed, foods, findings, ())
        return replace(record, remarks=plausible.first([*remarks, *plausible.line(text, record.grams)]))

    def _in_order(self, parsed: ParsedLine) -> Wording:
        """The line with "milk, coconut" turned to "coconut milk", so that its words mean what the cook meant."""
        turned = (
            self.linker.turned(read(parsed.name, parsed.preparation, parsed.text)) if len(parsed.names) == 1 else None
        )
        return parsed.wording if turned is None else parsed.wording_with(*turned)

    def _foods(self, parsed: ParsedLine, cup: str, portions: float) -> tuple[LineFood, ...]:
        """The foods of a line that count: all of them, or the first of a choice."""
        names = () if parsed.heading else parsed.names
        used = names[:1] if parsed.choice else names
        return tuple(self._food(parsed, name, len(used), cup, portions) for name in used)

    def _food(self, parsed: ParsedLine, name: str, of: int, cup: str, portions: float) -> LineFood:
        parsed = parsed.own
        query = read(name, parsed.preparation, parsed.text)
        product = self._product(name)
        link = _own(product, name) if product else self.linker.link(query)
        if self._lender and link.food is not None:
            link = self._with_lent(link, query)
        if product is not None and product.pack and parsed.pack is None and parsed.unit in _PACKS:
            parsed = replace(parsed, pack=Amount(product.pack, "g"))
        if link.food is None and link.decided:
            return LineFood(name, _no_food(link, name), Weight(None, None, None, Ground.NONE))
        weight = weigh(parsed, name, _on_the_scales(link.food), cup, portions)
        if of > 1 and not parsed.each and parsed.quantity is not None and weight.grams is not None:
            low, high = weight.low or 0.0, weight.high or weight.grams
            weight = replace(weight, grams=weight.grams / of, low=low / of, high=high / of)
        link = self._asked_back(link, name) if product is None else link
        turned = None if product or of > 1 else self.linker.turned(query)
        return LineFood(" ".join(turned) if turned else name, link, weight, product)

    def _asked_back(self, link: Link, name: str) -> Link:
        """The link with a question where an own product's name stands inside the line's longer one."""
        near = self.products.within(name) if self.products else None
        if near is None:
            return link
        said, own = quoted(name), quoted(near.name)
        message = f"{said} was not taken for your own {own}; if it is that, add {said} to its aliases"
        return replace(link, remarks=(*link.remarks, Remark("own-product-near", message)))

    def _with_lent(self, link: Link, query: Query) -> Link:
        """The link with what its food lacks borrowed from the lender's food for the same words, and said so."""
        if link.food is None or self._lender is None or not borrowing.lacks(link.food):
            return link
        twin = self._lender.link(query)
        if twin.food is None or twin.food.food_id == link.food.food_id or not twin.understood:
            return link
        food, said = borrowing.lent(link.food, twin.food)
        if not said:
            return link
        words_ = f"{brief(query.name)}: {', '.join(said)} borrowed from {twin.food.name} ({twin.food.source})"
        return replace(link, food=food, remarks=(*link.remarks, Remark("borrowed", words_)))

    def _product(self, name: str) -> Product | None:
        """The own product of a name: by the cook's decision, else by the product's own names."""
        decided = self._own_by_words.get(words(name))
        return decided or (self.products.match(name) if self.products else None)

    def dish(self, recipe: Recipe, portions: float | None = None) -> DishResult:
        """Cook a recipe. Raises InputError: no portions, more of a stage than was made, an impossible dish."""
        made = self._cook(recipe, recipe.portions or portions or PORTIONS, {})
        stages = [made[recipe.path, stage_key(stage.name)] for stage in recipe.stages]
        last = stages[-1]
        count = self._portions(recipe, portions, last.result.cooked.mass)
        extra = self._serve_with(recipe, count)
        told, batch = told_of([last]), last.result.cooked
        if extra is not None:
            stages.append(extra)
            told += extra.told
            batch = batch + extra.result.cooked
        steps = (line.text for one in (recipe, *recipe.others.values()) for line in one.method)
        told += of_method(steps, told, merge(told))
        whole = nutrition.totals(batch, count)
        result = _less_unweighed(
            DishResult(recipe, count, tuple(stages), whole, merge(told), (), self._all_tables, batch)
        )
        return replace(
            result,
            remarks=plausible.first([*improbable.of_dish(result), *self._remarks(result)]),
            tables=tracing.tables_of(result, self._all_tables),
            allergens=result.allergens.with_dose(tracing.sulphite_dose(result)),
        )

    def _remarks(self, result: DishResult) -> tuple[Remark, ...]:
        """All there is to say of a dish, of its stages and of those it takes from other recipes, each once."""
        stages = tracing.all_stages(result)
        found = [*result.recipe.remarks, *self._of_packs(stages)]
        for stage in stages:
            found += stage.result.remarks
            for number, record in stage.lines:
                found += [remark.at(stage.stage.name, number) for remark in stage.remarks_on(number, record)]
        return tuple(dict.fromkeys(found))

    def _of_packs(self, stages: Sequence[CookedStage]) -> tuple[Remark, ...]:
        """What is to be said of the packs a dish uses."""
        foods = (food for stage in stages for record in stage.records for food in record.foods)
        used = {food.product.food_id: food.product for food in foods if food.product is not None}
        return self.products.remarks(used.values()) if self.products else ()

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
            raise InputError(f"it does not say how many portions; {how_to_say(name)}", recipe.path)
        if recipe.portion_weight > cooked:
            message = f"a portion of {recipe.portion_weight:.0f} g is heavier than the whole dish of {cooked:.0f} g"
            raise InputError(message, recipe.path)
        return cooked / recipe.portion_weight

    def _serve_with(self, recipe: Recipe, count: float) -> CookedStage | None:
        """The lines served beside each portion, as a stage for all portions."""
        if not recipe.serve_with:
            return None
        records = tuple(self.line(line.text, recipe.cup, 1.0) for line in recipe.serve_with)
        puts = [put for n, record in enumerate(records, 1) for put in _puts(record, n, count)]
        stage = Stage("serve with", recipe.serve_with)
        return self._finish(stage, records, puts, nutrition.cook_stage(puts, [], None, "serve with"), [])

    def _cook(self, recipe: Recipe, portions: float, made: Made) -> Made:
        """Cook all stages of a recipe, and of the recipes it takes from, into ``made``."""
        for other in recipe.others.values():
            if (other.path, stage_key(other.stages[-1].name)) not in made:
                self._cook(other, other.portions or PORTIONS, made)
        for stage in recipe.stages:
            made[recipe.path, stage_key(stage.name)] = self._stage(recipe, stage, portions, made)
        _check_taken(recipe, made)
        return made

    def _stage(self, recipe: Recipe, stage: Stage, portions: float, made: Made) -> CookedStage:
        puts: list[Put] = []
        parts: list[tuple[str, nutrition.Batch]] = []
        records: list[LineRecord] = []
        taken: list[tuple[CookedStage, float]] = []
        for number, entry in enumerate(stage.entries, 1):
            if isinstance(entry, Part):
                source = made[_place(recipe, entry)]
                taken.append((source, _share(recipe, entry, source)))
                parts.append((entry.text, source.result.cooked.scaled(taken[-1][1])))
            else:
                records.append(self.line(entry.text, recipe.cup, portions))
                puts += _puts(records[-1], number)
        try:
            # The kind of dish tells the loss of what is cooked last, not of a dough or a sauce on its way there.
            dish = recipe.dish if stage is recipe.stages[-1] else ""
            result = nutrition.cook_stage(puts, parts, stage.cooking, stage.name, dish)
        except InputError as error:
            line = stage.cooking.line if stage.cooking else stage.line
            raise InputError(str(error), recipe.path, line) from None
        return self._finish(stage, tuple(records), puts, result, taken)

    def _finish(
        self,
        stage: Stage,
        records: tuple[LineRecord, ...],
        puts: Sequence[Put],
        result: StageResult,
        taken: Sequence[tuple[CookedStage, float]],
    ) -> CookedStage:
        numbers = tuple(number for number, entry in enumerate(stage.entries, 1) if not isinstance(entry, Part))
        told = [
            LineFindings(record.findings, record.parsed.text.strip(), stage.name, number, record.resolved)
            for number, record in zip(numbers, records, strict=True)
        ]
        return CookedStage(stage, records, numbers, result, tuple(told), tuple(puts), tuple(taken))


def _less_unweighed(result: DishResult) -> DishResult:
    """The result with what no figure holds, and every coverage lowered by the lines whose weight nobody knows."""
    left_out, weighed = tracing.unweighed(result)
    batch = result.batch if weighed in (0, 1) else replace(result.batch, raw=result.batch.raw / weighed)
    whole = nutrition.totals(batch, result.portions)
    return replace(result, whole=whole, batch=batch, unweighed=left_out, weighed=weighed)


def _on_the_scales(food: Food | None) -> Food | None:
    """The food with the household measures, refuse and group of its like, where its own table has no measures."""
    if food is None or food.like is None or food.measures:
        return food
    like = food.like
    return replace(
        food, measures=like.measures, group=like.group, refuse=like.refuse if food.refuse is None else food.refuse
    )


def _allergens(text: Wording, foods: Sequence[LineFood]) -> Findings:
    """Words, linked foods and packs together; where a pack speaks for one food, the others keep their own witness."""
    packs = list({id(food.product): food.product for food in foods if food.product}.values())
    heard = [food for food in foods if not food.product and _is_witness(food)]
    if packs:
        others = [allergens.find(food.name, food.link.food, doubtful=not food.link.understood) for food in heard]
        return allergens.join([allergens.find(text, None, packs), *others])
    if not heard:
        return allergens.find(text)
    return allergens.join(
        allergens.find(text, food.link.food, None, not food.link.understood, food.name) for food in heard
    )


def _is_witness(food: LineFood) -> bool:
    """Whether the linked food may speak of allergens; a doubtful one has nothing to add to words that name it all."""
    link = food.link
    return link.food is not None and (link.understood or link.foreign or not named_by_words(food.name))


def _decided_products(decisions: Mapping[str, str], products: Products | None) -> dict[str, Product]:
    """Decisions that point to own products. Raises InputError when there is no such product."""
    there = {product.food_id: product for product in products.all} if products else {}
    found: dict[str, Product] = {}
    for name, food_id in decisions.items():
        if food_id.startswith("own:"):
            if food_id not in there:
                there_are = named(there) or "none"
                message = f"your decision for {quoted(name)} points to {brief(food_id)}, which is no own product"
                raise fault(decisions, name, f"{message}; there are: {there_are}")
            found[name] = there[food_id]
    return found


def _own(product: Product, name: str) -> Link:
    """An own product as the link of a name; a name that says more than the product's own is only likely it."""
    exact = words(name) in map(words, product.names)
    return Link(as_food(product), Sureness.SURE if exact else Sureness.LIKELY, (), "your own product")


def _no_food(link: Link, name: str) -> Link:
    """The cook's decision that a name is no food, with a word about it: it takes a line out of the figures."""
    words_ = f"{brief(name)} is no food by your decision: it has no weight here; what its words say of allergens stands"
    return replace(link, remarks=(Remark("decided-no-food", words_),))


def _as_weighed(food: LineFood) -> Food | None:
    """The linked food in the state it was weighed in ("200 g cooked rice" linked to raw rice)."""
    found, factor = food.link.food, food.weight.table_factor
    return found if found is None or factor == 1 else restated(found, factor)


def _named_as(more: ParsedLine, first: ParsedLine) -> ParsedLine:
    """What is added in the same line; "plus 1 extra" means the same food again."""
    return replace(more, name=first.name, names=first.names) if more.name in _SAME_AGAIN else more


def _place(recipe: Recipe, part: Part) -> tuple[Path | None, str]:
    owner = recipe.others[part.file] if part.file else recipe
    return owner.path, stage_key(part.stage)


def _share(recipe: Recipe, part: Part, source: CookedStage) -> float:
    """Share of a stage that a part takes. Raises InputError when it is more than was made."""
    if part.share is not None:
        return part.share
    mass = source.result.cooked.mass
    if part.grams is None or part.grams > mass * (1 + 1e-9):
        message = f"{part.grams:.0f} g of {quoted(part.stage)} are used, but only {mass:.0f} g were made"
        raise InputError(message, recipe.path, part.line)
    return part.grams / mass


def _check_taken(recipe: Recipe, made: Made) -> None:
    """No stage is used up more than once over, shares and weights together."""
    taken: dict[tuple[Path | None, str], float] = {}
    for stage in recipe.stages:
        for entry in stage.entries:
            if isinstance(entry, Part):
                place = _place(recipe, entry)
                taken[place] = taken.get(place, 0.0) + _share(recipe, entry, made[place])
                if taken[place] > 1 + 1e-9:
                    raise InputError(f"more than all of {quoted(entry.stage)} is used", recipe.path, entry.line)


def _puts(record: LineRecord, number: int, times: float = 1.0) -> list[Put]:
    """What a line puts into the pot; a food without grams is named by its own remark and puts nothing in."""
    found = []
    for food in record.foods:
        weight, grams = food.weight, food.weight.grams
        if grams is not None:
            low, high = (grams if end is None else end for end in (weight.low, weight.high))
            ends = (grams * times, low * times, high * times)
            open_ = record.parsed.purpose == Purpose.FRYING and weight.ground == Ground.PRACTICE
            found.append(Put(_as_weighed(food), *ends, food.name, record.parsed, line=number, unmeasured=open_))
    return found
