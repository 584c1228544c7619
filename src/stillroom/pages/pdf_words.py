"""Words of a page as paragraphs of a PDF: which font, size and colour each kind has."""

from __future__ import annotations

import re
from html import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from stillroom.pages.paper import Below, Cell
from stillroom.pages.paper_colours import GREEN, INK, QUIET
from stillroom.pages.pdf_fonts import BOLD, TEXT, TITLE, drawable
from stillroom.pages.pdf_sizes import Type

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
