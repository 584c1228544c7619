"""All pictures on one page of HTML: each with its text alternative below, without any outside reference."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from stillroom.pages.html_style import STYLE
from stillroom.pages.pictures.picture import Picture
from stillroom.pages.pictures.render import svg_text

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
    return f"<figure>\n{svg_text(picture)}<figcaption>{escape(picture.alternative)}</figcaption>\n</figure>"
