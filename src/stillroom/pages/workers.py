"""Who plans side by side: two processes, none where they cannot be had, and never two answers to who it is."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor

from stillroom.errors import CommandWrong

WORKERS = 2


@contextlib.contextmanager
def two_workers(*, wanted: bool = True) -> Iterator[Executor | None]:
    """
    Give an executor of two fresh processes, getting ready meanwhile; None on one core, or when not wanted.

    Fresh ones (not forked), since the solver may have been at work in this one already.
    """
    if not wanted or (os.cpu_count() or 1) < WORKERS:
        yield None
        return
    executor = ProcessPoolExecutor(WORKERS, mp_context=multiprocessing.get_context("spawn"))
    try:
        for _ in range(WORKERS):
            executor.submit(get_ready)
        yield executor
    finally:
        executor.shutdown(cancel_futures=True)


def get_ready() -> None:
    """Import what planning takes, before there is anything to plan."""
    import stillroom.planning.limits  # noqa: F401 - imported for its own sake


def refuse_both(workers: int | None, cluster: str | None) -> None:
    """Raise CommandWrong where processes here and a cluster are asked for: one of them would be passed over."""
    if workers is not None and cluster is not None:
        raise CommandWrong("--workers are processes here and --cluster is elsewhere; give one of them")
