"""The pages of `plan` and `check` in the terminal: what to do first on top, how it was computed only on request."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from functools import partial

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.errors import Problem
from stillroom.household.plan import ObjectiveResult
from stillroom.household.records import Household, Kitchen
from stillroom.household.refusals import kitchen_first, nothing_words, refusals
from stillroom.household.results.bottlenecks import WouldHelp
from stillroom.household.results.commands import Receipt, save_words
from stillroom.household.results.messages import CAUTION, NOTE, WARNING
from stillroom.household.results.rows import Row, day_in, is_filled, item_in, number_in, text_in
from stillroom.household.text import (
    format_amount,
    format_count,
    format_fixed,
    format_hours,
    format_list,
    format_long_date,
    format_money,
    format_number,
    format_quantity,
    format_share,
    quoted,
)
from stillroom.reports.json import problems_object
from stillroom.reports.problems import ENTRIES, gathered, more_words, reason
from stillroom.reports.terminal.lists import (
    QUIET,
    WIDE,
    Fitted,
    Tables,
    dashed,
    first_days,
    grid,
    heading,
    indented,
    later_days,
    section,
    spaced,
)


def plan_page(
    tables: Tables,
    today: datetime.date,
    objectives: Sequence[ObjectiveResult] = (),
    end: Sequence[str] = (),
    details: Sequence[str] | None = None,
    kitchen: Kitchen | None = None,
    helps: WouldHelp | None = None,
    name: str = "",
) -> RenderableType:
    """
    Return the page of a whole plan, what to do first on top.

    `tables` are the rows of the output tables by name and heading, `end` the lines on what was written, `details` the
    lines on how the plan was computed; without them the objectives are left out too. `kitchen` has what may be spent,
    `helps` what the last bottlenecks found, `name` is the workbook's.
    """
    if not any(number_in(row, "Harvested") > 0 for row in tables.get("Crop use", ())) and not tables.get("Plan"):
        parts: list[RenderableType | None] = [Text("Nothing to put up until a harvest is entered in Harvest.")]
    else:
        parts = [*first_days(tables, today), to_buy(tables, kitchen, helps, name), winter_list(tables)]
        parts += [would_help(tables, helps, name), warnings(tables)]
        parts += [*later_days(tables), surplus(tables), cautions(tables)]
    if details is not None:
        parts += [objectives_table(objectives, tables), Group(*map(Text, details)) if details else None]
    closing = [*quality_lines(objectives), *end]
    parts.append(Group(*(Text(line) for line in closing)) if closing else None)
    return spaced(parts)


# What will be short, and why

IMPORTANCE = {1: "must", 2: "should", 3: "nice"}
MOST_ALIKE = 3
"""So many messages with the same remedy are shown in full."""


def winter_list(tables: Tables) -> RenderableType | None:
    """How far the winter list is filled: what falls short in lines, musts first; what is full in one sentence."""
    rows = [row for row in tables.get("Coverage", ()) if number_in(row, "Wanted") > 0]
    if not rows:
        return None
    short = short_targets(tables)
    filled = [text_in(row, "Target") for row in rows if is_filled(row)]
    parts: list[RenderableType] = [
        heading("Winter list", f"{len(filled)} of {format_count(len(rows), 'target')} filled")
    ]
    if short:
        parts.append(Fitted(partial(short_table, short)))
    if filled:
        parts.append(indented(Text(f"Filled: {format_list(filled, 0, '; ')}.")))
    saves = sum(number_in(row, "Saves") for row in rows)
    if saves > 0:
        parts.append(indented(Text(f"The planned food would cost {format_money(saves)} at the store.")))
    return Group(*parts)


def short_targets(tables: Tables) -> list[Row]:
    """Return the rows of the targets that fall short, the musts first."""
    rows = [row for row in tables.get("Coverage", ()) if number_in(row, "Wanted") > 0 and not is_filled(row)]
    return sorted(
        rows, key=lambda row: (number_in(row, "Importance"), number_in(row, "Covered"), text_in(row, "Target"))
    )


def missing_words(row: Row) -> str:
    """
    Return how much of a target is missing.

    >>> missing_words({"Target": "salsa", "Wanted": 35, "Short": 3, "Unit": "pint"})
    '3 pints short of 35'
    """
    short = format_quantity(number_in(row, "Short"), text_in(row, "Unit"))
    missing = f"{short} short of {format_amount(number_in(row, 'Wanted'), text_in(row, 'Unit'))}"
    return f"{missing}, left out: see the errors" if row.get("Why") else missing


def short_table(rows: Sequence[Row], wide: int) -> RenderableType:
    """The targets that fall short: how much of what is wanted is missing."""
    table = grid(8, 28 if wide >= WIDE else max(12, (wide - 10) // 2), None, right=(0,))
    for row in rows:
        importance = IMPORTANCE.get(int(number_in(row, "Importance")), "")
        target = Text.assemble(text_in(row, "Target"), (f", {importance}" if importance else "", QUIET))
        table.add_row(Text(format_share(number_in(row, "Covered")), "bold"), target, missing_words(row))
    return table


def would_help(tables: Tables, helps: WouldHelp | None, name: str) -> RenderableType | None:
    """Return what would help most by the last bottlenecks, or how to ask for it; None where nothing is short."""
    aside, lines = help_lines(helps, name) if short_targets(tables) else ("", [])
    return section("What would help most", lines, aside)


def help_lines(helps: WouldHelp | None, name: str) -> tuple[str, list[str]]:
    """
    Return an aside and the lines of what would help most; without a workbook's `name` none on how to ask.

    >>> help_lines(WouldHelp(datetime.date(2026, 8, 14), "", (("a dozen lids", "9 pints salsa"),)), "k.xlsx")
    ('what one more would add', ['a dozen lids: 9 pints salsa'])
    >>> help_lines(None, "k.xlsx")
    ('', ['To see what would help most: stillroom bottlenecks k.xlsx --write'])
    """
    ask = f"stillroom bottlenecks {quoted(name)} --write"
    if helps is None:
        return "", [f"To see what would help most: {ask}"] if name else []
    lines = [f"{one}: {adds}" for one, adds in helps.lines] or ["No more of any one thing adds to the winter list."]
    if helps.current:
        return "what one more would add", lines
    aside = f"asked for the plan of {format_long_date(helps.first_day)}"
    return aside, [*lines, *([f"To ask again: {ask}"] if name else [])]


def warnings(tables: Tables) -> RenderableType | None:
    """What changes the plan or its safety, the causes of shortages first; notes are only counted."""
    rows = tables.get("Messages", ())
    lines = warning_lines([row for row in rows if row.get("Severity") == WARNING])
    notes = sum(row.get("Severity") == NOTE for row in rows)
    parts: list[RenderableType] = [Group(heading("Warnings"), dashed(lines))] if lines else []
    if notes:
        parts.append(indented(Text(f"{format_count(notes, 'more note')} in the Messages table.", QUIET)))
    return Group(*parts) if parts else None


def warning_lines(rows: Sequence[Row]) -> list[Text]:
    """The warnings; of those with the same remedy only the first few, so that none is lost among many."""
    groups: dict[str, list[Row]] = {}
    for row in rows:
        groups.setdefault(text_in(row, "What to do"), []).append(row)
    lines = []
    for several in groups.values():
        lines += [message(row) for row in several[:MOST_ALIKE]]
        if len(several) > MOST_ALIKE:
            lines.append(Text(f"{len(several) - MOST_ALIKE} more like it in the Messages table.", QUIET))
    return lines


def message(row: Row) -> Text:
    """One message: what, what to do, where."""
    words = " ".join(map(sentence, filter(None, (text_in(row, "What"), text_in(row, "What to do")))))
    where = f" ({place_words(text_in(row, 'Where'))})" if row.get("Where") else ""
    return Text.assemble(words, (where, QUIET))


def sentence(words: str) -> str:
    """
    Return words as a sentence.

    >>> sentence("the lot is too old"), sentence("Sort it.")
    ('The lot is too old.', 'Sort it.')
    """
    return f"{words[:1].upper()}{words[1:]}{'' if words.endswith(('.', '!', '?', ':')) else '.'}"


def place_words(where: str) -> str:
    """
    Return a place in the workbook as a person reads it.

    >>> place_words("Harvest!B8"), place_words("'Winter list'!B6:B9"), place_words("Coverage")
    ('Harvest, cell B8', 'Winter list, cells B6:B9', 'Coverage')
    """
    sheet, bang, cells = where.rpartition("!")
    if not bang:
        return where
    return f"{sheet.strip(chr(39))}, {'cells' if ':' in cells or ',' in cells else 'cell'} {cells}"


def cautions(tables: Tables) -> RenderableType | None:
    """The safety cautions, each with its source."""
    rows = [row for row in tables.get("Messages", ()) if row.get("Severity") == CAUTION]
    if not rows:
        return None
    sources = [f" ({text_in(row, 'Where')})" if row.get("Where") else "" for row in rows]
    lines = [Text.assemble(text_in(row, "What"), (of, QUIET)) for row, of in zip(rows, sources, strict=True)]
    return Group(
        heading("Cautions", "the current published guide and your extension service come first"), dashed(lines)
    )


# What to buy, and what is left over


def to_buy(
    tables: Tables, kitchen: Kitchen | None, helps: WouldHelp | None = None, name: str = ""
) -> RenderableType | None:
    """What to buy, by the day it is needed, with the total, what is left of the spending limit, and what that costs."""
    rows = sorted(tables.get("Shopping", ()), key=lambda row: (day_in(row, "Needed by"), text_in(row, "Item")))
    cost = sum(number_in(row, "Cost") for row in rows)
    limit = spending_words(kitchen, cost, helps, name)
    if not rows:
        return Group(heading("To buy"), indented(Text(f"Nothing. {limit}".rstrip())))
    unpriced = sum(row.get("Cost") is None for row in rows)
    words = f"Total {format_money(cost)}" + (f", and {unpriced} without a price" if unpriced else "") + "."
    return Group(heading("To buy"), Fitted(partial(buy_table, rows)), indented(Text(f"{words} {limit}".rstrip())))


LITTLE_LEFT = 10.0
"""With more than this left, as much as bottlenecks adds to the spending limit, the limit takes nothing."""


def spending_words(kitchen: Kitchen | None, cost: float, helps: WouldHelp | None = None, name: str = "") -> str:
    """
    Return what is left of the spending limit after what is to buy, and what the limit takes from the winter list.

    >>> kitchen = Kitchen(datetime.date(2026, 8, 14), spending_limit=60, already_spent=22.5)
    >>> spending_words(kitchen, 20)
    'Spending limit $60.00, $22.50 already spent, $17.50 left after this: it takes nothing from the winter list.'
    >>> spending_words(kitchen, 37, WouldHelp(kitchen.first_day, "", money="3 pints salsa"))
    'Spending limit $60.00, $22.50 already spent, $0.50 left after this: with $10.00 more, 3 pints salsa.'
    """
    if kitchen is None or math.isinf(kitchen.spending_limit):
        return ""
    left = kitchen.left_to_spend - cost
    spent = f" {format_money(kitchen.already_spent)} already spent," if kitchen.already_spent else ""
    words = (
        f"Spending limit {format_money(kitchen.spending_limit)},{spent} {format_money(max(left, 0.0))} left after this"
    )
    if left >= LITTLE_LEFT or (helps is not None and helps.current and not helps.money):
        return f"{words}: it takes nothing from the winter list."
    if helps is not None and helps.money:
        return f"{words}: with {format_money(LITTLE_LEFT)} more, {helps.money}."
    return (
        f"{words}. What it takes from the winter list: stillroom bottlenecks {quoted(name)} --write"
        if name
        else f"{words}."
    )


def buy_table(rows: Sequence[Row], wide: int) -> RenderableType:
    """The same as columns; the name gives way on a narrow screen."""
    widths = (8, 36, 14, 10) if wide >= WIDE else (5, max(12, wide - 36), 14, 9)
    table = grid(*widths, right=(0, 3))
    for row in rows:
        amount = format_amount(number_in(row, "Buy"), text_in(row, "Unit"))
        cost = "" if row.get("Cost") is None else format_money(number_in(row, "Cost"))
        by = f"by {format_long_date(day_in(row, 'Needed by'))}"
        table.add_row(Text(amount, "bold"), Text(item_in(row)), by, cost)
    return table


def surplus(tables: Tables) -> RenderableType | None:
    """The crop nothing better was possible for, and what is still there when the plan ends; None when all is used."""
    lines = surplus_lines(tables)
    return Group(*(Text.assemble((words, "bold"), f": {amounts}.") for words, amounts in lines)) if lines else None


def surplus_lines(tables: Tables) -> list[tuple[str, str]]:
    """Return what became of crop that is not put up, and how much of which crops that was."""
    found = []
    for name, words in (
        ("Surplus", "Surplus to feed, compost or give away"),
        ("Trimmings", "Peels and cores"),
        ("Held frozen", "Still frozen whole when the plan ends"),
        ("Still fresh", "Still fresh when the plan ends"),
    ):
        crops = [row for row in tables.get("Crop use", ()) if round(number_in(row, name), 1) > 0]
        amounts = [
            f"{format_quantity(number_in(row, name), text_in(row, 'Unit'))} {text_in(row, 'Crop')}" for row in crops
        ]
        if amounts:
            found.append((words, format_list(amounts)))
    return found


# How good the plan is, and what was written

WEIGHTED = {"effort": "weighted sum", "surplus": "weighted sum", "labor": "weighted sum"}
"""What these values are: sums with weights, in no unit of weight or time."""
HARDLY_BOUNDED = 0.5
"""A gap above this is not worth a figure: the best possible value is close to zero."""


def quality_lines(objectives: Sequence[ObjectiveResult]) -> list[str]:
    """Return in one line how far the plan may be from the best possible; nothing where it is proved to be the best."""
    gaps = [one.gap for one in objectives if not one.proved]
    if not gaps:
        return []
    if max(gaps) > HARDLY_BOUNDED:
        return ["A better plan may be possible. To search longer, plan again with more time."]
    return [f"This plan is within {max(1, math.ceil(100 * max(gaps) - 1e-6))}% of the best possible."]


def objectives_table(objectives: Sequence[ObjectiveResult], tables: Tables) -> RenderableType | None:
    """How far each objective was reached, in the order solved, with its bound, its gap and the seconds."""
    if not objectives:
        return None
    grid = Fitted(partial(objectives_grid, objectives))
    return Group(heading("Objectives", "in priority order"), grid, indented(Text(totals_words(tables))))


def objectives_grid(objectives: Sequence[ObjectiveResult], wide: int) -> RenderableType:
    """The same as columns; on a narrow screen without the seconds."""
    widths = (20, 10, 12, 10, 8, 8) if wide >= WIDE else (12, 9, 12, 9, 7)
    table, shown = grid(*widths, right=(1, 3, 4, 5)), len(widths)
    heads = ("objective", "value", "", "bound", "gap", "seconds")
    table.add_row(*(Text(word, QUIET) for word in heads[:shown]))
    for one in objectives:
        gap = "proved" if one.proved else format_share(one.gap, 1) if one.gap <= 1 else "-"
        value, bound = format_number(one.value), format_number(one.bound) if math.isfinite(one.bound) else "-"
        cells = (one.name, value, WEIGHTED.get(one.kind, one.unit), bound, gap, format_fixed(one.seconds, 1))
        table.add_row(*cells[:shown])
        for part in one.parts:
            unit = WEIGHTED.get(part.kind, part.unit)
            table.add_row(*(Text(word, QUIET) for word in (f"  {part.name}", format_number(part.value), unit)))
    return table


def totals_words(tables: Tables) -> str:
    """Return the true totals of what the objectives weigh: surplus, hands-on hours, money."""
    by_unit: dict[str, float] = {}
    for row in tables.get("Crop use", ()):
        by_unit[text_in(row, "Unit")] = by_unit.get(text_in(row, "Unit"), 0.0) + number_in(row, "Surplus")
    surplus_words = format_list([format_quantity(amount, unit) for unit, amount in by_unit.items() if amount > 0])
    hours = sum(number_in(row, "Hands-on used") for row in tables.get("Space", ()))
    cost = sum(number_in(row, "Cost") for row in tables.get("Shopping", ()))
    return (
        f"In all: surplus {surplus_words or 'none'}; hands-on {format_hours(hours)}; to buy {format_money(cost)}. "
        "The weighted sums are in no unit."
    )


def saved_lines(receipt: Receipt, changes: Sequence[str], name: str, *, unchanged: bool) -> list[str]:
    """Return the last lines of a plan: what changed, what was saved, and where the backup is."""
    if unchanged:
        line = "Nothing changed since the last plan, so the file was not saved again."
        return [f"{line} {receipt.path.name} is a copy of {name}."] if receipt.written else [line]
    lines = [*changes, f"Saved in {receipt.path.name}. Everything else in your workbook is unchanged."]
    if receipt.backup is not None:
        lines.append(f"Backup: {receipt.backup.name}")
    return [*lines, *save_words(receipt)]


def detail_lines(receipt: Receipt, seconds: float) -> list[str]:
    """Return how long the plan took and how much of the file was written."""
    kept = f"{format_count(receipt.members_kept, 'part')} of the file kept byte for byte"
    return [f"Planned in {format_fixed(seconds, 1)} s. {format_count(receipt.cells_written, 'cell')} written; {kept}."]


# check


def check_page(
    problems: Sequence[Problem], name: str, changed: Sequence[str] = (), *, every: bool = False
) -> RenderableType:
    """
    Return the problems with their cells and what to do: errors first, then notes; a dozen, or `every` one.

    `changed` are the lines on what was typed since the last plan.
    """
    errors, notes, more = _shown(problems, every=every)
    count = len(gathered(errors_in(problems)))
    title = "Fix this first" if count == 1 else f"Fix these {count} things first"
    parts = [section(title, map(problem_line, errors)), section("Notes", map(problem_line, notes))]
    since = section("Changed since the last plan", changed)
    return spaced([*parts, *map(Text, more), since, Text(verdict(name, problems))])


def _shown(problems: Sequence[Problem], *, every: bool) -> tuple[list[Problem], list[Problem], list[str]]:
    """Return the errors and the notes that are shown, and the words for how many are left out."""
    errors = gathered(errors_in(problems))
    others = [problem for problem in problems if not problem.is_error]
    notes = gathered(sorted(others, key=lambda problem: not problem.severe))
    most = len(errors) + len(notes) if every else ENTRIES
    left_out = len(errors) + len(notes) - most
    return errors[:most], notes[: max(most - len(errors), 0)], more_words(left_out)


def errors_in(problems: Sequence[Problem]) -> list[Problem]:
    """Return the errors among problems: a missing altitude or gauge first, then what stops the plan."""
    errors = [problem for problem in problems if problem.is_error]
    return sorted(errors, key=lambda problem: (kitchen_first(problem), not problem.stops))


def verdict(name: str, problems: Sequence[Problem]) -> str:
    """Return whether a workbook can be planned, and what to do next."""
    if any(problem.stops for problem in problems):
        return "Fix the errors above, then run: stillroom plan"
    if errors_in(problems):
        return f"What these errors are about is left out. To plan the rest: stillroom plan {quoted(name)}"
    return f"No errors. Next: stillroom plan {quoted(name)}"


def check_text(problems: Sequence[Problem], name: str, changed: Sequence[str] = (), *, every: bool = False) -> str:
    """Return the same for a pipe or a file: each problem in a line of its own, with its label."""
    errors, notes, more = _shown(problems, every=every)
    lines = [f"Error: {problem_line(problem)}" for problem in errors]
    lines += [f"Note: {problem_line(problem)}" for problem in notes]
    since = [f"Changed since the last plan: {line}" for line in changed]
    return "\n".join([*lines, *more, *since, verdict(name, problems)])


def check_object(problems: Sequence[Problem], name: str, changed: Sequence[str] = ()) -> dict[str, object]:
    """Return the same for other programs."""
    return {
        "file": name,
        "can_be_planned": not any(problem.stops for problem in problems),
        "errors": problems_object(errors_in(problems)),
        "notes": problems_object([problem for problem in problems if not problem.is_error]),
        "changed_since_the_last_plan": list(changed),
    }


def problem_line(problem: Problem) -> Text:
    """Return one problem: what is wrong, what to do, and where."""
    where = f" ({place_words(problem.where)})" if problem.where else ""
    return Text.assemble(reason(problem), (where, "bold"))


LEFT_OUT = "left out of the plan"
REST = f"{LEFT_OUT}; the rest is planned"


def with_errors(household: Household, page: RenderableType) -> RenderableType:
    """Return a page with the errors above it; the page itself where there are none. `household` is settled."""
    errors = gathered(refusals(household))
    if not errors:
        return page
    nothing = nothing_words(household)
    block = Group(heading("Errors", LEFT_OUT if nothing else REST), dashed([problem_line(one) for one in errors]))
    return spaced([*([Text(nothing, "bold")] if nothing else []), block, page])
