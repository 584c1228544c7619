"""The way from a workbook to its labels: by the plan or by the record, on a sheet of any measures."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from stillroom.app.asked_day import asked_day
from stillroom.app.files import put, refuse_strangers, why_not
from stillroom.app.overview import stale_words
from stillroom.app.plan import Reading, read_workbook
from stillroom.errors import CommandWrong, CouldNotWrite
from stillroom.household.text import format_long_date
from stillroom.reports.print.document import paper_size
from stillroom.reports.print.html import label_html
from stillroom.reports.print.labels import (
    Label,
    LabelSheet,
    default_sheet,
    label_sheet,
    labels_of,
    planned_batches,
    recorded_batches,
)
from stillroom.reports.print.pdf_labels import label_pdf

NAME = "labels"
MOST_DAYS = 400


@dataclass(frozen=True)
class LabelsAsked:
    """
    Which labels: by the plan or by the record, of how many days from which on, on which sheet, from which place on.

    `on` is a date as typed (None: the first day of the plan that makes anything; of the record, its last day).
    """

    sheet: str | None = None
    paper: str | None = None
    start: int = 1
    on: str | None = None
    days: int = 1
    by_record: bool = False
    cut_lines: bool = False


def write_labels(path: Path, folder: Path, asked: LabelsAsked, today: datetime.date) -> list[str]:
    """
    Write labels.pdf and labels.html into a folder; gives the lines to say.

    Raises WorkbookRefused when the file cannot be opened, CommandWrong for a sheet, place or day that cannot be,
    CouldNotWrite.
    """
    reading = read_workbook(path, today)
    paper = paper_size(reading.household.kitchen, asked.paper)
    sheet = default_sheet(paper) if asked.sheet is None else label_sheet(asked.sheet, paper)
    labels, days = labels_asked(reading, asked)
    refuse_strangers(folder, ["labels"])
    written = put_labels(folder, labels, sheet, start_in(sheet, asked.start), cut_lines=asked.cut_lines)
    said = said_of(written, labels, days, sheet, asked)
    stale = "" if asked.by_record or not labels else stale_words(reading)
    return [*said, stale] if stale else said


def said_of(
    written: Sequence[Path],
    labels: Sequence[Label],
    days: Sequence[datetime.date],
    sheet: LabelSheet,
    asked: LabelsAsked,
) -> list[str]:
    """What to say of the labels that were written."""
    source = "the record" if asked.by_record else "the plan"
    first, last = format_long_date(days[0]), format_long_date(days[-1])
    when = first if first == last else f"{first} to {last}"
    if not labels:
        return [f"By {source} nothing is made for {when} that takes a label."]
    takes = -(-(len(labels) + asked.start - 1) // sheet.many)
    sheets = "1 sheet" if takes == 1 else f"{takes} sheets"
    return [
        f"Wrote {written[0]}: {len(labels)} labels by {source} for {when}, {sheets} of {sheet.description()}.",
        'Print at 100% (not "fit to page"). Test on plain paper first.',
    ]


def labels_asked(reading: Reading, asked: LabelsAsked) -> tuple[list[Label], list[datetime.date]]:
    """The labels, and the days they are of. Raises CommandWrong."""
    if not 1 <= asked.days <= MOST_DAYS:
        msg = f"{asked.days} days cannot be asked for; write 1 to {MOST_DAYS}"
        raise CommandWrong(msg)
    first = first_day(reading, asked)
    days = [first + datetime.timedelta(days=number) for number in range(asked.days)]
    if asked.by_record:
        return labels_of(reading.household, recorded_batches(reading.typed, days)), days
    return labels_of(reading.household, planned_batches(reading.typed, days)), days


def first_day(reading: Reading, asked: LabelsAsked) -> datetime.date:
    """The day asked for, else the one that most likely is meant. Raises CommandWrong."""
    if asked.on is not None:
        return asked_day(asked.on)
    kitchen = reading.household.kitchen
    if asked.by_record:
        return max((row.date for row in reading.typed.record if row.made > 0), default=kitchen.first_day)
    lines = [line.day for line in reading.typed.plan_lines if line.days == 1 and (line.make or line.fix or 0.0) > 0]
    return min((day for day in lines if day >= kitchen.first_day), default=kitchen.first_day)


def start_in(sheet: LabelSheet, start: int) -> int:
    """The place of the first label on the first sheet. Raises CommandWrong when the sheet has no such place."""
    if not 1 <= start <= sheet.many:
        msg = f"there is no place {start} on a sheet of {sheet.many} labels; write 1 to {sheet.many}"
        raise CommandWrong(msg)
    return start


def put_labels(
    folder: Path, labels: Sequence[Label], sheet: LabelSheet, start: int = 1, *, cut_lines: bool = False
) -> list[Path]:
    """Write both files. Raises CouldNotWrite."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return [
            put(folder / f"{NAME}.pdf", label_pdf(labels, sheet, start, cut_lines=cut_lines)),
            put(folder / f"{NAME}.html", label_html(labels, sheet, start, cut_lines=cut_lines).encode()),
        ]
    except OSError as error:
        msg = f"{folder} cannot be written to: {why_not(error)}"
        raise CouldNotWrite(msg) from error
