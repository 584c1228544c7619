"""All pictures of one workbook, and their files in a folder: PNG for anything, SVG for pages and printing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from html import escape

from stillroom.reports.charts.canvas import Picture
from stillroom.reports.charts.coverage import coverage_picture
from stillroom.reports.charts.day import day_picture
from stillroom.reports.charts.flow import flow_picture
from stillroom.reports.charts.picture import Shown
from stillroom.reports.charts.season import season_picture
from stillroom.reports.charts.stocks import freezer_picture, jars_picture
from stillroom.reports.print.html import STYLE

# All pictures on one page of HTML: each with its text alternative below, without any outside reference.

FIGURES = """
figure { margin: 0 0 2rem; break-inside: avoid; overflow-x: auto; }
figure svg { display: block; width: 100%; height: auto; min-width: 34rem; }
figcaption { font-size: .9rem; margin-top: .3rem; }
@media print { figure svg { min-width: 0; } }
"""


def pictures_html(title: str, pictures: Sequence[Picture]) -> str:
    """Give the whole page; `title` stands on top, such as the name of the workbook."""
    figures = "\n".join(figure_html(picture) for picture in pictures)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Pictures: {escape(title)}</title>\n<style>{STYLE}{FIGURES}</style>\n</head>\n"
        f'<body class="list">\n<header><h1>Pictures</h1>\n<p class="small">{escape(title)}</p></header>\n'
        f"<main>\n{figures}\n</main>\n</body>\n</html>\n"
    )


def figure_html(picture: Picture) -> str:
    """Give one picture to stand in a page; where nothing is drawn, the words alone."""
    if picture.empty:
        return f"<p>{escape(picture.alternative)}</p>"
    from stillroom.reports.charts.render import svg_text

    return f"<figure>\n{svg_text(picture)}<figcaption>{escape(picture.alternative)}</figcaption>\n</figure>"


WHOLE: tuple[Callable[[Shown], Picture], ...] = (
    coverage_picture,
    freezer_picture,
    jars_picture,
    flow_picture,
    season_picture,
)
FORMATS = ("png", "svg")


def pictures_of(shown: Shown) -> list[Picture]:
    """Every picture of a workbook: the whole plan, then each day planned singly."""
    days = [period.first_day for period in shown.periods if period.single]
    return [*(draw(shown) for draw in WHOLE), *day_pictures(shown, len(days))]


def day_pictures(shown: Shown, most: int) -> list[Picture]:
    """The first days planned in detail on the clock, at most so many."""
    days = [period.first_day for period in shown.periods if period.single]
    return [day_picture(shown, day, number) for number, day in enumerate(days[:most], start=1)]


def files_of(shown: Shown, formats: Sequence[str] = FORMATS) -> Iterator[tuple[str, bytes, str]]:
    """Every picture in every format: the name of its file, what is in it, and its title with its text alternative."""
    for picture in pictures_of(shown):
        for ending in formats:
            yield f"{picture.name}.{ending}", picture_file(picture, ending), picture.spoken


def picture_file(picture: Picture, ending: str) -> bytes:
    """Return a picture as a file of this format, `png` or `svg`."""
    from stillroom.reports.charts.render import png_bytes, svg_bytes

    return png_bytes(picture) if ending == "png" else svg_bytes(picture)
