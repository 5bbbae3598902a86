"""The engine of one machine: processes that each open the kitchens once and do one job after another.

A worker that ends in the middle of a job, killed, crashed or out of time, costs nobody but the recipe that ended it:
its job is done again one by one, and the recipe that ends a worker once more is left out and said so.
"""

from __future__ import annotations

import faulthandler
import multiprocessing
import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection, wait
from typing import TYPE_CHECKING, Any

from nutrilab.collection.values import TIME, Fault
from nutrilab.collection.working import Job, Kitchens, Part, work
from nutrilab.messages import say

if TYPE_CHECKING:
    from multiprocessing.context import SpawnProcess

_NOT_YET = -1  # the place of a worker that has not begun with its job


def run(jobs: Iterator[Job], tables: str | None, workers: int) -> Iterator[Part]:
    """Do all jobs, the parts in the order in which they are done."""
    pool: list[_Worker] = []
    again: list[Job] = []
    try:
        while True:
            busy = {worker.link: worker for worker in pool if worker.job is not None}
            while len(busy) < workers and (job := again.pop(0) if again else next(jobs, None)) is not None:
                worker = next((one for one in pool if one.job is None), None)
                if worker is None:
                    worker = _Worker(tables)
                    pool.append(worker)
                worker.give(job)
                busy[worker.link] = worker
            if not busy:
                return
            for link in wait(list(busy)):
                worker = busy[link]  # type: ignore[index]
                try:
                    yield worker.taken()
                except (EOFError, OSError):
                    pool.remove(worker)
                    part, more = worker.ended()
                    again += more
                    if part is not None:
                        yield part
    finally:
        for worker in pool:
            worker.end()


@dataclass(slots=True)
class _Worker:
    """A process, the job it has, and the place of the recipe it is at."""

    process: SpawnProcess
    link: Connection
    at: Any
    job: Job | None = None

    def __init__(self, tables: str | None) -> None:
        context = multiprocessing.get_context("spawn")
        self.link, other = context.Pipe()
        self.at = context.RawValue("i", _NOT_YET)
        self.process = context.Process(target=_work, args=(other, self.at, tables), daemon=True)
        with _without_ctrl_c():
            self.process.start()
        other.close()
        self.job = None

    def give(self, job: Job) -> None:
        self.job = job
        self.at.value = _NOT_YET
        with suppress(OSError):  # it ended while it waited; that shows when its answer is waited for
            self.link.send(job)

    def taken(self) -> Part:
        """What its job came to. Raises EOFError, OSError where it ended."""
        part: Part = self.link.recv()
        self.job = None
        return part

    def ended(self) -> tuple[Part | None, list[Job]]:
        """What is known of a job that its worker did not live to finish: a fault at most, and what is done again."""
        job, self.job = self.job, None
        assert job is not None
        code = self.end()
        if not job.each:
            return None, [replace(job, each=True)]
        place = max(0, self.at.value)
        bad = job.entries[place]
        # The worker is gone with what it had done, so all others of the job are done once more.
        left = job.entries[:place] + job.entries[place + 1 :]
        words = say("collection.ended-worker", how=_how(code))
        if self.at.value == _NOT_YET:  # it is none of the recipe's doing
            words = say("collection.no-worker")
        fault = Fault(bad.file, None, words, again=True)
        return Part(job.number, b"", b"", (fault,), 1), [replace(job, entries=left)] if left else []

    def end(self) -> int | None:
        self.link.close()
        with suppress(OSError):
            self.process.join(0.2 if self.job is None else 0)
            if self.process.is_alive():
                self.process.kill()
            self.process.join()
        return self.process.exitcode


@contextmanager
def _without_ctrl_c() -> Iterator[None]:
    """Deaf to Ctrl-C for a moment: a process that is started now is so from its first step, before `_work`."""
    try:
        before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    except ValueError:  # in a thread, where no signal arrives
        yield
        return
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before or signal.SIG_DFL)


def _how(code: int | None) -> str:
    """How a process ended in the middle of a recipe, in words; of its own accord it ends with 1 where time is up."""
    if code == 1:
        return say("collection.out-of-time", seconds=f"{TIME:.0f}")
    with suppress(ValueError):
        return say("collection.by-signal", name=signal.Signals(-(code or 0)).name)
    return say("collection.by-itself")


def _work(link: Connection, at: Any, tables: str | None) -> None:
    """A worker: jobs in, parts out, until the link is closed."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the one that leads
    kitchens = Kitchens(tables)
    with open(os.devnull, "w") as nowhere:

        def told(place: int) -> None:
            at.value = place
            faulthandler.dump_traceback_later(TIME, file=nowhere, exit=True)

        with suppress(EOFError, OSError):
            while True:
                job = link.recv()
                at.value = 0
                faulthandler.dump_traceback_later(TIME, file=nowhere, exit=True)
                part = _done(job, kitchens, told if job.each else lambda _: None)
                faulthandler.cancel_dump_traceback_later()
                link.send(part)


def _done(job: Job, kitchens: Kitchens, told: Any) -> Part:
    try:
        return work(job, kitchens, told)
    except (Exception, MemoryError):
        return work(replace(job, each=True), kitchens, told)  # together they failed; one by one all others stand
