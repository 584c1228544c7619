"""Who plans side by side: two processes, none where they cannot be had, and never two answers to who it is."""

from __future__ import annotations

import contextlib
import importlib
import multiprocessing
import os
import re
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    ThreadPoolExecutor,
    wait,
)
from dataclasses import dataclass, field
from multiprocessing import connection
from typing import Any, Generic, TypeVar

from stillroom.errors import CommandWrong, StillroomError
from stillroom.household.text import format_list

WORKERS = 2


@contextlib.contextmanager
def two_workers(*, wanted: bool = True) -> Iterator[Executor | None]:
    """
    Give an executor of two fresh processes, getting ready meanwhile; None on one core, or when not wanted.

    None too where the system has no room for their locks, as on a full disk: the answer is the same.
    Fresh ones (not forked), since the solver may have been at work in this one already.
    """
    if not wanted or (os.cpu_count() or 1) < WORKERS:
        yield None
        return
    try:
        executor = ProcessPoolExecutor(
            WORKERS, mp_context=multiprocessing.get_context("spawn"), initializer=end_with_parent
        )
    except OSError:
        yield None
        return
    try:
        for _ in range(WORKERS):
            executor.submit(import_early)
        yield executor
    finally:
        executor.shutdown(cancel_futures=True)


def get_ready() -> None:
    """Begin as a worker: end when the parent does, and import early."""
    end_with_parent()
    import_early()


def end_with_parent() -> None:
    """Have this process end as soon as the one that began it is gone, however that ended."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_after, args=(parent.sentinel,), daemon=True).start()


def _end_after(sentinel: int) -> None:
    connection.wait([sentinel])
    os._exit(1)


def import_early() -> None:
    """Import what planning takes, before there is anything to plan."""
    import stillroom.planning.bottlenecks
    import stillroom.planning.rolling  # noqa: F401 - imported for its own sake


MOST_WORKERS = 256


def refuse_workers(workers: int | None, cluster: str | None) -> None:
    """Raise CommandWrong for too many processes, and where processes here and a cluster are both asked for."""
    if workers is not None and cluster is not None:
        raise CommandWrong("--workers are processes here and --cluster is elsewhere; give one of them")
    if workers is not None and not 1 <= workers <= MOST_WORKERS:
        msg = f"--workers {workers} is not between 1 and {MOST_WORKERS}"
        raise CommandWrong(msg)


# Much work spread over many hands: threads, processes or a cluster; what a lost worker had is done again.

Given = TypeVar("Given")
Got = TypeVar("Got")

SPARE = 2
"""So many more pieces are given out than there are hands, so that nobody waits."""

TRIES = 4
"""How often work is given out again when whoever had it was lost; then it is a failure like any other."""


class Crew:
    """
    Whoever does the work: an executor, and how to have a new one when it broke.

    `hands` is how many pieces are worked on at a time, `lost` the errors that mean that a worker is gone and not that
    its work is wrong.
    """

    def __init__(
        self, make: Callable[[], Executor], hands: int, lost: tuple[type[BaseException], ...] = (), words: str = ""
    ) -> None:
        """Have the first executor made."""
        self.make, self.hands, self.words = make, max(1, hands), words
        self.lost: tuple[type[BaseException], ...] = (BrokenExecutor, *lost)
        self.executor = make()

    def renew(self) -> None:
        """Let a broken executor go, and have a new one."""
        self.executor.shutdown(wait=False)
        self.executor = self.make()

    def close(self) -> None:
        """Let everybody go once they have done what they began."""
        self.executor.shutdown(wait=True)


@contextlib.contextmanager
def processes(workers: int | None = None, ready: Callable[[], None] | None = None) -> Iterator[Crew]:
    """
    Give a crew of fresh processes on this machine, as many as it has cores when `workers` is None.

    Fresh ones (not forked), since the solver may have been at work in this one already. `ready` is called in each.
    """
    count = workers or os.cpu_count() or 1
    context = multiprocessing.get_context("spawn")
    crew = Crew(lambda: ProcessPoolExecutor(count, mp_context=context, initializer=ready), count, words="processes")
    try:
        yield crew
    finally:
        crew.close()


@contextlib.contextmanager
def threads(workers: int) -> Iterator[Crew]:
    """Give a crew of threads in this process."""
    crew = Crew(lambda: ThreadPoolExecutor(workers), workers, words="threads")
    try:
        yield crew
    finally:
        crew.close()


@contextlib.contextmanager
def crew_for(count: int, workers: int | None, cluster_address: str | None, *, few: int = 1) -> Iterator[Crew]:
    """
    Give a crew for so many pieces of work: a cluster, processes, or one thread here for `few` pieces or one core.

    `workers` None is a process for each core. Raises CommandWrong, and what `cluster` raises.
    """
    refuse_workers(workers, cluster_address)
    hands = min(count, workers or min(os.cpu_count() or 1, 64))
    if cluster_address is not None:
        crew = cluster(cluster_address)
    elif hands <= 1 or count <= few:
        crew = threads(1)
    else:
        crew = processes(hands, get_ready)
    with crew as found:
        yield found


@dataclass(frozen=True)
class Done(Generic[Got]):
    """What came of one piece of work: its result, or the error that ended it."""

    result: Got | None
    error: BaseException | None = None


def spread(
    work: Callable[[Given], Got],
    given: Sequence[Given],
    crew: Crew | None,
    done: Callable[[int], None] | None = None,
    finish: Callable[[int, Done[Got]], Done[Got]] = lambda _, came: came,
) -> list[Done[Got]]:
    """
    Do each piece of work, and give what came of each in the order given; without a crew one after another here.

    Only a few more pieces are given out than there are hands, so that however many there are, memory stays bounded.
    Work of a worker that was lost is given out again, from the second time on by itself, so that work which ends its
    worker takes no other with it. `done` is called with how many are done; `finish` gets the number of each piece and
    what came of it, here and as soon as it came, and gives what is kept of it.
    """
    if crew is None:
        found = []
        for number, piece in enumerate(given):
            found.append(finish(number, tried(work, piece)))
            if done is not None:
                done(number + 1)
        return found
    giving = Giving(crew, work, given, list(range(len(given)))[::-1], [0] * len(given), finish)
    try:
        while giving.left or giving.running:
            giving.give_out()
            if giving.take_in():
                giving.begin_again()
            if done is not None:
                done(len(giving.found))
    finally:
        for future in giving.running:
            future.cancel()
    return [giving.found[number] for number in range(len(given))]


@dataclass
class Giving(Generic[Given, Got]):
    """What is left to give out, what is being worked on, how often each was given out again, and what came of it."""

    crew: Crew
    work: Callable[[Given], Got]
    given: Sequence[Given]
    left: list[int]
    tries: list[int]
    finish: Callable[[int, Done[Got]], Done[Got]]
    running: dict[Future[Got], int] = field(default_factory=dict)
    found: dict[int, Done[Got]] = field(default_factory=dict)

    def give_out(self) -> None:
        """Give out as much as may be worked on at a time; one piece only while some have ended their worker twice."""
        doubtful = any(self.tries[number] > 1 for number in (*self.left, *self.running.values()))
        most = 1 if doubtful else self.crew.hands + SPARE
        while self.left and len(self.running) < most:
            number = self.left.pop()
            try:
                self.running[self.crew.executor.submit(self.work, self.given[number])] = number
            except BrokenExecutor:
                self.left.append(number)
                return

    def take_in(self) -> bool:
        """Wait for the next pieces to be done and take them in; True when the executor is broken."""
        broken = not self.running
        for future in wait(self.running, return_when=FIRST_COMPLETED).done if self.running else ():
            number = self.running.pop(future)
            error = error_of(future)
            if isinstance(error, self.crew.lost) and self.tries[number] < TRIES:
                self.tries[number] += 1
                self.left.append(number)
                broken = broken or isinstance(error, BrokenExecutor)
            else:
                came = Done(None if error is not None else future.result(), error)
                self.found[number] = self.finish(number, came)
        return broken

    def begin_again(self) -> None:
        """Give what was being worked on back to what is left, and have a new executor."""
        self.left += self.running.values()
        self.running.clear()
        self.crew.renew()


def error_of(future: Future[Any]) -> BaseException | None:
    """The error that a piece of work ended with, a withdrawal included."""
    return future.exception() if not future.cancelled() else BrokenExecutor("withdrawn")


def tried(work: Callable[[Given], Got], piece: Given) -> Done[Got]:
    """Do one piece of work here; what a household can cause is kept as its error."""
    try:
        return Done(work(piece))
    except StillroomError as error:
        return Done(None, error)


# A Dask cluster as whoever does the work; only here is `distributed` known, and imported when asked for.

MISSING = (
    "a cluster needs the package distributed, which is not installed here; install it with: "
    "pip install 'stillroom[cluster]', or leave --cluster out"
)
PATIENCE_SECONDS = 20


def refuse_bare_workers(came: Mapping[str, object]) -> None:
    """Raise StillroomError, naming them, for workers by their address that lack the package."""
    bare = [address for address, error in came.items() if isinstance(error, ImportError)]
    if bare:
        msg = f"stillroom is not installed on the worker {format_list(bare, 4)}; install the same version there"
        raise StillroomError(msg)


_ADDRESS = re.compile(r"(?:(?:tcp|tls|ucx|ws|wss)://)?[^\s/]+:\d+/?")
"""Addresses of a scheduler; for any other the client waits long, and says so at the very end where nobody can help."""


@contextlib.contextmanager
def cluster(address: str) -> Iterator[Crew]:
    """
    Give a crew of all workers of the cluster whose scheduler is at an address, as `tcp://10.0.0.5:8786`.

    What a worker had that was lost is done again: by the cluster itself, and when it gives a task up, from here. The
    workers need the same version of stillroom installed.

    Raises StillroomError when `distributed` is not installed, nothing answers at the address, or a worker lacks the
    package.
    """
    if not _ADDRESS.fullmatch(address):
        msg = f"no cluster answers at {address}: that is no address; write such as tcp://10.0.0.5:8786"
        raise StillroomError(msg)
    try:
        distributed: Any = importlib.import_module("distributed")
    except ImportError as error:
        raise StillroomError(MISSING) from error
    try:
        client = distributed.Client(address, timeout=PATIENCE_SECONDS, set_as_default=False)
    except (OSError, ValueError) as error:
        msg = f"no cluster answers at {address} ({error}); is its scheduler running, and is that its address?"
        raise StillroomError(msg) from error
    with client:
        refuse_bare_workers(client.run(exec, "import stillroom", on_error="return"))
        hands = max(1, sum(client.nthreads().values()))
        lost = (distributed.scheduler.KilledWorker, distributed.comm.CommClosedError, CancelledError)
        crew = Crew(lambda: client.get_executor(pure=False), hands, lost)
        try:
            yield crew
        finally:
            crew.close()
