"""How sure it is that a food is the one meant."""

from __future__ import annotations

from enum import StrEnum


class Sureness(StrEnum):
    """From sure to none, in order; the word is that of the records."""

    SURE = "sure"
    LIKELY = "likely"
    DOUBTFUL = "doubtful"
    NONE = "none"

    def __repr__(self) -> str:
        return repr(self.value)

    @property
    def stands(self) -> bool:
        """Whether a food that sure may be taken at its word."""
        return self in (Sureness.SURE, Sureness.LIKELY)


ORDER = tuple(Sureness)
_DOUBT = {sureness: place for place, sureness in enumerate(ORDER)}


def doubt(sureness: Sureness) -> int:
    """0 for sure, more for less."""
    return _DOUBT[sureness]


def worse(one: Sureness, other: Sureness) -> Sureness:
    """The less sure of two."""
    return max(one, other, key=doubt)
