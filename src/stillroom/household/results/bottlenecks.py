"""What holds a plan back and what more of it would give; why a preserve is not made or a target falls short."""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field

from stillroom.errors import Problem
from stillroom.household.records import STOVE_FREE, Household, Preserve
from stillroom.household.results.shortages import ANOTHER, FREEZER, HOURS
from stillroom.household.suppose import more


@dataclass(frozen=True)
class Bottleneck:
    """
    One limiting resource in the household's words.

    `rows` are its constraints; `unit` and `shown` convert its base unit for display. `step` is one natural unit more in
    the base unit, `step_words` its words, `price` its cost (None: no price); `less` and `less_words` are one unit less,
    0 where none is asked about. Hours are on `weekdays` (Monday is 0) and, when `weeks`, in later weeks; one unit more
    is `hours` in all. More of a crop arrives on `day` (None: the first one).
    """

    kind: str
    name: str
    words: str
    rows: tuple[str, ...]
    unit: str
    shown: float
    step: float
    step_words: str
    price: float | None = None
    less: float = 0.0
    less_words: str = ""
    weekdays: tuple[int, ...] = ()
    weeks: bool = False
    hours: float = 0.0
    day: datetime.date | None = None

    def loosened(self, household: Household, amount: float) -> Household:
        """Return the household with more of this resource, in its base unit; less when the amount is negative."""
        if self.kind in more.TABLES:
            return more.more_stock(household, self.kind, self.name, amount)
        if self.kind == "crop":
            return more.more_crop(household, self.name, amount, self.day)
        if self.kind == "hours":
            return more.with_hours(
                household, self.name, lambda hours: hours + amount * self.shown, self.weekdays, weeks=self.weeks
            )
        settings = {
            "space": more.SPACES.get(self.name, ""),
            "freezing": "freeze_kg_a_day",
            "money": "spending_limit",
            "begun": "most_preserves_a_day",
        }
        return more.more_of_setting(household, settings[self.kind], amount)


@dataclass(frozen=True)
class Gain:
    """
    The difference between two quick plans.

    `points` are the target objectives by importance: what is surely gained (above 0) or lost. `targets` is the change
    of each target in its own unit, `containers` how many more are made of what counts toward it; `less_surplus_kg` the
    surplus avoided; `spent` the extra money. `kept_fixed` is what more of fixed lines is kept, before everything else.
    `proved` is False where a target objective of the new plan was not proved optimal.
    """

    points: tuple[float, ...]
    targets: Mapping[str, float] = field(default_factory=dict)
    containers: Mapping[str, float] = field(default_factory=dict)
    less_surplus_kg: float = 0.0
    spent: float = 0.0
    proved: bool = True
    kept_fixed: float = 0.0

    @property
    def helps(self) -> bool:
        """Whether the winter list gains: the first importance that changes gets better."""
        return next((change > 0 for change in (self.kept_fixed, *self.points) if change), False)

    @property
    def hurts(self) -> bool:
        """Whether the winter list loses."""
        return next((change < 0 for change in (self.kept_fixed, *self.points) if change), False)

    @property
    def nothing(self) -> bool:
        """Whether nothing changes: targets, surplus, money."""
        return not any((self.kept_fixed, *self.points)) and self.less_surplus_kg == 0.0 and self.spent == 0.0

    def rank(self) -> tuple[float, ...]:
        """Return the sort key of gains, greatest first: targets by importance, then surplus avoided, then money."""
        return (self.kept_fixed, *self.points, self.less_surplus_kg, -self.spent)


@dataclass(frozen=True)
class Range:
    """
    Over which amounts a gain holds, in units more (negative: fewer).

    More helps up to `helps_to`; `seen_end` is whether more was seen not to help. From `least` to `most` each unit
    changes the plan by about as much as the next one.
    """

    helps_to: int
    seen_end: bool
    least: int = 0
    most: int = 1


ShadowValue = tuple[float, ...]
"""What one natural unit more would be worth to each aim in turn, if its price held: needs by importance, then fed."""


@dataclass(frozen=True)
class BottleneckGain:
    """
    One bottleneck: `used` of `of` in its base unit, and what re-solving found.

    `one_more` and `one_less` are what one unit more and less gives (None: not asked). `with_other` is a resource with
    which it helps although it does not help alone; `range` the amounts over which the gain holds; `shadow` its rank.
    """

    bottleneck: Bottleneck
    used: float
    of: float
    shadow: ShadowValue
    one_more: Gain
    one_less: Gain | None = None
    with_other: tuple[Bottleneck, Gain] | None = None
    range: Range | None = None


@dataclass(frozen=True)
class BottlenecksFound:
    """Every limit a plan runs up against, the one that would give most first; `untried` were too many to try."""

    held: tuple[BottleneckGain, ...]
    untried: tuple[Bottleneck, ...]


@dataclass(frozen=True)
class WouldHelp:
    """
    The last bottlenecks in a few words, kept in the workbook: what one more of each adds, what adds most first.

    `first_day` is that of the plan they are about, `inputs` the digest of what that was planned from. `money` is what a
    higher spending limit adds; empty where the limit takes nothing from the winter list. `current` is whether they are
    those of the plan that the workbook has now.
    """

    first_day: datetime.date
    inputs: str
    lines: tuple[tuple[str, str], ...] = ()
    money: str = ""
    current: bool = True

    @property
    def text(self) -> str:
        """
        Return it as a note; `would_help_from` reads it.

        >>> one = WouldHelp(datetime.date(2026, 8, 14), "ab12", (("a dozen lids", "9 pints salsa"),), "nothing")
        >>> would_help_from(one.text, "ab12") == one, would_help_from("", ""), would_help_from("[1]", "")
        (True, None, None)
        """
        return json.dumps([self.first_day.isoformat(), self.inputs, self.lines, self.money], separators=(",", ":"))


def would_help_from(text: str, inputs: str) -> WouldHelp | None:
    """Return what a note holds, for a plan of these `inputs`; None without one, and where it makes no sense."""
    try:
        day, then, lines, money = json.loads(text or "[]")
        first_day = datetime.date.fromisoformat(day)
        shown = tuple((str(one), str(adds)) for one, adds in lines)
        return WouldHelp(first_day, str(then), shown, str(money), current=then == inputs)
    except (ValueError, TypeError):
        return None


@dataclass(frozen=True)
class WhyPreserve:
    """
    Why not more of a preserve: `made` are in the plan, `more` containers were forced in on top.

    `lost` is what the rest of the plan then loses (None: it cannot be made at all); `bottlenecks` are the limits that
    prevent having both, an irreducible set.
    """

    name: str
    made: float
    more: float
    lost: Gain | None
    bottlenecks: tuple[str, ...]


@dataclass(frozen=True)
class WhyTarget:
    """Why a target falls short: `filled` of `wanted`; without all limits `bottlenecks` it would have `could` more."""

    name: str
    filled: float
    wanted: float
    could: float
    bottlenecks: tuple[str, ...]


@dataclass(frozen=True)
class Answer:
    """
    What was found of one name, which may be a need, a preserve, or both.

    `not_made` is the preserve when its Make is no, and `refused` what the handbook would then say to yes. `likely`
    says, where the workbook is planned for several harvests, that this is for the likely one.
    """

    name: str
    household: Household
    target: WhyTarget | None = None
    preserve: WhyPreserve | None = None
    not_made: Preserve | None = None
    refused: tuple[Problem, ...] = ()
    likely: str = ""


PAST_NOTE = "past bottlenecks"
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
