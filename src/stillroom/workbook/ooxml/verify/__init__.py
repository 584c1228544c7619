"""An independent check of a saved file against the file it came from, and what a save tells it that it has changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Claims:
    """
    The owned cells and parts of one save.

    ``cells``: sheet part to (row, column) to the value written; None is blank, a formula is a
    :class:`ClaimedFormula`. ``cleared``: formula cells whose saved result was taken out. ``grown``: table part
    to its new area. ``added`` and ``dropped``: names of members. ``heights``: sheet part to row to its new height as
    it is written, None where it was taken out; ``fitted``: sheet part to the parts of the tables whose rows these are.
    ``history``: the ids as they are written, "" for none.
    """

    cells: Mapping[str, Mapping[tuple[int, int], object]]
    cleared: Mapping[str, frozenset[tuple[int, int]]]
    grown: Mapping[str, str]
    added: tuple[str, ...]
    dropped: tuple[str, ...]
    date1904: bool
    heights: Mapping[str, Mapping[int, str | None]] = field(default_factory=dict)
    fitted: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    history: str = ""


@dataclass(frozen=True)
class ClaimedFormula:
    """A formula that was written."""

    text: str
