"""Where the published tables lie: beside the source in a checkout, or where a wheel put them."""

from __future__ import annotations

import importlib.metadata
import sysconfig
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

from stillroom.errors import StillroomError

TELLTALE = "process_boiling_water.csv"
INSTALLED_UNDER = Path("share") / "stillroom" / "handbook"


class HandbookMissing(StillroomError):
    """The published tables did not come with this installation, so nothing can be planned safely."""


@lru_cache(maxsize=1)
def folder() -> Path:
    """
    Give the folder of the handbook's tables.

    Raises HandbookMissing when no folder with the tables can be found.
    """
    for candidate in _candidates():
        if (candidate / TELLTALE).is_file():
            return candidate
    msg = "the tables of the handbook are missing from this installation; install stillroom again"
    raise HandbookMissing(msg)


def _candidates() -> Iterator[Path]:
    yield Path(__file__).resolve().parents[3] / "shared" / "handbook"
    yield Path(sysconfig.get_path("data")) / INSTALLED_UNDER
    yield Path(__file__).resolve().parents[2] / INSTALLED_UNDER
    for file in importlib.metadata.files("stillroom") or ():
        if file.name == TELLTALE:
            yield Path(str(file.locate())).resolve().parent
