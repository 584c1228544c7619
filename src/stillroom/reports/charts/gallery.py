"""All pictures of a workbook, and their files."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping

from stillroom.reports.charts.canvas import Picture
from stillroom.reports.charts.coverage import coverage_picture
from stillroom.reports.charts.day import day_picture
from stillroom.reports.charts.flow import flow_picture
from stillroom.reports.charts.picture import Shown
from stillroom.reports.charts.render import png_bytes, svg_bytes
from stillroom.reports.charts.season import season_picture
from stillroom.reports.charts.stocks import freezer_picture, jars_picture

WHOLE: tuple[Callable[[Shown], Picture], ...] = (
    coverage_picture,
    freezer_picture,
    jars_picture,
    flow_picture,
    season_picture,
)
FORMATS: Mapping[str, Callable[[Picture], bytes]] = {"png": png_bytes, "svg": svg_bytes}


def pictures_of(shown: Shown, most_days: int | None = None) -> list[Picture]:
    """Return the pictures of the whole plan, then one for each day planned in detail, at most `most_days`."""
    return [*(draw(shown) for draw in WHOLE), *day_pictures(shown, most_days)]


def day_pictures(shown: Shown, most: int | None = None) -> list[Picture]:
    """Return the days planned in detail on the clock, at most `most`."""
    days = [period.first_day for period in shown.periods if period.single]
    return [day_picture(shown, day, number) for number, day in enumerate(days[:most], start=1)]


def picture_files(pictures: Iterable[Picture]) -> Iterator[tuple[str, bytes]]:
    """Yield the name and the content of each picture's files: PNG for anything, SVG for pages and printing."""
    for picture in pictures:
        for ending, rendered in FORMATS.items():
            yield f"{picture.name}.{ending}", rendered(picture)
