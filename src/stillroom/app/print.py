"""Make the pages of a workbook with a plan: every page as HTML and PDF, the labels, the calendar, the pictures."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from stillroom.app.day import NOT_YET, Clock, asked_day, clock_of, made_names, marks_explained, stale_words
from stillroom.app.files import put_all
from stillroom.app.plan import Reading, last_would_help, read_workbook, said_again, standing_tables
from stillroom.errors import CommandWrong, CouldNotWrite, StillroomError
from stillroom.handbook.cautions import page_cautions
from stillroom.household.records import Household, Kitchen
from stillroom.household.refusals import refused_preserves
from stillroom.household.results.clock import Step
from stillroom.household.results.review import Review, review_tables
from stillroom.household.results.winter import MONTHS, winter
from stillroom.household.text import format_altitude, format_long_date, quoted
from stillroom.reports.calendar import calendar_file, continued
from stillroom.reports.charts import FORMATS, files_of, picture_file, pictures_of
from stillroom.reports.charts.canvas import Shown
from stillroom.reports.charts.season import review_pictures
from stillroom.reports.print.document import Paper, PaperSize, care_paper, paper_size, with_error_section
from stillroom.reports.print.html import html_page, label_html, pictures_html
from stillroom.reports.print.labels import (
    Label,
    LabelSheet,
    default_sheet,
    label_sheet,
    labels_of,
    planned_batches,
    recorded_batches,
)
from stillroom.reports.print.lists import (
    clock_sheet,
    eat_first_page,
    shelf_page,
    shopping_page,
    wash_page,
    winter_sheet,
)
from stillroom.reports.print.pdf import label_pdf, pdf_page
from stillroom.reports.print.plan import plan_paper
from stillroom.reports.print.review import review_paper
from stillroom.reports.print.week import SheetDay, Tables, sheet_days, this_morning_of, week_sheet
from stillroom.reports.print.wrong import wrong_page
from stillroom.reports.problems import lines_with_errors
from stillroom.reports.terminal.day import canned_lines
from stillroom.timetable.clock import by_day
from stillroom.workbook.ooxml.files.put import why_not
from stillroom.workbook.writer.notices import times_written
from stillroom.workbook.writer.plan import later_rows, mark_in, notes_in

# The way from a workbook to its labels: by the plan or by the record, on a sheet of any measures.

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


def write_labels(
    path: Path, folder: Path, asked: LabelsAsked, today: datetime.date, *, replace: bool = False
) -> list[str]:
    """
    Write labels.pdf and labels.html into a folder; gives the lines to say.

    Raises WorkbookRefused when the file cannot be opened, CommandWrong for a sheet, place or day that cannot be,
    CouldNotWrite.
    """
    reading = read_workbook(path, today)
    paper = paper_size(reading.household.kitchen, asked.paper)
    sheet = default_sheet(paper) if asked.sheet is None else label_sheet(asked.sheet, paper)
    labels, days = labels_asked(reading, asked)
    care = label_care(reading.household, labels)
    files = label_files(folder, labels, sheet, start_in(sheet, asked.start), cut_lines=asked.cut_lines, care=care)
    written = put_all(folder, files, replace=replace)
    said = lines_with_errors(reading.household, labels_message(written, labels, days, sheet, asked))
    stale = "" if asked.by_record or not labels else stale_words(reading)
    return [*said, stale] if stale else said


def labels_message(
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
        "The last page has the cautions: print it on plain paper.",
    ]


def labels_asked(reading: Reading, asked: LabelsAsked) -> tuple[list[Label], list[datetime.date]]:
    """The labels, and the days they are of; none for what the published tables refuse. Raises CommandWrong."""
    if not 1 <= asked.days <= MOST_DAYS:
        msg = f"{asked.days} days cannot be asked for; write 1 to {MOST_DAYS}"
        raise CommandWrong(msg)
    first = first_day(reading, asked)
    days = [first + datetime.timedelta(days=number) for number in range(asked.days)]
    refused = {item.name for item in refused_preserves(reading.household)}
    if asked.by_record:
        batches = [one for one in recorded_batches(reading.typed, days) if one.name not in refused]
        return labels_of(reading.household, batches), days
    return labels_of(reading.household, planned_batches(reading.household, days)), days


def first_day(reading: Reading, asked: LabelsAsked) -> datetime.date:
    """The day asked for, else the one that most likely is meant. Raises CommandWrong."""
    if asked.on is not None:
        return asked_day(asked.on, reading.household, ahead=not asked.by_record)
    kitchen = reading.household.kitchen
    if asked.by_record:
        return max((row.date for row in reading.typed.record if row.made > 0), default=kitchen.first_day)
    lines = [line.day for line in reading.household.plan_lines if line.days == 1 and (line.make or line.fix or 0.0) > 0]
    return min((day for day in lines if day >= kitchen.first_day), default=kitchen.first_day)


def label_care(household: Household, labels: Sequence[Label]) -> Paper | None:
    """The page of cautions for what is labeled; None without labels."""
    names = {label.name for label in labels}
    return care_paper(page_cautions(household, names), marks_explained(household, names)) if labels else None


def start_in(sheet: LabelSheet, start: int) -> int:
    """The place of the first label on the first sheet. Raises CommandWrong when the sheet has no such place."""
    if not 1 <= start <= sheet.many:
        msg = f"there is no place {start} on a sheet of {sheet.many} labels; write 1 to {sheet.many}"
        raise CommandWrong(msg)
    return start


def label_files(
    folder: Path,
    labels: Sequence[Label],
    sheet: LabelSheet,
    start: int = 1,
    *,
    cut_lines: bool = False,
    care: Paper | None = None,
) -> list[tuple[Path, bytes]]:
    """Return both files with their content, the page of cautions after the labels."""
    return [
        (folder / f"{NAME}.pdf", label_pdf(labels, sheet, start, cut_lines=cut_lines, care=care)),
        (folder / f"{NAME}.html", label_html(labels, sheet, start, cut_lines=cut_lines, care=care).encode()),
    ]


CALENDAR, PICTURES, PICTURES_PAGE = "calendar.ics", "pictures", "pictures.html"
OUR_CALENDAR = b"PRODID:-//stillroom//"
"""What stands in every calendar of ours."""


@dataclass(frozen=True)
class Standing:
    """
    A workbook that holds a plan, ready to be put on paper.

    `days` are the single days with their lines, `steps` what is done on the clock, by the day it begins on; `now` is
    the moment with its zone, `title` and `said` what stands on the pages, `size` the paper.
    """

    clock: Clock
    tables: Tables
    days: Sequence[SheetDay]
    steps: Mapping[datetime.date, Sequence[Step]]
    title: str
    size: PaperSize
    now: datetime.datetime
    said: str = ""

    @property
    def household(self) -> Household:
        """The household, settled."""
        return self.clock.reading.household


Maker = Callable[[Standing, Path], Iterator[tuple[Path, bytes]]]
"""Yields its files of a folder, each with its content."""


def write_pages(
    path: Path,
    folder: Path,
    now: datetime.datetime,
    paper: str | None = None,
    only: Sequence[str] = (),
    *,
    replace: bool = False,
) -> list[str]:
    """
    Write everything of the plan in a workbook into a folder, over what is there of a former plan.

    What else is in the way is refused before anything is written, or with `replace` kept as a dated copy.

    `now` is the moment with its zone, `paper` a4 or letter, `only` some of the words of `MAKERS` (none: all); gives the
    lines to say. Raises StillroomError when there is no plan in the workbook, WorkbookRefused when it cannot be
    planned, CommandWrong for a paper or a word that is not known, CouldNotWrite.
    """
    makers = makers_asked(only)
    standing = standing_of(path, now, paper)
    files = [file for maker in makers.values() for file in maker(standing, folder)]
    return written_words(standing, folder, put_all(folder, files, replace=replace))


def written_words(standing: Standing, folder: Path, written: Sequence[Path]) -> list[str]:
    """What to say of the files that were written, and what is done with them."""
    names = [one.name for one in written if one.parent == folder]
    both = [name.removesuffix(".pdf") for name in names if name.endswith(".pdf")]
    rest = [name for name in names if name.partition(".")[0] not in both]
    lines = [f"Wrote into {folder}, as PDF and HTML: {', '.join(both)}."] if both else []
    lines += [f"Wrote into {folder}: {', '.join(rest)}."] if rest else []
    pictures = [one for one in written if one.parent != folder]
    lines += [f"Wrote {len(pictures)} files of pictures into {pictures[0].parent}."] if pictures else []
    if "week" in both:
        lines.append(
            f"week.pdf is for the fridge door; print the PDF pages on {standing.size.css_name} paper, full size."
        )
    if CALENDAR in rest:
        lines.append(f"Take {CALENDAR} into your calendar; taking a later one in brings it up to date.")
    lines += [standing.said] if standing.said else []
    return lines_with_errors(standing.household, lines)


def makers_asked(only: Sequence[str]) -> dict[str, Maker]:
    """What is to be made, by its word, in the order of `MAKERS`. Raises CommandWrong for a word that is not known."""
    asked = {word.strip().casefold() for word in only}
    if unknown := sorted(asked - set(MAKERS)):
        msg = f"{unknown[0]!r} is not something that is written; write {', '.join(MAKERS)}"
        raise CommandWrong(msg)
    return {word: maker for word, maker in MAKERS.items() if not asked or word in asked}


def standing_of(path: Path, now: datetime.datetime, paper: str | None = None) -> Standing:
    """Read a workbook and the plan in it. Raises as `write_pages` does, and writes nothing."""
    clock = clock_of(path, now.date())
    book = clock.reading.book
    if mark_in(notes_in(book)) is None:
        msg = f"there is no plan in {path.name} yet; first: stillroom plan {quoted(path.name)}"
        raise StillroomError(msg)
    tables = standing_tables(clock.reading)
    kitchen = clock.reading.household.kitchen
    return Standing(
        clock,
        tables,
        sheet_days(clock.reading.household, tables, later_rows(clock.reading.book, "Can wait")),
        by_day(clock.days),
        path.stem,
        paper_size(kitchen, paper),
        now,
        plan_message(clock),
    )


def plan_message(clock: Clock) -> str:
    """What has to be said of the plan; one in which nothing is made is a plan too."""
    if clock.said != NOT_YET:
        return clock.said
    return stale_words(clock.reading)


def papers(standing: Standing) -> list[Paper]:
    """Every page that is words and tables."""
    clock = {one.day: one for one in standing.clock.days}
    reading, said, title = standing.clock.reading, standing.said, standing.title
    with_place = f"{title}; {place_words(reading.household.kitchen)}"
    household, morning = reading.household, this_morning_of(reading.typed, reading.household)
    care = page_cautions(household, {line.name for day in standing.days for line in day.lines})
    today = standing.now.date()
    return [
        with_error_section(
            household,
            plan_paper(title, said_again(reading), today, household.kitchen, last_would_help(reading), said),
        ),
        with_error_section(household, week_sheet(with_place, standing.days, clock, care, said, morning)),
        with_error_section(household, clock_page(standing, with_place)),
        wash_page(title, household, [one.day for one in standing.days], standing.tables["Plan"], said),
        shopping_page(title, standing.tables["Shopping"]),
        shelf_page(title, household),
        eat_first_page(title, household),
        *door_pages(standing),
        winter_sheet(title, household, winter(reading.typed, household, household.kitchen.first_day, MONTHS)),
    ]


def door_pages(standing: Standing) -> Iterator[Paper]:
    """Yield the page for a bad evening, where what can wait or what may go wrong was worked out for the plan."""
    book, days = standing.clock.reading.book, [one.day for one in standing.days]
    waiting, wrong = (later_rows(book, name) for name in ("Can wait", "If things go wrong"))
    page = wrong_page(standing.title, standing.tables["Plan"], days, waiting, wrong, standing.said)
    if page is not None:
        yield page


def clock_page(standing: Standing, title: str) -> Paper:
    """The days by the clock, with what is canned on each and the cautions that fit it."""
    days, household = standing.clock.days, standing.household
    names = made_names(days)
    canned = {day.day: canned_lines(household.preserves, made_names([day])) for day in days}
    clock = {one.day: one for one in days}
    return clock_sheet(
        title,
        clock,
        standing.steps,
        standing.said,
        page_cautions(household, names),
        canned,
        marks_explained(household, names),
    )


def paper_files(standing: Standing, folder: Path) -> Iterator[tuple[Path, bytes]]:
    """Each page as PDF and as HTML."""
    for paper in papers(standing):
        found = pdf_page(paper, standing.size)
        html = html_page(paper, standing.size, found.sizes["plain"], found.kept, close=found.sizes.close)
        yield folder / f"{paper.name}.pdf", found.content
        yield folder / f"{paper.name}.html", html.encode()


def calendar_files(standing: Standing, folder: Path) -> Iterator[tuple[Path, bytes]]:
    """The calendar, going on from an earlier one of ours. Raises CouldNotWrite where that cannot be read."""
    stamp = standing.now.astimezone(datetime.UTC).replace(microsecond=0)
    times = times_written(standing.clock.reading.book)
    events = calendar_file(standing.days, standing.steps, standing.tables["Shopping"], stamp, times)
    yield folder / CALENDAR, continued(events, earlier_calendar(folder), standing.household.kitchen.first_day)


def earlier_calendar(folder: Path) -> bytes | None:
    """Return the calendar file that is there, when it is one of ours. Raises CouldNotWrite where it cannot be read."""
    path = folder / CALENDAR
    try:
        content = path.read_bytes() if path.is_file() else b""
    except OSError as error:
        msg = f"{path} cannot be read: {why_not(error)}"
        raise CouldNotWrite(msg) from error
    return content if OUR_CALENDAR in content else None


def first_label_files(standing: Standing, folder: Path) -> Iterator[tuple[Path, bytes]]:
    """Labels of the first day that makes anything, on a sheet that is common for this paper."""
    labels, _ = labels_asked(standing.clock.reading, LabelsAsked())
    care = label_care(standing.household, labels)
    yield from label_files(folder, labels, default_sheet(standing.size), care=care)


def shown_of(clock: Clock) -> Shown:
    """Return what pictures are drawn from."""
    steps = tuple(step for day in clock.days for step in day.steps)
    reading = clock.reading
    warning = "" if clock.said == NOT_YET else clock.said
    return Shown(reading.household, reading.typed, said_again(reading), clock.days, warning, steps)


def all_picture_files(standing: Standing, folder: Path) -> Iterator[tuple[Path, bytes]]:
    """All pictures on one page, and each in a folder of their own."""
    shown = shown_of(standing.clock)
    yield folder / PICTURES_PAGE, pictures_html(standing.title, pictures_of(shown)).encode()
    for name, content, _ in files_of(shown):
        yield folder / PICTURES / name, content


def write_review(reading: Reading, found: Review, folder: Path, *, replace: bool = False) -> list[str]:
    """
    Write the review as a page, in HTML with its pictures and as PDF, and each picture; return the lines to show.

    Raises CouldNotWrite where a file that is not as we last wrote it is in the way.
    """
    size, tables = paper_size(reading.household.kitchen), review_tables(found, reading.typed)
    page = with_error_section(reading.household, review_paper(reading.book.path.stem, found, tables))
    pictures, pdf = review_pictures(found), pdf_page(page, size)
    html = html_page(page, size, pdf.sizes["plain"], pdf.kept, close=pdf.sizes.close, pictures=pictures)
    files = [(folder / f"{page.name}.pdf", pdf.content), (folder / f"{page.name}.html", html.encode())]
    files += [
        (folder / PICTURES / f"{one.name}.{ending}", picture_file(one, ending))
        for one in pictures
        for ending in FORMATS
    ]
    written = put_all(folder, files, replace=replace)
    return [f"Wrote {written[0]}, the same as HTML with pictures, and {len(pictures)} pictures."]


MAKERS: Mapping[str, Maker] = {
    "sheets": paper_files,
    "labels": first_label_files,
    "calendar": calendar_files,
    "pictures": all_picture_files,
}
"""Everything that `stillroom pages` writes, in this order, by the word it is asked for with."""


def place_words(kitchen: Kitchen) -> str:
    """
    Return the altitude and gauge that the times are for.

    >>> place_words(Kitchen(datetime.date(2026, 8, 14), altitude_ft=1180.0, gauge="dial"))
    'for 1,180 ft and a dial gauge'
    >>> place_words(Kitchen(datetime.date(2026, 8, 14)))
    'no altitude typed'
    """
    if kitchen.altitude_ft is None:
        return "no altitude typed"
    gauge = f" and a {kitchen.gauge} gauge" if kitchen.gauge else ""
    return f"for {format_altitude(kitchen.altitude_ft)}{gauge}"
