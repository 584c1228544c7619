"""What ran short in past plans: a few words a plan, kept in the workbook, so that the review can add them up."""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass

from stillroom.household.records import STOVE_FREE
from stillroom.household.results.bottlenecks import Bottleneck, BottlenecksFound
from stillroom.household.results.shortages import ANOTHER, FREEZER, HOURS

NOTE = "past bottlenecks"
"""The name under which the text is kept beside the other notes of a plan."""
LONGEST = 31_000
"""Characters that are kept, the newest plans first: years of them, and less than a cell holds."""
KINDS = ("container", "lid", "pantry", "equipment")
"""Kinds of bottleneck that have the household's own name; all of them can be bought."""
NOT_BOUGHT = (FREEZER, ANOTHER, *HOURS.values())


@dataclass(frozen=True)
class Past:
    """
    One bottleneck of the plan of one day; a plan without any has one with a blank `name`.

    `containers` more could have been filled at most with enough of it, or, where `one_more` names so much more of it
    (such as "a dozen quart jars"), with that.
    """

    day: datetime.date
    name: str = ""
    containers: float = 0.0
    one_more: str = ""


def past_text(past: Iterable[Past]) -> str:
    """
    Return one line a bottleneck, oldest first; the oldest plans are left out where that is too long.

    >>> print(past_text([Past(datetime.date(2026, 8, 14), "quart jar", 9.0), Past(datetime.date(2026, 8, 15))]))
    ["2026-08-14", "quart jar", 9.0, ""]
    ["2026-08-15", "", 0.0, ""]
    """
    days: dict[datetime.date, str] = {}
    for one in past:
        line = json.dumps([one.day.isoformat(), one.name, one.containers, one.one_more], ensure_ascii=False)
        days[one.day] = f"{days[one.day]}\n{line}" if one.day in days else line
    kept: list[str] = []
    for day in sorted(days, reverse=True):
        kept.insert(0, days[day])
        if len("\n".join(kept)) > LONGEST:
            return "\n".join(kept[1:])
    return "\n".join(kept)


def past_in(text: str) -> tuple[Past, ...]:
    r"""
    Read the lines again; odd ones are passed over.

    >>> past_in('["2026-08-14", "quart jar", 9.0, ""]\nsomething else')
    (Past(day=datetime.date(2026, 8, 14), name='quart jar', containers=9.0, one_more=''),)
    """
    found = []
    for line in text.splitlines():
        with suppress(ValueError, TypeError):
            day, name, containers, one_more = json.loads(line)
            found.append(Past(datetime.date.fromisoformat(day), str(name), float(containers), str(one_more)))
    return tuple(found)


def with_plan(past: Sequence[Past], day: datetime.date, found: Sequence[Past]) -> tuple[Past, ...]:
    """
    Return the bottlenecks of the past with those of the plan of a day; another plan of that day is replaced.

    >>> day = datetime.date(2026, 8, 14)
    >>> [one.name for one in with_plan([Past(day, "lid", 2.0)], day, [Past(day, "quart jar", 9.0)])]
    ['quart jar']
    """
    return (*(one for one in past if one.day != day), *(found or (Past(day),)))


def with_gains(past: Sequence[Past], day: datetime.date, found: Sequence[Past]) -> tuple[Past, ...]:
    """
    Return the bottlenecks of the past with what more of each was found to give in the plan of a day.

    >>> day = datetime.date(2026, 8, 14)
    >>> both = with_gains([Past(day, "lid", 2.0)], day, [Past(day, "canner", 7.0, "one more canner")])
    >>> [(one.name, one.containers) for one in both]
    [('lid', 2.0), ('canner', 7.0)]
    """
    again = {(one.day, one.name, bool(one.one_more)) for one in found}
    there = [one for one in past if (one.day, one.name, bool(one.one_more)) not in again]
    blank = [one for one in there if one.name or one.day != day or not found]
    return (*blank, *found)


def gains_of(day: datetime.date, found: BottlenecksFound) -> tuple[Past, ...]:
    """Return the bottlenecks of which more adds to the winter list, and how many containers; no crops, no money."""
    return tuple(
        Past(day, name, containers, held.bottleneck.step_words)
        for held in found.held
        if held.one_more.helps
        and (name := common_name(held.bottleneck))
        and (containers := sum(held.one_more.containers.values())) > 0
    )


def common_name(bottleneck: Bottleneck) -> str:
    """
    Return the name that a plan's messages have for a bottleneck; blank for a crop, money and what is not kept.

    >>> common_name(Bottleneck("lid", "lid", "lids", (), "", 1.0, 12.0, "")), common_name(
    ...     Bottleneck("crop", "corn", "corn", (), "", 1.0, 1.0, ""))
    ('lid', '')
    """
    if bottleneck.kind in KINDS:
        return bottleneck.name
    if bottleneck.kind == "hours":
        return HOURS["hands"] if bottleneck.name == "hands" else HOURS[STOVE_FREE]
    if bottleneck.kind == "space" and bottleneck.name == "freezer":
        return FREEZER
    return ANOTHER if bottleneck.kind == "begun" else ""


@dataclass(frozen=True)
class SeasonBottleneck:
    """
    What was a bottleneck in `plans` of the `of` plans of a year.

    `containers` is the most that it kept from being filled in one plan, None where no plan counted that; `gain` the
    most that `one_more` of it was found to add.
    """

    name: str
    plans: int
    of: int
    containers: float | None
    one_more: str
    gain: float | None


def season_bottlenecks(past: Sequence[Past], first: datetime.date, last: datetime.date) -> tuple[SeasonBottleneck, ...]:
    """
    Add up the plans of the days from a first to a last, what cost most containers first.

    >>> days = [datetime.date(2026, 8, day) for day in (14, 15, 16)]
    >>> past = [Past(days[0], "lid", 4.0), Past(days[1], "lid", 9.0), Past(days[2])]
    >>> season_bottlenecks(past, days[0], days[2])
    (SeasonBottleneck(name='lid', plans=2, of=3, containers=9.0, one_more='', gain=None),)
    """
    mine = [one for one in past if first <= one.day <= last]
    of = len({one.day for one in mine})
    found = []
    for name in dict.fromkeys(one.name for one in mine if one.name):
        counted = [one for one in mine if one.name == name and not one.one_more]
        tried = [one for one in mine if one.name == name and one.one_more]
        best = max(tried, key=lambda one: one.containers, default=None)
        found.append(
            SeasonBottleneck(
                name,
                plans=len({one.day for one in (*counted, *tried)}),
                of=of,
                containers=max((one.containers for one in counted), default=None),
                one_more="" if best is None else best.one_more,
                gain=None if best is None else best.containers,
            )
        )
    return tuple(sorted(found, key=lambda one: (-(one.containers or 0.0), -(one.gain or 0.0), -one.plans, one.name)))
