"""Work that ends its process: a module of its own, so that a worker which is started anew imports little."""

from __future__ import annotations

import os
import signal
from pathlib import Path


def die_once(path: str) -> str:
    """End this process the hard way the first time, leaving a mark; done the second time."""
    mark = Path(path)
    if mark.suffix == ".dies" and not mark.exists():
        mark.write_text("was here")
        os.kill(os.getpid(), signal.SIGKILL)
    return mark.name


def die_always(path: str) -> str:
    """End this process the hard way, every time, when the name says so."""
    if path.endswith(".dies"):
        os.kill(os.getpid(), signal.SIGKILL)
    return path
