"""What a claim in a line takes away: "gluten-free", "vegan", "without nuts"; and how far it reaches.

A claim reaches the food it stands before, or the food it stands behind in brackets or after a comma, never
across "and", "or", "with": "vegan butter or milk" has milk. Where it is only a wish ("gluten-free if needed")
or the food before "or" may be the ordinary one ("plain or gluten-free flour"), it takes nothing away.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import accumulate

from nutrilab.allergens.choices import ordinary
from nutrilab.allergens.values import Hit, Rule

_JOINERS = frozenset("and or with plus in for from on served over then".split())
_BEHIND = frozenset("( [ , for".split())  # a claim alone after one of these speaks of what stands before
_STRONGER = frozenset("( [ or".split())  # of two joiners side by side, the one that counts
_EXAMPLES = frozenset("such eg ie like example".split())
_DENIED = frozenset("not non".split())


@dataclass(frozen=True, slots=True)
class Chunk:
    """Tokens ``start`` to ``end`` (exclusive) between joining words or punctuation marks; opener: the one before."""

    start: int
    end: int
    opener: str


@dataclass(frozen=True, slots=True)
class Claim:
    """A claim that holds: the hit and the stretches of tokens (start, end exclusive) it reaches."""

    hit: Hit
    reaches: tuple[tuple[int, int], ...]


class Holding:
    """The claims that hold in a text, to ask what they leave of a hit; a text may hold thousands of both."""

    def __init__(self, holding: Iterable[Claim]) -> None:
        found: dict[int, tuple[Rule, list[tuple[int, int]]]] = {}  # claims of one rule do the same
        for claim in holding:
            rule = claim.hit.rule
            found.setdefault(id(rule), (rule, []))[1].extend(claim.reaches)
        self._of: dict[str, list[tuple[Rule, list[int], list[int]]]] = {}
        for rule, reaches in found.values():
            reaches.sort()
            ends = list(accumulate((end for _, end in reaches), max))  # the furthest of all that begin so far
            self._of.setdefault(rule.allergen, []).append((rule, [start for start, _ in reaches], ends))

    @property
    def allergens(self) -> Collection[str]:
        """The allergens that some claim takes away somewhere."""
        return self._of.keys()

    def reaching(self, allergen: str, hit: Hit) -> list[Rule]:
        """The claims of an allergen that reach a hit, in the order of the text, each once."""
        return [rule for rule, starts, ends in self._of.get(allergen, ()) if _covered(starts, ends, hit)]


def _covered(starts: list[int], ends: list[int], hit: Hit) -> bool:
    """Whether a hit lies in one of some stretches: their starts in order, the furthest end of those up to each."""
    before = bisect_right(starts, hit.start)
    return before > 0 and ends[before - 1] >= hit.end


def claims(tokens: Sequence[str], hits: Sequence[Hit]) -> list[Claim]:
    """The claims among the hits that take something away, with their reach."""
    said = [hit for hit in hits if hit.rule.kind == "claim"]
    if not said:
        return []
    taken = {i for hit in said for i in range(hit.start, hit.end)}
    chunks = _chunks(tokens, taken)
    at = {i: number for number, chunk in enumerate(chunks) for i in range(chunk.start, chunk.end)}
    reach = _Reach(tokens, chunks, taken)
    found = ((hit, reach.of(hit, at[hit.start])) for hit in said)
    return [Claim(hit, reaches) for hit, reaches in found if reaches]


def _chunks(tokens: Sequence[str], taken: set[int]) -> list[Chunk]:
    chunks, start, opener = [], 0, ""
    for i, token in enumerate(tokens):
        if i not in taken and (token in _JOINERS or not token.isalnum()):
            joiner = "or" if token == "/" else token
            if i > start:
                chunks.append(Chunk(start, i, opener))
                opener = joiner
            elif not opener or joiner in _STRONGER:  # ", or" is an "or"
                opener = joiner
            start = i + 1
    if start < len(tokens):
        chunks.append(Chunk(start, len(tokens), opener))
    return chunks


class _Reach:
    """Works out how far the claims of one text reach."""

    def __init__(self, tokens: Sequence[str], chunks: list[Chunk], taken: set[int]) -> None:
        self.tokens, self.chunks = tokens, chunks
        free = (i not in taken and not token.isdigit() for i, token in enumerate(tokens))
        self._free_before = list(accumulate(free, initial=0))
        self._if = _next(tokens, ("if",))
        self._close = _next(tokens, (")", "]"))
        self._all_ordinary = cache(self._is_all_ordinary)  # of a chunk: claims of one chunk ask it again and again

    def of(self, hit: Hit, number: int) -> tuple[tuple[int, int], ...]:
        """Stretches that a claim in chunk ``number`` holds for; none if it does not hold at all."""
        chunk = self.chunks[number]
        if self._only_a_wish(hit, number) or self._ordinary_one_will_do(number):
            return ()
        before = self._free(chunk.start, hit.start)
        after = self._free(hit.end, chunk.end)
        if after:
            return ((hit.end, chunk.end), *self._examples(number))
        if before:
            return ((chunk.start, hit.start), *self._examples(number))
        if chunk.opener in _BEHIND and number > 0:
            return self._behind(number)
        following = self.chunks[number + 1 : number + 2]
        if following and following[0].opener == "and":  # "gluten-free and vegan brownies"
            return ((following[0].start, following[0].end),)
        return ()

    def _free(self, start: int, end: int) -> bool:
        """Whether a word that is no claim and no number stands there."""
        return start < end and self._free_before[end] > self._free_before[start]

    def _only_a_wish(self, hit: Hit, number: int) -> bool:
        chunk = self.chunks[number]
        following = self.chunks[number + 1].start if number + 1 < len(self.chunks) else None
        after = self.tokens[chunk.end : chunk.end + 1]
        return (
            self._if[hit.end] < chunk.end
            or (hit.end >= chunk.end and after == [":"])  # "fish sauce (vegan: soy sauce)"
            or (following is not None and self.tokens[following] == "if")
            or (hit.start > 0 and self.tokens[hit.start - 1] in _DENIED)
        )

    def _ordinary_one_will_do(self, number: int) -> bool:
        chunk = self.chunks[number]
        if chunk.opener == "or" and number > 0 and self.tokens[self.chunks[number - 1].end - 1] in ordinary():
            return True
        following = self.chunks[number + 1 : number + 2]
        return bool(following) and following[0].opener == "or" and self._all_ordinary(following[0])

    def _is_all_ordinary(self, chunk: Chunk) -> bool:
        return all(self.tokens[i] in ordinary() for i in range(chunk.start, chunk.end))

    def _behind(self, number: int) -> tuple[tuple[int, int], ...]:
        """What stands before a claim alone; "suitable" is no food."""
        previous = self.chunks[number - 1]
        if number > 1 and self.tokens[previous.start : previous.end] == ["suitable"]:
            previous = self.chunks[number - 2]
        return ((previous.start, previous.end),)

    def _examples(self, number: int) -> list[tuple[int, int]]:
        """ "dairy-free butter (such as sunflower spread)": the brackets speak of the same thing."""
        following = self.chunks[number + 1 : number + 2]
        if not following or following[0].opener not in "([," or self.tokens[following[0].start] not in _EXAMPLES:
            return []
        return [(following[0].start, self._close[following[0].end])]


def _next(tokens: Sequence[str], wanted: Collection[str]) -> list[int]:
    """For each place, and the one behind the last, where the next of some tokens stands; the end if there is none."""
    found = [len(tokens)] * (len(tokens) + 1)
    for i in range(len(tokens) - 1, -1, -1):
        found[i] = i if tokens[i] in wanted else found[i + 1]
    return found
