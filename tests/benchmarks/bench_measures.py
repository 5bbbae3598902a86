"""How fast lines are weighed, alone and after being parsed.

    python tests/benchmarks/bench_measures.py [LINES.txt]

LINES.txt: one ingredient line a row; without it, lines are made from units and names of the data files. Prints
lines a second for lines met for the first time, for the same lines again, and for parsing and weighing together.
Foods are linked beforehand. No test: the figures depend on the machine.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from nutrilab.datafiles import rows
from nutrilab.foods import embedded
from nutrilab.lexicon import spelt_out
from nutrilab.lines import parse_line
from nutrilab.lines.query import read
from nutrilab.linking import Linker
from nutrilab.measures import weigh


def texts(path: str | None) -> list[str]:
    """Lines to weigh."""
    if path:
        return [line for line in Path(path).read_text(encoding="utf-8").splitlines() if line.strip()]
    names = [
        text for row in rows("kinds.csv") for text in spelt_out(row["words"]) if ":" not in text and "-" not in text
    ]
    amounts = ("2 tbsp", "150 g", "3", "a handful of", "1 x 400g tin", "200 ml", "1/2 tsp", "2 large")
    return [f"{amounts[i % len(amounts)]} {name}, finely chopped" for i, name in enumerate(dict.fromkeys(names))]


def main() -> None:
    written = texts(sys.argv[1] if len(sys.argv) > 1 else None)
    linker = Linker([embedded()])
    asked = []
    for line in map(parse_line, written):
        for name in line.names[:1]:
            asked.append((line, name, linker.link(read(name, line.preparation, line.text)).food))
    start = time.perf_counter()
    for text in ("1 tbsp oil", "1 onion", "1 bunch parsley", "1 tin beans", "1 kg mussels", "salt"):
        weigh(parse_line(text), text.split()[-1], None)
    ready = time.perf_counter() - start
    start = time.perf_counter()
    for one in asked:
        weigh(*one)
    cold = time.perf_counter() - start
    start = time.perf_counter()
    for _ in range(5):
        for one in asked:
            weigh(*one)
    warm = (time.perf_counter() - start) / 5
    start = time.perf_counter()
    for line, name, food in asked:
        weigh(parse_line(line.text), name, food)
    both = time.perf_counter() - start
    print(f"{len(asked)} lines")
    print(f"ready (data files and pint)  {ready * 1e3:8.0f} ms")
    print(f"weigh, each for the first time {len(asked) / cold:6.0f} lines/s")
    print(f"weigh, again                 {len(asked) / warm:8.0f} lines/s")
    print(f"parse and weigh              {len(asked) / both:8.0f} lines/s")


if __name__ == "__main__":
    main()
