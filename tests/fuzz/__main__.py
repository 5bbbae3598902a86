"""``python -m tests.fuzz``: mutated input for some seconds, or so many lines and files; what failed is kept."""

from __future__ import annotations

import argparse
import faulthandler
import hashlib
import re
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path
from random import Random

from tests.fuzz import seeds, targets
from tests.fuzz.mutation import mutated, mutated_bytes

CORPUS = Path(__file__).parent / "corpus"
_FIGURES = re.compile(r"\d[\d.,e+-]*")  # faults that differ in nothing else are one
CURRENT = Path(tempfile.gettempdir()) / "nutrilab-fuzz-current"  # what is tried now, to look at when it never ends
SLOW = 5.0  # [s] beyond which an answer is a hang
SHARES = {"recipes": 8, "pages": 4, "packs": 3, "settings": 1, "decisions": 1, "earlier": 1, "tables": 2}


def some_lines(random: Random) -> Iterator[tuple[str, str]]:
    """Mutated lines and texts of packs, without end."""
    known = seeds.lines()
    labels = (seeds.PACKS.partition("ingredients: ")[2].partition("\n")[0], *known)
    while True:
        yield "lines", mutated(random, random.choice(known), known)
        if random.random() < 0.1:
            yield "labels", mutated(random, random.choice(labels), labels)


def some_files(random: Random, folder: Path) -> Iterator[tuple[str, Path]]:
    """Mutated files of every kind, each written into a folder of its own kind, without end."""
    texts, kinds = seeds.texts(), [kind for kind, share in SHARES.items() for _ in range(share)]
    while True:
        kind = random.choice(kinds)
        if kind == "tables":
            table = random.choice(list(seeds.tables()))
            yield kind, _table(random, folder / kind / table, seeds.tables()[table])
            continue
        name, text = random.choice(texts[kind])
        others = [other for _, other in texts[kind]] + list(seeds.lines()[:50])
        data = mutated(random, text, others).encode("utf-8", "surrogatepass")
        if random.random() < 0.15:
            data = mutated_bytes(random, data)
        yield kind, _written(folder / kind / name, data)


def _table(random: Random, folder: Path, files: dict[str, bytes]) -> Path:
    """The files of a table with one of them mutated."""
    broken = random.choice(list(files))
    for name, data in files.items():
        _written(folder / name, _changed(random, data) if name == broken else data)
    return folder / broken


def _changed(random: Random, data: bytes) -> bytes:
    if data[:2] in (b"PK", b"\xd0\xcf") or random.random() < 0.3:
        return mutated_bytes(random, data)
    text = data.decode("latin-1")
    return (
        mutated(random, text[-8_000:], [text]).encode("latin-1", "replace")
        if len(text) > 8_000
        else (mutated(random, text, [text]).encode("latin-1", "replace"))
    )


def _written(path: Path, data: bytes) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
    return path


def tried(kind: str, what: str | Path) -> list[str]:
    """What is wrong with the answer to one input: faults, a traceback, too long a time."""
    began = time.perf_counter()
    faulthandler.dump_traceback_later(60, exit=True)
    try:
        found = targets.faults_of_text(kind, what) if isinstance(what, str) else targets.faults_of_file(kind, what)
    except Exception as error:
        place = traceback.extract_tb(error.__traceback__)[-1]
        found = [f"{type(error).__name__}: {error} ({Path(place.filename).name}, line {place.lineno})"[:300]]
    finally:
        faulthandler.cancel_dump_traceback_later()
    if (took := time.perf_counter() - began) > SLOW:
        found.append(f"{took:.1f} s")
    return found


def kept(kind: str, what: str | Path) -> Path:
    """Write what failed into the corpus."""
    if isinstance(what, str):
        data, name = what.encode("utf-8", "surrogatepass"), "line.txt"
    else:
        data = what.read_bytes()
        name = f"{what.parent.name.strip()}--{what.name}" if kind == "tables" else what.name
    stem, _, suffix = name.rpartition(".")
    return _written(CORPUS / kind / f"{stem}-{hashlib.sha256(data).hexdigest()[:10]}.{suffix}", data)


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("--seed", type=int, default=13)
    parser.add_argument("--seconds", type=float, help="stop after so many seconds")
    parser.add_argument("--lines", type=int, help="lines to try")
    parser.add_argument("--files", type=int, help="files to try")
    asked = parser.parse_args()
    bounded = asked.lines is not None or asked.files is not None
    until = time.monotonic() + (asked.seconds or (1e9 if bounded else 60.0))
    counts: Counter[str] = Counter()
    failed: Counter[str] = Counter()
    with tempfile.TemporaryDirectory(prefix="nutrilab-fuzz-") as folder:
        lines = islice(some_lines(Random(asked.seed)), asked.lines or 0 if bounded else None)
        files = islice(some_files(Random(asked.seed), Path(folder)), asked.files or 0 if bounded else None)
        slowest, of = _run(_in_turns(lines, files), until, counts, failed)
    print(f"seed {asked.seed}: " + ", ".join(f"{count:,} {kind}" for kind, count in sorted(counts.items())))
    print(f"slowest {slowest:.2f} s ({of}); {sum(failed.values())} failed")
    for fault, count in failed.most_common():
        print(f"  {count} x {fault}")
    return 1 if failed else 0


def _in_turns(lines: Iterator[tuple[str, str]], files: Iterator[tuple[str, Path]]) -> Iterator[tuple[str, str | Path]]:
    """Five lines and a file, and what is left of the one when the other has ended."""
    while True:
        some: list[tuple[str, str | Path]] = [*islice(lines, 5)]
        yield from some
        one = next(files, None)
        if one is not None:
            yield one
        if not some and one is None:
            return


def _run(
    inputs: Iterator[tuple[str, str | Path]], until: float, counts: Counter[str], failed: Counter[str]
) -> tuple[float, str]:
    slowest = (0.0, "")
    tell: Callable[[str], object] = print
    for kind, what in inputs:
        if time.monotonic() > until:
            break
        began = time.perf_counter()
        CURRENT.write_bytes(what.encode("utf-8", "surrogatepass") if isinstance(what, str) else what.read_bytes())
        found = tried(kind, what)
        slowest = max(slowest, (time.perf_counter() - began, kind))
        counts[kind] += 1
        for fault in found:
            alike = f"{kind}: {_FIGURES.sub('N', fault)[:80]}"
            if not failed[alike]:
                tell(f"{kind}: {fault} {kept(kind, what)}")
            failed[alike] += 1
    return slowest


if __name__ == "__main__":
    sys.exit(main())
