"""Several foods in one line: "salt and pepper", "olive oil or butter", "sesame and sunflower seeds"."""

from __future__ import annotations

import re
from functools import lru_cache

from nutrilab.lexicon import is_name
from nutrilab.lines.words import (
    ADJECTIVE,
    ADVERB,
    COMPOUND,
    NO_FOOD,
    NO_OPTION,
    PAIRS,
    PARTS,
    PREPARED,
    PREPARED_LAST,
    SHARED,
    SPREADS,
    STATE,
    TAIL,
    describes,
    of_what_kind,
)
from nutrilab.text import words

_BETWEEN = re.compile(r"\s(?:and/or|and|&|\+|plus|or)\s|\s?/\s?(?=[^\W\d])|,\s(?:and\s|or\s)?", re.IGNORECASE)
_OR = re.compile(r"\s(?:or|and/or)\s|/", re.IGNORECASE)
_PAIRS = tuple((f" {pair} ", alone) for pair, alone in PAIRS)
_SIGNS = (" and ", " or ", "&", "+", "/", " plus ")
_NEVER = 7  # stretches, one more than the longest list has
_NOT_WITH_A_STAPLE = frozenset(
    "syrup oil sauce juice stock powder paste pepper".split()
)  # "sugar or maple syrup" is sugar
_STANDS_ALONE = frozenset("salt pepper sugar water oil butter milk honey flour cheese egg wine cream stock".split())


@lru_cache(maxsize=16384)
def foods(name: str) -> tuple[tuple[str, ...], bool]:
    """The foods of a name and whether they are alternatives; one food is (name,), False."""
    low = name.lower()
    if not any(map(low.__contains__, _SIGNS)) or _one_food(low):
        return (name,), False
    choice = _OR.search(low) is not None
    pieces = [piece.strip() for piece in _BETWEEN.split(name) if piece.strip()]
    says = of_what_kind if choice else describes  # "fresh or frozen peas"; "boneless and skinless thighs"
    if all(says(word) for piece in pieces[:-1] for word in piece.lower().split()) and (choice or not shares_head(name)):
        return (name,), False
    pieces = [
        piece for piece in pieces if not all(word in NO_FOOD or word in NO_OPTION for word in piece.lower().split())
    ]
    if len(pieces) < 2:
        return (pieces[0] if pieces else name,), False
    names = tuple(dict.fromkeys(_bare(piece) for piece in _spread(_with_heads(pieces))))
    return names, choice and len(names) > 1


def listed(tails: list[str]) -> int:
    """How many comma-divided stretches after a name go on with a list of foods that ends in "or" ("and").

    "brandy, cognac, rum or whisky" -> 2; "chicken broth, fresh or canned" -> 0.
    """
    for count, tail in enumerate(tails[: _NEVER - 1], 1):
        ends = _ends_list(tail)
        if ends:
            return count if count >= ends else 0
    return 0


@lru_cache(maxsize=4096)
def _ends_list(tail: str) -> int:
    """From how many stretches on this one ends a list of foods, more than any has if never; 0: the list goes on."""
    words = _before_tail(tail.lower().split())
    if not words or len(words) > 8 or not all(_may_name(word) for word in words):
        return _NEVER
    if "or" in words or "and" in words or "&" in words:
        pieces = [p.split() for p in _BETWEEN.split(" ".join(words)) if p.strip()]
        if any(all(word in ADJECTIVE or word in STATE for word in piece) for piece in pieces[-1:]):
            return _NEVER
        return 1 if len(pieces) > 1 else 2
    return _NEVER if all(word in ADJECTIVE or word in STATE for word in words) else 0


def enumerated(head: str, tails: list[str]) -> int:
    """How many comma-divided stretches after ``head`` go on with a list of names that ends in neither "or" nor "and".

    "parsley, herbes de provence, salt, pepper" -> 3; a name and one more ("pork, loin") are no list: 0.
    """
    count = 0
    for tail in tails:
        own = tail.lower().split()
        loose = all(word in ADJECTIVE or word in STATE or word in PREPARED for word in own)
        if loose or not all(_may_name(word) for word in own) or not _is_known(tail):
            break
        count += 1
    return count if count > 1 and _is_known(head) else 0


def _is_known(text: str) -> bool:
    return is_name(words(text)) or is_name(text.lower().split())


def _before_tail(words: list[str]) -> list[str]:
    """The words up to a purpose or the like: "oil or lard for frying" -> oil or lard."""
    for at in range(len(words)):
        if TAIL.longest(words, at):
            return words[:at]
    return words


def _may_name(word: str) -> bool:
    return not (
        word in PREPARED_LAST
        or (word in ADVERB and word not in ("very", "well"))
        or word in PARTS
        or any(c.isnumeric() for c in word)
    )


def shares_head(text: str) -> bool:
    """Whether the last food of a list lends its last word to the first ("chicken, beef or lamb stock")."""
    pieces = [piece.strip() for piece in _BETWEEN.split(text) if piece.strip()]
    return len(pieces) > 1 and any(_modifies(pieces[0], SHARED.get(h.lower(), frozenset())) for h in _heads(pieces))


def _one_food(low: str) -> bool:
    """A fixed pair, or a product named by two foods ("cheese and onion crisps")."""
    spaced = f" {low.replace('&', 'and')} "
    for pair, alone in _PAIRS:
        if pair in spaced and (alone or (spaced.find(pair) + len(pair) < len(spaced) and not shares_head(low))):
            return True
    return low.count(" and ") == 1 and "," not in low and low.rsplit(" ", 1)[-1] in COMPOUND


def _heads(pieces: list[str]) -> list[str]:
    """The last words of a list that the others may share, longest first."""
    last = pieces[-1].split()
    return [" ".join(last[-length:]) for length in (2, 1) if length < len(last)]


def _with_heads(pieces: list[str]) -> list[str]:
    """Give every piece the last word it shares: "beef", "vegetable stock" -> "beef stock", "vegetable stock"."""
    heads = _heads(pieces)
    found = []
    for piece in pieces[:-1]:
        head = next((h for h in heads if _modifies(piece, SHARED.get(h.lower(), frozenset()))), "")
        if not head and heads and _makes_a_name(piece, heads[-1]):
            head = heads[-1]
        found.append(f"{piece} {head}" if head else piece)
    return [*found, pieces[-1]]


def _makes_a_name(piece: str, head: str) -> bool:
    """Whether a piece and the last word of the list are a name together: "corn (tortillas) or flour tortillas".

    A staple that stands alone ("butter or olive oil"), a plural and what has the head already keep to themselves.
    """
    own, shared = words(piece), words(head)
    if not own or not shared:
        return False
    last = piece.lower().split()[-1]
    alone = (own[-1] in _STANDS_ALONE and shared[-1] in _NOT_WITH_A_STAPLE) or last != own[-1] or own[-1] == shared[-1]
    return not alone and is_name((*own, *shared))


def _modifies(piece: str, modifiers: frozenset[str]) -> bool:
    words = piece.lower().split()
    return any(" ".join(words[-length:]) in modifiers for length in (1, 2, 3))


def _spread(pieces: list[str]) -> list[str]:
    """ "ground cumin", "coriander" -> "ground cumin", "ground coriander"."""
    first = pieces[0].split()
    if len(first) < 2 or first[0].lower() not in SPREADS:
        return pieces
    word = first[0].lower()
    return pieces[:1] + [p if " " in p or p.lower() in _STANDS_ALONE else f"{word} {p}" for p in pieces[1:]]


def _bare(piece: str) -> str:
    """A piece without the work done on it: "chopped mint" -> "mint"; freshly ground pepper stays so."""
    words = piece.split()
    while len(words) > 1 and words[0].lower() in PREPARED and "ground" not in words[0].lower():
        words = words[1:]
    return " ".join(words)
