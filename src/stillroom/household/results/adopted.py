"""What moving into a workbook that a household already has came to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from stillroom.errors import Problem


@dataclass(frozen=True)
class LeftOut:
    """Starting rows of one table that were not taken, or stand at Make = no: their names, and why in a few words."""

    table: str
    names: tuple[str, ...]
    why: str
    whole: bool = False
    made_no: bool = False


@dataclass(frozen=True)
class Adoption:
    """
    What moving in came to.

    `added` are the tables put on the new `sheets`, `used` those that were there with their place (`Garden!B4`), and
    `problems` what the household has to decide. `rows` counts the starting rows of each new table; `renamed` pairs a
    starting name with the household's own that it was replaced by.
    """

    sheets: tuple[str, ...]
    added: tuple[str, ...]
    used: tuple[tuple[str, str], ...] = ()
    problems: tuple[Problem, ...] = ()
    rows: Mapping[str, int] = field(default_factory=dict)
    renamed: tuple[tuple[str, str], ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    notes: tuple[str, ...] = ()
