"""Several foods in one line: "salt and pepper", "olive oil or butter", "sesame and sunflower seeds"."""

from __future__ import annotations

import re

from nutrilab.line_words import COMPOUND, PAIRS, PREPARED, SHARED, STATE

_AND = re.compile(r"\s(?:and|&|\+|plus|and/or|or|/)\s|\s?/\s?(?=[^\W\d])|,\s", re.IGNORECASE)
_OR = re.compile(r"\s(?:or|and/or)\s|/", re.IGNORECASE)


def foods(name: str) -> tuple[tuple[str, ...], bool]:
    """The foods of a name and whether they are alternatives; one food is (name,), False."""
    low = name.lower()
    if " and " not in low and " or " not in low and not any(sign in low for sign in ("&", "+", "/", " plus ", "and/or")):
        return (name,), False
    if _one_food(low):
        return (name,), False
    pieces = [piece.strip() for piece in _AND.split(name) if piece.strip()]
    if len(pieces) < 2:
        return (name,), False
    choice = _OR.search(low) is not None
    if choice and all(word in STATE for piece in pieces[:-1] for word in piece.lower().split()):
        return (name,), False
    return tuple(dict.fromkeys(_bare(piece) for piece in _with_heads(pieces))), choice


def _one_food(low: str) -> bool:
    """A fixed pair, or a product named by two foods ("cheese and onion crisps")."""
    if low.endswith(("half and half", "half & half")):
        return True
    last = low.rsplit(" ", 1)[-1]
    if any(pair in low for pair in PAIRS):
        return True
    return " and " in low and last in COMPOUND and low.count(" and ") == 1 and "," not in low


def _with_heads(pieces: list[str]) -> list[str]:
    """Give every piece the last word it shares: "beef", "vegetable stock" -> "beef stock", "vegetable stock"."""
    last = pieces[-1].lower().split()
    for length in (2, 1):
        head = " ".join(last[-length:])
        modifiers = SHARED.get(head)
        if modifiers is None or len(last) <= length:
            continue
        shown = " ".join(pieces[-1].split()[-length:])
        return [f"{p} {shown}" if _modifies(p, modifiers) else p for p in pieces[:-1]] + [pieces[-1]]
    return pieces


def _modifies(piece: str, modifiers: frozenset[str]) -> bool:
    words = piece.lower().split()
    return any(" ".join(words[-length:]) in modifiers for length in (1, 2, 3))


def _bare(piece: str) -> str:
    """A piece without the work done on it: "chopped mint" -> "mint"."""
    words = piece.split()
    while len(words) > 1 and words[0].lower() in PREPARED and words[0].lower() != "ground":
        words = words[1:]
    return " ".join(words)
