"""The 14 allergens of an ingredient line, with evidence: from its words, its linked food, the pack of an own product.

Three answers for a line and an allergen, and never a "free from": it contains it; it depends on the product, check
the pack; nothing points to it. Regulation (EU) No 1169/2011, Annex II, in the UK as retained.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from nutrilab import messages
from nutrilab.allergens.foods import excused, witness
from nutrilab.allergens.heard import tokenise
from nutrilab.allergens.labels import of_pack
from nutrilab.allergens.values import ALLERGENS
from nutrilab.allergens.words import Said, say
from nutrilab.datafiles import rows
from nutrilab.plain import quoted
from nutrilab.wording import Wording

if TYPE_CHECKING:
    from data_loaders.own_products import Product
    from nutrilab.foods import Food

__all__ = ["ALLERGENS", "SULPHITES_LIMIT", "Findings", "cautions", "find", "join"]

SULPHITES_LIMIT = 10.0  # [mg/kg or mg/l as total SO2], Regulation (EU) No 1169/2011, Annex II, 12

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


def find(
    text: str | Wording,
    food: Food | None = None,
    product: Product | Sequence[Product] | None = None,
    doubtful: bool = False,
    name: str = "",
) -> Findings:
    """The allergens of a whole ingredient line: all its foods, its preparation, what it is served with.

    food: the linked food as second witness. What it alone points to is contained if the food is that allergen's own
    commodity or made with it, else to be checked; words that mislead ("coconut milk") and claims ("vegan") in the
    line stand against it. doubtful: the food may be another; then all it points to is to be checked. name: the words
    that were linked, which may rightly ask for less than others of the same food.
    product: the own product of the line, or all of them together (one call, so that each pack speaks for its own
    words). What a pack says overrides the rules for the words that name it, both ways; the other words of the line
    count as always. Never raises; time grows with the length of the text.
    """
    packs = () if product is None else tuple(product) if isinstance(product, Sequence) else (product,)
    telling = [pack for pack in packs if pack.declares_allergens]
    if telling:
        silent = (Findings(may=_stated(pack.may, pack.name)) for pack in packs if not pack.declares_allergens)
        return join([_by_pack(text, telling), *silent])
    said = say(text)
    contains, check = dict(said.contains), dict(said.check)
    if food is not None:
        _with_witness(food, doubtful, name, said, contains, check)
    may = join(Findings(may=_stated(pack.may, pack.name)) for pack in packs).may if packs else {}
    return Findings(contains, check, may, said.parts)


def _with_witness(
    food: Food,
    doubtful: bool,
    name: str,
    said: Said,
    contains: dict[str, tuple[str, ...]],
    check: dict[str, tuple[str, ...]],
) -> None:
    """Add what the food alone points to; what is asked of a thing of its name, only where the words say nothing.

    What words deny stands against the food's name, but not against a pack's ingredients: "peanut butter" says there
    is no butter in it, and not that no maker puts milk in.
    """
    known = witness(food)
    words_say = bool(said.contains or said.check or said.denied) or (doubtful and not food.english)
    asked = frozenset() if words_say else known.asked - excused(name)
    for allergens, into in (
        (known.certain - said.denied, check if doubtful else contains),
        (known.likely - said.denied, check),
        (asked - said.denied, check),
        (known.unread - said.denied if doubtful else frozenset(), check),
        (known.packed, check),
    ):
        for allergen in sorted(allergens, key=ALLERGENS.index) if allergens else ():
            if allergen not in contains and allergen not in check:
                into[allergen] = (
                    messages.say(
                        "allergens.perhaps-table" if doubtful else "allergens.by-table",
                        allergen=allergen,
                        food=quoted(food.called),
                    ),
                )


def _by_pack(text: str | Wording, products: Sequence[Product]) -> Findings:
    """The packs' word for the products' own names in the line, the rules for the rest of it."""
    named = True
    for product in products:
        text, found = _without_name(text, product)
        named = named and found
    said = say(text)
    contains, check = dict(said.contains), dict(said.check)
    if not named:  # the cook linked the line to a product by other words: what they say is doubtful, not void
        packs = messages.either([product.name for product in products])
        check = {
            a: tuple(messages.say("allergens.not-on-pack", evidence=e, products=packs) for e in found)
            for a, found in contains.items()
        } | check
        contains = {}
    rest = Findings(contains, check, {}, said.parts if named else {})
    return join([*(_pack_findings(product) for product in products), rest])


@lru_cache(maxsize=1024)
def _pack(ingredients: str | None, contains: tuple[str, ...] | None, may: tuple[str, ...], name: str) -> Findings:
    label = of_pack(ingredients or "")
    has = {
        a: tuple(messages.say("allergens.of-pack", evidence=e, product=name) for e in found)
        for a, found in label.contains.items()
    }
    stated = _stated(contains or (), name)
    for allergen, evidence in stated.items():
        has.setdefault(allergen, evidence)
    to_check = {a: found for a, found in label.check.items() if a not in has and contains is None}
    parts: dict[str, tuple[str, ...]] = {}
    for named in (label.parts, *(say(word).parts for word in contains or ())):
        for allergen, kinds in named.items():
            if allergen in has:
                parts[allergen] = tuple(dict.fromkeys((*parts.get(allergen, ()), *kinds)))
    return Findings(has, to_check, label.may | _stated(may, name), parts)


def _pack_findings(product: Product) -> Findings:
    found = _pack(product.ingredients, product.contains, product.may, product.name)
    if product.sulphites is not None and product.sulphites > SULPHITES_LIMIT and "sulphites" not in found.contains:
        evidence = (messages.say("allergens.sulphites-stated", dose=f"{product.sulphites:g}", product=product.name),)
        return replace(found, contains={**found.contains, "sulphites": evidence})
    return found


def _stated(words: tuple[str, ...], name: str) -> dict[str, tuple[str, ...]]:
    """Allergens a pack states, by key or in words; words no rule knows were refused when the products were read."""
    found: dict[str, tuple[str, ...]] = {}
    for word in words:
        said = say(word)
        keys = [word.lower()] if word.lower() in ALLERGENS else [*said.contains] or [*said.check]
        for key in keys:
            found[key] = (*found.get(key, ()), messages.say("allergens.stated", allergen=key, word=word, product=name))
    return found


def _without_name(text: str | Wording, product: Product) -> tuple[str | Wording, bool]:
    """The line without the words that name the product, and whether they stood in it."""
    tokens = tokenise(text)
    for name in sorted(product.names, key=len, reverse=True):
        wanted = tokenise(name)
        for start in range(len(tokens) - len(wanted) + 1):
            if wanted and tokens[start : start + len(wanted)] == wanted:
                return " ".join([*tokens[:start], ",", *tokens[start + len(wanted) :]]), True
    return text, False


def join(findings: Iterable[Findings]) -> Findings:
    """All that is found in several lines; what one contains is no longer to be checked."""
    merged: list[dict[str, tuple[str, ...]]] = [{}, {}, {}, {}]
    for found in findings:
        for into, part in zip(merged, (found.contains, found.check, found.may, found.parts), strict=True):
            for allergen, evidence in part.items():
                into[allergen] = tuple(dict.fromkeys((*into.get(allergen, ()), *evidence)))
    contains, check, may, parts = merged
    return Findings(contains, {a: found for a, found in check.items() if a not in contains}, may, parts)


def cautions() -> tuple[str, ...]:
    """What is said with every declaration, in order."""
    return tuple(messages.say(row["sentence"]) for row in rows("allergens/cautions.csv"))
