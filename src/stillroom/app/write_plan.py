"""Plan a workbook and write the plan into it, and the model into a file when asked."""

from __future__ import annotations

import dataclasses
import datetime
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from stillroom.app.files import refuse_folder
from stillroom.app.frames import write_csv
from stillroom.app.plan import PlanFound, Reading, find_plan, inputs_of, last_would_help, left_out, mark_of, said_again
from stillroom.app.questions import bottlenecks, suppose, tonight
from stillroom.errors import CommandWrong, CouldNotWrite
from stillroom.household.journal.events import MadeLine, still_to_do
from stillroom.household.journal.fingerprint import counted_text, parts, parts_in, parts_text, why_words
from stillroom.household.journal.typed_cells import changes, listed, packed, unpacked
from stillroom.household.plan import Hedge, ObjectiveResult, Progress, no_progress, objectives_from, objectives_text
from stillroom.household.records import FREEZE_WHOLE, THAW, Household
from stillroom.household.results.bottlenecks import (
    PAST_NOTE,
    Past,
    WouldHelp,
    past_in,
    past_text,
    with_gains,
    with_plan,
)
from stillroom.household.results.commands import Receipt
from stillroom.household.results.rows import Row
from stillroom.household.results.shortages import containers_lost
from stillroom.household.results.sums import Sums
from stillroom.household.text import format_list, format_long_date, format_period
from stillroom.reports.terminal.today import amount_words
from stillroom.workbook.ooxml.files.outputs import put_output, refuse_strangers
from stillroom.workbook.ooxml.files.put import why_not
from stillroom.workbook.reader.tables import typed_tables
from stillroom.workbook.writer import plan as write
from stillroom.workbook.writer import undo
from stillroom.workbook.writer.notices import looked_at_by_pivots, times_written
from stillroom.workbook.writer.plan import Notes, in_pieces, notes_in, put_together
from stillroom.workbook.writer.record import record_made


def refuse_model_name(path: Path) -> None:
    """Raise CommandWrong when it is a folder, or its name ends in neither .lp nor .mps."""
    refuse_folder(path, "kitchen.mps")
    if path.suffix.lower() not in (".lp", ".mps"):
        msg = f"{path.name} should end in .mps or .lp, as in --model kitchen.mps"
        raise CommandWrong(msg)


def write_model(household: Household, path: Path, *, replace: bool = False) -> None:
    """Write the model that a plan solves first, over no file that is not as we last wrote it. Raises CouldNotWrite."""
    from stillroom.planning.model_file import write_first_model  # the solver is slow to import

    try:
        if not replace:
            refuse_strangers([path])
        put_output(path, lambda file: write_first_model(household, file, path.suffix), replace=replace)
    except OSError as error:
        msg = f"the model could not be written to {path}: {why_not(error)}"
        raise CouldNotWrite(msg) from error


@dataclass(frozen=True)
class Planned:
    """
    What came of planning: the tables, and what was written.

    `unchanged` is whether the workbook had the plan of these inputs already; the tables and objectives are then those
    kept in it. `why` says what was put into the record, what changed since the last plan, and how many lines changed.
    `hedge` are the other seasons of a plan for several, `would_help` what the last bottlenecks in the workbook found.
    """

    tables: dict[str, list[Row]]
    objectives: tuple[ObjectiveResult, ...]
    receipt: Receipt
    unchanged: bool
    seconds: float
    why: tuple[str, ...] = ()
    hedge: Hedge | None = None
    csv_files: tuple[Path, ...] = ()
    would_help: WouldHelp | None = None


def plan_workbook(
    reading: Reading,
    out: Path | None = None,
    time_limit_seconds: float | None = None,
    progress: Progress = no_progress,
    *,
    with_bottlenecks: bool = False,
    with_deadlines: bool = False,
    model: Path | None = None,
    csv: Path | None = None,
    strict: bool = False,
    replace: bool = False,
) -> Planned:
    """
    Plan what was read, audit the plan, and write it into the workbook, or into a copy at `out`.

    A workbook that holds the plan of these inputs, this version and these settings keeps its bytes. With
    `with_bottlenecks` it is planned in any case, and the table Bottlenecks is filled; else an older one is emptied; so
    are Can wait and If things go wrong `with_deadlines`.
    With `model` the model that is solved first is written to that .lp or .mps file, before it is solved; with `csv` the
    tables are written into that folder, before the workbook. A refused preserve is left out; if `strict`, nothing is
    planned then. What is in the way of any of these files and not as we last wrote it is refused, or with `replace`
    kept as a dated copy.

    Raises WorkbookRefused with every error when any stops, NoPlanInTime, CouldNotWrite; the file is as it was then.
    """
    reading.refuse_if_stopped(strict=strict)
    if model is not None:
        progress("writing the model")
        write_model(still_to_do(reading.household), model, replace=replace)
    began = time.monotonic()
    queued = queue_found(
        reading, time_limit_seconds, progress, with_bottlenecks=with_bottlenecks, with_deadlines=with_deadlines
    )
    files = () if csv is None else tuple(write_csv(queued.tables, csv, replace=replace))
    receipt = reading.book.save(out, replace=replace)
    seconds = time.monotonic() - began
    return Planned(
        queued.tables,
        queued.objectives,
        receipt,
        queued.unchanged,
        seconds,
        queued.why,
        queued.hedge,
        files,
        queued.would_help,
    )


@dataclass(frozen=True)
class Queued:
    """What is to be written into a workbook: as in `Planned`."""

    tables: dict[str, list[Row]]
    objectives: tuple[ObjectiveResult, ...]
    unchanged: bool
    why: tuple[str, ...] = ()
    hedge: Hedge | None = None
    would_help: WouldHelp | None = None


def queue_found(
    reading: Reading,
    time_limit_seconds: float | None = None,
    progress: Progress = no_progress,
    *,
    with_bottlenecks: bool = False,
    with_deadlines: bool = False,
    more: Notes = write.NO_NOTES,
) -> Queued:
    """
    Plan what was read and queue all of it in its workbook; nothing where the plan of these inputs is in it.

    `more` are notes to be kept beside those of the plan.
    """
    asked = (
        with_bottlenecks
        or with_deadlines
        or bool(reading.moves)
        or not suppose.are_answered(reading.book)
        or bool(left_out(reading))
    )
    if not asked and has_plan(reading, time_limit_seconds):
        return standing_plan(reading)
    found = find_plan(reading, time_limit_seconds, progress)
    return queue_plan(found, progress, with_bottlenecks=with_bottlenecks, with_deadlines=with_deadlines, more=more)


def has_plan(reading: Reading, time_limit_seconds: float | None = None) -> bool:
    """Whether a workbook holds the plan of its inputs, by this version and these settings."""
    return write.is_unchanged(reading.book, mark_of(reading.typed, time_limit_seconds))


def standing_plan(reading: Reading) -> Queued:
    """Return the plan that a workbook holds."""
    notes = notes_in(reading.book)
    objectives = objectives_from(notes.get("objectives", ""))
    return Queued(said_again(reading), objectives, True, would_help=last_would_help(reading))


def save_plan(found: PlanFound, out: Path | None = None, *, replace: bool = False) -> Receipt:
    """
    Write a plan into the workbook it was read from, or into a copy at `out`: every output table and the record.

    Raise CouldNotWrite; the file is as it was then.
    """
    queue_plan(found)
    return found.reading.book.save(out, replace=replace)


def queue_plan(
    found: PlanFound,
    progress: Progress = no_progress,
    *,
    with_bottlenecks: bool = False,
    with_deadlines: bool = False,
    more: Notes = write.NO_NOTES,
) -> Queued:
    """Queue every output table and the record; `with_bottlenecks` those too, else the last ones are kept as a note."""
    book, household, plan = found.reading.book, found.household, found.plan
    helps, rows, gains = last_would_help(found.reading), list[Row](), tuple[Past, ...]()
    if with_bottlenecks:
        rows, helps, gains = bottlenecks.bottlenecks_beside(household, plan, inputs_of(found.reading), progress)
    if with_deadlines:
        tonight.fill_deadlines(found, progress)
    progress("writing the workbook")
    kept = {write.WOULD_HELP: "" if helps is None else helps.text, PAST_NOTE: past_note(found, gains)}
    why = queue_tables(found, {**kept, **more})
    suppose.fill_suppose(found.reading, household, plan, progress, in_time=found.time_limit_seconds is None)
    if with_bottlenecks:
        write.write_table(book, "Bottlenecks", rows)
        found.tables["Bottlenecks"] = rows
    empty = [*([] if with_bottlenecks else ["Bottlenecks"]), *([] if with_deadlines else tonight.TABLES)]
    why += [words for name in empty for words in bottlenecks.empty_older(book, name)]
    why += pivot_words(looked_at_by_pivots(book))
    return Queued(found.tables, plan.objectives, False, tuple(why), plan.hedge, helps)


def queue_tables(found: PlanFound, more: Notes) -> list[str]:
    """
    Queue the tables of a plan and the record of what was made, and `more` notes beside those of the plan.

    Return in lines what went into the record and what changed.
    """
    reading = found.reading
    notes = {
        "inputs": parts_text(parts(reading.typed)),
        "counted": counted_text(reading.typed),
        "written": str(times_written(reading.book) + 1),
        "objectives": objectives_text(found.plan.objectives),
        **suppose.note_of_cases(reading.book),
        **in_pieces("cells", packed(typed_tables(reading.book))),
        **{name: notes_in(reading.book).get(name, "") for name in (undo.NOTE, write.EVENING)},
        **more,
    }
    why = why_words(parts_in(notes_in(reading.book).get("inputs", "")), parts(reading.typed))
    cells = changed_lines(reading)
    recorded = {move.line.where: move.done for move in reading.moves}
    inputs, first_day = mark_of(reading.typed, found.time_limit_seconds), reading.household.kitchen.first_day
    write.write(reading.book, found.tables, first_day, inputs, notes, recorded)
    record_made(reading.book, reading.moves)
    return [*recorded_words(reading.moves), *(line for line in (why, *cells, found.change) if line)]


def past_note(found: PlanFound, gains: Sequence[Past]) -> str:
    """Return the note of the bottlenecks of the plans so far with those of a new plan, and what more would add."""
    past = past_in(notes_in(found.reading.book).get(PAST_NOTE, ""))
    day = found.household.kitchen.first_day
    sums = Sums(dataclasses.replace(found.reading.household, plan_lines=found.reading.typed.plan_lines), found.plan)
    lost = containers_lost(sums, found.tables["Coverage"])
    here = [Past(day, name, containers) for name, containers in lost.items()]
    return past_text(with_gains(with_plan(past, day, here), day, gains))


def changed_lines(reading: Reading) -> list[str]:
    """Return which cells changed since the last plan, a few of many; none where no plan left a note of them."""
    then = unpacked(put_together("cells", notes_in(reading.book)))
    return listed(changes(then, typed_tables(reading.book)))


def line_changes(found: PlanFound) -> list[tuple[str, str, str]]:
    """Return each line that differs from the plan before: its day, what is made, and how; all of a first plan."""
    first = all(line.make is None for line in found.reading.typed.plan_lines)
    lines = [(line.day, line.days, line.name, "gone") for line in found.gone]
    for row in found.tables["Plan"]:
        day, name, make = row["Day"], str(row["Preserve"]), row["Make"]
        if isinstance(day, datetime.date) and row["Preserve"] is not None and (first or row["Change"]):
            unit = str(row["Unit"]) if name.startswith((FREEZE_WHOLE, THAW)) else ""
            words = name if make is None else amount_words(name, float(str(make)), unit)
            lines.append((day, int(str(row["Days"])), words, str(row["Change"] or "new")))
    return [(format_period(day, days), words, how) for day, days, words, how in sorted(lines)]


def pivot_words(names: Sequence[str]) -> list[str]:
    """Say which tables a pivot table has an old copy of; what a spreadsheet works out by itself is not named here."""
    return (
        [f"Refresh the pivot table over {format_list(list(names), 4)}: it still shows the old figures."]
        if names
        else []
    )


def recorded_words(moves: Sequence[MadeLine]) -> list[str]:
    """Say what went from the plan into the record, and what stood there already."""
    words = [f"{move.row.preserve} ({format_long_date(move.row.date)})" for move in moves if not move.known]
    again = [f"{move.row.preserve} ({format_long_date(move.row.date)})" for move in moves if move.known]
    said = [f"Put into Record, and taken out of Made: {format_list(words, 4, '; ')}."] if words else []
    return said + ([f"In Record already, so only taken out of Made: {format_list(again, 4, '; ')}."] if again else [])
