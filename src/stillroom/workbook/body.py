"""The rows of a table as they stand in the file; those in which nothing stands are made only when looked at."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import overload

from stillroom.workbook.values import Cell

Row = tuple[Cell, ...]


class Body(Sequence[Row]):
    """
    A table's rows, each a tuple of cells from its first column to its last.

    Tables are long beforehand and mostly blank below, so a row in which nothing stands costs nothing until it is asked
    for; :meth:`filled` passes such rows over.
    """

    def __init__(
        self, first_row: int, last_row: int, columns: range, written: Mapping[int, Mapping[int, Cell]]
    ) -> None:
        """Take the written cells by row and column; rows that are not among them are blank."""
        self._first_row, self._length, self._columns = first_row, max(last_row - first_row + 1, 0), columns
        self._written = written
        self._made: dict[int, Row] = {}

    def __len__(self) -> int:
        """How many rows there are, blank ones among them."""
        return self._length

    @overload
    def __getitem__(self, place: int) -> Row: ...

    @overload
    def __getitem__(self, place: slice) -> Sequence[Row]: ...

    def __getitem__(self, place: int | slice) -> Row | Sequence[Row]:
        """Give a row by its place, 0 for the first, or several."""
        if isinstance(place, slice):
            return tuple(self[one] for one in range(*place.indices(self._length)))
        if place < 0:
            place += self._length
        if not 0 <= place < self._length:
            raise IndexError(place)
        row = self._made.get(place)
        if row is None:
            row = self._made[place] = self._make(self._first_row + place)
        return row

    def __eq__(self, other: object) -> bool:
        """Whether the same cells stand in it."""
        return isinstance(other, Body | tuple) and tuple(self) == tuple(other)

    def __hash__(self) -> int:
        """Go by where it stands."""
        return hash((self._first_row, self._length, self._columns))

    def _make(self, row: int) -> Row:
        written = self._written.get(row)
        if not written:
            return tuple(Cell(row, column, None, "blank") for column in self._columns)
        return tuple(written.get(column) or Cell(row, column, None, "blank") for column in self._columns)

    def filled(self) -> Iterator[tuple[int, Row]]:
        """Give the rows in which something may stand, in any column of the sheet, each with its place."""
        for row in sorted(self._written):
            place = row - self._first_row
            if self._written[row] and 0 <= place < self._length:
                yield place, self[place]
