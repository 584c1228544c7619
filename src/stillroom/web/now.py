"""What the first page shows: the steps on the clock with their cautions and timers, and what the day asks for."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Any

from stillroom.app.day import begin_words
from stillroom.app.record.taps import Look
from stillroom.handbook.lines import BOILING_WATER, PRESSURE
from stillroom.household.records import Preserve
from stillroom.household.results.clock import Step, step_words
from stillroom.household.text import MINUTES_A_DAY, format_list
from stillroom.reports.terminal.day import canned_lines, explained
from stillroom.reports.terminal.today import eat_lines, freezer_moves, put_away_lines

AT_LEAST = datetime.timedelta(minutes=5)
"""A step that takes no time is shown so long."""
AHEAD = 2
MOMENTS = {"vent": "Steam flows steadily", "rest": "Start the wait", "boil jars": "The water boils", "cook": "Start"}
"""What is tapped when the time of a step begins, by its kind; of a process it depends on the method."""
PROCESS_MOMENTS = {PRESSURE: "Full pressure reached", BOILING_WATER: "Full boil reached"}
PRESSURE_DROPPED = "Pressure dropped: start again"


@dataclass(frozen=True)
class Card:
    """A step as it is shown: `moment` is what is tapped when its time begins, empty where nothing is timed."""

    step: Step
    words: str
    cautions: tuple[str, ...] = ()
    moment: str = ""
    again: str = ""

    @property
    def where(self) -> str:
        """The equipment and the people."""
        people = f"by {format_list(self.step.persons, between=' and ')}" if self.step.persons else ""
        return ", ".join(part for part in (*self.step.equipment, people) if part)

    @property
    def what(self) -> str:
        """The preserve, with the number of the load where there are several."""
        return f"{self.step.name}, load {self.step.load} of {self.step.of}" if self.step.of > 1 else self.step.name


def now_facts(
    look: Look, moment: datetime.datetime, late: datetime.timedelta, told: Collection[tuple[datetime.date, str]]
) -> Mapping[str, Any]:
    """
    Return what the first page shows at a moment, in a kitchen that runs late by so much.

    `told` are the day and name of plan lines that were tapped since the workbook was read.
    """
    day = None if look.clock is None else look.clock.on(look.day)
    found = [] if look.clock is None else look.clock.steps_on(look.day)
    steps = [replace(step, start=step.start + late, end=step.end + late) for step in found]
    is_today = look.day == moment.date()
    running = [step for step in steps if is_today and step.start <= moment < max(step.end, step.start + AT_LEAST)]
    ahead = [step for step in steps if not is_today or step.start > moment]
    names = [] if day is None else list(dict.fromkeys(step.name for step in day.steps if step.kind != "seals"))
    preserves = {item.name: item for item in look.reading.household.preserves}
    made = [preserves[name] for name in names if name in preserves]
    morning = look.morning
    return {
        "day": look.day,
        "today": moment.date(),
        "is_today": is_today,
        "late": late,
        "running": [card(look, step, preserves.get(step.name)) for step in sorted(running, key=lambda one: one.end)],
        "ahead": [card(look, step, preserves.get(step.name)) for step in ahead[:AHEAD]],
        "may_wait": begin_words(day) if not late and not running else [],
        "seconds_to_change": seconds_to_change(moment, running, ahead) if is_today else None,
        "steps": [plain_card(step, preserves.get(step.name)) for step in steps],
        "lines": [line for line in look.lines if (line.day, line.name) not in told],
        "freezer": [] if morning is None else freezer_moves(morning.today, morning.due),
        "eat": [] if morning is None else eat_lines(morning.eat, sorted(morning.over.items())),
        "old": [] if morning is None else morning.old,
        "put_away": [] if morning is None else list(put_away_lines(morning.today.put_away)),
        "stale": "" if morning is None else morning.note,
        "planned": look.clock is not None,
        "canned": canned_lines(look.reading.household.preserves, names),
        "marks": explained(own=any(one.own_recipe for one in made), unverified=any(one.from_memory for one in made)),
        "cautions": look.cautions(names) if names else (),
    }


def seconds_to_change(moment: datetime.datetime, running: Collection[Step], ahead: Collection[Step]) -> int | None:
    """Return in how many seconds another step begins or one is over, None after the last."""
    moments = [*(max(step.end, step.start + AT_LEAST) for step in running), *(step.start for step in ahead)]
    return max(1, int((min(moments) - moment).total_seconds())) if moments else None


def card(look: Look, step: Step, item: Preserve | None) -> Card:
    """Return a step with the cautions that matter at it."""
    return replace(plain_card(step, item), cautions=tuple(look.cautions_at(step)))


def plain_card(step: Step, item: Preserve | None) -> Card:
    """
    Return a step with its timer.

    >>> start = datetime.datetime(2026, 8, 15, 9, 26)
    >>> step = Step(start, start + datetime.timedelta(minutes=55), "process", "process 55 min", "corn, pint")
    >>> plain_card(step, Preserve("corn, pint", PRESSURE, "pint jar")).moment
    'Full pressure reached'
    """
    method = item.method if item is not None else ""
    of_process = PROCESS_MOMENTS.get(method, "Start")
    moment = of_process if step.kind == "process" else MOMENTS.get(step.kind, "")
    timed = 0 < step.minutes < MINUTES_A_DAY
    again = PRESSURE_DROPPED if step.kind == "process" and method == PRESSURE else ""
    return Card(step, step_words(step), moment=moment if timed else "", again=again)
