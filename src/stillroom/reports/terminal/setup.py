"""What `adopt` and `plan-all` did: tables found and added, a log read, workbooks planned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from typing import Any

from rich.console import RenderableType
from rich.text import Text

from stillroom.household.merging import Question, TwoCopies
from stillroom.household.results.commands import (
    Addition,
    Adoption,
    AllPlanned,
    Entry,
    LeftOut,
    LogRead,
    LogRow,
    Receipt,
    WorkbookDone,
    save_words,
)
from stillroom.household.text import format_count, format_date, format_fixed, format_list, format_weight, quoted
from stillroom.reports.json import as_json, problems_object
from stillroom.reports.terminal.lists import QUIET, Fitted, grid, section, spaced
from stillroom.reports.terminal.plan import problem_line

# The rows that new tables were filled with: how many, and what was left out and why.


def filled_lines(filled: Adoption) -> Iterator[str]:
    """Return how many rows each table got, then a line for each thing that was left out or changed."""
    counts = [f"{table} {count}" for table, count in filled.rows.items() if count]
    if counts:
        yield f"Rows: {', '.join(counts)}."
    if filled.renamed:
        yield f"Your names are used: {format_list([f'{theirs} for {ours}' for ours, theirs in filled.renamed], 5)}."
    yield from (left_line(left) for left in filled.left_out)
    yield from (f"{note[:1].upper()}{note[1:]}." for note in filled.notes)


def left_line(left: LeftOut) -> str:
    """
    Return what was left out of one table, and why.

    >>> left_line(LeftOut("Preserves", ("plums, quart", "pears, quart"), "your *Crops* has no plums, pears"))
    'Preserves: 2 left out (plums, quart; pears, quart): your Crops has no plums, pears.'
    """
    why = left.why.replace("*", "")
    if left.whole:
        return f"{left.table}: not filled, because {why}."
    shown = format_list(left.names, SHOWN, "; ")
    what = "with Include no" if left.made_no else "left out"
    return f"{left.table}: {len(left.names)} {what} ({shown}): {why}."


SHOWN = 3
"""So many names are shown for each reason."""


def adopt_page(adopted: Adoption, receipt: Receipt, name: str) -> RenderableType:
    """Return the page, the next command last."""
    places = format_list([f"{table} ({place})" for table, place in adopted.used])
    added, sheets = format_list(adopted.added), f"on new sheets: {format_list(adopted.sheets)}"
    return spaced(
        [
            section("Please decide", map(problem_line, adopted.problems)),
            section("Found in your workbook", filter(None, [places])),
            section("Added", filter(None, [added]), sheets),
            section("Example rows", filled_lines(adopted) if adopted.rows or adopted.left_out else ()),
            Text("\n".join(end_words(adopted, receipt, name))),
        ]
    )


def adopt_object(adopted: Adoption, receipt: Receipt, name: str) -> dict[str, object]:
    """The same for other programs."""
    return {
        "added": list(adopted.added),
        "sheets": list(adopted.sheets),
        "found": [{"table": table, "where": place} for table, place in adopted.used],
        "rows": dict(adopted.rows),
        "left_out": [left_line(left) for left in adopted.left_out],
        "problems": problems_object(adopted.problems),
        "receipt": as_json(receipt),
        "messages": list(end_words(adopted, receipt, name)),
    }


def end_words(adopted: Adoption, receipt: Receipt, name: str) -> Sequence[str]:
    """Return what was saved, where the backup is, and what to do next."""
    if not adopted.added and not adopted.rows:
        lines = [f"{name} has every table already. Nothing was changed."]
        if receipt.written:
            lines.append(f"{receipt.path.name} is a copy of it.")
    else:
        lines = [f"Saved in {receipt.path.name}. Nothing of yours was changed."]
        if receipt.backup is not None:
            lines.append(f"Backup: {receipt.backup.name}")
        lines += save_words(receipt)
    file = receipt.path.name
    if adopted.rows:
        lines.append("The numbers in the new rows are examples. Type your own over them.")
    elif {"Crops", "Preserves"} & set(adopted.added):
        lines.append(
            "The new tables are empty. To fill them with examples, run: stillroom adopt "
            f"{quoted(name if receipt.backup is None else receipt.backup.name)} --filled"
        )
    return [*lines, f"Fill in the yellow cells, then run: stillroom check {quoted(file)}"]


# A new workbook, and crops added to one.


MOST_CROPS = 12
COUNTED = (("Crops", "crop"), ("Preserves", "preserve"), ("Winter list", "target"))


def start_lines(filled: Addition, name: str) -> list[str]:
    """Return what `made_lines` say, and what to type next."""
    lines = made_lines(filled, name)
    if filled.left_out:
        lines.insert(-1, f"To add a crop or a preserve: stillroom add {quoted(name)} peaches")
    if not filled.rows.get("Harvest"):
        lines.append(f"When you pick, weigh it: stillroom weigh {quoted(name)} {weighed_words(filled.rows['Crops'])}")
    return [*lines, f"Next: stillroom plan {quoted(name)}"]


def made_lines(filled: Addition, name: str) -> list[str]:
    """Return what a new workbook holds, what keeps it from canning first, and what was left out."""
    settings = {str(row["Setting"]): row["Value"] for row in filled.rows["Kitchen"]}
    preserves = filled.rows["Preserves"]
    pressed = [row for row in preserves if row["Method"] == "pressure canned" and row["Include"] == "yes"]
    lines = []
    if settings["altitude"] is None and any(str(row["Method"]).endswith(" canned") for row in preserves):
        lines.append("No altitude yet, so nothing will be canned: type it in Kitchen.")
    if settings["gauge"] is None and pressed:
        many = format_count(len(pressed), "preserve")
        lines.append(f"No gauge yet, so nothing will be pressure canned ({many}): type dial or weighted in Kitchen.")
    made = sum(row["Include"] == "yes" for row in preserves)
    counts = [format_count(len(filled.rows[table]), word) for table, word in COUNTED]
    lines.append(f"Made {name}: {format_list(counts)}. Include is yes for {made} of the preserves.")
    lines.append(f"Crops: {format_list([str(row['Crop']) for row in filled.rows['Crops']], MOST_CROPS)}.")
    if filled.left_out:
        lines += ["Left out:", *(f"  {left.why}: {format_list(left.names, SHOWN, '; ')}" for left in filled.left_out)]
    return [*lines, "Lids, pantry and other numbers marked as examples are not yours yet: type your own."]


def weighed_words(crops: Sequence[Mapping[str, object]]) -> str:
    """
    Return an example of what is weighed: a crop of the workbook, in its unit.

    >>> weighed_words([{"Crop": "apples", "Unit": "lb"}, {"Crop": "tomato", "Unit": "lb"}])
    'tomato 53lb'
    >>> weighed_words([{"Crop": "sweet corn", "Unit": "kg"}])
    '"sweet corn" 24kg'
    """
    row = next((row for row in crops if row["Crop"] == "tomato"), crops[0])
    name = f'"{row["Crop"]}"' if " " in str(row["Crop"]) else row["Crop"]
    return f"{name} {'24kg' if row['Unit'] in ('kg', 'g') else '53lb'}"


def add_lines(addition: Addition, receipt: Receipt | None, name: str) -> list[str]:
    """Return what was added to a workbook, what was left out, and what to do next."""
    left = list(map(left_line, addition.left_out))
    if receipt is None:
        return [f"{name} has everything already that can be added. Nothing was changed.", *left]
    rows = addition.rows
    lines = [f"Added to {name}:"]
    for table, heading in (("Crops", "Crop"), ("Pantry", "Ingredient"), ("Winter list", "Target")):
        if rows[table]:
            lines.append(f"  {table}: {format_list([str(row[heading]) for row in rows[table]])}")
    preserves = [f"{row['Preserve']} ({row['Include']})" for row in rows["Preserves"]]
    lines += [f"  Preserves, with Include: {format_list(preserves, between='; ')}"] if preserves else []
    lines += left
    if rows["Pantry"]:
        lines.append("Type how much you have of what is new in the pantry, on sheet On hand.")
    lines += save_words(receipt)
    lines += [f"Backup: {receipt.backup.name}"] if receipt.backup is not None else []
    return [*lines, f"Next: stillroom plan {quoted(name)}"]


# A household's own log: what was understood of it, before anything is written.

MOST_UNREAD = 12
"""So many rows that are not understood are listed."""


def log_page(found: LogRead) -> RenderableType:
    """Return what was understood of a log, and what would be added to Harvest."""
    columns = [f'{role}: column {letter}, "{heading}"' for role, letter, heading in found.columns]
    columns.append(f"amounts without a unit: {found.units}")
    if found.ditto:
        columns.append(f"{format_count(found.ditto, 'row')} without a date: the date above")
    unread = [f"{where}: {why}" for where, why in found.unread[:MOST_UNREAD]]
    if len(found.unread) > MOST_UNREAD:
        unread.append(f"and {len(found.unread) - MOST_UNREAD} more")
    already = f"; already in Harvest: {found.already}" if found.already else ""
    new = f"{format_count(len(found.new), 'lot')}{already}"
    parts = [
        section(f"Read from {found.sheet}", columns),
        section("To add to Harvest", log_lines(found.new), new),
        section("Not understood, left out", unread),
    ]
    return spaced([*parts, Text(f"Nothing new in {found.sheet}{already}.")] if not found.new else parts)


def log_lines(rows: Sequence[LogRow]) -> list[str]:
    """
    Return a line for each crop of a log.

    >>> import datetime
    >>> day = datetime.date(2026, 8, 14)
    >>> log_lines([LogRow("Log!B2", day, "sweet corn", "Corn", 3, "dozen", 10.2, "")])
    ['sweet corn ("corn"): 1 lot, 22 lb, Aug 14']
    """
    crops: dict[str, list[LogRow]] = {}
    for row in rows:
        crops.setdefault(row.crop, []).append(row)
    lines = []
    for crop, several in crops.items():
        days = sorted({row.day for row in several})
        span = format_date(days[0]) + (f" to {format_date(days[-1])}" if len(days) > 1 else "")
        weight = format_weight(sum(row.kg for row in several))
        called = [f'"{typed}"' for typed in dict.fromkeys(row.called.casefold() for row in several) if typed != crop]
        name = f"{crop} ({format_list(called, 4)})" if called else crop
        lines.append(f"{name}: {format_count(len(several), 'lot')}, {weight}, {span}")
    return lines


def log_object(found: LogRead, entry: Entry | None) -> dict[str, object]:
    """The same for other programs; what was written is null where nothing was."""
    return {
        "sheet": found.sheet,
        "columns": {role: {"column": letter, "heading": heading} for role, letter, heading in found.columns},
        "new": [as_json(row) for row in found.new],
        "already": found.already,
        "not_understood": [{"where": where, "why": why} for where, why in found.unread],
        "receipt": None if entry is None else as_json(entry.receipt),
        "messages": [] if entry is None else list(entry.messages),
    }


# The results of planning a folder of workbooks: a table for the terminal, and JSON.

MOST_PROBLEMS = 5
WIDE = 76
"""From so many letters on all figures have room."""


def plan_all_page(found: AllPlanned) -> RenderableType:
    """The errors of what is left out, a line for each workbook, then the problems of those without a plan."""
    table = Fitted(partial(results_table, found))
    planned = len(found.done) - found.failed
    errors = [f"{one.name}: {error}" for one in found.done for error in one.errors]
    why = [line for one in found.done if one.problems for line in reasons(one)]
    parts = [
        section("Errors", errors, "left out of the plans; the rest is planned"),
        section("Planned", [table], f"{planned} of {len(found.done)}"),
        section("Not planned", why),
        Text(f"Saved in {found.out}."),
    ]
    return spaced(parts)


def results_table(found: AllPlanned, wide: int) -> RenderableType:
    """A line for each workbook; on a narrow screen its name has the room that the lesser figures would take."""
    shown = range(6) if wide >= WIDE else (0, 2, 5)
    widths = (max(22, wide - 56 if wide >= WIDE else wide - 34), 5, 8, 8, 7, 14)
    table = grid(*(widths[number] for number in shown), right=[at for at, of in enumerate(shown) if 0 < of < 5])
    heads = ("file", "lines", "filled", "surplus", "seconds", "")
    table.add_row(*(Text(heads[number], QUIET) for number in shown))
    for one in found.done:
        words = cells(one)
        table.add_row(*(Text(words[number]) for number in shown))
    return table


def cells(one: WorkbookDone) -> tuple[str, ...]:
    """
    One workbook's line.

    >>> cells(WorkbookDone("hill.xlsx", None, 41, 19, 17, 120.4, 3, seconds=2.61))
    ('hill.xlsx', '41', '17 of 19', '265 lb', '2.6', '3 notes')
    >>> cells(WorkbookDone("mill.xlsx", problems=("Harvest!C5: it is blank; fill it",)))
    ('mill.xlsx', '', '', '', '', 'not planned: 1 problem')
    >>> cells(WorkbookDone("bank.xlsx", None, 41, 19, 17, 120.4, 3, seconds=2.61, errors=("Error: no acid.",)))[-1]
    '1 error'
    """
    if one.problems:
        return one.name, "", "", "", "", f"not planned: {format_count(len(one.problems), 'problem')}"
    notes = format_count(one.said, "note") if one.said else ""
    if one.errors:
        notes = format_count(len(one.errors), "error")
    return (
        one.name,
        str(one.lines),
        f"{one.filled} of {one.targets}",
        format_weight(one.surplus_kg),
        format_fixed(one.seconds, 1),
        "no change" if one.unchanged and not one.errors else notes,
    )


def reasons(one: WorkbookDone) -> list[str]:
    """
    Why a workbook has no plan, a few of them.

    >>> reasons(WorkbookDone("a.xlsx", problems=("The file is empty.", "Lids!B2: Lid is blank.")))
    ['a.xlsx: The file is empty.', 'a.xlsx: Lids!B2: Lid is blank.']
    """
    start = f"{one.name}: "
    lines = [f"{start}{problem}" for problem in one.problems[:MOST_PROBLEMS]]
    more = len(one.problems) - MOST_PROBLEMS
    return (
        lines
        if more <= 0
        else [*lines, f"{one.name}: and {more} more. To see all, run: stillroom check {quoted(one.name)}"]
    )


def plan_all_object(found: AllPlanned) -> dict[str, object]:
    """The whole for other programs."""
    done = [
        {"file": one.name, "planned": not one.problems, "notes": one.said}
        | as_json(one, leave_out=("name", "content", "said"))
        for one in found.done
    ]
    return {"workbooks": done} | as_json(found, "failed", leave_out=("done", "folder"))


MOST_LISTED = 30


def merge_lines(found: TwoCopies) -> list[str]:
    """Say what is taken from the second copy, what was or is to be decided, and what stays as it is."""
    merged, theirs = found.merged, found.theirs_name
    if found.known:
        return [f"{found.mine_name} has all of {theirs} already."]
    lines = [f"Both come from {found.base_name}." if found.base_name is not None else NO_BASE]
    counts = Counter(one.table for one in merged.taken)
    taken = ", ".join(f"{table} {count}" for table, count in counts.items())
    lines.append(f"From {theirs}: {taken}." if taken else f"From {theirs}: nothing that is not here.")
    lines += [f"  {one.table}, {one.what}: {now_words(one.now, one.before)}" for one in merged.taken[:MOST_LISTED]]
    if len(merged.taken) > MOST_LISTED:
        lines.append(f"  and {len(merged.taken) - MOST_LISTED} more; they are listed in the Merged sheet")
    answered = [one for one in merged.questions if one.answer]
    lines += ["Decided:"] * bool(answered)
    lines += [f"  {question_words(one)}. Taken: {one.answer}" for one in answered[:MOST_LISTED]]
    if merged.open:
        lines.append(f"You decide ({format_count(len(merged.open), 'question')}):")
        lines += [f"  {question_words(one)}" for one in merged.open]
    if found.sheets:
        lines.append(f"Your own cells in these sheets are otherwise in {theirs}; they stay: {', '.join(found.sheets)}.")
    if found.columns:
        lines.append(f"Only {theirs} has these columns; they are not taken: {'; '.join(found.columns)}.")
    return lines


NO_BASE = (
    "No copy that both come from was found (name one with --base). "
    "Equal rows of Harvest, Record and Shelf count once; everything else that differs is asked."
)


def now_words(now: str, before: str) -> str:
    """
    Say what changes.

    >>> now_words("33", "30"), now_words("3, counted once", "")
    ('33 (was 30)', '3, counted once')
    """
    return f"{now} (was {before})" if before else now


def question_words(question: Question) -> str:
    """
    Show a question with what stands in both copies.

    >>> question_words(Question("Lids, lid, On hand", "33 (On hand!B3)", "30 (On hand!B3)"))
    'Lids, lid, On hand: mine: 33 (On hand!B3); theirs: 30 (On hand!B3)'
    """
    return f"{question.label}: mine: {question.mine}; theirs: {question.theirs}" + (
        "; or both" if question.both else ""
    )


def how_to_answer(question: Question) -> list[str]:
    """Say how questions are answered where nobody can be asked."""
    return [
        "Nothing was written. Answer all with --take mine (or theirs, both), or each in a file for --answers:",
        f"  {question.label} = theirs",
    ]


def merge_object(found: TwoCopies, receipt: Receipt | None) -> dict[str, Any]:
    """Give the same for other programs, with the receipt of what was written."""
    return {
        "base": found.base_name,
        "taken": [vars(one) for one in found.merged.taken],
        "questions": [vars(one) for one in found.merged.questions],
        "sheets": list(found.sheets),
        "columns": list(found.columns),
        "receipt": None if receipt is None else as_json(receipt),
    }


def written_lines(receipt: Receipt) -> list[str]:
    """Say what was written, and what to do next."""
    if not receipt.written:
        return ["Nothing was changed."]
    copy = "" if receipt.backup is None else f"; the copy before: {receipt.backup.name}"
    lines = [f"Written: {receipt.path.name}{copy}.", *save_words(receipt)]
    return [*lines, f"The plan is still the one before: run stillroom plan {quoted(receipt.path.name)}"]
