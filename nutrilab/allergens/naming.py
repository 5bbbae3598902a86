"""Whether words alone name all of a thing, so that its allergens are known though no food table has it."""

from __future__ import annotations

from functools import lru_cache

from nutrilab.allergens.rules import rulebook
from nutrilab.lines.query import is_filler, kinds

_NAMING = ("contains", "check", "misleads")
_NO_OTHER = frozenset(
    "alternative substitute style hard dry sweet medium sparkling still".split()
)  # make no other thing


@lru_cache(maxsize=4096)
def named_by_words(name: str) -> bool:
    """Whether a rule names the thing and every other word of the name is a state or says nothing ("large", "chopped").

    A word the rules do not know, or one they could only guess at, may make another thing of it.
    """
    reading = rulebook().read(name)
    if reading.doubts or reading.guessed:
        return False
    covered = {i for hit in reading.hits if hit.rule.kind in (*_NAMING, "claim") for i in range(hit.start, hit.end)}
    rest = (token for i, token in enumerate(reading.tokens) if i not in covered and token.isalpha())
    named = any(hit.rule.kind in _NAMING for hit in reading.hits)
    return named and all(is_filler(token) or token in kinds() or token in _NO_OTHER for token in rest)
