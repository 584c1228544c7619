"""A page as one file of HTML without any outside reference; every word of it is escaped."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from stillroom.pages.html_style import STYLE, print_style
from stillroom.pages.paper import (
    Below,
    Block,
    Cell,
    Column,
    Group,
    Paper,
    Points,
    Section,
    Sentence,
    Table,
    clean,
    cut_words,
)
from stillroom.pages.paper_size import PaperSize

PRINTED_POINTS = 9.5
"""How large ordinary words are printed where nobody has measured what fits."""


def html_page(
    paper: Paper, size: PaperSize, points: float = PRINTED_POINTS, kept: int | None = None, *, close: bool = False
) -> str:
    """
    The whole page; `points` is the size of ordinary words when it is printed, `close` says that it is set close then.

    Of the points that may be cut only `kept` are printed (None: all); on the screen they all stand.
    """
    style = STYLE + print_style(size, points)
    aside = f'\n<p class="small">{words(paper.aside)}</p>' if paper.aside else ""
    warning = f'\n<p class="warn">{words(paper.warning)}</p>' if paper.warning else ""
    parts = "\n".join(section(one, kept) for one in paper.sections)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{words(paper.title)}</title>\n<style>{style}</style>\n</head>\n"
        f'<body class="{paper.look}{" close" if close else ""}">\n'
        f"<header><h1>{words(paper.title)}</h1>{aside}</header>{warning}\n<main>\n{parts}\n</main>\n</body>\n</html>\n"
    )


def words(text: str) -> str:
    """Words as they stand in HTML."""
    return escape(clean(text))


def section(part: Section, kept: int | None) -> str:
    """A section with its heading."""
    beside = f" <small>{words(part.beside)}</small>" if part.beside else ""
    head = f"<h2>{words(part.heading)}{beside}</h2>\n" if part.heading else ""
    return f"<section>\n{head}" + "\n".join(block(one, kept) for one in part.blocks) + "\n</section>"


def block(one: Block, kept: int | None) -> str:
    """One block of a section."""
    if isinstance(one, Table):
        return grid(one)
    if isinstance(one, Sentence):
        name = ' class="warn"' if one.warns else ' class="small"' if one.small else ""
        return f"<p{name}>{words(one.words)}</p>"
    return points(one, kept)


def points(block: Points, kept: int | None) -> str:
    """A list, numbered, with boxes or plain; what is not printed has a class that says so."""
    if not block.items:
        return ""
    name, before = ("ticks", '<span class="box"></span> ') if block.style == "ticked" else ("small", "")
    printed = len(block.items) if kept is None or not block.may_be_cut else kept
    items = [
        (f"<li>{before}" if number < printed else f'<li class="unprinted">{before}')
        + words(said)
        + (f" <i>{words(aside)}</i>" if aside else "")
        + "</li>"
        for number, (said, aside) in enumerate(block.items)
    ]
    if printed < len(block.items):
        items.append(f'<li class="printed">{words(cut_words(block, printed))}</li>')
    return f'<ul class="{name}">\n' + "\n".join(items) + "\n</ul>"


def grid(table: Table) -> str:
    """A table; the rows of a group are a body of their own, with its head beside them."""
    head = '<th scope="col"></th>' if table.with_heads else ""
    for one in table.columns:
        side = ' class="right"' if one.kind in ("number", "money") else ""
        head += f'<th scope="col"{side}>{words(one.heading)}</th>'
    bodies = "\n".join(body(table, group) for group in table.groups)
    return f"<table>\n<thead><tr>{head}</tr></thead>\n{bodies}\n</table>"


def body(table: Table, group: Group) -> str:
    """The rows of one group."""
    name = ' class="held"' if table.with_heads else ""
    return f"<tbody{name}>\n" + "\n".join(rows(table, group)) + "\n</tbody>"


def rows(table: Table, group: Group) -> Iterator[str]:
    """Each row, the head of the group before the first of them."""
    for number, cells in enumerate(group.rows):
        head = ""
        if table.with_heads and not number:
            span = f' rowspan="{len(group.rows)}"' if len(group.rows) > 1 else ""
            head = f'<th scope="rowgroup" class="head"{span}>{inside(group.head)}</th>'
        found = "".join(cell(one, column) for one, column in zip(cells, table.columns, strict=True))
        yield f"<tr>{head}{found}</tr>"


def cell(one: Cell, column: Column) -> str:
    """A cell by the kind of its column."""
    if one.unmarked or (not one.words and not one.below and column.kind not in ("box", "write")):
        return "<td></td>"
    if column.kind == "box":
        return '<td><span class="box"></span></td>'
    if column.kind == "write":
        return f'<td class="written"><span class="only">{words(column.heading)}</span> <span class="write"></span></td>'
    label = f'<span class="only">{words(column.heading)} </span>' if column.labelled else ""
    return f'<td class="{column.kind}">{label}{inside(one)}</td>'


def inside(one: Cell) -> str:
    """The words of a cell with the small lines under them."""
    return words(one.words) + "".join(below(line) for line in one.below if line.words)


def below(line: Below) -> str:
    """A small line."""
    return f'<span class="below{" warn" if line.warns else ""}">{words(line.words)}</span>'
