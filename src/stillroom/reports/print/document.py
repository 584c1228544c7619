"""What a printed page holds, before it is HTML or PDF: sections of tables, points and sentences, all plain words."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.errors import CommandWrong
from stillroom.household.records import Kitchen

KEPT_MARKS = frozenset("\u00ad\u200c\u200d")
"""A soft hyphen and the two joiners: invisible, harmless, and some scripts need them."""


@dataclass(frozen=True)
class Below:
    """A small line under the words of a cell; `warns` when it must not be passed over."""

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
    One column: its heading, what kind it is, and its share of the width that the narrow kinds leave.

    Kinds: `main` (what it is about, large), `number` (how many, large), `plain`, `time`, `money`, and two that stay
    empty for a pencil: `box` to tick and `write` to write on. Where `labelled`, the heading stands before each cell
    on a screen too narrow for headings.
    """

    heading: str
    kind: str = "plain"
    share: float = 1.0
    labelled: bool = False


@dataclass(frozen=True)
class Group:
    """Rows that belong together, such as those of a day; `head` stands beside them and is empty where there is none."""

    rows: tuple[tuple[Cell, ...], ...]
    head: Cell = Cell()


@dataclass(frozen=True)
class Table:
    """Rows under headings; `with_heads` says whether the groups have something beside them."""

    columns: tuple[Column, ...]
    groups: tuple[Group, ...]
    with_heads: bool = False


@dataclass(frozen=True)
class Points:
    """
    Lines with something before each: `ticked` (a box) or a `dash`; each with an aside such as its source.

    Where `may_be_cut`, those at the end are left off a page that has no room for them, and `cut_words` say so.
    """

    items: tuple[tuple[str, str], ...]
    style: str = "dash"
    may_be_cut: bool = False
    cut_words: str = ""


@dataclass(frozen=True)
class Sentence:
    """A sentence by itself; `warns` when it must not be passed over, `small` when it is for whoever looks it up."""

    words: str
    warns: bool = False
    small: bool = False


Block = Table | Points | Sentence


@dataclass(frozen=True)
class Section:
    """A part of a page under its heading; `beside` stands smaller in the same line."""

    heading: str
    blocks: tuple[Block, ...]
    beside: str = ""


@dataclass(frozen=True)
class Paper:
    """
    One thing to print, of one page or of several; `name` is that of its file, without an ending.

    `look` is "door" for what is read from across the kitchen and "list" for what is read in the hand.
    """

    name: str
    title: str
    aside: str
    sections: tuple[Section, ...]
    warning: str = ""
    look: str = "list"


def table(columns: tuple[Column, ...], rows: Sequence[tuple[Cell, ...]]) -> Table:
    """Make a table whose rows are one group."""
    return Table(columns, (Group(tuple(rows)),))


def cut_words(block: Points, kept: int) -> str:
    """
    Say how many points were left off.

    >>> three = Points((("a", ""), ("b", ""), ("c", "")), cut_words="in Messages")
    >>> cut_words(three, 1), cut_words(three, 0)
    ('2 more in Messages', '3 in Messages')
    """
    return f"{len(block.items) - kept} {'more ' if kept else ''}{block.cut_words}"


def clean(words: str) -> str:
    """
    Words as they may be printed: no control characters, and none of the marks that turn the direction of a line.

    >>> clean("plum" + chr(0x202E) + "otamot" + chr(7))
    'plumotamot'
    >>> clean("salsa," + chr(10) + " pint"), clean("épices ½ °")
    ('salsa, pint', 'épices ½ °')
    """
    spaced = " ".join(words.split())
    return "".join(sign for sign in spaced if sign in KEPT_MARKS or unicodedata.category(sign)[0] != "C")


# The colours of a printed page: the ink, paper and green of the workbook; each prints as a grey of its own.

PAPER = "FCF9F1"
INK = "33312B"
GREEN = "4C6848"
PALE_GREEN = "EDF2E7"
LINE = "B9B09B"
QUIET = "5F584C"


# Sheets of paper by their measures, and which of them a household prints on.

MARGIN_MM = 9.0
"""Left white on every side: household printers do not reach the edge."""


@dataclass(frozen=True)
class PaperSize:
    """A sheet of paper, upright, in millimetres; `css_name` is its name in a style sheet."""

    name: str
    width_mm: float
    height_mm: float
    css_name: str


A4 = PaperSize("a4", 210.0, 297.0, "A4")
LETTER = PaperSize("letter", 215.9, 279.4, "letter")
SIZES = {size.name: size for size in (A4, LETTER)}


def paper_size(kitchen: Kitchen, asked: str | None = None) -> PaperSize:
    """
    The paper that is asked for, else Letter where the workbook weighs in pounds and A4 where in kilograms.

    Raises CommandWrong for a paper that is not known.

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
        msg = f"{asked!r} is not a paper; write a4 or letter"
        raise CommandWrong(msg)
    return found
