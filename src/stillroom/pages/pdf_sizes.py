"""The sizes of type on a PDF page, from what is wanted down to the smallest that is allowed, in points."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

Range = tuple[float, float]

DOOR: Mapping[str, Range] = {
    "title": (24, 15),
    "heading": (18, 12),
    "beside": (10, 7.5),
    "head": (22, 14),
    "main": (20, 11.5),
    "number": (22, 13),
    "plain": (11, 7.8),
    "below": (10, 7),
    "column": (9, 7),
    "point": (11, 7),
    "small": (8.5, 6.5),
    "aside": (8.5, 6.5),
}
"""
For what is read from across the kitchen, as (wanted, smallest).

A capital of DejaVu Sans is 0.73 of the type size: 5.1 mm at 20 points, which is 8.8 minutes of arc at two metres; 3 mm
at 11.5 points, which is 5.1 minutes. A letter of 5 minutes is the smallest that an eye without fault reads (20/20 on
the chart; from memory).
"""

LIST: Mapping[str, Range] = {
    "title": (22, 15),
    "heading": (14, 11),
    "beside": (9.5, 8),
    "head": (13, 10),
    "main": (13, 9),
    "number": (13, 9),
    "plain": (11, 7.8),
    "below": (9.5, 7.3),
    "column": (9, 7.3),
    "point": (11, 8),
    "small": (8.5, 7),
    "aside": (8.5, 7),
}
"""For what is read in the hand."""


@dataclass(frozen=True)
class Type:
    """
    The sizes of one page: `wanted` is 1 for those that are wanted, 0 for the smallest.

    Where `close`, small lines stand behind the words of a cell and not under them, and rows are close together.

    >>> Type(DOOR, 0.0)["main"], Type(DOOR, 1.0)["main"], Type(DOOR, 0.5)["heading"]
    (11.5, 20.0, 15.0)
    """

    sizes: Mapping[str, Range]
    wanted: float
    close: bool = False

    def __getitem__(self, kind: str) -> float:
        """The size of one kind of words, in points."""
        most, least = self.sizes[kind]
        return least + (most - least) * self.wanted


def sizes_of(look: str) -> Mapping[str, Range]:
    """The sizes for the look of a page."""
    return DOOR if look == "door" else LIST
