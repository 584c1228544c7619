"""Words of a page as paragraphs of a PDF: which font, size and colour each kind has."""

from __future__ import annotations

import functools
import importlib.util
import re
from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from pathlib import Path

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Paragraph

from stillroom.errors import StillroomError
from stillroom.reports.print.document import GREEN, INK, QUIET, Below, Cell, clean

# The fonts of the PDF pages: DejaVu, which comes with matplotlib and has ½, °, accents, Greek and Cyrillic.

TEXT, BOLD, TITLE = "DejaVuSans", "DejaVuSans-Bold", "DejaVuSerif-Bold"
NO_GLYPH = "□"
"""Stands for a sign that the font has not."""


def font_folder() -> Path:
    """
    The folder of the fonts and of their licence; matplotlib itself, which is slow, is not imported.

    Raises StillroomError when the fonts are not there.
    """
    found = importlib.util.find_spec("matplotlib")
    for place in () if found is None else found.submodule_search_locations or ():
        folder = Path(place) / "mpl-data" / "fonts" / "ttf"
        if all((folder / f"{name}.ttf").is_file() for name in (TEXT, BOLD, TITLE)):
            return folder
    msg = "the fonts of the pages are not there: they come with matplotlib; install it again"
    raise StillroomError(msg)


@functools.cache
def signs() -> frozenset[int]:
    """
    Make the fonts known to reportlab, once; every sign that all of them can draw, by its number.

    Raises StillroomError when they are not there.
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
    Words with a box for every sign that the fonts cannot draw.

    >>> drawable("½ °C, épices, слива, δαμάσκηνο"), drawable("plum 🍅")
    ('½ °C, épices, слива, δαμάσκηνο', 'plum □')
    """
    known = signs()
    return "".join(sign if ord(sign) in known else NO_GLYPH for sign in clean(words))


def width_points(words: str, font: str, size: float) -> float:
    """How wide words are in a font of a size, in points."""
    signs()
    return float(pdfmetrics.stringWidth(words, font, size))


# The sizes of type on a PDF page, from what is wanted down to the smallest that is allowed, in points.

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
For what is read from across the kitchen, as (wanted, smallest).

A capital of DejaVu Sans is 0.73 of the type size: 5.1 mm at 20 points, which is 8.8 minutes of arc at two metres; 3 mm
at 11.5 points, which is 5.1 minutes. A letter of 5 minutes is the smallest that an eye without fault reads (20/20 on
the chart; from memory).
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
"""For what is read in the hand."""


@dataclass(frozen=True)
class Type:
    """
    The sizes of one page: `wanted` is 1 for those that are wanted, 0 for the smallest.

    Where `close`, small lines stand behind the words of a cell and not under them, and rows are close together.

    >>> Type(DOOR, 0.0)["main"], Type(DOOR, 1.0)["main"], Type(DOOR, 0.5)["heading"]
    (11.5, 20.0, 15.0)
    """

    sizes: Mapping[str, Range]
    wanted: float
    close: bool = False

    def __getitem__(self, kind: str) -> float:
        """The size of one kind of words, in points."""
        most, least = self.sizes[kind]
        return least + (most - least) * self.wanted


def sizes_of(look: str) -> Mapping[str, Range]:
    """The sizes for the look of a page."""
    return DOOR if look == "door" else LIST


MOST_SIGNS = {"main": 120, "below": 400, "plain": 200, "point": 1500}
"""Longer words of a cell are cut, with a sign that they are: a note of a thousand words is read in the workbook."""
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
"""Font, colour, and the height of a line as a multiple of the size."""


def style(kind: str, sizes: Type, *, right: bool = False, warns: bool = False) -> ParagraphStyle:
    """The style of one kind of words at the sizes of the page."""
    font, colour, leading = KINDS[kind]
    size = sizes[kind]
    return ParagraphStyle(
        f"{kind} {size:.2f} {right} {warns}",
        fontName=BOLD if warns else font,
        fontSize=size,
        leading=size * leading,
        textColor=HexColor(f"#{INK if warns else colour}"),
        alignment=TA_RIGHT if right else 0,
        splitLongWords=True,
        spaceShrinkage=0,
    )


def cut(words: str, kind: str) -> str:
    """
    Words, cut where they are longer than a cell can hold.

    >>> cut("plum " * 200, "main")[-12:]
    'm plum plum…'
    """
    most = MOST_SIGNS.get(kind, 5000)
    return words if len(words) <= most else f"{words[: most - 1].rstrip()}…"


def marked(words: str, kind: str) -> str:
    """
    Words as reportlab takes them, nothing in them taken for markup; a figure stays with what it counts.

    >>> marked("2 lb <b>plums</b>", "plain") == "2" + chr(160) + "lb &lt;b&gt;plums&lt;/b&gt;"
    True
    """
    return escape(held(drawable(cut(words, kind))), quote=False)


def held(words: str) -> str:
    """Words with a space that does not break between a figure and what it counts."""
    return re.sub(r"(?<=[0-9¼½¾]) (?=[^\s\[])", "\u00a0", words)


def paragraph(words: str, kind: str, sizes: Type, *, right: bool = False, warns: bool = False) -> Paragraph:
    """Words as a paragraph of a kind; nothing in them is taken for markup."""
    text = marked(words, kind)
    return Paragraph(text, style(kind, sizes, right=right, warns=warns))


def with_aside(words: str, aside: str, kind: str, sizes: Type) -> Paragraph:
    """Words with something smaller behind them in the same line."""
    small = f' <font name="{TEXT}" size="{sizes["aside"]:.2f}" color="#{QUIET}">{marked(aside, "point")}</font>'
    return Paragraph(marked(words, kind) + (small if aside else ""), style(kind, sizes))


def cell_words(cell: Cell, kind: str, sizes: Type) -> list[Paragraph]:
    """The words of a cell and the small lines under them."""
    right = kind in ("number", "money")
    shown = kind if kind in KINDS else "plain"
    found = [paragraph(cell.words, shown, sizes, right=right)] if cell.words else []
    return found + [below_words(one, sizes, right=right) for one in cell.below if one.words]


def run_in(cell: Cell, more: tuple[Below, ...], kind: str, sizes: Type) -> Paragraph:
    """The words of a cell with the small lines behind them in the same line; `more` come before its own."""
    small = f'<font name="{TEXT}" size="{sizes["below"]:.2f}" color="#{QUIET}">'
    said = []
    for one in (*more, *cell.below):
        if one.words:
            words = marked(one.words, "below")
            said.append(f'<font name="{BOLD}" color="#{INK}">{words}</font>' if one.warns else words)
    behind = f" {small}{'; '.join(said)}</font>" if said else ""
    close = style(kind, sizes)
    close.autoLeading = "min"  # a line of small words alone is no higher than they are
    return Paragraph(marked(cell.words, kind) + behind, close)


def below_words(one: Below, sizes: Type, *, right: bool = False) -> Paragraph:
    """A small line under a cell's words; one that warns is bold and in ink."""
    return paragraph(one.words, "below", sizes, right=right, warns=one.warns)
