"""Lines parsed a second on one core: ``python -m tests.benchmarks.bench_lines [FILE]``.

Without a file the project's own gold lines are used. Every line is parsed cold (the parser keeps no memory of
lines), and no line is measured twice in a pass: each pass numbers the lines anew.
"""

from __future__ import annotations

import csv
import sys
import time
from pathlib import Path

from nutrilab.lines import parse_line

OWN = Path(__file__).parents[1] / "gold" / "lines.csv"
PASSES = 7


def texts(arguments: list[str]) -> list[str]:
    """The lines to parse: those of a text file, else our own gold lines."""
    if arguments:
        return [line for line in Path(arguments[0]).read_text(encoding="utf-8").splitlines() if line.strip()]
    with OWN.open(encoding="utf-8", newline="") as file:
        return [row["text"] for row in csv.DictReader(line for line in file if not line.startswith("#"))]


def main(arguments: list[str]) -> None:
    lines = texts(arguments)
    times = []
    for turn in range(PASSES):
        distinct = [f"{line}, turn {turn} of line {number}" for number, line in enumerate(lines)]
        start = time.perf_counter()
        for line in lines:
            parse_line(line)
        plain = time.perf_counter() - start
        start = time.perf_counter()
        for line in distinct:
            parse_line(line)
        times.append((plain, time.perf_counter() - start))
    plain, distinct_time = (min(column) for column in zip(*times, strict=True))
    print(f"{len(lines)} lines: {len(lines) / plain:,.0f} a second as written,", end=" ")
    print(f"{len(lines) / distinct_time:,.0f} a second made distinct by a longer text")


if __name__ == "__main__":
    main(sys.argv[1:])
