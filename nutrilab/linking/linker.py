"""What a cook wrote about a food, linked to the food of one table, with how sure that is.

One query value goes through small steps, each of which settles it or passes it on: the table's word lists,
the word lists after mending the spelling, the word lists of another table as a bridge, the index over the
table's names. A stated percentage then moves it along its ladder, and the runners-up are listed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial
from itertools import islice

from nutrilab.foods import Food, FoodTable
from nutrilab.lexicon import filler
from nutrilab.lexicon.sureness import Sureness, worse
from nutrilab.lines.percents import FAT
from nutrilab.lines.query import PACKED, Query, read, table_words, telling
from nutrilab.linking.beside import Beside, unasked_dry, unasked_thing
from nutrilab.linking.brought import lists_of
from nutrilab.linking.english import half_english, in_english, is_known, not_english, read_as
from nutrilab.linking.index import LOOSE, Index, Near, index_of
from nutrilab.linking.judging import OF_PLANTS, Verdict, guarded, judge
from nutrilab.linking.kin import cooked_row
from nutrilab.linking.lent import completed, two_salts
from nutrilab.linking.links import Candidate as Candidate
from nutrilab.linking.links import Finding, nothing
from nutrilab.linking.links import Link as Link
from nutrilab.linking.mixes import Mixer, remarks_on
from nutrilab.linking.spelling import Speller, rejoined
from nutrilab.linking.stated import kept_to, less_kept_to
from nutrilab.linking.tolerance import agree
from nutrilab.linking.wordlists import NONE, WordRow, in_order
from nutrilab.messages import say
from nutrilab.plain import brief, quoted
from nutrilab.remarks import Code, Remark

ALTERNATIVES = 4
LEAST_COVER, LEAST_SCORE = 0.5, 0.45  # below these the index answers nothing rather than nonsense
CEREALS = "Cereal Grains"  # the table's group of pasta, rice and grain
NEAR = 0.05  # two candidates whose scores differ by less are near


class TableLinker:
    """Links names to the foods of one table."""

    def __init__(self, table: FoodTable, bridge: TableLinker | None = None, alternatives: bool = True) -> None:
        """bridge: the linker of a table with long word lists, whose word on what is meant helps where ours end."""
        self.table = table
        self._bridge = bridge
        self._beside = Beside(self, bridge) if bridge is not None else None
        self._alternatives = alternatives
        self.lists = lists_of(table)
        self.mixer = Mixer(table)
        self._spellers: list[Speller] = []
        self._neighbours: dict[str, tuple[Candidate, ...]] = {}
        self._foods: dict[str, Food] = {}
        self._met: dict[int, tuple[frozenset[str], str]] = {}  # by rank in the lists
        self._settled: tuple[Query, Finding] | None = None  # the last answers: several ask of one name in turn
        self._found: tuple[Query, Finding] | None = None

    def link(self, query: Query) -> Link:
        """Link one name as read. Never raises."""
        finding = self.find(query)
        food = self.food(finding.food_id) if finding.food_id else None
        remarks = finding.remarks
        if food is not None:
            remarks = (*remarks, *remarks_on(food, query.name))
            if food.food_id in self.table and (salts := two_salts(self.table.food(food.food_id))):
                remarks = (*remarks, salt_remark(query.name, *salts))
            if self._unheard(query, food) and all(r.code != Code.NOT_ENGLISH for r in remarks):
                remarks = (*remarks, not_english(query, food.name))
            food = read_as(food, self.table, "") if any(r.code == Code.NOT_ENGLISH for r in remarks) else food
        others = partial(self.runners_up, query, finding, food)
        return Link(food, finding.sureness, others, finding.why, remarks, place=finding.place, word=finding.word)

    def _unheard(self, query: Query, food: Food) -> bool:
        """Whether words that no English list knows led, by those a table brings, to a food without an English name."""
        return food.food_id in self.table and not food.english and not in_english(self.table) and not is_known(query)

    def find(self, query: Query) -> Finding:
        """What the steps settle, at the percentage that is stated; a pack of pasta cooked later is raw.

        Leaves that a word list has another row for are those leaves: a tomato leaf is no tomato.
        """
        last = self._found
        if last is None or last[0] is not query:
            leaves = query.of_leaves()
            last = self._found = query, self._find(leaves if leaves and self._parts_leaves(query, leaves) else query)
        return last[1]

    def _find(self, query: Query) -> Finding:
        if PACKED in query.attributes and "cooked" in query.attributes and (raw := self._before_cooking(query)):
            return raw
        found = self._at_percentage(query, self._held(query, self._in_state(query, self.settle(query))))
        return found if found.food_id is None else less_kept_to(query, found, self.food(found.food_id))

    def _parts_leaves(self, query: Query, leaves: Query) -> bool:
        """Whether our word lists, or those we lean on, have another food, or none, for leaves of the thing named."""
        found = self._by_words_left(leaves)
        if found is not None and "leaf" in found.met and found.food_id != self.settle(query).food_id:
            return True
        return self._bridge is not None and self._bridge._parts_leaves(query, leaves)

    def _held(self, query: Query, found: Finding) -> Finding:
        """What is found, held against what the words mean by another table, but where a stated fat chooses the rung."""
        ladder = self.mixer.ladder(found.food_id) if query.percents else None
        if self._beside is None or (ladder is not None and ladder.of == FAT):
            return found
        return self._beside.held(query, found)

    def _in_state(self, query: Query, found: Finding) -> Finding:
        """Food that is said to be cooked is no raw food where the table has it cooked."""
        if "cooked" not in query.attributes or found.food_id is None or found.food_id not in self.table:
            return found
        cooked = cooked_row(self.table, found.food_id, query.attributes | query.prepared)
        if cooked is None:
            return found
        why = say("link.cooked", why=found.why)
        return replace(found, food_id=cooked, sureness=worse(found.sureness, Sureness.LIKELY), why=why)

    def _before_cooking(self, query: Query) -> Finding | None:
        """What a pack holds that the line cooks afterwards, where that is raw pasta, rice or the like."""
        attributes, named, prepared = (some - {"cooked"} for some in (query.attributes, query.named, query.prepared))
        found = self.settle(replace(query, attributes=attributes, named=named, prepared=prepared))
        food = self.food(found.food_id) if found.food_id else None
        if food is None or not food.group.startswith(CEREALS) or "cooked" in table_words(food.name):
            return None
        remark = Remark(Code.PACK_BEFORE_COOKING, say("link.pack-before-cooking", food=brief(query.name)))
        return replace(found, sureness=worse(found.sureness, Sureness.LIKELY), remarks=(*found.remarks, remark))

    def settle(self, query: Query) -> Finding:
        """What the first step that settles it says."""
        last = self._settled
        if last is None or last[0] is not query:
            said = self._by_words_left(query)
            found = said if said and self._explains(query, said) else self._by_spelling(query) or said
            last = self._settled = query, found or self._by_meaning(query) or self._by_index(query) or nothing()
        return last[1]

    # -- foods by id ---------------------------------------------------------------------------------

    def __contains__(self, food_id: str) -> bool:
        return food_id in self.table or food_id in self.mixer

    def food(self, food_id: str) -> Food:
        """A food of the table with what is lent to it, or a mix of its foods. Raises KeyError if there is none."""
        known = self._foods.get(food_id)
        if known is None:
            known = completed(self.table.food(food_id)) if food_id in self.table else self.mixer.food(food_id)
            self._foods[food_id] = known
        return known

    def name_of(self, food_id: str) -> str:
        """The name of a food, without reading its values."""
        if food_id in self.table:
            return self.table.names[self.table.row[food_id]]
        return self.mixer.food(food_id).name

    def _agree(self, one: str, other: str) -> bool:
        return one == other or agree(self.food(one).values, self.food(other).values)

    # -- steps ---------------------------------------------------------------------------------------

    def _explains(self, query: Query, found: Finding) -> bool:
        """Whether a row of the word lists leaves no word of the name over that may hold a slip."""
        return not _leaves_over(found) or self.speller.knows(query)

    def _by_words_left(self, query: Query) -> Finding | None:
        """The most specific row of the word lists that accounts for the word that says what the thing is.

        Of rows equally specific, the one that leaves the fewest words of the name over.
        """
        rows = self.lists.best_first(query)
        best: tuple[int, WordRow, Verdict] | None = None
        for key, row in rows:
            if best and (key < best[0] or not best[2].leftover):
                break
            if row.food == NONE or row.food in self:
                verdict = self._judge_row(query, row)
                if not verdict.refused and (best is None or len(verdict.leftover) < len(best[2].leftover)):
                    best = key, row, verdict
        return self._from_row(query, best[1], best[2], [row for _, row in rows]) if best else None

    def _judge_row(self, query: Query, row: WordRow) -> Verdict:
        met, main = self._met_by(row)
        if row.food != NONE and not OF_PLANTS.isdisjoint(query.tokens) and self._of_plants(row.food):
            met = met | OF_PLANTS
        return judge(query, met, lambda word: self._resembles(word, row.food, main, row.sure))

    def _met_by(self, row: WordRow) -> tuple[frozenset[str], str]:
        """All words and states that a row and the name of its food account for, and the first word of that name."""
        if row.food == NONE:
            return row.met, ""
        known = self._met.get(row.rank)
        if known is None:
            named = table_words(self.name_of(row.food))
            known = self._met[row.rank] = row.met.union(named), named[0]
        return known

    def _of_plants(self, food_id: str) -> bool:
        """Whether a food has no cholesterol by its table, which whatever comes of animals has (but for honey, wax)."""
        return self.food(food_id).values.get("CHOLE") == 0

    def _resembles(self, word: str, food_id: str, main: str, sure: Sureness) -> Sureness:
        """What a word left over leaves of the sureness: all if a row as sure says it of the same food, little if it
        is a food of its own."""
        if known := self.lists.said_of(food_id, word):
            return Sureness.SURE if worse(known, sure) == sure else known
        other = self.lists.single(word)
        if other is None:
            return Sureness.LIKELY
        if other.food == food_id:
            return Sureness.SURE
        if NONE in (other.food, food_id) or other.food not in self:
            return Sureness.DOUBTFUL
        return Sureness.LIKELY if table_words(self.name_of(other.food))[0] == main else Sureness.DOUBTFUL

    def _from_row(self, query: Query, row: WordRow, verdict: Verdict, rows: Sequence[WordRow]) -> Finding:
        """A row of the word lists as a finding."""
        rivals = tuple(dict.fromkeys([r.food for r in rows if r.food not in (NONE, row.food)])) if len(rows) > 1 else ()
        if row.food == NONE:
            return Finding(None, Sureness.NONE, f"{row.text}: {row.ground}", (), rivals, row.place, row.text, row.met)
        sureness = worse(row.sure, verdict.sureness)
        if row.sure == verdict.sureness == Sureness.LIKELY:
            sureness = Sureness.DOUBTFUL  # two reasons for doubt
        ordered = in_order(row.words, query.tokens)
        if row.words[-1] != query.head and "of" not in query.tokens and not ordered:
            sureness = worse(sureness, Sureness.LIKELY)
        if "cooked" in row.when and "cooked" in query.prepared:
            sureness = worse(sureness, Sureness.LIKELY)
        remarks: tuple[Remark, ...] = ()
        if verdict.leftover and verdict.sureness != Sureness.SURE:
            remarks = (_left_over(query, verdict.leftover, self.name_of(row.food)),)
            remarks += (not_english(query, row.text),) if half_english(query, verdict.leftover) else ()
        met = row.met if ordered else frozenset()  # "chocolate milk" is not spoken of by a row for milk chocolate
        return Finding(row.food, sureness, f"{row.text}: {row.ground}", remarks, rivals, row.place, row.text, met)

    def _by_spelling(self, query: Query) -> Finding | None:
        """The word lists again, with words joined or parted, then with slips mended."""
        joined = rejoined(query, self.lists)
        if joined and (found := self._by_words_left(joined)) and self._explains(joined, found):
            return found
        if self._bridge and self._bridge.speller.knows(joined or query):
            return None  # no slip of the pen: a word that this table's list lacks
        mended = self.speller.respelled(joined or query)
        if mended is None:
            return None
        better, slips = mended
        found = self._by_words_left(better)
        if found is None or _leaves_over(found):
            return None  # a guess that explains less than the whole name is no better than what was written
        if found.food_id is None:
            return found
        read_as = ", ".join(say("link.read-word", word=quoted(word), near=quoted(near)) for word, near in slips)
        remark = Remark(Code.READ_AS, say("link.read-as", name=brief(query.name), words=read_as))
        return replace(found, sureness=worse(found.sureness, Sureness.LIKELY), remarks=(remark, *found.remarks))

    @property
    def speller(self) -> Speller:
        """Known spellings, gathered when first asked."""
        if not self._spellers:
            self._spellers.append(
                Speller(self.lists.counts or dict.fromkeys(index_of(self.table).unbranded_words(), 1))
            )
        return self._spellers[0]

    def _by_meaning(self, query: Query) -> Finding | None:
        """The food of ours that is what another table's word lists say is meant."""
        return self._beside.nearest(query) if self._beside else None

    def _by_index(self, query: Query) -> Finding | None:
        """The table's own names, British words put into the table's first."""
        if len(query.head) < 2 or not telling(query.tokens, ("any", "front")):
            return None
        index = index_of(self.table)
        hits = index.search(self._translated(query, index), query.attributes)
        refused = False
        for hit in hits[:5]:
            finding = self._from_hit(query, index, hit, hits)
            kept = self._beside.doubted(query, finding) if finding and self._beside else finding
            if kept and (kept is finding or not refused):
                return kept
            refused = refused or finding is not None  # what follows a food far off is taken only if it agrees
        return None

    def _translated(self, query: Query, index: Index) -> tuple[str, ...]:
        """The words that tell, those the table does not know replaced by its name for that food."""
        found: list[str] = []
        telling = [t for t in query.tokens if (t,) not in filler()["any"] and (t,) not in filler()["front"]]
        for token in telling or query.tokens:
            row = None if index.weight(token) < UNKNOWN else self.lists.single(token)
            if row is not None and row.food in self.table:
                found.extend(table_words(self.name_of(row.food))[:3])
            else:
                found.append(token)
        return tuple(found)

    def _from_hit(self, query: Query, index: Index, hit: Near, hits: Sequence[Near]) -> Finding | None:
        """A hit of the index as a finding; None when it leaves out what the thing is."""
        table, name = index.table, index.table.names[hit.row]
        row = self.lists.single(query.head)
        head_names = set(table_words(self.name_of(row.food))[:3]) if row and row.food in self.table else set()
        met = index.met(hit.row)
        if query.head not in met and not (head_names and met >= head_names):
            return None
        met = met | {query.head}
        verdict = judge(
            query, met, lambda word: self._resembles(word, table.ids[hit.row], index.tokens[hit.row][0], Sureness.SURE)
        )
        if verdict.refused or hit.cover < LEAST_COVER or hit.score < LEAST_SCORE:
            return None
        near = [h for h in hits if h.score > hit.score - NEAR and h.row != hit.row]
        settled = all(self._agree(table.ids[hit.row], table.ids[h.row]) for h in near)
        whole = settled and hit.cover > 0.95 and not verdict.leftover
        firm = whole and not unasked_dry(met, query) and not unasked_thing(name, {*query.tokens})
        sureness = Sureness.LIKELY if firm else Sureness.DOUBTFUL
        remarks: tuple[Remark, ...] = (_left_over(query, verdict.leftover, name),) if verdict.leftover else ()
        if not (in_english(table) and (self._bridge is None or is_known(query))):
            remarks += (not_english(query, name),)
        why = say("link.nearest" if settled else "link.nearest-of-several")
        return Finding(table.ids[hit.row], worse(sureness, verdict.sureness), why, remarks)

    # -- after a food is found ------------------------------------------------------------------------

    def _at_percentage(self, query: Query, finding: Finding) -> Finding:
        """The finding at the percentage that the line states, if it states one."""
        if not query.percents or finding.food_id is None:
            return finding
        like = self._bridge.mixer.ladder(self._bridge.settle(query).food_id) if self._bridge else None
        ladder = self.mixer.ladder(finding.food_id)
        return kept_to(query, finding, self.food(finding.food_id), ladder, like, self.mixer)

    def runners_up(self, query: Query, finding: Finding, food: Food | None) -> tuple[Candidate, ...]:
        """The next best, without doubles: foods other rows name, then the index asked with all words known."""
        if not self._alternatives:
            return ()
        found = {
            food_id: Candidate(food_id, self.name_of(food_id), round(0.9 - 0.05 * i, 3))
            for i, food_id in enumerate(islice(filter(self.__contains__, finding.rivals), 2))
        }
        for candidate in self._from_index(query, finding, food):
            found.setdefault(candidate.food_id, candidate)
        if food is not None:
            found.pop(food.food_id, None)
        return tuple(found.values())[:ALTERNATIVES]

    def _from_index(self, query: Query, finding: Finding, food: Food | None) -> tuple[Candidate, ...]:
        """What the index has near: to the food itself where that is sure, else to all words of the name too."""
        if food is None or finding.sureness != Sureness.SURE:
            named = table_words(food.name)[:3] if food else ()
            return self._candidates(query, (*self._translated(query, index_of(self.table)), *named))
        if food.food_id not in self._neighbours:
            self._neighbours[food.food_id] = self._candidates(NO_QUERY, table_words(food.name)[:4])
        return self._neighbours[food.food_id]

    def _candidates(self, query: Query, tokens: Sequence[str]) -> tuple[Candidate, ...]:
        """The best hits for some words that the guard words of the name do not rule out."""
        index, names, ids = index_of(self.table), self.table.names, self.table.ids
        hits = index.search(tokens, query.attributes, ALTERNATIVES + 2, LOOSE)
        if guarded(query, frozenset()):
            hits = [hit for hit in hits if not guarded(query, frozenset(index.tokens[hit.row]))]
        return tuple(Candidate(ids[hit.row], names[hit.row], round(hit.score, 3)) for hit in hits)


NO_QUERY = read("", None, "")
UNKNOWN = 8.0  # weight of a word that a table of some thousand names holds at most a few times


def table_name(table: FoodTable) -> str:
    """The short name of a table: its file's, "usda-sr"."""
    return table.path.name.removesuffix(".foods.parquet")


def salt_remark(name: str, printed: float, of_sodium: float) -> Remark:
    """What is said of a food whose table prints two salts [g/100 g]."""
    figures = {"printed": f"{printed:.2g} g", "sodium": f"{of_sodium:.2g} g"}
    return Remark(Code.SALT_AND_SODIUM, say("link.salt-and-sodium", food=brief(name), **figures))


def _leaves_over(found: Finding) -> bool:
    """Whether a finding leaves words of the name over."""
    return any(remark.code == Code.WORDS_LEFT_OVER for remark in found.remarks)


def _left_over(query: Query, leftover: Iterable[str], name: str) -> Remark:
    said = " ".join(leftover)
    return Remark(
        Code.WORDS_LEFT_OVER,
        say("link.words-left-over", name=brief(query.name), food=quoted(brief(name)), words=quoted(said)),
    )
