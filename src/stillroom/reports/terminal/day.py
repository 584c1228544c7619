"""One day on the clock in the terminal: when it ends, what each person and each canner does, step by step."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.handbook.cautions import Caution, PageCautions
from stillroom.household.results.clock import DayOnClock, Step, people_words, step_words
from stillroom.household.results.rows import Row
from stillroom.household.text import format_clock, format_full_date, format_minutes, format_moment, format_span
from stillroom.reports.terminal.lists import QUIET, Fitted, dashed, grid, heading, indented, spaced

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
