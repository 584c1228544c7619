"""
Plan the next year as it lies: `python3 tests/bench.py next_year`.

The tomato glut with every lot of its season weighed and what its plan makes recorded, turned into the next year's
workbook and planned; beside it the same kitchen from `start`, with the same people, crops, jars, hours, first day and
harvest, and a bare shelf. Prints for both what they expect, what they fill of the winter list, and the jars planned.
"""

from __future__ import annotations

import datetime
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

from stillroom.app.plan import read_workbook
from stillroom.app.write_plan import plan_workbook
from stillroom.app.year import next_year_of, write_next_year_to
from stillroom.cli import run
from stillroom.household.records import FREEZE_WHOLE, THAW, Household, Lot
from stillroom.household.results.rows import is_filled, number_in
from stillroom.household.units import POUND_KG
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.writer.next_year import keep_wanted, lot_row, set_first_day
from stillroom.workbook.writer.record import add_rows, input_table

DEMO = Path(__file__).resolve().parents[2] / "demo" / "tomato_glut.xlsx"
SPRING = datetime.date(2027, 3, 1)
EATEN = 0.8
HAVE = "canner, pressure canner, dryer, freezer, crock, root cellar"


def main() -> int:
    """Make both workbooks, check and plan them; 1 when one does not check, else 0."""
    with tempfile.TemporaryDirectory() as folder:
        season, following, fresh = (Path(folder) / f"{name}.xlsx" for name in ("season", "next", "fresh"))
        season_gone_by(season)
        turned = next_year_of(season, following, None, SPRING)
        write_next_year_to(turned, following)
        from_start(read_workbook(following, SPRING).typed, fresh)
        return max(shown(name, path) for name, path in (("next year", following), ("from start", fresh)))


def season_gone_by(path: Path) -> None:
    """Write the demo as it is after its season: all lots weighed, the plan's jars recorded, most of them eaten."""
    plan = plan_workbook(read_workbook(DEMO, SPRING), path)
    book = Book.open(path)
    table = input_table(book, "Harvest")
    column = None if table is None else table.column("Weighed or expected")
    for place, cells in table.rows.filled() if table is not None else ():
        if table is not None and column is not None and cells[column - table.first_column].value == "expected":
            book.set(table.sheet, table.first_row + place, column, "weighed")
    made = [row for row in plan.tables["Plan"] if not str(row["Preserve"]).startswith((FREEZE_WHOLE, THAW))]
    rows = [{"Date": row["Day"], "Preserve": row["Preserve"], "Made": int(number_in(row, "Make"))} for row in made]
    rows = [row for row in rows if row["Made"]]
    eaten = [
        {**row, "Date": SPRING, "What happened": "ate", "Made": int(EATEN * number_in(row, "Made"))} for row in rows
    ]
    add_rows(book, "Record", [*rows, *eaten])
    book.save()


def from_start(typed: Household, path: Path) -> None:
    """Make the same kitchen by `start`."""
    jars = ", ".join(f"{one.on_hand:.0f} {one.name.removesuffix(' jar')}" for one in typed.containers if one.is_jar)
    kitchen = typed.kitchen
    words = ["--people", f"{kitchen.people:.0f}", "--altitude", f"{kitchen.altitude_ft:.0f}ft", "--jars", jars, "--yes"]
    words += ["--gauge", kitchen.gauge or "dial", "--crops", ", ".join(crop.name for crop in typed.crops)]
    for option, what in (("--hands", "hands"), ("--stove-free", "stove free")):
        hours = next(one.by_weekday for one in typed.hours if one.what == what)
        words += [option, f"{hours[0]:g},{hours[5]:g}"]
    assert run(["start", str(path), *words, "--have", HAVE]) == 0
    book = Book.open(path)
    set_first_day(book, kitchen.first_day, [])
    keep_wanted(book)
    add_rows(book, "Harvest", [lot_row(named_there(lot), with_tomato(typed)) for lot in typed.lots if lot.expected])
    book.save()


def named_there(lot: Lot) -> Lot:
    """Return a lot by the name that `start` gives its crop."""
    return replace(lot, crop="tomato") if lot.crop.endswith(" tomato") else lot


def with_tomato(typed: Household) -> Household:
    """Return the household with the crop that `start` has for both tomatoes."""
    return replace(typed, crops=(*typed.crops, replace(typed.crops[0], name="tomato")))


def shown(name: str, path: Path) -> int:
    """Check a workbook, plan it and print figures; 1 when it does not check."""
    reading = read_workbook(path, SPRING)
    if reading.stops:
        print(f"{name}: {len(reading.errors)} errors, the first: {reading.errors[0]}")
        return 1
    typed = reading.typed
    plan = plan_workbook(reading, path.with_stem(f"{path.stem} planned"))
    coverage = plan.tables["Coverage"]
    lots = [lot for lot in typed.lots if lot.expected]
    on_shelf = sum(row.count for row in typed.shelf)
    print(
        f"{name}: first day {typed.kitchen.first_day}, {len(lots)} lots expected "
        f"({sum(lot.kg for lot in lots) / POUND_KG:.0f} lb), {on_shelf:.0f} containers on the shelf, "
        f"{sum(map(is_filled, coverage))} of {len(coverage)} targets filled, "
        f"{sum(number_in(row, 'Covered') for row in coverage) / len(coverage):.0%} of the list, "
        f"{sum(number_in(row, 'Make') for row in plan.tables['Plan'] if row['Unit'] != 'lb'):.0f} containers planned"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
