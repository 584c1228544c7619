"""The content of a printed page before it is HTML or PDF: sections of tables, points and sentences."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.errors import CommandWrong
from stillroom.household.records import Kitchen
from stillroom.reports.charts.canvas import Picture

KEPT_MARKS = frozenset("\u00ad\u200c\u200d")
"""A soft hyphen and the two joiners: invisible, and needed by some scripts."""


@dataclass(frozen=True)
class Below:
    """A small line under the words of a cell; bold if it `warns`."""

    words: str
    warns: bool = False


@dataclass(frozen=True)
class Cell:
    """
    The words of one cell and the small lines under them.

    An `unmarked` cell of a column to tick or to write on stays empty.
    """

    words: str = ""
    below: tuple[Below, ...] = ()
    unmarked: bool = False


@dataclass(frozen=True)
class Column:
    """
    A column: its heading, its kind, and its share of the width that the narrow kinds leave.

    Kinds: `main` (what it is about, large), `number` (how many, large), `plain`, `time`, `money`, and two that stay
    empty for a pencil: `box` to check and `write` to write on. If `labeled`, the heading precedes each cell on a screen
    too narrow for headings.
    """

    heading: str
    kind: str = "plain"
    share: float = 1.0
    labeled: bool = False


@dataclass(frozen=True)
class Group:
    """Rows that belong together, such as those of a day, with a `head` at their left."""

    rows: tuple[tuple[Cell, ...], ...]
    head: Cell = Cell()


@dataclass(frozen=True)
class Table:
    """Rows under headings, in groups; `with_heads` if the groups have heads."""

    columns: tuple[Column, ...]
    groups: tuple[Group, ...]
    with_heads: bool = False


@dataclass(frozen=True)
class Points:
    """
    Lines with a box (`ticked`) or a `dash` before each, and an aside such as a source after it.

    If `may_be_cut`, the last ones are left off a page without room for them, and `cut_words` explain it.
    """

    items: tuple[tuple[str, str], ...]
    style: str = "dash"
    may_be_cut: bool = False
    cut_words: str = ""


@dataclass(frozen=True)
class Sentence:
    """A sentence by itself, bold if it `warns`, or `small` if it is only for reference."""

    words: str
    warns: bool = False
    small: bool = False


@dataclass(frozen=True)
class Figure:
    """A picture over the whole width, with its text alternative."""

    picture: Picture


Block = Table | Points | Sentence | Figure


@dataclass(frozen=True)
class Section:
    """A part of a page under its heading, with an `aside` in the same line."""

    heading: str
    blocks: tuple[Block, ...]
    aside: str = ""


@dataclass(frozen=True)
class Paper:
    """
    One thing to print, on one page or several; `name` is that of its file, without an ending.

    `look` is "door" for what is read from across the kitchen and "list" for what is read in the hand.
    """

    name: str
    title: str
    aside: str
    sections: tuple[Section, ...]
    warning: str = ""
    look: str = "list"


def table(columns: tuple[Column, ...], rows: Sequence[tuple[Cell, ...]]) -> Table:
    """Return a table whose rows are one group."""
    return Table(columns, (Group(tuple(rows)),))


def cut_words(block: Points, kept: int) -> str:
    """
    Return how many points were left off.

    >>> three = Points((("a", ""), ("b", ""), ("c", "")), cut_words="in Messages")
    >>> cut_words(three, 1), cut_words(three, 0)
    ('2 more in Messages', '3 in Messages')
    """
    return f"{len(block.items) - kept} {'more ' if kept else ''}{block.cut_words}"


def clean(words: str) -> str:
    """
    Return words without control characters and without marks that reverse the direction of a line.

    >>> clean("plum" + chr(0x202E) + "otamot" + chr(7))
    'plumotamot'
    >>> clean("salsa," + chr(10) + " pint"), clean("épices ½ °")
    ('salsa, pint', 'épices ½ °')
    """
    spaced = " ".join(words.split())
    return "".join(sign for sign in spaced if sign in KEPT_MARKS or unicodedata.category(sign)[0] != "C")


MARGIN_MM = 9.0
"""Household printers do not reach the edge."""


@dataclass(frozen=True)
class PaperSize:
    """A size of paper, upright, in millimeters; `css_name` is its name in a style sheet."""

    name: str
    width_mm: float
    height_mm: float
    css_name: str


A4 = PaperSize("a4", 210.0, 297.0, "A4")
LETTER = PaperSize("letter", 215.9, 279.4, "letter")
SIZES = {size.name: size for size in (A4, LETTER)}


def paper_size(kitchen: Kitchen, asked: str | None = None) -> PaperSize:
    """
    Return the paper asked for, else Letter in a US workbook and A4 in a metric one.

    Raises CommandWrong for another size.

    >>> import datetime
    >>> day = datetime.date(2026, 8, 14)
    >>> paper_size(Kitchen(day)).name, paper_size(Kitchen(day, weight_unit="kg")).name
    ('letter', 'a4')
    >>> paper_size(Kitchen(day), "A4").name
    'a4'
    """
    if asked is None:
        return A4 if kitchen.weight_unit == "kg" else LETTER
    found = SIZES.get(asked.strip().casefold())
    if found is None:
        msg = f"--paper is a4 or letter, not {asked!r}"
        raise CommandWrong(msg)
    return found
