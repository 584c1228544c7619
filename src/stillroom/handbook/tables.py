"""The handbook's tables as rows of text, each read once."""

from __future__ import annotations

import csv
import importlib.metadata
import sysconfig
from collections.abc import Iterator, Mapping
from functools import cache, lru_cache
from pathlib import Path
from types import MappingProxyType

from stillroom.errors import StillroomError

MARKER = "process_boiling_water.csv"
INSTALLED_UNDER = Path("share") / "stillroom" / "handbook"


class HandbookMissing(StillroomError):
    """The published tables are missing from this installation, so nothing can be planned safely."""


@lru_cache(maxsize=1)
def folder() -> Path:
    """
    Return the folder of the handbook's tables: next to the source in a checkout, or where the package put them.

    Raises HandbookMissing when no folder with the tables can be found.
    """
    for candidate in _candidates():
        if (candidate / MARKER).is_file():
            return candidate
    msg = "The handbook's tables are missing from this installation. Install stillroom again."
    raise HandbookMissing(msg)


def _candidates() -> Iterator[Path]:
    yield Path(__file__).resolve().parents[3] / "shared" / "handbook"
    yield Path(sysconfig.get_path("data")) / INSTALLED_UNDER
    yield Path(__file__).resolve().parents[2] / INSTALLED_UNDER
    for file in importlib.metadata.files("stillroom") or ():
        if file.name == MARKER:
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
    "editions",
    "foods",
    "extras",
    "not_canners",
    "accepted",
    "other_foods",
    "rare_names",
    "general_words",
    "behind_a_food",
    "advised_against",
    "fresh",
    "bushels",
    "weights_each",
    "altitude_rules",
    "facts",
    "densities",
    "in_the_pot",
    "cautions",
    "practice",
    "standing",
    "blanching",
    "recipe_steps",
    "planting",
)
STATUSES = ("verified", "derived", "memory", "practice")
"""How far a figure may be trusted: read in a copy of its source, computed from such, not verified, common practice.

Common practice has no source and is shown only: no process, acid or pack is ever planned by it.
"""


@cache
def table(name: str) -> tuple[Row, ...]:
    """Return every row of one table in the order of the file, by heading, all as text."""
    with (folder() / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(MappingProxyType(row) for row in csv.DictReader(file))


@lru_cache(maxsize=8192)
def listed(text: str) -> tuple[str, ...]:
    """
    Return the items of a cell that lists several.

    >>> listed("onions; garlic"), listed("")
    (('onions', 'garlic'), ())
    """
    return tuple(piece.strip() for piece in text.split(";") if piece.strip())


def number(text: str) -> float | None:
    """
    Return a figure; None for a blank cell.

    >>> number("4.5"), number("")
    (4.5, None)
    """
    return float(text) if text else None
