"""nutrilab with recipes that end their worker, by the name of the dish; workers read this file too and do the same.

Started as a program of its own by test_faults.py.
"""

from __future__ import annotations

import faulthandler
import os
import signal
import time
from collections.abc import Callable
from typing import Any

from nutrilab.folder import Folder


def out_of_time() -> None:
    """The clock of a worker, set forward."""
    faulthandler.dump_traceback_later(0.1, exit=True)
    time.sleep(60)


def no_memory() -> None:
    raise MemoryError


ENDS: dict[str, Callable[[], Any]] = {
    "segfault": lambda: os.kill(os.getpid(), signal.SIGSEGV),
    "killed": lambda: os.kill(os.getpid(), signal.SIGKILL),
    "bug": lambda: [][0],
    "memory": no_memory,
    "late": out_of_time,
}
_dishes: Callable[..., Any] = Folder.dishes


def dishes(self: Folder, recipes: Any, errors: Any = "raise") -> Any:
    for one in recipes:
        ENDS.get(one.dish, lambda: None)()
    return _dishes(self, recipes, errors)


if __name__ in ("__main__", "__mp_main__"):  # the program, and a worker that reads this file again
    Folder.dishes = dishes  # type: ignore[method-assign]

if __name__ == "__main__":
    from nutrilab.cli import main

    main()
