"""What "or" leaves unsaid: "Greek or coconut yoghurt" is Greek yoghurt, or coconut yoghurt.

Words that mislead ("coconut yoghurt" is no milk) must not hide the other half of a choice. Where a word for the
ordinary kind of a food (``data/allergens/ordinary.csv``) stands alone on the other side of "or", its half is spelt
out in full, to be read like the rest of the line.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from nutrilab.allergens.values import Hit
from nutrilab.datafiles import rows

_CHOICE = frozenset("or / and &".split())
_ON = frozenset("for to if with as".split())  # where a line goes on after a choice
_MOST = 3  # halves spelt out before one "or": "whole, Greek or coconut yoghurt"
_LONGEST = 12  # words of one half


@cache
def ordinary() -> frozenset[str]:
    """Words for the ordinary kind of a food, in the singular."""
    return frozenset(word for row in rows("allergens/ordinary.csv") for word in row["words"].split("|"))


def left_unsaid(tokens: Sequence[str], hits: Sequence[Hit]) -> list[str]:
    """Tokens to add behind ``tokens``, each half of a choice with a comma before it: ", greek yoghurt".

    hits: what the rules find in the tokens; only words that mislead can hide a half.
    """
    if _CHOICE.isdisjoint(tokens):
        return []
    added: dict[tuple[str, ...], None] = {}
    claimed = {i for hit in hits if hit.rule.kind == "claim" for i in range(hit.start, hit.end)}
    for hit in hits:
        if hit.rule.kind == "misleads" and hit.end - hit.start > 1:
            begin = _behind_claims(hit.start, claimed)
            for half in (*_before(tokens, begin), *_after(tokens, hit.end), *_in_brackets(tokens, hit)):
                added[(",", *half, tokens[hit.end - 1])] = None
    return [token for half in added for token in half]


def _behind_claims(start: int, claimed: set[int]) -> int:
    """Where the words that mislead begin, with the claims before them: "dairy-free coconut yoghurt"."""
    while start - 1 in claimed:
        start -= 1
    return start


def _before(tokens: Sequence[str], start: int) -> list[Sequence[str]]:
    """The halves before an "or" that stands before ``start``."""
    found: list[Sequence[str]] = []
    end = start - 1
    if end < 1 or tokens[end] not in _CHOICE:
        return found
    while end > 0 and len(found) < _MOST:
        begin = end
        while begin > 0 and end - begin < _LONGEST and tokens[begin - 1].isalnum() and tokens[begin - 1] not in _CHOICE:
            begin -= 1
        if begin < end and tokens[end - 1] in ordinary():
            found.append(tokens[begin:end])
        if begin == 0 or tokens[begin - 1] != ",":
            break
        end = begin - 1
    return found


def _after(tokens: Sequence[str], end: int) -> list[Sequence[str]]:
    """The half behind an "or" that leaves the food out: "coconut yoghurt or Greek", "rice flour (or plain)"."""
    if tokens[end : end + 1] == ["("]:
        end += 1
    if end >= len(tokens) or tokens[end] not in _CHOICE:
        return []
    begin = last = end + 1
    while last < len(tokens) and tokens[last] in ordinary():
        last += 1
    ends = last == len(tokens) or not tokens[last].isalnum() or tokens[last] in _ON
    return [tokens[begin:last]] if last > begin and ends else []


def _in_brackets(tokens: Sequence[str], hit: Hit) -> list[Sequence[str]]:
    """The half in brackets inside the words that mislead: "rice (or egg) noodles"."""
    if hit.gap is None:
        return []
    start, end = hit.gap
    inside = tokens[start + 1 : end - 1][:_LONGEST]
    return [inside[1:]] if len(inside) > 1 and inside[0] in _CHOICE and inside[-1] in ordinary() else []
