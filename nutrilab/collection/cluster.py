"""The engine of many machines: the jobs as tasks of Dask, each with its files. What a lost worker had is done again.

The scheduler hands a task of a worker that died to another; one that ends several workers comes back as a failure, is
done again recipe by recipe, and the recipe that ends them is left out and said so.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from nutrilab.collection.bundles import bundle, do
from nutrilab.collection.values import Fault
from nutrilab.collection.working import Job, Part
from nutrilab.messages import say
from nutrilab.remarks import InputError, NutrilabError

AHEAD = 3  # jobs for each worker that are on their way: enough that none waits, few enough for memory
MOST = 2_000  # jobs on their way, however many workers
WAITING = 20.0  # [s] for a scheduler


@contextmanager
def client(scheduler: str | None, workers: int) -> Iterator[Any]:
    """A client of a cluster, or of one of this machine for this run. Raises InputError: not installed, not there."""
    try:
        import distributed
    except ImportError:
        raise InputError(say("collection.no-dask")) from None
    if scheduler is None:
        with (
            distributed.LocalCluster(
                n_workers=workers, threads_per_worker=1, dashboard_address="127.0.0.1:0", silence_logs=logging.CRITICAL
            ) as cluster,
            distributed.Client(cluster) as found,
        ):
            yield found
        return
    try:
        found = distributed.Client(scheduler, timeout=WAITING)
    except (OSError, TimeoutError, ValueError):
        raise InputError(say("collection.no-scheduler", address=scheduler)) from None
    with found:
        yield found


def run(jobs: Iterator[Job], tables: str | None, client: Any) -> Iterator[Part]:
    """Do all jobs on a cluster, the parts in the order in which they are done. Raises NutrilabError of a worker."""
    from distributed import as_completed

    waiting: dict[str, Job] = {}
    again: list[Job] = []
    done = as_completed()

    def fill() -> None:
        most = min(MOST, max(2, AHEAD * len(client.nthreads())))
        while len(waiting) < most and (job := again.pop(0) if again else next(jobs, None)) is not None:
            future = client.submit(do, bundle(job, tables), pure=False)
            waiting[future.key] = job
            done.add(future)

    fill()
    while waiting:
        future = next(done)
        job = waiting.pop(future.key)
        if future.status == "finished":
            yield future.result()
        else:
            part, more = _failed(job, future.exception())
            again += more
            if part is not None:
                yield part
        future.release()
        fill()


def _failed(job: Job, error: BaseException) -> tuple[Part | None, list[Job]]:
    """What is left of a job that ended its workers, or failed in them: each of its recipes alone, or a fault.

    Raises NutrilabError where the worker itself cannot be used.
    """
    if isinstance(error, NutrilabError):
        raise error
    if len(job.entries) > 1:
        return None, [replace(job, entries=(entry,), each=True) for entry in job.entries]
    if not job.each:
        return None, [replace(job, each=True)]
    words = say("collection.ended-worker", how=say("collection.by-itself"))
    return Part(job.number, b"", b"", (Fault(job.entries[0].file, None, words, again=True),), 1), []
