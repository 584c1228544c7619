"""All pictures of a workbook, and their files; a module draws one kind."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from stillroom.reports.charts.canvas import Picture, Shown
from stillroom.reports.charts.day import day_picture
from stillroom.reports.charts.flow import flow_picture
from stillroom.reports.charts.season import season_picture
from stillroom.reports.charts.stocks import coverage_picture, freezer_picture, jars_picture

WHOLE: tuple[Callable[[Shown], Picture], ...] = (
    coverage_picture,
    freezer_picture,
    jars_picture,
    flow_picture,
    season_picture,
)
FORMATS = ("png", "svg")
"""PNG for anything, SVG for pages and printing."""


def pictures_of(shown: Shown) -> list[Picture]:
    """Return the pictures of the whole plan, then one for each day planned in detail, on the clock."""
    days = [period.first_day for period in shown.periods if period.single]
    return [*(draw(shown) for draw in WHOLE), *(day_picture(shown, day, n) for n, day in enumerate(days, start=1))]


def files_of(shown: Shown, formats: Sequence[str] = FORMATS) -> Iterator[tuple[str, bytes, str]]:
    """Yield every picture in every format: the name of its file, its content, and its text alternative."""
    for picture in pictures_of(shown):
        for ending in formats:
            yield f"{picture.name}.{ending}", picture_file(picture, ending), picture.spoken


def picture_file(picture: Picture, ending: str) -> bytes:
    """Return a picture as a file of this format, `png` or `svg`."""
    from stillroom.reports.charts.render import png_bytes, svg_bytes

    return png_bytes(picture) if ending == "png" else svg_bytes(picture)
