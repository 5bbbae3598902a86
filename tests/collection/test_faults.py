"""Whatever goes wrong in a run: the results are the old or the new ones, whole, and the next run comes out the same."""

from __future__ import annotations

import errno
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from multiprocessing.context import SpawnProcess
from pathlib import Path
from typing import Any

import pytest

from nutrilab.collection import processes, results
from nutrilab.collection import run as runs
from nutrilab.collection import tables as tables_
from nutrilab.collection.results import FILES, Place, claimed, state_of
from nutrilab.collection.sources import Source, found_in
from nutrilab.collection.working import Job, Part
from tests.collection import crashing
from tests.collection import test_unchanged as village
from tests.collection.supper import MASH, contents, dishes, in_this_process, laid, rows, run, table
from tests.collection.supper import here as here

ROOT = Path(__file__).parents[2]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return laid(tmp_path / "recipes")


def same(one: Path, other: Path) -> bool:
    """Whether two folders hold the same results but for when they were made."""
    sheets = ("dishes.csv", "problems.csv", "doubtful.csv", "index.html")
    return all(table(one, name).equals(table(other, name)) for name in ("dishes", "lines")) and all(
        (one / name).read_bytes() == (other / name).read_bytes() for name in sheets
    )


def by_workers(source: Path, out: Path, *more: str) -> subprocess.CompletedProcess[str]:
    """The command as a program of its own, with recipes that end a worker."""
    command = [sys.executable, str(Path(crashing.__file__)), "collection", str(source), "-o", str(out), *more]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run(command, env=environment, capture_output=True, text=True, timeout=240, check=False)


@pytest.mark.skipif(os.name == "nt", reason="signals")
def test_a_worker_never_hears_of_ctrl_c(monkeypatch: pytest.MonkeyPatch) -> None:
    """It comes to all processes of a terminal, and a worker that is just starting would tell its traceback."""
    heard: list[Any] = []
    monkeypatch.setattr(SpawnProcess, "start", lambda self: heard.append(signal.getsignal(signal.SIGINT)))
    before = signal.getsignal(signal.SIGINT)
    processes._Worker(None).link.close()
    assert heard == [signal.SIG_IGN]
    assert signal.getsignal(signal.SIGINT) == before


@pytest.mark.parametrize(("at", "words"), [(processes._NOT_YET, "could not be started"), (0, "60 seconds")])
def test_a_worker_that_could_not_start_is_none_of_the_recipes_doing(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, at: int, words: str
) -> None:
    monkeypatch.setattr(SpawnProcess, "start", lambda self: None)
    monkeypatch.setattr(processes._Worker, "end", lambda self: 1)  # the code of both
    worker = processes._Worker(None)
    worker.link.close()
    entries = found_in([Source("", laid(tmp_path))], None, None).entries
    worker.give(Job(0, tuple(entries), each=True))
    worker.at.value = at
    part, left = worker.ended()
    assert part is not None
    assert [(fault.file, words in fault.sentence, fault.again) for fault in part.faults] == [
        ("broken.yaml", True, True)
    ]
    assert [entry for job in left for entry in job.entries] == entries[1:]


@pytest.mark.skipif(os.name == "nt", reason="signals")
def test_a_recipe_that_ends_its_worker_costs_itself(folder: Path, tmp_path: Path) -> None:
    for name in crashing.ENDS:
        text = f"dish: {name}\nportions: 2\ningredients:\n  - 100 g butter\n"
        (folder / f"x-{name}.yaml").write_text(text, encoding="utf-8")
    ran = by_workers(folder, tmp_path / "out", "--workers", "1")
    assert ran.returncode == 1, ran.stderr
    assert "Traceback" not in ran.stderr
    assert list(dishes(tmp_path / "out")) == [
        "kedgeree.txt", "mash.yaml", "more.jsonl#1", "pie.yaml", "soups/low-tide.yaml",
    ]  # fmt: skip
    told = {row["file"]: row["sentence"] for row in rows(tmp_path / "out" / "problems.csv")}
    assert set(told) == {"broken.yaml", "more.jsonl#2", *(f"x-{name}.yaml" for name in crashing.ENDS)}
    assert "SIGSEGV" in told["x-segfault.yaml"]
    assert "SIGKILL" in told["x-killed.yaml"]
    assert "MemoryError" in told["x-memory.yaml"]
    assert "seconds" in told["x-late.yaml"]
    # Without what ends it the next run does just these, and all is as if nothing had been.
    assert run(folder, "-o", tmp_path / "out", "--workers", "1").exit_code == 1
    assert run(folder, "-o", tmp_path / "fresh", "--workers", "2").exit_code == 1
    assert same(tmp_path / "out", tmp_path / "fresh")
    assert "x-late.yaml" in dishes(tmp_path / "out")


def stopping(error: BaseException, after: int) -> Callable[..., Iterator[Part]]:
    """An engine that ends with an error after some parts."""

    def engine(jobs: Iterator[Job], tables: str | None, workers: int) -> Iterator[Part]:
        for number, part in enumerate(in_this_process(jobs, tables, workers)):
            if number == after:
                raise error
            yield part

    return engine


def test_ctrl_c_leaves_the_old_results_and_keeps_what_was_done(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    monkeypatch.setattr(processes, "run", in_this_process)
    monkeypatch.setattr(runs, "TOGETHER", 1)
    run(folder / "mash.yaml", "-o", out)
    old = contents(out)
    (folder / "mash.yaml").write_text(MASH.replace("50 g butter", "50 g olive oil"), encoding="utf-8")
    monkeypatch.setattr(processes, "run", stopping(KeyboardInterrupt(), 3))
    stopped = run(folder, "-o", out)
    assert stopped.exit_code == 2
    assert "stopped" in stopped.stderr
    assert contents(out) == old
    done: list[str] = []

    def noted(jobs: Iterator[Job], tables: str | None, workers: int) -> Iterator[Part]:
        for job in jobs:
            done.extend(entry.file for entry in job.entries)
            yield from in_this_process(iter([job]), tables, workers)

    monkeypatch.setattr(processes, "run", noted)
    again = run(folder, "-o", out, "--changed")
    assert "kedgeree.txt" not in done, "it was finished before"
    assert done.count("mash.yaml") == 0
    told = again.stdout.splitlines()
    assert any(line.startswith("mash.yaml: nothing points to milk") for line in told), (
        "it moved, though not in this run"
    )
    assert any(line.startswith("kedgeree.txt: new") for line in told)
    assert "soups/low-tide.yaml" in done
    run(folder, "-o", tmp_path / "fresh")
    assert same(out, tmp_path / "fresh")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["fresh", "out", "recipes"]


@pytest.mark.usefixtures("here")
@pytest.mark.parametrize("where", ["part", "tables", "page", "swap"])
def test_a_full_disk_ends_in_a_sentence(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, where: str
) -> None:
    from nutrilab.sheets import collection_page as page

    out = tmp_path / "out"
    run(folder, "-o", out)
    old = contents(out)
    (folder / "mash.yaml").write_text(MASH.replace("50 g", "60 g"), encoding="utf-8")

    def full(*_: Any, **__: Any) -> Any:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    places: dict[str, tuple[Any, str]] = {
        "part": (tables_.Parts, "add"),
        "tables": (tables_, "_block"),
        "page": (page, "write"),
        "swap": (results, "_on_disk"),
    }
    with monkeypatch.context() as patched:
        patched.setattr(*places[where], full)
        ran = run(folder, "-o", out)
    assert ran.exit_code == 2
    assert ran.stderr.count("\n") == 1
    assert "No space left" in ran.stderr
    assert contents(out) == old
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out", "recipes"], "nothing is left on the full disk"
    run(folder, "-o", out)
    run(folder, "-o", tmp_path / "fresh")
    assert same(out, tmp_path / "fresh")


@pytest.mark.usefixtures("here")
def test_the_disk_has_every_file_before_the_folders_change_places(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    on_disk: set[int] = set()
    at_the_swap: set[int] = set()
    whole = results._swap

    def swap(place: Place) -> None:
        at_the_swap.update(on_disk)
        whole(place)

    monkeypatch.setattr(os, "fsync", lambda number: on_disk.add(os.fstat(number).st_ino))
    monkeypatch.setattr(results, "_swap", swap)
    run(folder, "-o", tmp_path / "out")
    assert {path.stat().st_ino for path in (tmp_path / "out").iterdir()} <= at_the_swap


@pytest.mark.usefixtures("here")
@pytest.mark.parametrize("finished", [True, False])
def test_a_run_that_ended_while_the_folders_changed_places_is_put_right(
    folder: Path, tmp_path: Path, finished: bool
) -> None:
    out = tmp_path / "out"
    run(folder, "-o", out)
    run(folder, "-o", tmp_path / "newer")
    place = Place(out)
    place.work.mkdir()
    os.rename(out, place.old)  # here it was killed, between the two renames
    os.rename(tmp_path / "newer", place.new)
    if not finished:
        (place.new / results.STATE).unlink()
    wanted = contents(place.new if finished else place.old)
    with claimed(place):
        assert contents(out) == wanted
    assert not place.work.exists()


@pytest.mark.usefixtures("here")
@pytest.mark.parametrize("name", ["dishes.parquet", "lines.parquet"])
def test_a_table_half_written_is_made_anew(folder: Path, tmp_path: Path, name: str) -> None:
    out = tmp_path / "out"
    run(folder, "-o", out)
    shutil.copytree(out, tmp_path / "whole")
    data = (out / name).read_bytes()
    (out / name).write_bytes(data[: len(data) // 2])
    assert state_of(out) is None
    assert run(folder, "-o", out).exit_code == 1
    assert same(out, tmp_path / "whole")


@pytest.mark.usefixtures("here")
def test_two_runs_into_one_folder(folder: Path, tmp_path: Path) -> None:
    with claimed(Place(tmp_path / "out")):
        ran = run(folder, "-o", tmp_path / "out")
    assert ran.exit_code == 2
    assert "another nutrilab is at work" in ran.stderr
    assert run(folder, "-o", tmp_path / "out").exit_code == 1


@pytest.mark.usefixtures("here")
def test_nothing_of_anybody_else_is_replaced(folder: Path, tmp_path: Path) -> None:
    ran = run(folder, "-o", folder)
    assert ran.exit_code == 2
    assert "mash.yaml" in ran.stderr
    out = tmp_path / "out"
    run(folder, "-o", out)
    (out / "dishes.csv").write_text("my own notes", encoding="utf-8")
    (folder / "mash.yaml").unlink()
    ran = run(folder, "-o", out)
    assert ran.exit_code == 2
    assert "dishes.csv" in ran.stderr
    assert (out / "dishes.csv").read_text(encoding="utf-8") == "my own notes"
    (out / "dishes.csv").unlink()
    (out / ".DS_Store").write_bytes(b"\0")
    assert run(folder, "-o", out).exit_code == 1
    assert set(FILES) < {path.name for path in out.iterdir()}


@pytest.mark.parametrize("name", ["mash.yaml", "more.jsonl"])
def test_what_changes_while_it_is_read_is_done_by_the_next_run(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """Changed after it was looked at, before it is read, and put back: no row may stand for what it was then."""
    path, out = folder / name, tmp_path / "out"
    whole = path.read_bytes()

    def meddling(jobs: Iterator[Job], tables: str | None, workers: int) -> Iterator[Part]:
        path.write_bytes(whole.replace(b"butter", b"peanut").replace(b"walnuts", b"almonds"))
        yield from in_this_process(jobs, tables, workers)
        path.write_bytes(whole)

    monkeypatch.setattr(processes, "run", meddling)
    ran = run(folder, "-o", out)
    assert ran.exit_code == 1
    assert "while this run was on" in ran.stderr
    expected = {"kedgeree.txt", "mash.yaml", "more.jsonl#1", "pie.yaml", "soups/low-tide.yaml"} - {name, f"{name}#1"}
    assert set(dishes(out)) == expected
    monkeypatch.setattr(processes, "run", in_this_process)
    run(folder, "-o", out)
    run(folder, "-o", tmp_path / "fresh")
    assert same(out, tmp_path / "fresh")


def test_a_pack_that_changes_during_a_run_counts_in_the_next(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first dish had it as it was; the second has the same that is open, and must not stand for what it is now."""
    folder, out = tmp_path / "recipes", tmp_path / "out"
    named = village.dish("Cake", "20 g Jetty cream", products="packs.csv")
    cream = {kind: village.pack_csv("Jetty cream", kind) for kind in (village.MILK, village.PEANUTS)}
    village.write(folder, {"a.yaml": named, "b.yaml": named, "packs.csv": cream[village.MILK]})

    def meddling(jobs: Iterator[Job], tables: str | None, workers: int) -> Iterator[Part]:
        for part in in_this_process(jobs, tables, workers):
            yield part
            village.write(folder, {"packs.csv": cream[village.PEANUTS]})

    monkeypatch.setattr(runs, "TOGETHER", 1)
    monkeypatch.setattr(processes, "run", meddling)
    run(folder, "-o", out)
    monkeypatch.setattr(processes, "run", in_this_process)
    run(folder, "-o", out)
    assert {row["peanuts"] for row in dishes(out).values()} == {"contains"}


@pytest.mark.usefixtures("here")
def test_what_is_too_large_is_told_by_its_size(tmp_path: Path) -> None:
    path = tmp_path / "big.yaml"
    path.write_text(MASH + "# " + "x" * 2_000_000, encoding="utf-8")
    for source in (tmp_path, path):
        assert f"{path.stat().st_size:,}" in run(source, "-o", tmp_path.with_name("out")).stderr


@pytest.mark.usefixtures("here")
def test_where_nothing_could_be_read_the_results_stay(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    run(folder, "-o", out)
    old = contents(out)
    (folder / "decisions.yaml").write_text("no decisions\n", encoding="utf-8")
    ran = run(folder, "-o", out)
    assert ran.exit_code == 2
    assert "decisions.yaml" in ran.stderr
    assert contents(out) == old
