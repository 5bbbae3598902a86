"""What a parsed ingredient line holds."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from enum import StrEnum

from nutrilab.lines.clean import clean
from nutrilab.lines.query import Query, read
from nutrilab.remarks import Remark
from nutrilab.text import words
from nutrilab.wording import Wording, wording


class Purpose(StrEnum):
    """What an ingredient is for, as line_purposes.csv has it."""

    BOILING = "for boiling"
    BRUSHING = "for brushing"
    DEEP_FRYING = "for deep-frying"
    DIPPING = "for dipping"
    DRIZZLING = "for drizzling"
    DUSTING = "for dusting"
    FRYING = "for frying"
    GREASING = "for greasing"
    OPTIONAL = "optional"
    TO_GARNISH = "to garnish"
    TO_SERVE = "to serve"
    TO_TASTE = "to taste"


@dataclass(frozen=True, slots=True)
class Amount:
    """ "400 g", "14 oz": quantity (lower end), canonical unit ("" = counted pieces), upper end of a range or None."""

    quantity: float
    unit: str
    quantity_max: float | None = None

    @property
    def middle(self) -> float:
        """The middle of the range, or the quantity."""
        return self.quantity if self.quantity_max is None else (self.quantity + self.quantity_max) / 2


@dataclass(frozen=True, slots=True)
class Reading:
    """One ingredient line, understood as far as it goes.

    text: as written. quantity, quantity_max: the number, or both ends of a range. unit: canonical word of
    units.csv, None for counted pieces. name: the food, or all of them as written. preparation: everything done
    to it, before and after the name, purposes included. size: large, heaped, thick ... pack: size of one pack or
    piece (the 400 g of "2 x 400g tins", the 150 g of "4 fillets (150 g each)"). other: the second system of
    "175g/6oz", or the weight of the whole in brackets ("1 celeriac (about 600 g)"). drained: a drained weight the
    line states. purpose: what it is for. names: every food of the line, alternatives when
    ``choice`` (the first counts, all count for allergens). each: the quantity holds for each name. part: what is
    used of a thing named whole ("juice" of 1 lemon). heading: a heading inside a list, no food. added: what
    "plus 1 egg yolk" adds, parsed by itself. asides: stretches that speak of other foods, added or instead. in_doubt: a
    number in it can be read in several ways or is absurd: it has no amounts, and nothing may weigh it. remarks: what
    could not be told. worded: a line of the same words with another number, whose words are known already.
    """

    text: str
    quantity: float | None = None
    quantity_max: float | None = None
    unit: str | None = None
    name: str = ""
    preparation: str | None = None
    size: str | None = None
    pack: Amount | None = None
    other: Amount | None = None
    drained: Amount | None = None
    purpose: Purpose | None = None
    names: tuple[str, ...] = ()
    choice: bool = False
    each: bool = False
    part: str | None = None
    heading: bool = False
    added: tuple[Reading, ...] = ()
    asides: tuple[str, ...] = ()
    in_doubt: bool = False
    remarks: tuple[Remark, ...] = ()
    worded: str = field(default="", compare=False, repr=False)

    @property
    def wording(self) -> Wording:
        """All its words and signs, tokenised once; which number its amount is tells nothing here."""
        return wording(self.worded or self.text)

    def query(self, name: str) -> Query:
        """One of its names as links ask for it, with what the line says of that food: its states, its percentages."""
        own = self.own
        return read(name, own.preparation, own.text)

    def wording_with(self, kind: str, name: str) -> Wording:
        """The same with "milk, coconut" turned to "coconut milk": in the order in which the words mean one thing."""
        written = rf"{re.escape(name)}\s*,\s*{re.escape(kind)}"
        return wording(re.sub(written, lambda _: f"{kind} {name}", self.text, count=1, flags=re.I))

    @property
    def without_amount(self) -> Reading:
        """The same for a food that has no part in its amount: the salt of "100 g flour and salt"."""
        return replace(self, quantity=None, quantity_max=None, unit=None, pack=None, other=None, drained=None)

    @property
    def prepared(self) -> tuple[str, ...]:
        """The words of its preparation."""
        return words(self.preparation) if self.preparation else ()

    @property
    def used_part(self) -> tuple[str, ...]:
        """The words for the part that is used of a thing named whole."""
        return words(self.part) if self.part else ()

    @property
    def own(self) -> Reading:
        """The same with nothing but the words that speak of its own food: "1 egg plus 1 egg yolk" is an egg.

        What an aside says of states ("dried") is not said of this food.
        """
        if not self.asides:
            return self
        plain, preparation = clean(self.text), self.preparation
        for aside in self.asides:
            joined = re.compile(rf"(?:\b(?:plus|and|or)\s|[+&]\s?)?{re.escape(aside)}")
            plain = joined.sub(" ; ", plain, count=1)
            preparation = joined.sub("", preparation, count=1) if preparation else None
        return replace(self, text=plain, preparation=(preparation or "").strip(" ;,") or None, worded="")
