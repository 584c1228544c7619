"""The tables, columns and settings of a workbook, as `schema.toml` describes them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from stillroom.household.names import key

_SIMPLE_DEFAULT = re.compile(r"default: ([a-z]+|-?\d+(?:\.\d+)?|\d\d:\d\d)")
REQUIRED = "required"


@dataclass(frozen=True)
class Column:
    """
    One column of a table, or one setting of the kitchen (then `heading` is the setting's name).

    `blank` says what an empty cell means: "required", "default: ...", "no limit" or "none". A column with `asked` is
    blank in most plans, and an older table may not have it.
    """

    heading: str
    field: str
    kind: str
    about: str = ""
    blank: str = "none"
    unit: str = ""
    choices: tuple[str, ...] = ()
    of: tuple[str, ...] = ()
    least: float | None = None
    most: float | None = None
    usual_least: float | None = None
    usual_most: float | None = None
    owner: str = ""
    asked: bool = False
    width: float = 10.0
    format: str = "General"

    @property
    def required(self) -> bool:
        """Whether an empty cell is a problem."""
        return self.blank == REQUIRED

    @property
    def default(self) -> str | None:
        """
        The default as written, when it is a plain word or number; None when it depends on something else.

        >>> Column("Weight", "weight", "number", blank="default: 1").default
        '1'
        >>> Column("At most", "at_most", "number", blank="default: as wanted").default is None
        True
        """
        found = _SIMPLE_DEFAULT.fullmatch(self.blank)
        return found[1] if found else None


@dataclass(frozen=True)
class Table:
    """One table: its columns in order, for `Kitchen` its settings too, and how many rows it may have."""

    name: str
    sheet: str
    role: str
    about: str
    columns: tuple[Column, ...]
    settings: tuple[Column, ...] = ()
    record: str = ""
    required: bool = False
    empty: bool = True
    optional: bool = False
    later: bool = False
    limit: int | None = None
    rows: int | None = None

    def column(self, field: str) -> Column:
        """Find a column by its field; KeyError when there is none."""
        for column in self.columns:
            if column.field == field:
                return column
        raise KeyError(field)

    @property
    def headings(self) -> tuple[str, ...]:
        """All headings in order."""
        return tuple(column.heading for column in self.columns)

    @property
    def known_by(self) -> tuple[str, ...]:
        """
        The headings that a block of cells must have to be this table.

        >>> set(tables()["Plan"].headings) - set(tables()["Plan"].known_by) == {"Can wait until", "Else"}
        True
        """
        return tuple(column.heading for column in self.columns if not column.asked)


@cache
def tables() -> Mapping[str, Table]:
    """
    Every table by its name, in the order of the file.

    >>> list(tables())[:3], tables()["Harvest"].column("kg").heading
    (['Kitchen', 'Hours', 'Equipment'], 'Amount')
    """
    text = files("stillroom.workbook.schema").joinpath("schema.toml").read_text(encoding="utf-8")
    return {entry["name"]: _table(entry) for entry in tomllib.loads(text)["table"]}


def input_tables() -> tuple[Table, ...]:
    """The tables that the household fills in."""
    return tuple(table for table in tables().values() if table.role == "input")


def output_tables() -> tuple[Table, ...]:
    """The tables that the planner writes."""
    return tuple(table for table in tables().values() if table.role == "output")


def _table(entry: Mapping[str, Any]) -> Table:
    """Make a table out of its entry in the file."""
    plain = {name: value for name, value in entry.items() if name not in ("columns", "setting")}
    return Table(
        **plain,
        columns=tuple(_column(column) for column in entry["columns"]),
        settings=tuple(_column(setting) for setting in entry.get("setting", ())),
    )


def _column(entry: Mapping[str, Any]) -> Column:
    """Make a column out of its entry; a setting has a name where a column has a heading."""
    given = dict(entry)
    given["heading"] = given.pop("name", None) or given["heading"]
    given["choices"] = tuple(given.get("choices", ()))
    given["of"] = tuple(part.strip() for part in given.get("of", "").split(",") if part.strip())
    return Column(**given)


# Names of tables, columns and settings that a workbook had before, for a "did you mean": none is read.

FORMER_TABLES = {
    key(before): now
    for before, now in {
        "Needs": "Winter list",
        "Counts": "Counts toward",
        "Larder": "Pantry",
        "Limits": "Bottlenecks",
    }.items()
}
"""Today's name of a table by the key of its former one."""

FORMER_HEADINGS = {
    (table, key(before)): now
    for table, before, now in (
        ("Containers", "Coming back each week", "Empties returned per week"),
        ("Preserves", "Way", "Method"),
        ("Preserves", "Make", "Include"),
        ("Winter list", "Need", "Target"),
        ("Winter list", "Weight", "Relative priority"),
        ("Counts toward", "Need", "Target"),
        ("Plan", "Fix", "Keep at"),
        ("Timetable", "Hands", "People"),
        ("Season so far", "In hand", "On hand"),
    )
}
"""Today's heading of a column by its table and the key of its former one."""

FORMER_SETTINGS = {
    key(before): now
    for before, now in {
        "days planned singly": "days planned in detail",
        "weeks after that": "weeks planned roughly",
        "fill needs evenly": "fill targets evenly",
        "minutes to set up a kind": "setup minutes",
    }.items()
}
"""Today's name of a setting by the key of its former one."""
