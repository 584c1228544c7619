"""A whole folder of workbooks planned into another; what cannot be planned is listed and does not stop the rest."""

from __future__ import annotations

import dataclasses
import datetime
import os
import time
import unicodedata
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.app.parallel import Done, crew_for, refuse_workers, spread
from stillroom.app.plan import Reading, read_book
from stillroom.app.write_plan import Queued, has_plan, queue_found, standing_plan
from stillroom.errors import CommandWrong, CouldNotWrite, StillroomError, WorkbookRefused
from stillroom.household.plan import Progress
from stillroom.household.results.commands import AllPlanned, WorkbookDone
from stillroom.household.results.rows import Row, is_filled, number_in
from stillroom.household.units import UNITS
from stillroom.reports.json import text
from stillroom.reports.problems import error_lines, line, reason
from stillroom.reports.terminal.setup import plan_all_object, plan_all_page
from stillroom.version import VERSION
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.files.copies import listed
from stillroom.workbook.ooxml.files.outputs import digest_of, is_ours, put_output, refuse_strangers
from stillroom.workbook.ooxml.files.put import why_not

if TYPE_CHECKING:
    from rich.console import RenderableType


UNEXPECTED = "something went wrong that is no fault of the workbook"


@dataclass(frozen=True)
class Workbook:
    """
    A workbook on its way to whoever plans it: its name and its bytes, so that no folder has to be shared.

    `before` are the bytes of the result of the same workbook and version, where it is there already.
    """

    name: str
    content: bytes
    today: datetime.date
    before: bytes | None = None

    @property
    def digest(self) -> str:
        """What its result is made of: the workbook and the version."""
        return digest_of(self.content + VERSION.encode())


def plan_folder(
    folder: Path,
    to: Path,
    today: datetime.date,
    workers: int | None,
    cluster: str | None,
    progress: Progress,
    *,
    replace: bool = False,
) -> AllPlanned:
    """
    Plan each workbook of a folder, side by side, into a file of the same name in another folder.

    The workbooks themselves stay as they are. Each result is written as it comes, and one that is there already is not
    planned again. A workbook that is refused, ends whoever plans it, or whose result would take the place of something
    that is not as we last wrote it (unless `replace` keeps a dated copy of that) is listed with its problems.

    Raises CommandWrong for a folder that is not there, has no workbook or is the other one as well, and CouldNotWrite
    when the other folder cannot be made.
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
    readable = [one for path in paths if (one := read_bytes(path, to, today, done, replace=replace)) is not None]

    def finish(number: int, came: Done[WorkbookDone]) -> Done[WorkbookDone]:
        book = readable[number]
        words = f"{UNEXPECTED} ({type(came.error).__name__}: {came.error})"
        result = came.result or WorkbookDone(book.name, problems=(words,))
        done.append(written(result, to, book.digest, replace=replace))
        return Done(None)

    with crew_for(len(readable), workers, cluster) as crew:
        spread(
            plan_one, readable, crew, lambda count: progress(f"planned {count} of {len(readable)} workbooks"), finish
        )
        hands = crew.hands
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
    copies = {_composed(name) for path in paths for _, name in listed(path)}
    paths = [path for path in paths if _composed(path.name) not in copies]
    if not paths:
        msg = f"there is no workbook (.xlsx) in {folder}"
        raise CommandWrong(msg)
    return paths


def _composed(name: str) -> str:
    """A name with its accents in one form: some disks give a name back in another than it was written in."""
    return unicodedata.normalize("NFC", name)


def read_bytes(
    path: Path, to: Path, today: datetime.date, done: list[WorkbookDone], *, replace: bool
) -> Workbook | None:
    """Read a workbook's bytes, and its result that is there; when that cannot be, it is done already."""
    target = to / path.name
    try:
        book = Workbook(path.name, path.read_bytes(), today)
        if is_ours(target, made_of=book.digest):
            return dataclasses.replace(book, before=target.read_bytes())
        if not replace:
            refuse_strangers([target])
    except CouldNotWrite as error:
        done.append(WorkbookDone(path.name, problems=(str(error),), refused=True))
    except OSError as error:
        done.append(WorkbookDone(path.name, problems=(f"it cannot be read: {error.strerror or error}",)))
    else:
        return book
    return None


def plan_one(workbook: Workbook) -> WorkbookDone:
    """Plan one workbook from its bytes; what a household can cause is told and not raised."""
    began = time.monotonic()
    try:
        return result_of(workbook, began)
    except WorkbookRefused as error:
        return WorkbookDone(
            workbook.name,
            problems=tuple(reason(one) if one.where == workbook.name else line(one) for one in error.problems),
        )
    except StillroomError as error:
        return WorkbookDone(workbook.name, problems=(str(error),))


def result_of(workbook: Workbook, began: float) -> WorkbookDone:
    """Plan one workbook, or read the plan it has; without new bytes where it has one. Raises StillroomError."""
    path = Path(os.devnull, workbook.name)  # a place that no file beside it can be in
    if workbook.before is not None:
        reading = read_book(Book.of(path, workbook.before), workbook.today)
        if has_plan(reading):
            return done_with(reading, standing_plan(reading), None, began)
    reading = read_book(Book.of(path, workbook.content), workbook.today)
    reading.refuse_if_stopped(strict=False)
    queued = queue_found(reading)
    return done_with(reading, queued, reading.book.verified(), began)


def done_with(reading: Reading, queued: Queued, content: bytes | None, began: float) -> WorkbookDone:
    """What is told of a workbook that was planned."""
    coverage = [row for row in queued.tables["Coverage"] if row.get("Target") and number_in(row, "Wanted") > 0]
    return WorkbookDone(
        name=reading.book.path.name,
        content=content,
        lines=sum(1 for row in queued.tables["Plan"] if row.get("Preserve")),
        targets=len(coverage),
        filled=sum(map(is_filled, coverage)),
        surplus_kg=surplus_kg(queued.tables["Crop use"]),
        said=sum(1 for problem in reading.problems if not problem.is_error),
        errors=tuple(one.removeprefix("Error: ") for one in error_lines(reading.household)),
        unchanged=queued.unchanged,
        seconds=time.monotonic() - began,
    )


def surplus_kg(rows: list[Row]) -> float:
    """What the table Crop use says is fed, in kg."""
    return sum(number_in(row, "Surplus") * UNITS[str(row["Unit"])].factor for row in rows if row.get("Unit"))


def written(one: WorkbookDone, to: Path, made_of: str, *, replace: bool) -> WorkbookDone:
    """Put a planned workbook into its place, and let its bytes go; that it could not be written is its problem."""
    content = one.content
    if content is None:
        return one
    try:
        put_output(to / one.name, lambda file: file.write(content), replace=replace, made_of=made_of)
    except CouldNotWrite as error:
        return dataclasses.replace(one, content=None, problems=(str(error),), refused=True)
    except OSError as error:
        problem = f"it could not be written into {to}: {why_not(error)}"
        return dataclasses.replace(one, content=None, problems=(problem,), refused=True)
    return dataclasses.replace(one, content=None)


def plan_all_view(found: AllPlanned) -> RenderableType:
    """The table of results for the terminal."""
    return plan_all_page(found)


def plan_all_json(found: AllPlanned) -> str:
    """The same for other programs."""
    return text(plan_all_object(found))
