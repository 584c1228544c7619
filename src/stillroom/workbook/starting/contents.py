"""What goes into a new workbook: rows by table and heading, before any spreadsheet is known."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Formula:
    """A formula as a spreadsheet file holds it (without the equals sign) and the value it has now."""

    text: str
    value: float | str


Entry = str | int | float | bool | datetime.date | datetime.time | Formula | None
Row = Mapping[str, Entry]
Rows = Mapping[str, Sequence[Row]]


@dataclass(frozen=True)
class Contents:
    """
    The rows of every input table, and what the sheets say about themselves.

    `rows` goes by table name, then heading; a heading that the table does not have is a column of the household's
    own, set to the right. `extra` names those columns by table. `label` stands under the title of every sheet. `lines`
    are what *Handbook line* may say. Without `examples` nothing in the rows is to be typed over.
    """

    rows: Rows
    title: str = "Our winter larder"
    label: str = ""
    extra: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    lines: Sequence[Mapping[str, Entry]] = ()
    examples: bool = True

    def column(self, table: str, heading: str) -> list[Entry]:
        """
        What stands in one column of a table, top to bottom.

        >>> Contents({"Lids": [{"Lid": "wide"}, {"Lid": "regular"}]}).column("Lids", "Lid")
        ['wide', 'regular']
        """
        return [row.get(heading) for row in self.rows.get(table, ())]
