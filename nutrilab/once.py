"""What is worked out once: of a frozen value, in a bounded memory; and many things at a time."""

from __future__ import annotations

import gc
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from functools import wraps
from threading import Lock
from typing import Any, Generic, Protocol, TypeVar


class Worked(Protocol):
    """A frozen value that keeps what was worked out of it; that is no part of the value."""

    @property
    def worked(self) -> dict[object, Any]:
        """Function -> its result."""


Thing = TypeVar("Thing", bound=Worked)
Result = TypeVar("Result")
Key = TypeVar("Key", bound=Hashable)


def once(work: Callable[[Thing], Result]) -> Callable[[Thing], Result]:
    """A pure function of a frozen value, worked out once for each."""

    @wraps(work)
    def found(thing: Thing) -> Result:
        try:
            result: Result = thing.worked[work]
        except KeyError:
            result = thing.worked[work] = work(thing)
        return result

    return found


class Remembered(Generic[Key, Result]):
    """A memory of so many things at most; what was not asked for longest is forgotten first."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._things: dict[Key, Result] = {}
        self._alone = Lock()

    def __len__(self) -> int:
        return len(self._things)

    def get(self, key: Key) -> Result | None:
        """What is remembered under a key; None where nothing is."""
        with self._alone:
            found = self._things.pop(key, None)
            if found is not None:
                self._things[key] = found
        return found

    def keep(self, key: Key, thing: Result) -> None:
        """Remember a thing."""
        with self._alone:
            if len(self._things) >= self.most and key not in self._things:
                del self._things[next(iter(self._things))]
            self._things[key] = thing


@contextmanager
def many() -> Iterator[None]:
    """Python's search for circles held back: cooking makes none, and to look for some through all that is remembered
    takes as long as the cooking.
    """
    searching = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if searching:
            gc.enable()
