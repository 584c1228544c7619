"""Words as paragraphs of a PDF, with the font, size and color of their kind."""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping
from dataclasses import dataclass
from html import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Paragraph

from stillroom.reports.charts.canvas import BOLD, GREEN, INK, NO_GLYPH, TEXT, TITLE, font_folder
from stillroom.reports.charts.canvas import PRINTED_QUIET as QUIET
from stillroom.reports.print.document import Below, Cell, clean

POINTS_A_MM = 72 / 25.4


@functools.cache
def signs() -> frozenset[int]:
    """
    Register the fonts with reportlab once; return the code points that all of them have.

    Raises StillroomError when they are missing.
    """
    folder = font_folder()
    drawn = []
    for name in (TEXT, BOLD, TITLE):
        font = TTFont(name, str(folder / f"{name}.ttf"))
        pdfmetrics.registerFont(font)
        drawn.append(frozenset(font.face.charToGlyph))
    for name in (TEXT, BOLD, TITLE):
        pdfmetrics.registerFontFamily(name, normal=name, bold=BOLD, italic=name, boldItalic=BOLD)
    return frozenset.intersection(*drawn)


def drawable(words: str) -> str:
    """
    Return words with a box for each character that the fonts do not have.

    >>> drawable("½ °C, épices, слива, δαμάσκηνο"), drawable("plum 🍅")
    ('½ °C, épices, слива, δαμάσκηνο', 'plum □')
    """
    known = signs()
    return "".join(sign if ord(sign) in known else NO_GLYPH for sign in clean(words))


def width_points(words: str, font: str, size: float) -> float:
    """Return the width of words in points."""
    signs()
    return float(pdfmetrics.stringWidth(words, font, size))


# The sizes of type on a PDF page in points: (largest, smallest).

Range = tuple[float, float]

DOOR: Mapping[str, Range] = {
    "title": (24, 15),
    "heading": (18, 12),
    "beside": (10, 7.5),
    "head": (22, 14),
    "main": (20, 11.5),
    "number": (22, 13),
    "plain": (11, 7.8),
    "below": (10, 7),
    "column": (9, 7),
    "point": (11, 7),
    "small": (8.5, 6.5),
    "aside": (8.5, 6.5),
}
"""
For pages read from across the kitchen.

A capital of DejaVu Sans is 0.73 of the type size: 5.1 mm at 20 points, which is 8.8 minutes of arc at two meters; 3 mm
at 11.5 points, which is 5.1 minutes. 5 minutes is the smallest letter that normal sight reads (20/20; from memory).
"""

LIST: Mapping[str, Range] = {
    "title": (22, 15),
    "heading": (14, 11),
    "beside": (9.5, 8),
    "head": (13, 10),
    "main": (13, 9),
    "number": (13, 9),
    "plain": (11, 7.8),
    "below": (9.5, 7.3),
    "column": (9, 7.3),
    "point": (11, 8),
    "small": (8.5, 7),
    "aside": (8.5, 7),
}
"""For pages read in the hand."""


@dataclass(frozen=True)
class Type:
    """
    The sizes of one page: `wanted` is 1 for the largest, 0 for the smallest.

    If `close`, small lines follow the words of a cell in the same line, and rows are closer together.

    >>> Type(DOOR, 0.0)["main"], Type(DOOR, 1.0)["main"], Type(DOOR, 0.5)["heading"]
    (11.5, 20.0, 15.0)
    """

    sizes: Mapping[str, Range]
    wanted: float
    close: bool = False

    def __getitem__(self, kind: str) -> float:
        """Return the size of a kind of words in points."""
        most, least = self.sizes[kind]
        return least + (most - least) * self.wanted


def sizes_of(look: str) -> Mapping[str, Range]:
    """Return the sizes for the look of a page."""
    return DOOR if look == "door" else LIST


MOST_SIGNS = {"main": 120, "below": 400, "plain": 440, "point": 1500}
"""Longer text in a cell is cut with an ellipsis."""
KINDS = {
    "title": (TITLE, GREEN, 1.15),
    "heading": (TITLE, GREEN, 1.15),
    "head": (TITLE, GREEN, 1.1),
    "beside": (TEXT, QUIET, 1.25),
    "main": (BOLD, INK, 1.12),
    "number": (BOLD, INK, 1.12),
    "plain": (TEXT, INK, 1.2),
    "below": (TEXT, QUIET, 1.2),
    "column": (TEXT, QUIET, 1.2),
    "point": (TEXT, INK, 1.22),
    "small": (TEXT, QUIET, 1.22),
    "aside": (TEXT, QUIET, 1.22),
}
"""Font, color, and the height of a line as a multiple of the size."""


def style(kind: str, sizes: Type, *, right: bool = False, warns: bool = False) -> ParagraphStyle:
    """Return the style of a kind of words at the sizes of the page."""
    font, color, leading = KINDS[kind]
    size = sizes[kind]
    return ParagraphStyle(
        f"{kind} {size:.2f} {right} {warns}",
        fontName=BOLD if warns else font,
        fontSize=size,
        leading=size * leading,
        textColor=HexColor(INK if warns else color),
        alignment=TA_RIGHT if right else 0,
        splitLongWords=True,
        spaceShrinkage=0,
    )


def cut(words: str, kind: str) -> str:
    """
    Return words, cut to what a cell can hold.

    >>> cut("plum " * 200, "main")[-12:]
    'm plum plum…'
    """
    most = MOST_SIGNS.get(kind, 5000)
    return words if len(words) <= most else f"{words[: most - 1].rstrip()}…"


def marked(words: str, kind: str) -> str:
    """
    Return words escaped for reportlab, with no line break between a figure and what it counts.

    >>> marked("2 lb <b>plums</b>", "plain") == "2" + chr(160) + "lb &lt;b&gt;plums&lt;/b&gt;"
    True
    """
    return escape(unbroken(drawable(cut(words, kind))), quote=False)


def unbroken(words: str) -> str:
    """Return words with a no-break space between a figure and what it counts."""
    return re.sub(r"(?<=[0-9¼½¾]) (?=[^\s\[])", "\u00a0", words)


class Words(Paragraph):
    """A paragraph that breaks its lines once for a width, however often the tables around it ask how high it is."""

    broken_at = 0.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Return its width and height in points; `height`, the room below, changes neither."""
        if width != self.broken_at:
            self.taken = super().wrap(width, height)
            self.broken_at = width
        return self.taken


def paragraph(words: str, kind: str, sizes: Type, *, right: bool = False, warns: bool = False) -> Paragraph:
    """Return words as a paragraph of a kind."""
    text = marked(words, kind)
    return Words(text, style(kind, sizes, right=right, warns=warns))


def with_aside(words: str, aside: str, kind: str, sizes: Type) -> Paragraph:
    """Return words followed by smaller ones in the same line."""
    small = f' <font name="{TEXT}" size="{sizes["aside"]:.2f}" color="{QUIET}">{marked(aside, "point")}</font>'
    return Words(marked(words, kind) + (small if aside else ""), style(kind, sizes))


def cell_words(cell: Cell, kind: str, sizes: Type) -> list[Paragraph]:
    """Return the words of a cell and the small lines under them."""
    right = kind in ("number", "money")
    shown = kind if kind in KINDS else "plain"
    found = [paragraph(cell.words, shown, sizes, right=right)] if cell.words else []
    return found + [below_words(one, sizes, right=right) for one in cell.below if one.words]


def run_in(cell: Cell, more: tuple[Below, ...], kind: str, sizes: Type) -> Paragraph:
    """Return the words of a cell followed by the small lines in the same line; `more` come before its own."""
    small = f'<font name="{TEXT}" size="{sizes["below"]:.2f}" color="{QUIET}">'
    small_words = []
    for one in (*more, *cell.below):
        if one.words:
            words = marked(one.words, "below")
            small_words.append(f'<font name="{BOLD}" color="{INK}">{words}</font>' if one.warns else words)
    behind = f" {small}{'; '.join(small_words)}</font>" if small_words else ""
    close = style(kind, sizes)
    close.autoLeading = "min"  # a line of small words alone is no higher than they are
    return Words(marked(cell.words, kind) + behind, close)


def below_words(one: Below, sizes: Type, *, right: bool = False) -> Paragraph:
    """Return a small line under a cell's words, bold if it warns."""
    return paragraph(one.words, "below", sizes, right=right, warns=one.warns)
