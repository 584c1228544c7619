"""The handbook's tables as plain rows of text, read once; nothing is judged here."""

from __future__ import annotations

import csv
import importlib.metadata
import sysconfig
from collections.abc import Iterator, Mapping
from functools import cache, lru_cache
from pathlib import Path
from types import MappingProxyType

from stillroom.errors import StillroomError

# Where the published tables lie: beside the source in a checkout, or where a wheel put them.

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


Row = Mapping[str, str]

TABLES = (
    "process_boiling_water",
    "process_pressure",
    "high_altitude_fruit",
    "acid",
    "proportions",
    "products",
    "canned_yield",
    "kept",
    "headspace",
    "foods",
    "extras",
    "advised_against",
    "fresh",
    "bushels",
    "altitude_rules",
    "facts",
    "densities",
    "cautions",
    "practice",
)
STATUSES = ("verified", "derived", "memory", "practice")
"""How far a figure may be trusted: read in a copy of the publication, computed from such, remembered, common practice.

What is common practice has no source and is only told: no process, acid or pack is ever planned by it.
"""


@cache
def table(name: str) -> tuple[Row, ...]:
    """Read every row of one table, in the order of the file; columns by heading, all as text."""
    with (folder() / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(MappingProxyType(row) for row in csv.DictReader(file))


def listed(text: str) -> tuple[str, ...]:
    """
    Split a cell that holds several things.

    >>> listed("onions; garlic"), listed("")
    (('onions', 'garlic'), ())
    """
    return tuple(piece.strip() for piece in text.split(";") if piece.strip())


def number(text: str) -> float | None:
    """
    Read a figure; None for a blank cell.

    >>> number("4.5"), number("")
    (4.5, None)
    """
    return float(text) if text else None
