"""The 14 allergens of an ingredient line, with evidence: from its words, its linked food and the pack of an own product.

Three answers for a line and an allergen, and never a "free from": it contains it; it depends on the product, check
the pack; nothing points to it. Regulation (EU) No 1169/2011, Annex II, in the UK as retained.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from nutrilab.allergen_foods import witness
from nutrilab.allergen_rules import ALLERGENS
from nutrilab.allergen_words import say
from nutrilab.datafiles import rows

if TYPE_CHECKING:
    from nutrilab.foods import Food

__all__ = ["ALLERGENS", "Findings", "cautions", "find"]

Evidence = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Findings:
    """What is known of a line: allergen key -> evidence sentences.

    contains; check: depends on the product, look at the pack; may: "may contain" of an own product, never
    merged with the others; parts: the cereals or nuts to name in what is contained.
    """

    contains: Evidence = field(default_factory=dict)
    check: Evidence = field(default_factory=dict)
    may: Evidence = field(default_factory=dict)
    parts: Evidence = field(default_factory=dict)


def find(text: str, food: Food | None = None) -> Findings:
    """The allergens of a whole ingredient line: all its foods, its preparation, what it is served with.

    food: the linked food as second witness, given only where the link is sure or likely. What it alone points to is
    contained if the food is that allergen's own commodity, else to be checked; words that mislead ("coconut milk")
    and claims ("vegan") in the line stand against it. Never raises; time grows with the length of the text.
    """
    said = say(text)
    contains, check = dict(said.contains), dict(said.check)
    for allergen, own in witness(food).items() if food is not None else ():
        if allergen in contains or allergen in check or allergen in said.denied:
            continue
        evidence = (f'{allergen}: linked to "{food.name}" of the food table, though the words do not say so',)  # type: ignore[union-attr]
        (contains if own else check)[allergen] = evidence
    return Findings(contains, check, {}, said.parts)


def cautions() -> tuple[str, ...]:
    """What is said with every declaration, in order."""
    return tuple(row["sentence"] for row in rows("allergens/cautions.csv"))
