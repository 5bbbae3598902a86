"""How many steps a function takes: opcodes of Python, counted. Unlike time they are the same on every machine and run.

What happens inside C code (a regular expression, a slice) is not counted; `tests.benchmarks.bench_hostile` times that.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from types import FrameType
from typing import Any


def steps(function: Callable[..., object], *arguments: object) -> int:
    """The opcodes that run while a function does."""
    count = 0

    def trace(frame: FrameType, event: str, _: Any) -> Any:
        nonlocal count
        if event == "opcode":
            count += 1
        elif event == "call":
            frame.f_trace_opcodes = True
            frame.f_trace_lines = False
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        function(*arguments)
    finally:
        sys.settrace(before)
    return count


def growth(function: Callable[[Any], object], of: Callable[[int], Any], size: int, times: int = 4) -> float:
    """By how much steps grow when what is given is ``times`` as large: about ``times`` in proportion.

    of: makes what is given, of a size; each call must make something new, so that nothing is remembered.
    """
    small = steps(function, of(size))
    return steps(function, of(size * times)) / max(small, 1)
