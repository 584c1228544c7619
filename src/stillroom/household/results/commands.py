"""What a command did: a save, a folder of workbooks, tables added."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from stillroom.errors import Problem
from stillroom.household.records import Household
from stillroom.household.results.rows import Row
from stillroom.household.text import format_list


@dataclass(frozen=True)
class Receipt:
    """
    What a save did.

    Members are the files inside the workbook. ``results_cleared`` names the formula cells ("Sheet!B7") whose saved
    result was taken out so that every office program works it out anew, ``cleared_to_be_safe`` those of them whose
    formula can look anywhere. ``backup`` is the dated copy, None when nothing was replaced. ``other_names`` is how many
    other names (hard links) the replaced file had: they still name the file as it was. ``too_short`` names each formula
    that ends where a table did before it grew: the table, the formula, and the heading of a column it looks at.
    """

    path: Path
    members_kept: int
    members_changed: tuple[str, ...]
    members_added: tuple[str, ...]
    cells_written: int
    results_cleared: tuple[str, ...]
    backup: Path | None
    members_dropped: tuple[str, ...] = ()
    cleared_to_be_safe: tuple[str, ...] = ()
    written: bool = True
    other_names: int = 0
    too_short: tuple[tuple[str, str, str], ...] = ()


def save_words(receipt: Receipt) -> list[str]:
    """
    Say what a save did beside writing what was asked.

    Named are the cells whose saved result was cleared because it used what changed, formulas that miss the new rows of
    a table, and other names of the file (hard links), which no longer name it.
    """
    cells, names = receipt.results_cleared, receipt.other_names
    lines = [f"Your spreadsheet will recalculate {format_list(cells, 4)} when you open it."] if cells else []
    for table in dict.fromkeys(table for table, *_ in receipt.too_short):
        short = [formula for one, formula, _ in receipt.too_short if one == table]
        heading = next(heading for one, _, heading in receipt.too_short if one == table)
        end, miss = ("ends", "misses") if len(short) == 1 else ("end", "miss")
        lines.append(
            f"{table.replace('_', ' ')} has more rows now. {format_list(short, 4)} {end} at its former last row and "
            f"{miss} them: change the range, or use the table's name, as in {table}[{heading}]."
        )
    if names:
        many = "another name" if names == 1 else f"{names} other names"
        lines.append(f"{receipt.path.name} had {many} on this disk (hard link): that one is still as it was before.")
    return lines


@dataclass(frozen=True)
class Entry:
    """
    What an entry of the journal wrote: rows of a table by heading, each with its place under Where, and the save.

    `before` is the household as typed without it, `messages` what to say of it.
    """

    table: str
    rows: tuple[Row, ...]
    before: Household
    receipt: Receipt
    messages: tuple[str, ...]


# What came of a folder of workbooks that were planned.


@dataclass(frozen=True)
class WorkbookDone:
    """
    What came of one workbook.

    `content` is the planned workbook, None when there is none and `problems` say why. `targets` is how many there are,
    `filled` how many of them are filled; `surplus_kg` what the plan feeds; `said` how many things are worth knowing;
    `errors` what keeps preserves out of the plan; `refused` whether the result could not be put in its place.
    """

    name: str
    content: bytes | None = None
    lines: int = 0
    targets: int = 0
    filled: int = 0
    surplus_kg: float = 0.0
    said: int = 0
    unchanged: bool = False
    seconds: float = 0.0
    problems: tuple[str, ...] = ()
    errors: tuple[str, ...] = ()
    refused: bool = False


@dataclass(frozen=True)
class AllPlanned:
    """What came of a folder, in the order of names; `seconds` is how long all of it took, `workers` who planned."""

    folder: Path
    out: Path
    done: tuple[WorkbookDone, ...]
    seconds: float
    workers: int

    @property
    def failed(self) -> int:
        """How many workbooks have no plan."""
        return sum(bool(one.problems) for one in self.done)


# What moving into a workbook that a household already has came to.


@dataclass(frozen=True)
class LeftOut:
    """Starting rows of one table that were not taken, or stand at Make = no: their names, and why in a few words."""

    table: str
    names: tuple[str, ...]
    why: str
    whole: bool = False
    made_no: bool = False


@dataclass(frozen=True)
class Addition:
    """Rows by table that a workbook got, the preserves left out, and the names that the handbook does not have."""

    rows: Mapping[str, Sequence[Mapping[str, Any]]]
    left_out: tuple[LeftOut, ...] = ()
    unknown: tuple[str, ...] = ()


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


# What was read of a household's own log.


@dataclass(frozen=True)
class LogRow:
    """One row of a log that is understood: its place, the lot it is, what its crop is `called` there, and its note."""

    where: str
    day: datetime.date
    crop: str
    called: str
    number: float
    unit: str
    kg: float
    typed: str


@dataclass(frozen=True)
class LogRead:
    """
    What was read of a log on a `sheet`: which column is what ("date", "B", "When"), and its rows.

    `new` are not in Harvest yet and `already` are; `unread` are the places of the others, each with the reason.
    `ditto` rows without a date take the one above; `units` is where the units come from.
    """

    sheet: str
    columns: tuple[tuple[str, str, str], ...]
    units: str
    new: tuple[LogRow, ...]
    already: int
    unread: tuple[tuple[str, str], ...]
    ditto: int = 0
