"""The bench: an ingredient line read, linked and weighed, with what it says of allergens, as one record."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from nutrilab import as_read, borrowing, plausible
from nutrilab.decided import Named, names_of, near, settle, unmatched
from nutrilab.decisions import key_of
from nutrilab.foods import Food, FoodTable
from nutrilab.hearing import Heard, Meant, allergens_of
from nutrilab.lexicon.sureness import Sureness
from nutrilab.lines import Amount, Reading, parse_line
from nutrilab.lines.alike import only_amount, plain_amount, with_amount
from nutrilab.lines.query import Query
from nutrilab.lines.words import KINDS
from nutrilab.linking import Candidate, Link, Linker, search
from nutrilab.measures import PORTIONS, Ground, Weight, is_seasoning, weigh
from nutrilab.messages import listed, say
from nutrilab.once import Remembered, once
from nutrilab.plain import brief, quoted
from nutrilab.products import Product, Products, as_food
from nutrilab.remarks import Code, Remark
from nutrilab.results import LineFood, LineRecord, total
from nutrilab.text import words
from nutrilab.wording import Wording

_PACKS = ("pack", "tin", "jar", "bottle", "tub", "carton", "box", "bag", "sachet")  # units that are a product's pack
MOST_LINES = 16_384  # whose records are kept: those of a recipe book many times over
_SAME_AGAIN = ("extra", "more", "another")


class Bench:
    """Food tables, own products and the cook's decisions, ready to read lines."""

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
        self.decided = settle({} if decisions is None else decisions, products, self.tables)
        self.linker = Linker(self.tables, self.decided.foods, alternatives)
        # By text, kind of cup and, where a weight depends on them, portions.
        self._lines = Remembered[tuple[str, str, float | None], LineRecord](MOST_LINES)
        self._alike = Remembered[tuple[str, str], Heard](MOST_LINES)  # by all of a line but its number, cup

    @property
    def all_tables(self) -> tuple[FoodTable, ...]:
        """The food tables, and the one that lends."""
        return (*self.tables, *(t for t in (self._lender.tables if self._lender else ()) if t not in self.tables))

    def search(self, query: str, limit: int = 10) -> list[Candidate]:
        """Foods of the tables whose names are near some words, best first."""
        return search(query, self.tables, limit)

    def has_food(self, food_id: str) -> bool:
        """Whether a food of the tables, a mix or an own product has this id."""
        own = self.products.all if self.products else ()
        return food_id in self.linker or any(product.food_id == food_id for product in own)

    def unmatched(self, records: Iterable[LineRecord]) -> tuple[tuple[str, str | None], ...]:
        """The names of decisions that no line matches, each with the name of a line that may be meant."""
        if not self.decided.given.names:
            return ()
        there: set[Named] = set()
        for record in records:
            line = record.parsed
            there.update(names_of(line))
            there.update((food.name, line.unit or "", line.size or "") for food in record.foods)
        return tuple((name, near(name, there, self.linker)) for name in unmatched(self.decided, there))

    def line(self, text: str, cup: str = "us", portions: float = PORTIONS) -> LineRecord:
        """Read, link and weigh one ingredient line and find its allergens. Never raises on any text.

        cup: "us" or "metric"; portions: how many the dish serves, for what is added "to taste".
        """
        record = self._lines.get((text, cup, None)) or self._lines.get((text, cup, portions))
        if record is None:
            record = self._record(text, *self._read(text, cup, portions))
            eaters = portions if any(food.weight.ground == Ground.PRACTICE for food in record.foods) else None
            self._lines.keep((text, cup, eaters), record)
        return record

    def instead(self, text: str, old: LineRecord, cup: str = "us", portions: float = PORTIONS) -> LineRecord:
        """A line that stands for another and weighs what that weighed, whatever its own words would weigh."""
        heard, foods = self._read(text, cup, portions)
        return self._record(text, heard, _weighing_as(_written(heard.parsed, foods), _written(old.parsed, old.foods)))

    def _read(self, text: str, cup: str, portions: float) -> tuple[Heard, tuple[LineFood, ...]]:
        heard = self._heard(text, cup)
        return heard, tuple(self._weighed(heard.parsed, one, cup, portions) for one in heard.foods)

    def _heard(self, text: str, cup: str) -> Heard:
        """All that a line says but what it weighs, once for lines that differ in their number alone."""
        head = plain_amount(text)
        known = self._alike.get((head.alike, cup)) if head else None
        if head and known:
            return replace(known, parsed=with_amount(known.parsed, text, head))
        parsed = parse_line(text, cup)
        foods = [
            *self._foods(parsed),
            *(one for more in parsed.added for one in self._foods(_named_as(more, parsed), True)),
        ]
        heard = Heard(parsed, tuple(foods), allergens_of(self._in_order(parsed), foods))
        if head and only_amount(parsed, head):
            self._alike.keep((head.alike, cup), heard)
        return heard

    def _record(self, text: str, heard: Heard, foods: tuple[LineFood, ...]) -> LineRecord:
        """What a line comes to, and what is to be said of it."""
        weighed = any(food.weight.grams is not None or food.no_food for food in foods)
        remarks = [
            r for r in heard.parsed.remarks if not (weighed and r.code == Code.NO_AMOUNT)
        ]  # the scales say what they took
        for food in foods:
            remarks += [*food.weight.remarks, *food.link.remarks]
            # Of a borrowed value two tables differ, and that was said.
            if food.link.food is not None and not food.link.food.borrowed and not _sound(food.link.food):
                remarks += plausible.contradictions(brief(food.name), food.link.food.values)
        remarks += plausible.line(text, total(food.weight.grams for food in foods))
        return LineRecord(heard.parsed, foods, heard.findings, plausible.first(remarks))

    def _in_order(self, parsed: Reading) -> Wording:
        """The line with "milk, coconut" turned to "coconut milk", so that its words mean what the cook meant."""
        turned = self.linker.turned(parsed.query(parsed.name)) if len(parsed.names) == 1 else None
        return parsed.wording if turned is None else parsed.wording_with(*turned)

    def _foods(self, parsed: Reading, added: bool = False) -> Iterator[Meant]:
        """The foods of a line that count: all of them, or the first of a choice; added: it is added in another line."""
        names = () if parsed.heading else parsed.names
        used = names[:1] if parsed.choice else names
        spooned = KINDS.get(parsed.unit or "") in ("spoon", "vague")
        together = len(used) > 1 and not spooned
        shares = ([name for name in used if not is_seasoning(name)] if together else []) or used
        for name in used:
            part = name in shares  # "100 g flour and salt": the salt has none
            yield self._meant(parsed, name, len(shares), part, parsed if added else None)

    def _meant(self, parsed: Reading, name: str, shared: int, part: bool, added: Reading | None) -> Meant:
        """What a name of a line stands for; shared: by how many of its names the amount is; part: by this one too."""
        query = parsed.query(name)
        turned = self.linker.turned(query)  # "butter, peanut" is no butter: what was decided of that is not for it
        meant = " ".join(turned) if turned else name
        product = self._product(meant)
        spoken = None if product else self.decided.spoken.get(key_of(meant))
        link = _own(product, meant) if product else spoken.link if spoken else self.linker.link(query)
        if self._lender and link.food is not None:
            link = self._with_lent(link, query)
        link = _with_water(link, query)
        if link.food is None and link.decided:
            return Meant(name, name, meant, _no_food(link, name), added=added)
        link = self._asked_back(link, name) if product is None else link
        called = name if product or shared > 1 else meant
        stands_for = spoken.words if spoken else ""
        return Meant(called, name, meant, link, product, stands_for, shared if part else 0, added)

    def _weighed(self, parsed: Reading, one: Meant, cup: str, portions: float) -> LineFood:
        """What a name stands for with what it weighs in its line."""
        link, product = one.link, one.product
        if link.food is None and link.decided:
            return LineFood(one.name, link, Weight(None, None, None, Ground.NONE))
        line = one.added or parsed
        line = (line if one.of else line.without_amount).own
        if product is not None and product.pack and line.pack is None and line.unit in _PACKS:
            line = replace(line, pack=Amount(product.pack, "g"))
        own = self.decided.piece(one.meant, line.unit, line.size)
        weight = weigh(line, one.written, link.weighed_as or link.food, cup, portions, own, link.food)
        weight = as_read.as_served(weight, link.food, one.written, line.purpose)
        if one.of > 1 and not line.each and line.quantity is not None and weight.grams is not None:
            low, high = weight.low or 0.0, weight.high or weight.grams
            weight = replace(weight, grams=weight.grams / one.of, low=low / one.of, high=high / one.of)
        return LineFood(one.name, link, weight, product, one.stands_for)

    def _asked_back(self, link: Link, name: str) -> Link:
        """The link with a question where an own product's name stands inside the line's longer one."""
        near = self.products.within(name) if self.products else None
        if near is None:
            return link
        said, own = quoted(name), quoted(near.name)
        message = say("own.product-near", name=said, product=own)
        return replace(link, remarks=(*link.remarks, Remark(Code.OWN_PRODUCT_NEAR, message)))

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
        return _lent(link, food, query, said, twin.food)

    def _product(self, name: str) -> Product | None:
        """The own product of a name: by the cook's decision, else by the product's own names."""
        decided = self.decided.products.get(key_of(name))
        return decided or (self.products.match(name) if self.products else None)


@once
def _sound(food: Food) -> bool:
    """Whether the values of a food contradict each other in nothing."""
    return not plausible.contradictions("", food.values)


Written = list[tuple[str, LineFood]]


def _written(parsed: Reading, foods: Sequence[LineFood]) -> Written:
    """The foods of a line by their names as they are written in it."""
    names = [*parsed.names[: 1 if parsed.choice else None], *(name for more in parsed.added for name in more.names)]
    if len(names) != len(foods):
        names = [food.name for food in foods]
    return list(zip(names, foods, strict=True))


def _weighing_as(foods: Written, old: Written) -> tuple[LineFood, ...]:
    """The foods with the weights of old ones: of the same name, else of what they stand for, in even shares."""
    left = list(old)
    found: dict[int, Weight] = {}
    fewer = len(foods) < len(old)  # what is left of "salt and freshly ground black pepper" is "black pepper"
    for at, (name, _) in enumerate(foods):
        same = next((n for n, (other, _) in enumerate(left) if other == name), None)
        if same is None and fewer:
            same = next((n for n, (other, _) in enumerate(left) if set(words(name)) <= set(words(other))), None)
        if same is not None:
            found[at] = left.pop(same)[1].weight
    others = [at for at in range(len(foods)) if at not in found]
    weights = [one.weight for _, one in left]
    if not others:
        weights = []
    elif len(weights) != len(others):
        weights = [_part_of(weights, len(others))] * len(others)
    found |= dict(zip(others, weights, strict=True))
    return tuple(_standing(food, found[at]) for at, (_, food) in enumerate(foods))


def _part_of(weights: Sequence[Weight], of: int) -> Weight:
    """One of so many even shares of what some foods weigh."""
    if not weights or any(weight.grams is None for weight in weights):
        return Weight(None, None, None, Ground.NONE)
    grams = sum(one.grams or 0.0 for one in weights)
    low = sum((one.grams if one.low is None else one.low) or 0.0 for one in weights)
    high = sum((one.grams if one.high is None else one.high) or 0.0 for one in weights)
    return replace(weights[0], grams=grams / of, low=low / of, high=high / of)


def _standing(food: LineFood, old: Weight) -> LineFood:
    """A food that weighs what an old one weighed, in the state that its own words say; where nobody knew, as it is."""
    if old.grams is None:
        return food
    own = food.weight
    return replace(food, weight=replace(old, state=own.state, table_factor=own.table_factor))


def _with_water(link: Link, query: Query) -> Link:
    """The link with the water that its table lacks, which weights in the pan go by, and said so."""
    food = borrowing.watered(link.food) if link.food is not None else None
    return link if food is None or food.like is None else _lent(link, food, query, ("water",), food.like)


def _lent(link: Link, food: Food, query: Query, said: Sequence[str], lender: Food) -> Link:
    """The link with a food that has borrowed, and what it has from whom."""
    figures = listed(said, most=8)
    words_ = say("own.borrowed", food=brief(query.name), figures=figures, other=lender.name, table=lender.source)
    return replace(link, food=food, remarks=(*link.remarks, Remark(Code.BORROWED, words_)))


def _own(product: Product, name: str) -> Link:
    """An own product as the link of a name; a name that says more than the product's own is only likely it."""
    exact = words(name) in map(words, product.names)
    return Link(as_food(product), Sureness.SURE if exact else Sureness.LIKELY, tuple, say("own.product"))


def _no_food(link: Link, name: str) -> Link:
    """The cook's decision that a name is no food, with a word about it: it takes a line out of the figures."""
    words_ = say("own.decided-no-food", food=brief(name))
    return replace(link, remarks=(Remark(Code.DECIDED_NO_FOOD, words_),))


def _named_as(more: Reading, first: Reading) -> Reading:
    """What is added in the same line; "plus 1 extra" means the same food again."""
    return replace(more, name=first.name, names=first.names) if more.name in _SAME_AGAIN else more
