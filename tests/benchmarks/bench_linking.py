"""How fast names are linked, beside the plain way: rapidfuzz's WRatio over all names of the table, in the same run.

    python tests/benchmarks/bench_linking.py [LINES.txt]

LINES.txt: one ingredient line a row (500 distinct ones or more make the figures steady); without it, names are made
from the table's own names. Prints distinct cold lines a second, repeated ones, both against the plain way, and the
time until the index is ready. No test: the figures depend on the machine; their ratios hardly.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from rapidfuzz import fuzz, process

from nutrilab.foods import embedded
from nutrilab.lines.query import read
from nutrilab.linking import Linker
from nutrilab.linking.index import Index

PLAIN = 60  # lines given to the plain way, which is slow


def asked(path: str | None) -> list[tuple[str, str | None, str]]:
    """(name, preparation, line) of distinct lines."""
    if path is None:
        parts = (name.lower().split(", ") for name in embedded().names[::9])
        return list(dict.fromkeys((" ".join(reversed(part[:2])), None, "") for part in parts))
    from nutrilab.lines import parse_line

    lines = list(dict.fromkeys(Path(path).read_text(encoding="utf-8").splitlines()))
    parsed = [(parse_line(line), line) for line in lines]
    named = [(p.names[0] if p.names else p.name, p.preparation, line) for p, line in parsed if not p.heading]
    return list({one[0]: one for one in named}.values())


def seconds(work: object) -> float:
    """Processor time of one call [s], which other work on the machine disturbs least."""
    start = time.process_time()
    work()  # type: ignore[operator]
    return time.process_time() - start


def main() -> None:
    table = embedded()
    table.food(table.ids[0])
    queries = asked(sys.argv[1] if len(sys.argv) > 1 else None)
    ready = [seconds(lambda: Index(table).search(("carrot",), frozenset())) for _ in range(5)]
    linker = Linker([table])
    linker.link(read("carrot"))  # the index and the word lists stand; the names below are cold
    cold = seconds(lambda: [linker.link(read(*q)) for q in queries]) / len(queries)
    again = seconds(lambda: [linker.link(read(*q)) for q in queries * 20]) / len(queries) / 20
    fresh = [(name, preparation, f"{line} (for the hall)") for name, preparation, line in queries]
    moved = seconds(lambda: [linker.link(read(*q)) for q in fresh]) / len(queries)
    plain_asked = [q[0] for q in queries[:: max(1, len(queries) // PLAIN)]]
    names = table.names
    plain = seconds(lambda: [process.extractOne(n, names, scorer=fuzz.WRatio) for n in plain_asked]) / len(plain_asked)
    print(f"index ready                       {min(ready) * 1e3:8.1f} ms (best of 5; worst {max(ready) * 1e3:.1f})")
    print(f"plain way, {len(plain_asked):4} lines             {1 / plain:8.0f} lines/s")
    print(f"cold, {len(queries):5} distinct lines       {1 / cold:8.0f} lines/s  {plain / cold:7.0f} x")
    print(f"known names in new lines          {1 / moved:8.0f} lines/s  {plain / moved:7.0f} x")
    print(f"repeated lines                    {1 / again:8.0f} lines/s  {plain / again:7.0f} x")


if __name__ == "__main__":
    main()
