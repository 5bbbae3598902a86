"""A line as it is heard: its reading, what its names stand for and its allergens; all but what it weighs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nutrilab import allergens
from nutrilab.allergens import Findings
from nutrilab.allergens.naming import named_by_words
from nutrilab.foods import Food
from nutrilab.lines import Reading
from nutrilab.linking import Link
from nutrilab.products import Product
from nutrilab.wording import Wording


@dataclass(frozen=True, slots=True)
class Meant:
    """A name of a line and what it stands for.

    name: what to call it. written: as it stands in the line. meant: the same with the kind before the name
    ("coconut milk"). stands_for: plain words that a decision of the cook puts in its place. of: how many foods share
    the line's amount; 0: it has no part in that. added: what a line adds, where the name stands in that.
    """

    name: str
    written: str
    meant: str
    link: Link
    product: Product | None = None
    stands_for: str = ""
    of: int = 1
    added: Reading | None = None


@dataclass(frozen=True, slots=True)
class Heard:
    """All that a line says but how much of its foods weighs."""

    parsed: Reading
    foods: tuple[Meant, ...]
    findings: Findings


def allergens_of(text: Wording, foods: Sequence[Meant]) -> Findings:
    """Words, linked foods and packs together; where a pack speaks for one food, the others keep their own witness.

    What a name stands for by plain words of a decision counts beside the words of the line.
    """
    found = _allergens_of(text, foods)
    said = [allergens.find(food.stands_for, food.link.food) for food in foods if food.stands_for]
    return allergens.join([found, *said]) if said else found


def _allergens_of(text: Wording, foods: Sequence[Meant]) -> Findings:
    packs = list({id(food.product): food.product for food in foods if food.product}.values())
    heard = [(food, one) for food in foods if not food.product for one in _heard(food.name, food.link)]
    if packs:
        others = [allergens.find(food.name, one, doubtful=not food.link.understood) for food, one in heard]
        return allergens.join([allergens.find(text, None, packs), *others])
    if not heard:
        return allergens.find(text)
    found = [allergens.find(text, one, None, not food.link.understood, food.name) for food, one in heard]
    return found[0] if len(found) == 1 else allergens.join(found)


def _heard(name: str, link: Link) -> tuple[Food, ...]:
    """The foods that tell of a name's allergens, whichever table answered.

    A doubtful one has nothing to add to words that name it all, unless it is a maker's pack: what that lists is asked.
    """
    foods = link.heard or ((link.food,) if link.food is not None else ())
    if link.understood or link.foreign or not named_by_words(name):
        return foods
    return tuple(food for food in foods if food.ingredients)
