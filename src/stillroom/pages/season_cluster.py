"""A Dask cluster as whoever does the work; only here is `distributed` known, and imported when asked for."""

from __future__ import annotations

import contextlib
import importlib
import re
from collections.abc import Iterator
from concurrent.futures import CancelledError
from typing import Any

from stillroom.errors import StillroomError
from stillroom.planning.season.spread import Crew

MISSING = (
    "a cluster needs the package distributed, which is not installed here; install it with: "
    "pip install 'stillroom[cluster]', or leave --cluster out"
)
PATIENCE_SECONDS = 20
_ADDRESS = re.compile(r"(?:(?:tcp|tls|ucx|ws|wss)://)?[^\s/]+:\d+/?")
"""Addresses of a scheduler; for any other the client waits long, and says so at the very end where nobody can help."""


@contextlib.contextmanager
def cluster(address: str) -> Iterator[Crew]:
    """
    Give a crew of all workers of the cluster whose scheduler is at an address, as `tcp://10.0.0.5:8786`.

    What a worker had that was lost is done again: by the cluster itself, and when it gives a task up, from here. The
    workers need the same version of stillroom installed.

    Raises StillroomError when `distributed` is not installed, or nothing answers at the address.
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
        hands = max(1, sum(client.nthreads().values()))
        lost = (distributed.scheduler.KilledWorker, distributed.comm.CommClosedError, CancelledError)
        crew = Crew(lambda: client.get_executor(pure=False), hands, lost)
        try:
            yield crew
        finally:
            crew.close()
