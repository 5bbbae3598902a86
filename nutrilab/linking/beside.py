"""A table's findings beside the embedded table's: names, not tables, carry the words.

The embedded table has the longest word lists. What they take a name for tells where another table's lists end: which of
its foods is meant, and that a food which only half the name led to, or one far off in its composition, is another.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Set
from dataclasses import replace
from typing import Protocol

from nutrilab.foods import Food, FoodTable
from nutrilab.lexicon.sureness import Sureness, worse
from nutrilab.lines.query import Query, kinds, table_words
from nutrilab.linking.index import LOOSE, class_words, index_of
from nutrilab.linking.judging import AS_SOLD
from nutrilab.linking.kin import classes, head, words_of
from nutrilab.linking.links import Finding, nothing
from nutrilab.linking.tolerance import agree, far_in_energy, far_off
from nutrilab.messages import say
from nutrilab.remarks import Code

LOOKED_AT = 12  # hits looked at for a food that agrees
_ALCOHOL = 1.0  # [g/100 g] from which a food is a drink, or of one; own choice, no source
# Names of what water is still to be stirred into: several times the thing itself in 100 g.
_DRY = frozenset("mix powder dehydrated concentrate concentrated dried".split())
_CALLED = re.compile(r",| \(| with | in | for ")  # what stands before it in a table's name is what the thing is called
_PARTS = frozenset(("zest", "juice", "yolk"))
_MADE_UP = frozenset(("fresh", "cooked"))  # how "reconstituted" and "prepared" are read in a table's name


class OneTable(Protocol):
    """The linker of one table, as far as it is asked here."""

    @property
    def table(self) -> FoodTable: ...
    def settle(self, query: Query) -> Finding: ...
    def find(self, query: Query) -> Finding: ...
    def food(self, food_id: str) -> Food: ...
    def name_of(self, food_id: str) -> str: ...


class Beside:
    """One table's linker beside that of the embedded table."""

    def __init__(self, own: OneTable, other: OneTable) -> None:
        self._own = own
        self._other = other

    def held(self, query: Query, found: Finding) -> Finding:
        """What is found, held against what the name means: words that another list knows of are not passed over.

        A row that leaves out a word which the embedded table's row for the name speaks of ("preserved lemon" for
        lemon), or a name that is only near, is doubtful where that table knows of no such food, or of one far off or of
        another energy (skimmed milk for evaporated skimmed milk), or is itself in doubt (a dressed salad); and where
        what is left out is that it is tinned, whose syrup and salt the raw food has not, or a part of it (zest for its
        flesh).
        """
        if found.food_id is None or not found.sureness.stands:
            return found
        meant = self._other.settle(query)
        name = self._own.name_of(found.food_id)
        met = found.met
        if not met and not found.word and set(head(name).split()) <= set(query.tokens):
            met = words_of(name)  # of a row out of order ("salad potato" for potato salad) nothing is met
        if not (meant.met & {*query.tokens, *query.attributes}) - met:
            return found
        if meant.food_id is None:
            return replace(found, sureness=Sureness.DOUBTFUL, why=say("link.no-such-food", why=found.why))
        if self._as_sold(query, found.food_id, meant.met - met):
            return self._differing(found, meant.food_id)
        values, others = self._own.food(found.food_id).values, self._other.food(meant.food_id).values
        if not meant.sureness.stands and meant.met.intersection(query.tokens) - met - kinds().keys():
            return replace(found, sureness=meant.sureness, why=meant.why)
        if not (far_off(values, others) or far_in_energy(values, others)):
            return found
        return self._differing(found, meant.food_id)

    def _as_sold(self, query: Query, food_id: str, passed_over: Set[str]) -> bool:
        """Whether a row and its food's name pass over that a thing is dried, tinned, pickled or a part of one."""
        said = (AS_SOLD | _PARTS) & passed_over & query.attributes
        row = self._own.table.row.get(food_id) if said else None
        return bool(said - (index_of(self._own.table).states[row] if row is not None else frozenset()))

    def nearest(self, query: Query) -> Finding | None:
        """The food of ours that is what the other table's word lists say is meant.

        It must have the name's head word or the first word of that food's name, and agree with it in energy, fat and
        salt; with every word of the name met it is likely, else doubtful.
        """
        meant = self._meant(query)
        if meant.food_id is None:
            return None
        table = self._own.table
        named = table_words(self._other.name_of(meant.food_id))
        values = self._other.food(meant.food_id).values
        index = index_of(table)
        telling = {*query.tokens, *named[:2]} - class_words()
        for tokens in dict.fromkeys(((query.tokens), (*query.tokens, *named[:3]), named[:4])):
            for hit in index.search(tokens, query.attributes, LOOKED_AT, LOOSE):
                met, food_id = index.met(hit.row), table.ids[hit.row]
                if met.isdisjoint((query.head, named[0])) or not _one_food(table.food(food_id), values):
                    continue
                whole = met.issuperset(query.tokens) or met.issuperset(named[:2])
                if not whole and met.isdisjoint(telling):
                    continue  # a sauce for a sauce is no likeness
                firm = whole and meant.sureness.stands
                firm = firm and not unasked_thing(table.names[hit.row], {*query.tokens, *named})
                best = Sureness.LIKELY if firm else Sureness.DOUBTFUL
                why = say("link.nearest-with-words", words=" ".join(named))
                return Finding(food_id, best, why, meant.remarks)
        return None

    def doubted(self, query: Query, finding: Finding) -> Finding | None:
        """A near name is doubtful where the other table knows a food that it does not agree with.

        Where that food is understood, one that is no drink where it is alcoholic, or was no firm find and is far off
        it, is no food at all, None: rose hips are no rosé, and a stock cube is no stock.
        """
        meant = self._meant(query)
        if meant.food_id is None or finding.food_id is None:
            return finding
        own, values = self._own.food(finding.food_id), self._other.food(meant.food_id).values
        if _one_food(own, values):
            return finding
        loose = not finding.sureness.stands and bool(far_off(own.values, values))
        if meant.sureness.stands and (loose or _drink(own.values) != _drink(values)):
            return None
        return self._differing(finding, meant.food_id)

    def _meant(self, query: Query) -> Finding:
        """What the other takes a name for; not by a guess at the spelling of a word that our own names hold."""
        found = self._other.find(query)
        guessed = any(remark.code == Code.READ_AS for remark in found.remarks)
        return nothing() if guessed and query.head in index_of(self._own.table) else found

    def _differing(self, finding: Finding, meant: str) -> Finding:
        """The finding in doubt, for the other table's food for the name is another."""
        why = say("link.differs", why=finding.why, food=self._other.name_of(meant))
        return replace(finding, sureness=worse(finding.sureness, Sureness.DOUBTFUL), why=why)


def _one_food(food: Food, meant: Mapping[str, float]) -> bool:
    """Whether a food agrees with the figures meant, is far off in none, and is alcoholic where they are."""
    return agree(food.values, meant) and not far_off(food.values, meant) and _drink(food.values) == _drink(meant)


def _drink(values: Mapping[str, float]) -> bool:
    """Whether a food is alcoholic; a table that gives it no figure takes it for none that is."""
    return values.get("ALC", 0.0) >= _ALCOHOL


def unasked_dry(met: Set[str], query: Query) -> bool:
    """Whether a food's words say that water is to be stirred into it, and the line does not."""
    return not _MADE_UP & met and not (_DRY & met).issubset({*query.tokens, *query.attributes})


def unasked_thing(name: str, said: Set[str]) -> bool:
    """Whether what a food is called says more than was said: a cocktail is no cocktail sausage."""
    called = {*table_words(_CALLED.split(name, maxsplit=1)[0])} - kinds().keys()
    return not (called <= classes() or called <= said)
