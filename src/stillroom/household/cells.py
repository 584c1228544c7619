"""The names of cells and columns: `B7` is row 7, column 2."""

from __future__ import annotations

import re
from functools import lru_cache

_ADDRESS = re.compile(r"\$?([A-Za-z]{1,3})\$?([0-9]{1,7})")


@lru_cache(maxsize=1024)
def letters(column: int) -> str:
    """
    Name a column.

    >>> letters(1), letters(28), letters(16384)
    ('A', 'AB', 'XFD')
    """
    name = ""
    while column > 0:
        column, rest = divmod(column - 1, 26)
        name = chr(65 + rest) + name
    return name


def column_number(name: str) -> int:
    """
    Count a column's letters out.

    >>> column_number("A"), column_number("ab"), column_number("XFD")
    (1, 28, 16384)
    """
    number = 0
    for letter in name.upper():
        number = number * 26 + ord(letter) - 64
    return number


def address(row: int, column: int) -> str:
    """Name a cell: ``address(7, 2)`` is B7."""
    return f"{letters(column)}{row}"


def cell_place(text: str) -> tuple[int, int]:
    """
    Return the row and the column of a cell's name, with or without dollar signs. Raise ValueError for anything else.

    >>> cell_place("$B$7")
    (7, 2)
    """
    match = _ADDRESS.fullmatch(text)
    if match is None:
        msg = f"{text!r} is not the name of a cell"
        raise ValueError(msg)
    return int(match[2]), column_number(match[1])
