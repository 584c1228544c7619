"""A whole folder of workbooks planned into another; what cannot be planned is listed and does not stop the rest."""

from __future__ import annotations

import datetime
import tempfile
import time
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.app.files import is_of_ours
from stillroom.app.parallel import crew_for, refuse_workers, spread
from stillroom.app.plan import read_workbook
from stillroom.app.write_plan import plan_workbook
from stillroom.errors import CommandWrong, CouldNotWrite, StillroomError, WorkbookRefused
from stillroom.household.progress import Progress
from stillroom.household.results.commands import AllPlanned, WorkbookDone
from stillroom.household.results.rows import Row, is_filled, number_in
from stillroom.household.units import UNITS
from stillroom.reports.json import text
from stillroom.reports.problems import line, reason
from stillroom.reports.refused import error_lines
from stillroom.reports.terminal.setup import plan_all_object, plan_all_page
from stillroom.workbook.ooxml.save import why_not

if TYPE_CHECKING:
    from rich.console import RenderableType


UNEXPECTED = "something went wrong that is no fault of the workbook"


@dataclass(frozen=True)
class Workbook:
    """A workbook on its way to whoever plans it: its name and its bytes, so that no folder has to be shared."""

    name: str
    content: bytes
    today: datetime.date


def plan_folder(
    folder: Path, to: Path, today: datetime.date, workers: int | None, cluster: str | None, progress: Progress
) -> AllPlanned:
    """
    Plan each workbook of a folder, side by side, into a file of the same name in another folder.

    The workbooks themselves stay as they are. A workbook that is refused, or ends whoever plans it, is listed with its
    problems. Raises CommandWrong for a folder that is not there, has no workbook or is the other one as well, and
    CouldNotWrite when the other folder cannot be made.
    """
    began = time.monotonic()
    refuse_workers(workers, cluster)
    paths = workbooks_in(folder, to)
    try:
        to.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        msg = f"the folder {to} could not be made: {why_not(error)}"
        raise CouldNotWrite(msg) from error
    done: list[WorkbookDone] = []
    readable = [one for path in paths if (one := read_bytes(path, today, done)) is not None]
    with crew_for(len(readable), workers, cluster) as crew:
        results = spread(
            plan_one, readable, crew, lambda count: progress(f"planned {count} of {len(readable)} workbooks")
        )
        hands = crew.hands
    for book, came in zip(readable, results, strict=True):
        words = f"{UNEXPECTED} ({type(came.error).__name__}: {came.error})"
        done.append(written(came.result or WorkbookDone(book.name, problems=(words,)), to))
    done.sort(key=lambda one: one.name)
    return AllPlanned(folder, to, tuple(done), time.monotonic() - began, hands)


def workbooks_in(folder: Path, to: Path) -> list[Path]:
    """Give the workbooks of a folder by name, without what an office program puts beside an open one."""
    if not folder.is_dir():
        msg = f"{folder} is no folder"
        raise CommandWrong(msg)
    if to.exists() and folder.resolve() == to.resolve():
        msg = "the planned workbooks would take the place of the others; give --out another folder"
        raise CommandWrong(msg)
    paths = sorted(path for path in folder.iterdir() if path.suffix.lower() == ".xlsx" and path.is_file())
    paths = [path for path in paths if not path.name.startswith(("~$", "."))]
    if not paths:
        msg = f"there is no workbook (.xlsx) in {folder}"
        raise CommandWrong(msg)
    return paths


def read_bytes(path: Path, today: datetime.date, done: list[WorkbookDone]) -> Workbook | None:
    """Read a workbook's bytes; when that cannot be, it is done already."""
    try:
        return Workbook(path.name, path.read_bytes(), today)
    except OSError as error:
        done.append(WorkbookDone(path.name, problems=(f"it cannot be read: {error.strerror or error}",)))
        return None


def plan_one(workbook: Workbook) -> WorkbookDone:
    """Plan one workbook from its bytes; what a household can cause is told and not raised."""
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="stillroom") as folder:
        path, out = Path(folder) / workbook.name, Path(folder) / f"planned {workbook.name}"
        path.write_bytes(workbook.content)
        try:
            reading = read_workbook(path, workbook.today)
            planned = plan_workbook(reading, out)
        except WorkbookRefused as error:
            return WorkbookDone(
                workbook.name,
                problems=tuple(reason(one) if one.where == workbook.name else line(one) for one in error.problems),
            )
        except StillroomError as error:
            return WorkbookDone(workbook.name, problems=(str(error),))
        coverage = [row for row in planned.tables["Coverage"] if row.get("Target") and number_in(row, "Wanted") > 0]
        return WorkbookDone(
            name=workbook.name,
            content=out.read_bytes(),
            lines=sum(1 for row in planned.tables["Plan"] if row.get("Preserve")),
            targets=len(coverage),
            filled=sum(map(is_filled, coverage)),
            surplus_kg=surplus_kg(planned.tables["Crop use"]),
            said=sum(1 for problem in reading.problems if not problem.is_error),
            errors=tuple(one.removeprefix("Error: ") for one in error_lines(reading.household)),
            unchanged=planned.unchanged,
            seconds=time.monotonic() - began,
        )


def surplus_kg(rows: list[Row]) -> float:
    """What the table Crop use says is fed, in kg."""
    return sum(number_in(row, "Surplus") * UNITS[str(row["Unit"])].factor for row in rows if row.get("Unit"))


def written(one: WorkbookDone, to: Path) -> WorkbookDone:
    """Write a planned workbook in one step, and let its bytes go; that it could not be written is its problem."""
    if one.content is None:
        return one
    target, beside = to / one.name, to / f".{one.name}.new"
    try:
        if target.is_file() and not is_of_ours(target):
            raise FileExistsError(0, "a file of that name is there, and is no workbook with a plan")
        beside.write_bytes(one.content)
        beside.replace(target)
        problems = one.problems
    except OSError as error:
        problems = (f"it could not be written into {to}: {why_not(error)}",)
    return replace(one, content=None, problems=problems)


def plan_all_view(found: AllPlanned) -> RenderableType:
    """The table of results for the terminal."""
    return plan_all_page(found)


def plan_all_json(found: AllPlanned) -> str:
    """The same for other programs."""
    return text(plan_all_object(found))
