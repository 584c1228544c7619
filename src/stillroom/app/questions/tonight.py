"""What can wait: the workbook planned, each line of its next days held back, shown and written."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.app.fit_day import tightened
from stillroom.app.plan import Reading, audited_plan, read_for_the_likely, readable
from stillroom.app.questions.bottlenecks import written_words
from stillroom.app.write_plan import has_plan
from stillroom.household.plan import Plan
from stillroom.household.progress import Progress
from stillroom.household.records import Household
from stillroom.household.results.deadlines import Deadlines, deadline_rows, deadlines_object
from stillroom.household.results.rows import Row
from stillroom.planning.deadlines import find_deadlines
from stillroom.reports.json import as_json, text
from stillroom.reports.refused import errors_object
from stillroom.reports.terminal.refused import with_errors
from stillroom.reports.terminal.tonight import tonight_page
from stillroom.workbook.writer.notices import count_writing
from stillroom.workbook.writer.plan import write_table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from stillroom.household.results.commands import Receipt

NO_PLAN = "There is no plan in the workbook yet; this is for the plan that would be made. To write it: stillroom plan"
NOT_THIS_PLAN = "The workbook has changed since it was planned; this is for a new plan. To write it: stillroom plan"


@dataclass(frozen=True)
class Tonight:
    """A workbook that was read, its plan, and how long each line of it can wait; `notes` are to be shown with it."""

    reading: Reading
    household: Household
    plan: Plan
    deadlines: Deadlines
    notes: tuple[str, ...]


def tonight_of(path: Path, today: datetime.date, days: int, progress: Progress) -> Tonight:
    """
    Plan a workbook and find how long the lines of its first days can wait.

    A workbook that is planned for several harvests is planned for the likely one here. Raises what `read_and_plan`
    raises.
    """
    reading = readable(path, today)
    planned = any(line.make is not None for line in reading.typed.plan_lines)
    notes = () if has_plan(reading) else (NOT_THIS_PLAN if planned else NO_PLAN,)
    reading, likely = read_for_the_likely(reading)
    household, plan = audited_plan(reading, None, progress)
    progress("holding back one line after the other")
    deadlines = find_deadlines(household, plan, tightened, days)
    return Tonight(reading, household, plan, deadlines, (*notes, *([likely] if likely else [])))


def write_tonight(found: Tonight) -> Receipt:
    """
    Fill the table Can wait of the workbook, on a new sheet when it has none.

    Raises CouldNotWrite or WorkbookRefused; nothing is changed then.
    """
    book = found.reading.book
    write_table(book, "Can wait", deadline_rows(found.household, found.deadlines))
    if book.changed():
        count_writing(book)
    return book.save()


def tonight_view(found: Tonight, receipt: Receipt | None = None) -> RenderableType:
    """What can wait, for the terminal, and what was written."""
    end = found.notes if receipt is None else (*found.notes, *written_words(receipt, "Can wait"))
    return with_errors(found.household, tonight_page(found.household, found.plan, found.deadlines, end))


def tonight_tables(found: Tonight) -> dict[str, list[Row]]:
    """The table Can wait, for CSV."""
    return {"Can wait": deadline_rows(found.household, found.deadlines)}


def tonight_json(found: Tonight, receipt: Receipt | None = None) -> str:
    """The same for other programs: `lines`, `stops`; `receipt` where the table was to be filled."""
    whole = deadlines_object(found.household, found.deadlines) | {"notes": list(found.notes)}
    whole |= errors_object(found.household)
    return text(whole if receipt is None else whole | {"receipt": as_json(receipt)})
