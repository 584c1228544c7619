"""Two processes that plan side by side, and none where they cannot be had."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor

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
