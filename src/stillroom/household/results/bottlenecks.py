"""What holds a plan back and what more of it would give; why a preserve is not made or a target falls short."""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping
from dataclasses import dataclass, field

from stillroom.errors import Problem
from stillroom.household.records import Household, Preserve
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
