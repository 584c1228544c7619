"""Everything a starting workbook is filled with, brought together: the handbook's facts and examples marked so."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Sequence

from stillroom.errors import CommandWrong
from stillroom.household.units import FOOT_METRES
from stillroom.workbook.starter import catalogue, examples
from stillroom.workbook.starter.examples import HELPERS, count_rows, target_rows
from stillroom.workbook.starter.positions import Contents, Row

ALTITUDE = re.compile(r"\s*(\d+(?:[,.]\d+)?)\s*(ft|feet|foot|m|metres|meters)?\s*", re.IGNORECASE)
EQUIPMENT = {
    "boiling-water canner": "canner",
    "pressure canner": "pressure canner",
    "kettle": "big pot",
    "dryer": "dryer",
    "crock": "crock",
}
"""What the starting workbook calls its piece of each kind."""


def starting_contents(
    *,
    metric: bool = False,
    people: float | None = None,
    altitude: str | None = None,
    gauge: str | None = None,
) -> Contents:
    """
    The contents of a starting workbook.

    Without a `gauge` (dial or weighted) everything that is pressure canned stands at Include = no.
    """
    height = read_altitude(altitude, metric=metric) if altitude else None
    gauge = read_gauge(gauge)
    crops = crop_names(metric=metric)
    ingredients = catalogue.ingredient_rows(metric=metric)
    preserves = catalogue.preserve_rows(EQUIPMENT, metric=metric, pressure=gauge is not None)
    order = by_crop(ingredients, crops)
    preserves = sorted(preserves, key=lambda row: order[str(row["Preserve"])])
    ingredients = sorted(ingredients, key=lambda row: order[str(row["Preserve"])])
    containers = examples.container_rows(metric=metric)
    eaters = people if people is not None else examples.EXAMPLE_PEOPLE
    rows: dict[str, Sequence[Row]] = {
        "Kitchen": examples.kitchen_rows(metric=metric, people=people, altitude=height, gauge=gauge),
        "Hours": examples.hours_rows(),
        "Equipment": examples.equipment_rows(metric=metric),
        "Crops": catalogue.crop_rows(metric=metric),
        "Containers": containers,
        "Lids": examples.lid_rows(metric=metric),
        "Pantry": examples.pantry_rows(ingredients, crops, metric=metric),
        "Preserves": preserves,
        "Ingredients": ingredients,
        "Winter list": target_rows(eaters, metric=metric),
        "Counts toward": count_rows(preserves, containers, metric=metric),
    }
    return Contents(rows, extra={"Winter list": HELPERS}, lines=catalogue.line_rows())


def by_crop(ingredients: Sequence[Row], crops: Collection[str]) -> dict[str, tuple[str, str]]:
    """
    Give the place of each preserve in an order by its first crop, then by its own name.

    >>> rows = [{"Preserve": "salsa", "Item": "salt"}, {"Preserve": "salsa", "Item": "tomato"}]
    >>> by_crop(rows, {"tomato"})
    {'salsa': ('tomato', 'salsa')}
    """
    items: dict[str, list[str]] = {}
    for row in ingredients:
        items.setdefault(str(row["Preserve"]), []).append(str(row["Item"]))
    return {name: (next((item for item in used if item in crops), used[0]), name) for name, used in items.items()}


def read_gauge(text: str | None) -> str | None:
    """
    Read a gauge, dial or weighted; None when it is not given.

    >>> read_gauge(" Dial"), read_gauge(None)
    ('dial', None)
    """
    word = text.strip().casefold() if text is not None else None
    if word not in (None, "dial", "weighted"):
        msg = f"{text} is no gauge; write dial or weighted"
        raise CommandWrong(msg)
    return word


def crop_names(*, metric: bool) -> frozenset[str]:
    """The names of all crops."""
    return frozenset(str(row["Crop"]) for row in catalogue.crop_rows(metric=metric))


HIGHEST_FEET = 30_000
"""No kitchen is higher; the check of a workbook has the same bound."""


def read_altitude(text: str, *, metric: bool) -> tuple[float, str]:
    """
    Read an altitude with its unit, in feet for a workbook in US units: metres are made whole feet, rounded up.

    A metric workbook takes a bare number as metres. Without either it is refused: 1,500 m are nearly 5,000 ft, and
    every canning time hangs on it.

    >>> read_altitude("1,450 ft", metric=False), read_altitude("440", metric=True), read_altitude("440m", metric=False)
    ((1450.0, 'ft'), (440.0, 'm'), (1444.0, 'ft'))

    Raises CommandWrong.
    """
    found = ALTITUDE.fullmatch(re.sub(r"(\d),(\d{3})\b", r"\1\2", text))
    if not found:
        msg = f"{text!r} is not an altitude; write it as 1450ft or 440m"
        raise CommandWrong(msg)
    if not found.group(2) and not metric:
        msg = f"{text} may be feet or meters, and canning times depend on it; write {text}ft or {text}m"
        raise CommandWrong(msg)
    figure, in_metres = float(found.group(1).replace(",", ".")), (found.group(2) or "m").lower().startswith("m")
    if (figure / FOOT_METRES if in_metres else figure) > HIGHEST_FEET:
        msg = f"{text!r} is higher than any kitchen; write it as 1450ft or 440m"
        raise CommandWrong(msg)
    if in_metres and not metric:
        return float(math.ceil(figure / FOOT_METRES - 1e-6)), "ft"
    return figure, "m" if in_metres else "ft"
