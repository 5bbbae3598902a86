"""The 14 allergens of an ingredient line, with evidence: from its words, its linked food and the pack of an own product.

Three answers for a line and an allergen, and never a "free from": it contains it; it depends on the product, check
the pack; nothing points to it. Regulation (EU) No 1169/2011, Annex II, in the UK as retained.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from nutrilab.allergen_rules import ALLERGENS
from nutrilab.allergen_words import Said, say

if TYPE_CHECKING:
    from nutrilab.foods import Food

__all__ = ["ALLERGENS", "Findings", "find"]


@dataclass(frozen=True, slots=True)
class Findings:
    """What is known of a line: allergen key -> evidence sentences.

    contains; check: depends on the product, look at the pack; may: "may contain" of an own product, never
    merged with the others; parts: the cereals or nuts to name, for what is contained.
    """

    contains: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    check: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    may: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    parts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def find(text: str, food: Food | None = None) -> Findings:
    said = say(text)
    return Findings(said.contains, said.check, {}, said.parts)
