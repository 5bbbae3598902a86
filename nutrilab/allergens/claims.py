"""What a claim in a line takes away: "gluten-free", "vegan", "without nuts"; and how far it reaches.

A claim reaches the food it stands before, or the food it stands behind in brackets or after a comma, never
across "and", "or", "with": "vegan butter or milk" has milk. Where it is only a wish ("gluten-free if needed")
or the food before "or" may be the ordinary one ("plain or gluten-free flour"), it takes nothing away.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nutrilab.allergens.choices import ordinary
from nutrilab.allergens.rules import Hit

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

    def covers(self, hit: Hit) -> bool:
        """Whether a hit lies in what the claim reaches."""
        return any(start <= hit.start and hit.end <= end for start, end in self.reaches)


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
        self.tokens, self.chunks, self.taken = tokens, chunks, taken

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
        return any(i not in self.taken and not self.tokens[i].isdigit() for i in range(start, end))

    def _only_a_wish(self, hit: Hit, number: int) -> bool:
        chunk = self.chunks[number]
        following = self.chunks[number + 1].start if number + 1 < len(self.chunks) else None
        words = self.tokens[hit.end : chunk.end]
        after = self.tokens[chunk.end : chunk.end + 1]
        return (
            "if" in words
            or (not words and after == [":"])  # "fish sauce (vegan: soy sauce)"
            or (following is not None and self.tokens[following] == "if")
            or (hit.start > 0 and self.tokens[hit.start - 1] in _DENIED)
        )

    def _ordinary_one_will_do(self, number: int) -> bool:
        chunk = self.chunks[number]
        if chunk.opener == "or" and number > 0 and self.tokens[self.chunks[number - 1].end - 1] in ordinary():
            return True
        following = self.chunks[number + 1 : number + 2]
        return bool(following) and following[0].opener == "or" and self._all_ordinary(following[0])

    def _all_ordinary(self, chunk: Chunk) -> bool:
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
        end = following[0].end
        while end < len(self.tokens) and self.tokens[end] not in (")", "]"):
            end += 1
        return [(following[0].start, end)]
