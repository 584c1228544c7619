"""What a save says it has changed: the one thing that the writer hands to the check of its own work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Claims:
    """
    The owned cells and parts of one save.

    ``cells``: sheet part to (row, column) to the value written; None is blank, a formula is a
    :class:`ClaimedFormula`. ``cleared``: formula cells whose saved result was taken out. ``grown``: table part
    to its new area. ``added`` and ``dropped``: names of members.
    """

    cells: Mapping[str, Mapping[tuple[int, int], object]]
    cleared: Mapping[str, frozenset[tuple[int, int]]]
    grown: Mapping[str, str]
    added: tuple[str, ...]
    dropped: tuple[str, ...]
    date1904: bool


@dataclass(frozen=True)
class ClaimedFormula:
    """A formula that was written."""

    text: str
