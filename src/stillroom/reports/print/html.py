"""Pages, labels and pictures as HTML files without outside references; all text is escaped."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from html import escape
from importlib.resources import files
from string import Template

from stillroom.reports.charts.canvas import GREEN, INK, PALE_GREEN, PAPER, Picture
from stillroom.reports.charts.canvas import PRINTED_LINE as LINE
from stillroom.reports.charts.canvas import PRINTED_QUIET as QUIET
from stillroom.reports.print.document import (
    MARGIN_MM,
    Below,
    Block,
    Cell,
    Column,
    Figure,
    Group,
    Paper,
    PaperSize,
    Points,
    Section,
    Sentence,
    Table,
    clean,
    cut_words,
)
from stillroom.reports.print.labels import NOTHING, Label, LabelSheet, placed

COLORS = {"INK": INK, "PAPER": PAPER, "GREEN": GREEN, "PALE_GREEN": PALE_GREEN, "QUIET": QUIET, "LINE": LINE}


@cache
def style(name: str) -> str:
    """Return a style sheet of this folder with its colors filled in, each where the sheet has its `$NAME`."""
    return "\n" + Template(files("stillroom.reports.print").joinpath(name).read_text("utf-8")).substitute(COLORS)


def print_style(size: PaperSize, points: float) -> str:
    """
    Return how a page is printed: on which paper, with ordinary words of `points`.

    >>> from stillroom.reports.print.document import A4
    >>> "size: A4" in print_style(A4, 10.0)
    True
    """
    return f"""
@page {{ size: {size.css_name}; margin: {MARGIN_MM:g}mm; }}
@media print {{
  html {{ font-size: {points:.1f}pt; }}
  body {{ background: #fff; color: #000; padding: 0; max-width: none; line-height: 1.25; }}
  header {{ margin-bottom: .3rem; }}
  .unprinted {{ display: none; }}
  .printed {{ display: list-item; }}
  h2 {{ margin: .7rem 0 .2rem; }}
  .close td {{ padding: .1rem .5rem .15rem 0; line-height: 1.1; }}
  .close td .below {{ display: inline; margin-left: .4em; }}
  .close h2 {{ margin: .3rem 0 .1rem; }}
}}
"""


PRINTED_POINTS = 9.5
"""The size of ordinary words where no PDF measured what fits."""


def html_file(title: str, styles: str, body: str, body_class: str = "") -> str:
    """Return a whole HTML file; `body` is markup."""
    named = f' class="{body_class}"' if body_class else ""
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{words(title)}</title>\n<style>{styles}</style>\n</head>\n<body{named}>\n{body}\n</body>\n</html>\n"
    )


def html_page(
    paper: Paper,
    size: PaperSize,
    points: float = PRINTED_POINTS,
    kept: int | None = None,
    *,
    close: bool = False,
    pictures: Sequence[Picture] = (),
) -> str:
    """
    Return the page; `points` is the printed size of ordinary words, and rows are printed closer together if `close`.

    `pictures` come last. Only `kept` of the points that may be cut are printed (None: all); the screen shows all.
    """
    aside = f'\n<p class="small">{words(paper.aside)}</p>' if paper.aside else ""
    warning = f'\n<p class="warn">{words(paper.warning)}</p>' if paper.warning else ""
    parts = "\n".join([*(section(one, kept) for one in paper.sections), *map(figure, pictures)])
    body = f"<header><h1>{words(paper.title)}</h1>{aside}</header>{warning}\n<main>\n{parts}\n</main>"
    drawn = style("pictures.css") if pictures else ""
    look = f"{paper.look} close" if close else paper.look
    return html_file(paper.title, style("page.css") + drawn + print_style(size, points), body, look)


def words(text: str) -> str:
    """Return words escaped for HTML."""
    return escape(clean(text))


def section(part: Section, kept: int | None) -> str:
    """Return a section with its heading."""
    aside = f" <small>{words(part.aside)}</small>" if part.aside else ""
    head = f"<h2>{words(part.heading)}{aside}</h2>\n" if part.heading else ""
    return f"<section>\n{head}" + "\n".join(block(one, kept) for one in part.blocks) + "\n</section>"


def block(one: Block, kept: int | None) -> str:
    """Return a block of a section."""
    if isinstance(one, Table):
        return grid(one)
    if isinstance(one, Figure):
        return figure(one.picture)
    if isinstance(one, Sentence):
        name = ' class="warn"' if one.warns else ' class="small"' if one.small else ""
        return f"<p{name}>{words(one.words)}</p>"
    return points(one, kept)


def points(block: Points, kept: int | None) -> str:
    """Return a list with boxes or plain; points that are not printed have a class of their own."""
    if not block.items:
        return ""
    name, before = ("ticks", '<span class="box"></span> ') if block.style == "ticked" else ("small", "")
    printed = len(block.items) if kept is None or not block.may_be_cut else kept
    items = [
        (f"<li>{before}" if number < printed else f'<li class="unprinted">{before}')
        + words(text)
        + (f" <i>{words(aside)}</i>" if aside else "")
        + "</li>"
        for number, (text, aside) in enumerate(block.items)
    ]
    if printed < len(block.items):
        items.append(f'<li class="printed">{words(cut_words(block, printed))}</li>')
    return f'<ul class="{name}">\n' + "\n".join(items) + "\n</ul>"


def grid(table: Table) -> str:
    """Return a table with a body for each group, its head at the left."""
    head = '<th scope="col"></th>' if table.with_heads else ""
    for one in table.columns:
        side = ' class="right"' if one.kind in ("number", "money") else ""
        head += f'<th scope="col"{side}>{words(one.heading)}</th>'
    bodies = "\n".join(body(table, group) for group in table.groups)
    return f"<table>\n<thead><tr>{head}</tr></thead>\n{bodies}\n</table>"


def body(table: Table, group: Group) -> str:
    """Return the rows of a group."""
    name = ' class="group"' if table.with_heads else ""
    return f"<tbody{name}>\n" + "\n".join(rows(table, group)) + "\n</tbody>"


def rows(table: Table, group: Group) -> Iterator[str]:
    """Yield each row, the first one with the head of the group."""
    for number, cells in enumerate(group.rows):
        head = ""
        if table.with_heads and not number:
            span = f' rowspan="{len(group.rows)}"' if len(group.rows) > 1 else ""
            head = f'<th scope="rowgroup" class="head"{span}>{inside(group.head)}</th>'
        found = "".join(cell(one, column) for one, column in zip(cells, table.columns, strict=True))
        yield f"<tr>{head}{found}</tr>"


def cell(one: Cell, column: Column) -> str:
    """Return a cell by the kind of its column."""
    if one.unmarked or (not one.words and not one.below and column.kind not in ("box", "write")):
        return "<td></td>"
    if column.kind == "box":
        return '<td><span class="box"></span></td>'
    if column.kind == "write":
        return f'<td class="written"><span class="only">{words(column.heading)}</span> <span class="write"></span></td>'
    label = f'<span class="only">{words(column.heading)} </span>' if column.labeled else ""
    return f'<td class="{column.kind}">{label}{inside(one)}</td>'


def inside(one: Cell) -> str:
    """Return the words of a cell with the small lines under them."""
    return words(one.words) + "".join(below(line) for line in one.below if line.words)


def below(line: Below) -> str:
    """Return a small line."""
    return f'<span class="below{" warn" if line.warns else ""}">{words(line.words)}</span>'


# Labels: on paper each in its place on the sheet as in the PDF, on a screen one below the other.


def label_html(
    labels: Sequence[Label],
    sheet: LabelSheet,
    start: int = 1,
    *,
    cut_lines: bool = False,
    care: Paper | None = None,
) -> str:
    """Return the sheets of labels, then `care` on a page of its own; the first label goes to place `start`."""
    pages: dict[int, list[str]] = {}
    for page, corner, label in placed(labels, sheet, start):
        pages.setdefault(page, []).append(one_label(label, corner))
    sheets = "\n".join(f'<section class="sheet">\n{"".join(several)}</section>' for several in pages.values())
    nothing = "" if labels else f"<p>{NOTHING}</p>\n"
    main = f"{nothing}<main>\n{sheets}\n{care_page(care)}</main>"
    body = f"<header><h1>Labels</h1><p>{words(sheet.description())}</p></header>\n{main}"
    return html_file("Labels", style("labels.css") + label_print_style(sheet, cut_lines=cut_lines), body)


def care_page(care: Paper | None) -> str:
    """Return the page of cautions after the labels; empty without one."""
    if care is None:
        return ""
    parts = "\n".join(section(one, None) for one in care.sections)
    aside = f'<p class="small">{words(care.aside)}</p>' if care.aside else ""
    return f'<section class="care">\n<h1>{words(care.title)}</h1>\n{aside}\n{parts}\n</section>\n'


def one_label(label: Label, corner: tuple[float, float]) -> str:
    """Return one label with its place on the printed sheet."""
    x, y = corner
    lines = "".join(f"<span>{words(line)}</span>" for line in label.small_lines)
    return f'<div class="label" style="left:{x:g}mm;top:{y:g}mm"><b>{words(label.name)}</b>{lines}</div>\n'


def label_print_style(sheet: LabelSheet, *, cut_lines: bool) -> str:
    """Return the style that prints each sheet on a page without margins."""
    border = f"0.2mm solid {LINE}" if cut_lines else "0"
    points = min(12.0, sheet.height * 72 / 25.4 / 7.5)
    return f"""
@page {{ size: {sheet.paper.css_name}; margin: 0; }}
@media print {{
  html {{ font-size: {points:.1f}pt; }}
  body {{ padding: 0; background: #fff; color: #000; }}
  header {{ display: none; }}
  .sheet {{ position: relative; width: {sheet.paper.width_mm:g}mm; height: {sheet.paper.height_mm - 0.2:g}mm;
    overflow: hidden; }}
  .sheet + .sheet, .sheet + .care {{ break-before: page; }}
  .care {{ padding: {MARGIN_MM:g}mm; font-size: 9.5pt; max-width: none; }}
  .label {{ position: absolute; width: {sheet.width:g}mm; height: {sheet.height:g}mm; margin: 0; max-width: none;
    overflow: hidden; border: {border}; }}
}}
"""


def pictures_html(title: str, pictures: Iterable[Picture]) -> str:
    """Return all pictures on one page, each with its text alternative; `title` is such as the workbook's name."""
    figures = "\n".join(figure(picture) for picture in pictures)
    head = f'<header><h1>Pictures</h1>\n<p class="small">{words(title)}</p></header>'
    return html_file(
        f"Pictures: {title}", style("page.css") + style("pictures.css"), f"{head}\n<main>\n{figures}\n</main>", "list"
    )


def figure(picture: Picture) -> str:
    """Return a picture with its text alternative; only the words if nothing is drawn."""
    if picture.empty:
        return f"<p>{words(picture.alternative)}</p>"
    from stillroom.reports.charts.render import svg_text

    return f"<figure>\n{svg_text(picture)}<figcaption>{words(picture.alternative)}</figcaption>\n</figure>"
