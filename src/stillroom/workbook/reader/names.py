"""Gathering the names that join the tables, before anything else is read."""

from __future__ import annotations

from collections.abc import Mapping

from stillroom.household.names import tidy_text
from stillroom.workbook.reader.context import WORDS, Reading
from stillroom.workbook.reader.finding import Rows

ITEMS = ("Crops", "Larder", "Preserves")
"""Tables whose things may all be ingredients, so that a name may stand in only one of them."""


def gather_names(found: Mapping[str, Rows], reading: Reading) -> None:
    """Take in the names of crops, containers, preserves and the like; one name for two ingredients is a problem."""
    places: dict[str, dict[str, str]] = {table: {} for table in WORDS}
    for table in WORDS:
        for row in found[table].rows:
            cell = row.cells.get("name")
            if cell is None or cell.kind in ("blank", "error") or not tidy_text(str(cell.value)):
                continue
            name = tidy_text(str(cell.value)) if not isinstance(cell.value, float) else f"{cell.value:.15g}"
            if reading.names[table].add(name) is None:
                places[table][name] = row.where("name")
    for number, table in enumerate(ITEMS):
        for other in ITEMS[:number]:
            for name in reading.names[table]:
                before = reading.names[other].find(name)
                if before is not None:
                    what = f"*{name}* is the name of a {WORDS[table]} and of a {WORDS[other]} ({places[other][before]})"
                    reading.say(places[table][name], what, "give one of them another name", "same name twice")
