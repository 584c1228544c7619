"""A day in the terminal: the clock, what can wait, the evening; and its cautions in words with their sources."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from stillroom.handbook.cautions import Caution, PageCautions
from stillroom.handbook.lines import CANNED
from stillroom.household.journal.overview import Morning
from stillroom.household.plan import Plan
from stillroom.household.records import FREEZE_WHOLE, Household, Preserve
from stillroom.household.results.clock import DayOnClock, Step, people_words, step_words
from stillroom.household.results.deadlines import (
    Deadline,
    Deadlines,
    Outcome,
    changes_words,
    else_words,
    lost_words,
    stop_words,
    stops_to_show,
    until_words,
)
from stillroom.household.results.rows import Row, in_crop_unit
from stillroom.household.results.tables import FROM_MEMORY, OWN_RECIPE
from stillroom.household.text import (
    format_clock,
    format_containers,
    format_crop,
    format_full_date,
    format_long_date,
    format_minutes,
    format_moment,
    format_span,
)
from stillroom.reports.terminal.lists import QUIET, WIDE, Fitted, dashed, grid, heading, indented, section, spaced
from stillroom.reports.terminal.today import TODAY, TOMORROW, today_page

BARS = 48
"""Letters a bar of the whole day has."""
NO_CARE = PageCautions()
PEOPLE_KEY = "A, B = people; ear = stay within earshot; blank = unattended"
OWN_LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"


def day_page(
    day: datetime.date,
    clock: DayOnClock | None,
    steps: Sequence[Step],
    running: Sequence[Step] = (),
    messages: Sequence[Row] = (),
    last: Sequence[str] = (),
    canned: Sequence[str] = (),
    care: PageCautions = NO_CARE,
    waits: Sequence[str] = (),
) -> RenderableType:
    """
    One day: when it ends, bars by person and equipment, what is canned and what can wait, every step, the cautions.

    `running` are the steps that began on a day before and are not over; `last` are lines for the end.
    """
    parts: list[RenderableType] = [heading(format_full_date(day), "" if clock is None else times_words(clock))]
    if clock is None:
        parts.append(indented(Text("Nothing has to be put up.")))
    else:
        parts.append(bars(clock, running))
    if canned:
        parts.append(Group(heading("Canned"), dashed([Text(words) for words in canned])))
    if waits:
        parts.append(Group(heading("If time runs short"), dashed([Text(words) for words in waits])))
    if steps:
        parts.append(Group(heading("Step by step", PEOPLE_KEY), Fitted(partial(steps_grid, steps))))
    parts += [Text.assemble((f"{row['What']}", "bold"), f"; {row['What to do']}.") for row in messages]
    if steps:
        parts += [caution_block(name, cautions) for name, cautions in care.named]
    parts += [Text(line, QUIET) for line in last]
    return spaced(parts)


def caution_block(name: str, cautions: Sequence[Caution]) -> RenderableType:
    """Return one block of cautions, each with its source."""
    return Group(heading(name), dashed([Text.assemble(one.text, (f" ({one.source})", QUIET)) for one in cautions]))


def times_words(clock: DayOnClock) -> str:
    """Return when the day begins and ends, with how many people, and how far that is from the shortest possible."""
    ends = format_moment(clock.ends, clock.day)
    good = (
        "no order ends sooner"
        if clock.gap < 1e-9
        else f"at most {format_minutes((clock.ends - clock.could_end).total_seconds() / 60)} over the shortest possible"
    )
    who = ", ".join(clock.kitchen.names) or people_words(clock.kitchen.persons)
    evening = "" if clock.evening_ends is None else f"; a dryer is filled again by {format_clock(clock.evening_ends)}"
    return f"{format_clock(clock.kitchen.starts)} to {ends}, {who}; {good}{evening}"


def steps_grid(steps: Sequence[Step], wide: int) -> RenderableType:
    """The same as columns; the names give way on a narrow screen."""
    longest = max((len(person) for step in steps for person in step.persons), default=1)
    clock_wide = max((len(format_span(step.start, step.end)) for step in steps), default=11)
    comma = ", " if longest > 1 else ","
    together = max((len(comma.join(step.persons)) for step in steps if not step.heard), default=1)
    people_wide = min(max(5, longest + 1, together if longest == 1 else 0), 12)
    table = grid(clock_wide, people_wide, max(14, min(28, wide - 28 - clock_wide - people_wide)), None)
    for step in seals_together(steps):
        end = step.end if step.end.date() == step.start.date() else step.start
        hands = "ear" if step.heard else comma.join(step.persons)
        inside = f" ({', '.join(step.equipment)})" if step.equipment else ""
        table.add_row(format_span(step.start, end), hands, Text(step.name), Text(f"{step_words(step)}{inside}"))
    return table


def seals_together(steps: Sequence[Step]) -> list[Step]:
    """The steps with the seals that are checked at one time as one step, all their names in it."""
    found: list[Step] = []
    for step in steps:
        same = [one for one in found if one.kind == step.kind == "seals" and one.start == step.start]
        if same:
            place = found.index(same[0])
            found[place] = replace(same[0], name=f"{same[0].name}; {step.name}")
        else:
            found.append(step)
    return found


def bars(clock: DayOnClock, running: Sequence[Step] = ()) -> RenderableType:
    """Return a bar for each person and piece of equipment, with a letter for each load, and what the letters are."""
    steps = [step for step in clock.steps if step.start.date() == clock.day and step.end > step.start]
    loads = list(dict.fromkeys((step.name, step.load, step.of) for step in steps))
    letter = {load: OWN_LETTERS[place % len(OWN_LETTERS)] for place, load in enumerate(loads)}
    lanes = sorted({person for step in steps for person in step.persons})
    pieces = sorted({piece for step in [*running, *steps] for piece in step.equipment})
    names = [f"{letter[load]} {load[0]}{f' ({load[1]} of {load[2]})' if load[2] > 1 else ''}" for load in loads]
    names += ["# from a day before"] if running else []
    marked = [(step, "#") for step in running] + [(one, letter[one.name, one.load, one.of]) for one in steps]
    return Group(Fitted(partial(lanes_grid, clock, lanes, pieces, marked)), indented(Text("; ".join(names), QUIET)))


def lanes_grid(
    clock: DayOnClock, lanes: Sequence[str], pieces: Sequence[str], marked: Sequence[tuple[Step, str]], wide: int
) -> RenderableType:
    """The bars, as long as there is room for each in one line."""
    letters = max(12, min(BARS, wide - 22))
    table = grid(18, None)
    for lane in [*lanes, *pieces]:
        cells = ["."] * letters
        for step, sign in marked:
            if lane in step.persons or lane in step.equipment:
                first, last = places(clock, step, letters)
                cells[first:last] = sign * (last - first)
        table.add_row(f"person {lane}" if lane in lanes else lane, Text("".join(cells)))
    return table


def places(clock: DayOnClock, step: Step, letters: int = BARS) -> tuple[int, int]:
    """The letters of a bar that a step covers, the first and the one after the last."""
    minutes = max(1.0, (clock.ends - clock.kitchen.starts).total_seconds() / 60)
    start, end = ((moment - clock.kitchen.starts).total_seconds() / 60 for moment in (step.start, step.end))
    first = min(letters, max(0, int(start * letters / minutes)))
    return first, max(first, min(letters, int(-(-end * letters // minutes))))


# What can wait and where one may stop, for the terminal.

MEANING = (
    "Can wait until: the last day, and hour, to begin it so that the winter list stays as planned and no more crop is "
    "lost by the end of the plan; the day's other lines are done around it. "
    "Next week is planned roughly, so it is less sure."
)
IF_WRONG = "If things go wrong"
AT_MOST = (
    "Lost: the most that is lost by the end of the plan, against the plan as it is. "
    "Nothing is bought that the plan does not buy."
)
FINISH = "Finish every load that is in a canner: a process time is never cut short."


def tonight_page(household: Household, plan: Plan, found: Deadlines, end: Sequence[str] = ()) -> RenderableType:
    """Return the page: the lines of each day with their deadlines, and where one may stop on the first."""
    days = list(dict.fromkeys(one.day for one in found.lines))
    if not days:
        nothing = "Nothing is planned for these days, so everything can wait."
        return spaced([Group(heading("What can wait"), indented(Text(nothing))), *map(Text, end)])
    parts: list[RenderableType | None] = []
    for day in days:
        lines = [one for one in found.lines if one.day == day]
        parts.append(Group(heading(format_full_date(day)), Fitted(partial(day_grid, household, plan, lines))))
        shown = [stop_words(household, stop) for stop in stops_to_show(found.stops, day)]
        parts.append(section("You may stop", shown, "lines in the order in which stopping costs least"))
    return spaced([*parts, Text(f"{MEANING} {FINISH}", QUIET), *map(Text, end)])


def if_page(household: Household, found: Sequence[Outcome], end: Sequence[str] = ()) -> RenderableType:
    """Return what changes on the first two days when something goes wrong, and what is lost."""
    return spaced(
        [Group(heading(IF_WRONG), Fitted(partial(if_grid, household, found))), Text(AT_MOST, QUIET), *map(Text, end)]
    )


def if_grid(household: Household, found: Sequence[Outcome], wide: int) -> Table:
    """Return a row for each disruption: what changes, and what is lost."""
    table = grid(30 if wide >= WIDE else 24, None)
    for one in found:
        lost = lost_words(household, one)
        style = "bold" if one.loss is not None and not one.loss.nothing else ""
        words = changes_words(household, one)
        table.add_row(Text(one.name, style), Text(f"{words} Lost: {lost}." if lost else words))
    return table


def day_grid(household: Household, plan: Plan, lines: Sequence[Deadline], wide: int) -> Table:
    """Return the lines of a day, the most urgent first."""
    table = grid(30 if wide >= WIDE else 22, 13, None)
    table.add_row("", Text("can wait until", QUIET), Text("if it is not done by then", QUIET))
    for one in sorted(lines, key=lambda one: (one.until or datetime.date.max, one.name)):
        style = "bold" if one.until == one.day else ""
        table.add_row(
            Text(line_words(household, plan, one), style),
            Text(until_words(household, one), style),
            else_words(household, one),
        )
    return table


def line_words(household: Household, plan: Plan, one: Deadline) -> str:
    """Return a line of the plan with its amount."""
    number = next(period.number for period in plan.periods if period.first_day == one.day)
    if one.name.startswith(FREEZE_WHOLE):
        crop = household.crop(one.name.removeprefix(FREEZE_WHOLE))
        return f"freeze {format_crop(in_crop_unit(plan.freeze_kg[crop.name, number], crop), crop)}"
    return f"{format_containers(plan.make[one.name, number], whole=True)} {one.name}"


# An evening for the terminal: what was recorded, what is on hand now, and tomorrow.

MOST_COUNTS = 12
MOST_OF_TOMORROW = 18
"""Lines of the screen for tomorrow."""


def evening_page(
    day: datetime.date,
    entered: Sequence[str],
    done: Sequence[str],
    said: Sequence[str],
    counts: Sequence[str],
    why: Sequence[str],
    tomorrow: Morning,
    today: datetime.date,
) -> RenderableType:
    """
    Return the page: `entered` now and `done` before, what to look at, what is on hand, and tomorrow's list.

    `why` says why there is no new plan; it is then tomorrow's list by the old one. `today` is the real date.
    """
    recorded = [*entered, *(f"{words} (recorded before)" for words in done)]
    no_plan = ["What you entered is saved, but the plan in the workbook is out of date:", *why] if why else []
    more = [f"and {len(counts) - MOST_COUNTS} more: stillroom stock"] if len(counts) > MOST_COUNTS else []
    parts: list[RenderableType | None] = [
        heading("Recorded", format_full_date(day)),
        section("Done", recorded or [f"Nothing on {format_long_date(day)}."]),
        section("Look at this", list(said)),
        section("On hand now", ["; ".join(counts[:MOST_COUNTS]), *more] if counts else []),
        section("No new plan", no_plan),
        today_page(tomorrow, title_of(tomorrow.today.day, day, today), MOST_OF_TOMORROW),
    ]
    return spaced(parts)


def title_of(next_day: datetime.date, day: datetime.date, today: datetime.date) -> str:
    """
    Return what the next day's list is called: an evening may be entered the morning after, or before the plan begins.

    >>> day = datetime.date(2026, 7, 6)
    >>> [title_of(day.replace(day=one), day, day.replace(day=today)) for one, today in ((7, 6), (7, 7), (9, 6))]
    ['Tomorrow', 'Today', 'First day of the plan']
    """
    if next_day == today:
        return TODAY
    return TOMORROW if next_day == day + datetime.timedelta(days=1) else "First day of the plan"


# Cautions in words with their sources, and what each canned line and its marks say.

UNNUMBERED = ("advice of this project", "common practice, no source")
"""Sources that are no publication: they are shown with the caution and have no number."""
NOT_VERIFIED_EXPLAINED = (
    "Not verified: a time or amount on that line was not checked against its publication. "
    "Check the current guide or the manual first."
)
OWN_EXPLAINED = "Own recipe: not from a tested source. Ask your extension service about it first."


def jar_words(item: Preserve) -> str:
    """
    Return the pack and jar of a canned preserve with headspace and acid; empty for what is not canned.

    >>> jar_words(Preserve("juice", CANNED[0], "quart jar", headspace="1/2 inch headspace", acid_each="2 tbsp juice"))
    'quart jar; 1/2 inch headspace; acid in each: 2 tbsp juice'
    """
    if item.method not in CANNED:
        return ""
    acid = f"acid in each: {item.acid_each}" if item.acid_each else ""
    return "; ".join(text for text in (item.steps.pack, item.container, item.headspace, acid) if text)


def pack_words(item: Preserve) -> str:
    """
    Return how what is not canned is blanched, packed or kept; empty for what is canned.

    >>> pack_words(Preserve("corn", "frozen", "pint", blanch_text="blanch 4 min"))
    'blanch 4 min'
    """
    return "" if item.method in CANNED else "; ".join(text for text in (item.blanch_text, item.steps.fill) if text)


def canned_words(item: Preserve) -> str:
    """Return one canned line: its name, minutes and pounds, jar, headspace, acid and marks."""
    words = [item.process_text, jar_words(item), *mark_words(item)]
    return f"{item.name}: {'; '.join(text for text in words if text)}"


def canned_lines(preserves: Iterable[Preserve], names: Iterable[str]) -> list[str]:
    """Return a line for each canned preserve among these names, in their order."""
    known = {item.name: item for item in preserves}
    return [canned_words(known[name]) for name in dict.fromkeys(names) if name in known and jar_words(known[name])]


def mark_words(item: Preserve) -> list[str]:
    """Return the short marks of a line: an own recipe, and figures that were not verified."""
    marks = ((item.own_recipe, OWN_RECIPE), (item.from_memory, FROM_MEMORY))
    return [mark for holds, mark in marks if holds]


def explained(*, own: bool, unverified: bool) -> list[str]:
    """Return what the marks of a page mean, a sentence each."""
    return [words for holds, words in ((unverified, NOT_VERIFIED_EXPLAINED), (own, OWN_EXPLAINED)) if holds]


def publications(cautions: Iterable[Caution]) -> list[str]:
    """Return the publications of cautions, each once, in their order."""
    named = [part for caution in cautions for part in caution.source.split("; ") if caution.source not in UNNUMBERED]
    return list(dict.fromkeys(named))


def source_words(caution: Caution, sources: Sequence[str]) -> str:
    """Return the source of a caution by its numbers in a list, or in words if it is no publication."""
    if caution.source in UNNUMBERED:
        return f"({caution.source})"
    return "".join(f"[{sources.index(part) + 1}]" for part in caution.source.split("; "))
