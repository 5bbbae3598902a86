"""Imports killed at random moments, two at once, and read meanwhile: the table always works, the old one or the new.

    python -m tests.fuzz.imports [--seed 13] [--kills 60] [--pairs 20]

Every version of the table states one number everywhere: salt, what a pack weighs, the bounds of saturates, and an
allergen that goes with it. A table that works states one of the numbers it may, and that one throughout. Half of the
kills fall anywhere in the whole command, half in the short time in which it writes. Bounded by its counts: a
minute or two for those of the acceptance, most of it the start of processes.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

HERE = Path(__file__).parents[2]
PACKS = 120  # in a table: enough that writing it takes a while
FILES = 4  # foods, measures, notes and the packs themselves
ALLERGENS = ("mustard", "celery")

WORKER = """
import sys
from pathlib import Path
import pandas, pyarrow.parquet
from data_loaders import schema
from nutrilab.products import import_products

write = schema.write

def telling(*arguments):
    print("writing", flush=True)
    return write(*arguments)

schema.write = telling
print("ready", flush=True)
for line in sys.stdin:
    import_products(Path(line.strip()), Path(sys.argv[1]))
    print("done", flush=True)
"""


def packs(folder: Path, version: int) -> Path:
    """A list of packs that states its version, 1 to 39, everywhere."""
    path = folder / f"packs-{version}.yaml"
    contains = ALLERGENS[version % 2]
    path.write_text(
        "".join(
            f"- name: Quay relish {'abcdefghijklmnopqrstuvwxyz'[n % 26] * (1 + n // 26)}\n  salt: {version} g\n"
            f"  saturates: <{version} g\n  fat: {version} g\n  pack size: {version} g\n  contains: [{contains}]\n"
            for n in range(PACKS)
        ),
        encoding="utf-8",
    )
    return path


def look(folder: Path) -> int:
    """The version a table states. Raises AssertionError when it states two, TableError or InputError where it fails."""
    from nutrilab.foods import FoodTable
    from nutrilab.products import imported_products

    table = FoodTable(folder / "own-products.foods.parquet")
    foods = [table.food(table.ids[n]) for n in (0, PACKS // 2, PACKS - 1)]
    told = {round(food.values["NA"] / 400) for food in foods}
    told |= {round(measure.grams) for food in foods for measure in food.measures}
    told |= {round(food.bounds["FASAT"][1]) for food in foods}
    assert len(told) == 1, f"one table states {sorted(told)}"
    products = imported_products(folder)
    assert products is not None
    of_packs = {(round(one.values["FAT"]), one.contains) for one in products.all}
    assert len(of_packs) == 1, f"one list of packs states {sorted(of_packs)}"
    number, contains = of_packs.pop()
    assert contains == (ALLERGENS[number % 2],)
    return told.pop()


@dataclass
class Counts:
    """What was tried and how it ended."""

    old: int = 0
    new: int = 0
    halfway: int = 0  # kills that fell into the writing itself, by what they left
    reads: int = 0
    seconds: float = 0.0
    faults: list[str] = field(default_factory=list)

    def say(self, what: str) -> str:
        ended = f"the old table {self.old} times, the new one {self.new}"
        more = f"{self.halfway} killed while writing; {self.reads} reads meanwhile"
        return f"{what}: {ended}; {more}; {len(self.faults)} faults; {self.seconds:.0f} s"

    def check(self, folder: Path, may_be: tuple[int, int]) -> int:
        """Look at the table after the event, which may have left either version; returns the one it is."""
        try:
            version = look(folder)
            if version not in may_be:
                raise AssertionError(f"it states {version}, not one of {may_be}")
        except Exception as error:  # whatever it is, it is a fault to be told
            self.faults.append(f"{type(error).__name__}: {error}")
            return may_be[0]
        self.old += version == may_be[0]
        self.new += version == may_be[1] != may_be[0]
        return version


class Reader:
    """Reads the table again and again in a thread, until it is told to stop."""

    def __init__(self, folder: Path, counts: Counts) -> None:
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._read, args=(folder, counts))

    def __enter__(self) -> Reader:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join()

    def _read(self, folder: Path, counts: Counts) -> None:
        while not self._stop.is_set():
            try:
                look_at_parts(folder)
                counts.reads += 1
            except Exception as error:
                counts.faults.append(f"while reading, {type(error).__name__}: {error}")
            time.sleep(0.005)


def look_at_parts(folder: Path) -> None:
    """The table and the packs, each sound in itself; between the two an import may switch."""
    from nutrilab.foods import FoodTable
    from nutrilab.products import imported_products

    table = FoodTable(folder / "own-products.foods.parquet")
    time.sleep(0.01)  # as a dish is cooked between opening a table and asking it
    food = table.food(table.ids[0])
    told = {round(food.values["NA"] / 400), round(food.measures[0].grams), round(food.bounds["FASAT"][1])}
    assert len(told) == 1, f"one table states {sorted(told)}"
    products = imported_products(folder)
    assert products is not None
    assert len({(round(one.values["FAT"]), one.contains) for one in products.all}) == 1


class Worker:
    """A process that has everything loaded and imports when told to."""

    def __init__(self, folder: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-c", WORKER, str(folder)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=HERE,
        )
        self._expect("ready")

    def go(self, path: Path) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(f"{path}\n")
        self.process.stdin.flush()

    def writing(self) -> None:
        """Wait until it has read the packs and begins to write the table."""
        self._expect("writing")

    def done(self) -> None:
        self._expect("done")

    def _expect(self, word: str) -> None:
        assert self.process.stdout is not None
        said = self.process.stdout.readline().strip()
        if said != word:
            self.end()
            assert self.process.stderr is not None
            raise AssertionError(f"an import failed: {self.process.stderr.read()[-500:]}")

    def end(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()


def span_of(work: Callable[[], object]) -> float:
    """How long it takes [s]."""
    start = time.monotonic()
    work()
    return time.monotonic() - start


def kills(count: int, seed: int, place: Path) -> Counts:
    """Kill imports at random moments; after each the table is the old or the new one, and the next import works."""
    chance, counts, folder = random.Random(seed), Counts(), place / "killed"
    command = [sys.executable, "-m", "nutrilab", "tables", "import", "own-products", "--into", str(folder)]
    start = time.monotonic()
    whole = span_of(lambda: subprocess.run([*command, str(packs(place, 1))], check=True, cwd=HERE, capture_output=True))
    worker = Worker(folder)
    for version in (2, 3, 1):  # the last span counts: the first import of a process is slower
        worker.go(packs(place, version))
        worker.writing()
        writing = span_of(worker.done)
    worker.end()
    version = 1
    for number in range(count):
        target = version % 38 + 2
        path = packs(place, target)
        before = set(os.listdir(folder))
        if number % 2:
            worker = Worker(folder)
            worker.go(path)
            worker.writing()
            time.sleep(chance.uniform(0, 2 * writing))  # in a fresh process it takes about twice as long
            worker.end()
        else:
            with subprocess.Popen([*command, str(path)], cwd=HERE, stdout=subprocess.DEVNULL) as killed:
                time.sleep(chance.uniform(0, 1.1 * whole))
                killed.send_signal(signal.SIGKILL)
        counts.halfway += len(set(os.listdir(folder)) - before) > 0 and look(folder) == version
        version = counts.check(folder, (version, target))
    subprocess.run([*command, str(packs(place, 39))], check=True, cwd=HERE, capture_output=True)
    counts.check(folder, (39, 39))
    left = os.listdir(folder)
    if len(left) != FILES:
        counts.faults.append(f"left behind after a whole import: {sorted(left)}")
    counts.seconds = time.monotonic() - start
    return counts


def pairs(count: int, seed: int, place: Path) -> Counts:
    """Run imports side by side while the table is read; each pair leaves one of the two, whole, and nothing else."""
    chance, counts, folder = random.Random(seed), Counts(), place / "paired"
    start = time.monotonic()
    two = Worker(folder), Worker(folder)
    two[0].go(packs(place, 1))
    two[0].writing()
    two[0].done()
    try:
        with Reader(folder, counts):
            for number in range(count):
                versions = (2 + number % 19, 21 + number % 19)
                _side_by_side(two, [packs(place, version) for version in versions], chance)
                counts.check(folder, versions)
                left = os.listdir(folder)
                if len(left) != FILES:
                    counts.faults.append(f"left behind by a pair: {sorted(left)}")
    except AssertionError as error:
        counts.faults.append(str(error))
    for worker in two:
        worker.end()
    counts.seconds = time.monotonic() - start
    return counts


def _side_by_side(two: tuple[Worker, Worker], paths: list[Path], chance: random.Random) -> None:
    for worker, path in zip(two, paths, strict=True):
        worker.go(path)
        time.sleep(chance.choice((0.0, 0.0, 0.01, 0.03)))
    for worker in two:
        worker.writing()
        worker.done()


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--seed", type=int, default=13)
    parser.add_argument("--kills", type=int, default=60)
    parser.add_argument("--pairs", type=int, default=20)
    asked = parser.parse_args()
    failed = False
    with tempfile.TemporaryDirectory() as place:
        for what, counts in (
            (f"{asked.kills} kills", kills(asked.kills, asked.seed, Path(place))),
            (f"{asked.pairs} pairs", pairs(asked.pairs, asked.seed, Path(place))),
        ):
            print(counts.say(what), *counts.faults[:10], sep="\n  ")
            failed |= bool(counts.faults)
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
