"""The content of a printed page before it is HTML or PDF: sections of tables, points, errors and cautions."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace

from stillroom.errors import CommandWrong
from stillroom.handbook.cautions import OTHERS, PageCautions
from stillroom.household.records import Household, Kitchen
from stillroom.reports.charts.canvas import Picture
from stillroom.reports.problems import error_lines
from stillroom.reports.terminal.day import publications, source_words

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


HEADING = "Left out of the plan"


def with_error_section(household: Household, paper: Paper) -> Paper:
    """Return a page that begins with the errors of what is left out; the page itself where there are none."""
    lines = error_lines(household)
    if not lines:
        return paper
    section = Section(HEADING, tuple(Sentence(line, warns=True) for line in lines))
    return replace(paper, sections=(section, *paper.sections))


PLAIN_PAPER = "Print this page on plain paper."
MORE_CAUTIONS = "on the Cautions sheet of the workbook: read those too"


def caution_sections(care: PageCautions, before: Sequence[str] = ()) -> list[Section]:
    """
    Return the blocks of a page and the sources of its cautions; `before` are sources that the page has numbered.

    Only particular cautions may be left off a page without room, never the fixed block or those for hands and kitchen.
    """
    new = [one for one in publications(care.all) if one not in before]
    sources = [*before, *new]
    sections = []
    for heading, cautions in care.named:
        items = tuple((one.text, source_words(one, sources)) for one in cautions)
        points = Points(items, "dash", may_be_cut=heading == OTHERS, cut_words=MORE_CAUTIONS)
        sections.append(Section(heading, (points,)))
    if new:
        words = f"Cautions from {sources_text(new, len(before) + 1)}."
        sections.append(Section("", (Sentence(words, small=True),)))
    return sections


def care_paper(care: PageCautions, marks: Sequence[str] = ()) -> Paper:
    """Return the page of cautions that follows sheets of labels; `marks` say what the marks on them mean."""
    sections = [Section("", tuple(Sentence(words) for words in marks))] if marks else []
    return Paper("cautions", "Before you fill the jars", PLAIN_PAPER, (*sections, *caution_sections(care)))


def sources_text(sources: Sequence[str], first: int = 1) -> str:
    """
    Return the sources by the numbers in the lines from `first` on, places in one publication together.

    >>> sources_text(["Guide A, p. 2", "Guide B", "Guide A, p. 7"])
    'Guide A: [1] p. 2, [3] p. 7; Guide B: [2]'
    """
    places: dict[str, list[str]] = {}
    for number, source in enumerate(sources, first):
        book, comma, place = source.rpartition(", ")
        places.setdefault(book if comma else source, []).append(f"[{number}] {place}" if comma else f"[{number}]")
    return "; ".join(f"{book}: {', '.join(several)}" for book, several in places.items())
