"""A cook's decisions made ready for the bench: own products, foods by their ids and by plain words, weights of pieces.

What stands in plain words is read and linked as a line of a recipe is, once; it has to lead to a food that is sure or
likely, with no word of it left over. Its words count for allergens beside those of the line.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from nutrilab.decisions import NONE, Decisions, fault, is_id, key_of, without
from nutrilab.foods import FoodTable
from nutrilab.lines import Reading, parse_line
from nutrilab.lines.query import read, scan, telling
from nutrilab.linking import Link, Linker
from nutrilab.messages import named, say
from nutrilab.plain import brief, nearest, quoted
from nutrilab.products import Product, Products
from nutrilab.remarks import Code, InputError
from nutrilab.text import words
from nutrilab.weighing.asked import OwnPiece

NEAR = 0.8  # how like another name must be to be meant [0 to 1]
_ONE = ("", "piece", "whole")  # units that count whole things
_NO_WORDS = frozenset(("of", "a", "an"))


@dataclass(frozen=True, slots=True)
class Spoken:
    """An ingredient in plain words that a name stands for, and its food: as sure as the words are, and no surer."""

    words: str
    link: Link


@dataclass(frozen=True, slots=True)
class Decided:
    """What was decided, by the words of its names.

    given: as it stands in the file; foods: names with ids of the tables, and "none"; products: own products; spoken:
    plain words; pieces: words of a name, with its unit and size -> what one weighs as bought [g].
    """

    given: Decisions = field(default_factory=Decisions)
    foods: Decisions = field(default_factory=Decisions)
    products: Mapping[tuple[str, ...], Product] = field(default_factory=dict)
    spoken: Mapping[tuple[str, ...], Spoken] = field(default_factory=dict)
    pieces: Mapping[frozenset[str], float] = field(default_factory=dict)

    def piece(self, name: str, unit: str | None, size: str | None) -> OwnPiece | None:
        """What one of a name weighs, by a decision that says its size too, else by one that does not."""
        if not self.pieces:
            return None
        bare, of_unit, of_size = _piece(name), _piece(unit or ""), _piece(size or "")
        wholes = ([bare | of_unit] if unit else []) + ([bare] if (unit or "") in _ONE else [])
        for whole in wholes:
            if of_size and (grams := self.pieces.get(whole | of_size)):
                return OwnPiece(grams, None)
        found = next((self.pieces[whole] for whole in wholes if whole in self.pieces), None)
        return None if found is None else OwnPiece(found, size)


def settle(decisions: Mapping[str, str], products: Products | None, tables: Sequence[FoodTable]) -> Decided:
    """Decisions made ready. Raises InputError, of file and line: an own product that is not there, words that lead to
    no food for sure.
    """
    given = decisions if isinstance(decisions, Decisions) else Decisions(dict(decisions))
    own = _own_products(given, products)
    ids: dict[str, str] = {}
    spoken: dict[tuple[str, ...], Spoken] = {}
    linker: Linker | None = None
    for name, value in without(given, own).items():
        if value == NONE or is_id(value):
            ids[name] = value
        elif products is not None and (product := products.match(value)):
            own[name] = product
        else:
            linker = linker or Linker(tables, alternatives=False)
            link, said = _by_words(name, value, given, linker)
            spoken[key_of(name)] = Spoken(
                said, replace(link, why=say("own.decision-as", words=brief(said)), decided=True, place="")
            )
    pieces = {_piece(name): grams for name, grams in given.weights.items()}
    foods = Decisions(ids, given.file, given.lines)
    return Decided(given, foods, {key_of(told): one for told, one in reversed(own.items())}, spoken, pieces)


def _own_products(decisions: Decisions, products: Products | None) -> dict[str, Product]:
    """Decisions that point to own products. Raises InputError when there is no such product."""
    there = {product.food_id: product for product in products.all} if products else {}
    found: dict[str, Product] = {}
    for name, food_id in decisions.items():
        if food_id.startswith("own:"):
            if food_id not in there:
                message = say(
                    "own.decision-no-product",
                    name=quoted(name),
                    food=brief(food_id),
                    names=named(there) or say("list.nothing"),
                )
                raise fault(decisions, name, message)
            found[name] = there[food_id]
    return found


def _by_words(name: str, value: str, given: Decisions, linker: Linker) -> tuple[Link, str]:
    """The food of an ingredient in plain words, and the words; "home-made, no salt" says how the name itself is.

    Raises InputError: an amount, several foods, none, one that is not sure.
    """
    if parse_line(value).quantity is not None:
        raise fault(given, name, say("decisions.amount", name=quoted(name), value=quoted(value)))
    said = value if telling(scan(words(value), "name")[0], ("any", "front")) else f"{name}, {value}"
    line, food = parse_line(said), None
    if len(line.names) == 1 and not (line.choice or line.added):
        link = linker.link(line.query(line.names[0]))
        if link.understood and not any(remark.code == Code.WORDS_LEFT_OVER for remark in link.remarks):
            return link, said
        food = link.food
    near = say("decisions.nearest", food=food.name, food_id=food.food_id) if food else ""
    raise fault(given, name, say("decisions.words", name=quoted(name), value=quoted(value), near=near))


def sure_words(text: str, linker: Linker, name: str = "") -> Link | None:
    """The food that words beside a name may stand for in a decision; None where they may not."""
    try:
        return _by_words(name, text, Decisions(), linker)[0]
    except InputError:
        return None


# -- what no line matches ---------------------------------------------------------------------------------------------

Named = tuple[str, str, str]  # a name of a line, the unit it is counted in, its size


def names_of(line: Reading) -> Iterator[Named]:
    """The names of a line with what they are counted in."""
    for one in (line, *line.added):
        for name in dict.fromkeys((*one.names, one.name)):
            yield name, one.unit or "", one.size or ""


def unmatched(decided: Decided, there: Iterable[Named]) -> tuple[str, ...]:
    """The decisions that no name matches, in their order."""
    given, keys, pieces = decided.given, set(), set()
    for name, unit, size in there:
        keys.add(key_of(name))
        bare, of_unit, of_size = _piece(name), _piece(unit), _piece(size)
        pieces |= {bare, bare | of_unit, bare | of_size, bare | of_unit | of_size}
    return tuple(
        name
        for name in given.names
        if not (name in given.foods and key_of(name) in keys)
        and not (name in given.weights and (_piece(name) in pieces or key_of(name) in keys))
    )


def near(name: str, there: Iterable[Named], linker: Linker) -> str | None:
    """The name of a line that a decision means by a slip of the pen: a word of it is none that anybody knows, and the
    rest is like that name.
    """
    speller, asked = linker.linkers[0].speller, read(name)
    if speller.knows(asked):
        return None
    mended = speller.respelled(asked)
    names = {key_of(one): one for one, _, _ in there}
    return names.get(mended[0].tokens if mended else ()) or nearest(name, names.values(), NEAR)


def _piece(name: str) -> frozenset[str]:
    """The words of a piece, in whatever order: "clove of garlic", "garlic cloves"."""
    return frozenset(key_of(name)) - _NO_WORDS
