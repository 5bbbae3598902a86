"""Names linked to the foods of several tables in order of preference, with the cook's own decisions first.

The tables' word on a name is compared by how sure each is. The first table stands where it is sure or likely; a later
one takes its place only where it is doubtful or has nothing, and the later one is surer.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from functools import lru_cache, partial
from operator import attrgetter

from nutrilab.decisions import NONE, fault, key_of
from nutrilab.foods import Food, FoodTable, embedded
from nutrilab.lexicon.sureness import Sureness, doubt
from nutrilab.lines.query import Query, cuts, read, table_words
from nutrilab.linking.english import in_english, is_known, not_english, read_as
from nutrilab.linking.index import LOOSE, index_of
from nutrilab.linking.linker import ALTERNATIVES, TableLinker
from nutrilab.linking.links import Candidate, Link
from nutrilab.linking.mixes import composed_remark
from nutrilab.messages import say
from nutrilab.once import Remembered
from nutrilab.plain import brief, quoted
from nutrilab.remarks import Code
from nutrilab.text import words

MOST_REMEMBERED = 20000
MOST_KIND_WORDS = 3
# What of a query but its name makes two the same, as a plain tuple: a query takes longer to look up.
_compared = attrgetter(*(part.name for part in fields(Query) if part.compare and part.name != "name"))


class Linker:
    """Links names to the foods of some tables, in order of preference."""

    def __init__(
        self, tables: Sequence[FoodTable], decisions: Mapping[str, str] | None = None, alternatives: bool = True
    ) -> None:
        """Raises InputError when a decision names a food that no table holds, ValueError without a table."""
        if not tables:
            raise ValueError("a linker needs a food table")
        self.tables = tuple(tables)
        self._bridge = bridge = TableLinker(embedded(), None, alternatives)
        self.linkers = tuple(
            bridge if table is bridge.table else TableLinker(table, bridge, alternatives) for table in self.tables
        )
        self.lists = bridge.lists
        self._decisions = {key_of(name): food for name, food in (decisions or {}).items()}
        for name, food_id in (decisions or {}).items():
            if food_id != NONE and self._holder(food_id) is None:
                message = say("own.decision-nowhere", name=quoted(name), food=brief(food_id))
                raise fault(decisions or {}, name, message)
        self._links = Remembered[tuple[object, ...], tuple[str, Link]](MOST_REMEMBERED)  # the name beside its link
        self._turns = lru_cache(maxsize=4096)(self._one_name)

    def link(self, query: Query) -> Link:
        """Link one name as it was read. Never raises.

        "Butter" links as "butter" does, but remarks quote the name as written, and accents may tell another language.
        """
        inverted = self._inverted(query)
        meant = inverted or query
        said = f"{query.kind} {query.name}" if inverted else query.name
        key = (words(said) if said.isascii() else (said, query.name), *_compared(meant), meant.of_leaves())
        name, link = self._links.get(key) or ("", None)
        if link is None or (link.remarks and name != meant.name):
            link = self._decided(meant, said) or self._best(meant)
            self._links.keep(key, (meant.name, link))
        return link

    def _decided(self, query: Query, said: str) -> Link | None:
        """The cook's own decision for the name; said: with the kind before it that stood behind ("coconut milk")."""
        food_id = self._decisions.get(key_of(said))
        if food_id is None:
            return None
        holder = self._holder(food_id)
        if holder is None:
            return Link(None, Sureness.NONE, tuple, say("own.decision"), decided=True)
        food = holder.food(food_id)
        remarks = (composed_remark(food, query.name),) if food.parts else ()
        if not (in_english(holder.table) or is_known(query)):
            food, remarks = read_as(food, holder.table, ""), (*remarks, not_english(query, food.name))
        return Link(
            food,
            Sureness.SURE,
            lambda: holder.runners_up(query, holder.find(query), food),
            say("own.decision"),
            remarks,
            decided=True,
        )

    def _best(self, query: Query) -> Link:
        """The first table that stands; else the surest, of equals one that a word list names, the earlier."""
        found: list[Link] = []
        for linker in self.linkers:
            found.append(linker.link(query))
            if found[-1].understood:
                break
        if len(found) == 1:
            return self._with_twin(query, found[0], self.linkers[0])
        place = min(range(len(found)), key=lambda i: _rank(found[i]))
        best = self._with_twin(query, found[place], self.linkers[place])
        return replace(best, runners_up=partial(_of_all, best, found, found[place]))

    def _with_twin(self, query: Query, link: Link, linker: TableLinker) -> Link:
        """The link with what the embedded table has for the same words: beside its food, for the scales, as witness."""
        if linker is self._bridge and (link.food is None or link.sureness.stands):
            return link
        twin = link if linker is self._bridge else self._bridge.link(query)
        if link.food is None:
            known = twin.food if twin.understood else None
            return replace(link, weighed_as=known, heard=(known,)) if known is not None else link
        food = link.food
        if linker is not self._bridge and twin.food is not None and twin.sureness.stands:
            food = replace(read_as(link.food, linker.table, twin.food.name), like=twin.food)
        if twin.understood and twin.food is not None:
            return replace(link, food=food, weighed_as=twin.food, heard=_with_pack((twin.food,), link.food))
        others = sorted((one for one in self.linkers if one is not self._bridge), key=lambda one: one.table.path.name)
        found = [one.link(query) for one in others]
        heard = tuple(one.food for one in found if one.food is not None and one.understood)
        if not link.understood:
            guessed = any(remark.code == Code.READ_AS for remark in twin.remarks)
            heard = (link.food if twin.food is None or guessed or link.foreign else twin.food,)
            if _in_its_own_words(link.food, query) and link.food not in heard:
                heard = (*heard, link.food)  # "bar" is a fish in French: both are asked about
        heard = _with_pack(heard, link.food)
        return replace(link, food=food, weighed_as=_weighed_as(twin, found, link.food), heard=heard)

    def turned(self, query: Query) -> tuple[str, str] | None:
        """The kind a cook wrote behind the comma and the name ("coconut", "milk"), where the two are one name."""
        return None if self._inverted(query) is None else (query.kind, query.name)

    def _inverted(self, query: Query) -> Query | None:
        """ "coconut, desiccated": the kind behind the comma, where the word lists know the two as one name."""
        return query.inverted() if query.written[1] and self._turns(query.kind, query.name) else None

    def _one_name(self, before: str, name: str) -> bool:
        """Whether the word lists know a name with a kind before it, which is no cut.

        "Tomatoes, chopped" are fresh ones, cut here; "chopped tomatoes" may be a tin.
        """
        kind = words(before)
        if not 1 <= len(kind) <= MOST_KIND_WORDS or not self.lists.holds((*kind, *words(name))):
            return False
        return not all(word in cuts() for word in kind)

    def _holder(self, food_id: str) -> TableLinker | None:
        return next((linker for linker in self.linkers if food_id in linker), None)

    def __contains__(self, food_id: str) -> bool:
        """Whether a food of any of the tables, or a mix, has this id."""
        return self._holder(food_id) is not None

    def food(self, food_id: str) -> Food:
        """A food of any of the tables, or a mix. Raises KeyError if there is none."""
        holder = self._holder(food_id)
        if holder is None:
            raise KeyError(food_id)
        return holder.food(food_id)


def _with_pack(heard: tuple[Food, ...], food: Food) -> tuple[Food, ...]:
    """Those that are heard, and the food itself where it is a maker's pack, whose ingredients no other table has."""
    return (*heard, food) if food.ingredients and food not in heard else heard


def _in_its_own_words(food: Food, query: Query) -> bool:
    """Whether a name is of a food in the language of its table, and says nothing of it in English."""
    return food.english is not None and not {*words(query.name)} & {*words(food.english)}


def _weighed_as(twin: Link, others: Sequence[Link], food: Food) -> Food:
    """The food whose measures count, whichever table comes first: the embedded one's, where it knows the name.

    Else one of which a table gives household measures; else the words alone.
    """
    if twin.food is not None and twin.sureness.stands:
        return twin.food
    measured = (one.food for one in sorted(others, key=lambda one: doubt(one.sureness)) if one.food is not None)
    return next((one for one in measured if one.measures), None) or twin.food or replace(food, name="", group="")


def _rank(link: Link) -> tuple[bool, int, bool]:
    """How good a link is beside those of other tables, the best first."""
    guessed = not link.place or any(remark.code == Code.READ_AS for remark in link.remarks)
    return not link.understood, doubt(link.sureness), guessed


def _of_all(best: Link, found: Sequence[Link], taken: Link) -> tuple[Candidate, ...]:
    """What else a name may be by several tables; taken: the link that is the best one, without its twin."""
    others = [candidate for link in (best, *found) for candidate in link.alternatives]
    others += [Candidate(o.food.food_id, o.food.name, 0.5) for o in found if o.food is not None and o is not taken]
    chosen = {o.food_id: o for o in others if best.food is None or o.food_id != best.food.food_id}
    return tuple(chosen.values())[:ALTERNATIVES]


def search(query: str, tables: Sequence[FoodTable], limit: int = 10) -> list[Candidate]:
    """Foods for a person to choose from, the best first: what the word lists say, then names, slips mended."""
    linker = Linker(tables)
    link = linker.link(read(query))
    asked = read(query, None, query)
    mended = linker.linkers[0].speller.respelled(asked)
    tokens = (mended[0] if mended else asked).tokens
    found: dict[str, Candidate] = {}
    if link.food is not None:
        found[link.food.food_id] = Candidate(link.food.food_id, link.food.name, 1.0)
        tokens = (*tokens, *table_words(link.food.name)[:3])
    for table in linker.tables:
        for hit in index_of(table).search(tokens, asked.attributes, limit, LOOSE):
            found.setdefault(
                table.ids[hit.row], Candidate(table.ids[hit.row], table.names[hit.row], round(hit.score, 3))
            )
    for candidate in link.alternatives:
        found.setdefault(candidate.food_id, candidate)
    return sorted(found.values(), key=lambda c: -c.score)[:limit]
