"""Tables as data frames, and data frames as CSV files: for notebooks, scripts and any other program."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, cast

from stillroom.app.files import put_all
from stillroom.household.results.rows import Row, Value
from stillroom.reports.json import snake
from stillroom.workbook.schema import tables as schema_tables

if TYPE_CHECKING:
    import pandas as pd

    Tables = Mapping[str, Sequence[Row] | pd.DataFrame]


KIND_DTYPES = {"date": "datetime64[ns]", "number": "float64", "whole": "Int64", "amount": "float64"}
"""The dtype of a column by its kind in the schema; any other kind is text."""

HEADINGS = {
    "Yields": (
        "Preserve",
        "Crop",
        "Unit",
        "Typed",
        "Yours",
        "Used in plan",
        "Records",
        "Records left out",
        "Why not used",
    ),
    "Review months": ("Target", "Month", "Eaten", "Unit"),
    "Review weeks": ("Crop", "Week", "Unit", "Years", "Expected", "Weighed", "Least", "Usual", "Most"),
    "Containers that ran out": ("Container", "Seasons", "Draws", "First", "Middle"),
}
"""Headings of tables outside the schema that may have no rows, so that their CSV files are known as ours."""


def frame(rows: Sequence[Row], name: str = "") -> pd.DataFrame:
    """
    Return rows as a data frame with a column for each heading.

    Dates are datetime64, numbers float64, whole numbers Int64, all else text (times as `14:30`). A column of a table
    of the schema has the dtype of its kind even when it is empty; others have that of their values.
    """
    import pandas as pd

    table = schema_tables().get(name)
    kinds = {} if table is None else {column.heading: column.kind for column in table.columns}
    headings = list(dict.fromkeys([*kinds, *HEADINGS.get(name, ()), *(heading for row in rows for heading in row)]))
    columns = {}
    for heading in headings:
        values = [row.get(heading) for row in rows]
        dtype = KIND_DTYPES.get(kinds[heading], "string") if heading in kinds else dtype_of(values)
        if dtype == "string":
            values = [None if value is None else text_of(value) for value in values]
        columns[heading] = pd.Series(values, dtype=dtype, name=heading)
    return pd.DataFrame(columns, columns=pd.Index(headings))


def frames(tables: Tables) -> dict[str, pd.DataFrame]:
    """Return every table as a data frame, by its name; what is one already stays as it is."""
    return {name: frame(rows, name) if isinstance(rows, Sequence) else rows for name, rows in tables.items()}


def dtype_of(values: Iterable[object]) -> str:
    """
    Return the dtype that holds all values of a column.

    >>> dtype_of([1, None]), dtype_of([1, 2.5]), dtype_of([datetime.date(2026, 8, 14)]), dtype_of(["a", 1])
    ('Int64', 'float64', 'datetime64[ns]', 'string')
    """
    kinds = {type(value) for value in values if value is not None}
    if kinds and kinds <= {datetime.date, datetime.datetime}:
        return "datetime64[ns]"
    if kinds == {bool}:
        return "boolean"
    if kinds == {int}:
        return "Int64"
    return "float64" if kinds and kinds <= {int, float} else "string"


def text_of(value: object) -> str:
    """Return a value as text; a time as `14:30`."""
    return value.isoformat("minutes") if isinstance(value, datetime.time) else str(value)


def rows_of(objects: Iterable[Mapping[str, object]]) -> list[Row]:
    """
    Return objects with keys in snake_case as rows with headings; a list in one becomes text.

    >>> rows_of([{"shop_price": 2.5, "left_out": ["a", "b"]}])
    [{'Shop price': 2.5, 'Left out': 'a; b'}]
    """
    return [{heading_of(key): cell_of(value) for key, value in one.items()} for one in objects]


def heading_of(key: str) -> str:
    """Return a key in snake_case as a heading."""
    return key.replace("_", " ").capitalize()


def cell_of(value: object) -> Value:
    """Return a value as it goes into a cell: a list as text."""
    if isinstance(value, list | tuple):
        return "; ".join(map(str, value)) or None
    return cast("Value", value)


def write_csv(tables: Tables, folder: Path, *, replace: bool = False) -> list[Path]:
    """
    Write each table as a CSV file named after it into a folder; return the files.

    The files are UTF-8 with the headings in the first line, ISO dates, unrounded numbers, and empty cells where there
    is no value. Raise CouldNotWrite, before anything is written, where a file of that name is not as we last wrote it;
    with `replace` a dated copy of it is kept.
    """
    contents = {
        folder / f"{snake(name)}.csv": one.to_csv(index=False, date_format="%Y-%m-%d", lineterminator="\n").encode()
        for name, one in frames(tables).items()
    }
    return put_all(folder, list(contents.items()), replace=replace)
