"""What a recipe asks besides its process: the steps before it, and how long food stands, where, and from when."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

MOST_THAT_DAY_HOURS = 5.0
"""A wait of more hours is started the evening before, or earlier."""
DAY_HOURS, WEEK_HOURS = 24.0, 168.0


@dataclass(frozen=True)
class RecipeSteps:
    """
    The published steps besides the process, each a phrase; empty where no page was read.

    `pack` is the pack of a canned line, `prepare` what is done to the raw food, `cook` what is heated just before it is
    packed, `fill` how it is packed, covered or kept.
    """

    pack: str = ""
    prepare: str = ""
    cook: str = ""
    fill: str = ""


NO_STEPS = RecipeSteps()


@dataclass(frozen=True)
class Standing:
    """
    A wait inside a recipe; it takes no labor.

    `hours_low` and `hours_high` are the published hours, `where` where the food stands, `choice` a published wait that
    may take its place. `after` is for a wait in the sealed jars, `then` what follows the wait.
    """

    hours_low: float
    hours_high: float
    where: str
    choice: str = ""
    after: bool = False
    then: str = ""

    @property
    def ahead(self) -> bool:
        """Whether it is started before the day of the preserve."""
        return not self.after and self.hours_low > MOST_THAT_DAY_HOURS

    @property
    def that_day(self) -> bool:
        """Whether it is a part of the day of the preserve."""
        return not self.after and self.hours_low <= MOST_THAT_DAY_HOURS

    @property
    def words(self) -> str:
        """
        The hours and the place in words.

        >>> Standing(12, 18, "in the refrigerator").words, Standing(504, 672, "in salt").words
        ('12 to 18 h in the refrigerator', '3 to 4 weeks in salt')
        """
        return f"{hours_words(self.hours_low, self.hours_high)} {self.where}"


def hours_words(low: float, high: float) -> str:
    """
    Return a range of hours in words.

    >>> hours_words(3, 4), hours_words(12, 12), hours_words(1 / 6, 1 / 6), hours_words(24, 48), hours_words(672, 840)
    ('3 to 4 h', '12 h', '10 min', '24 to 48 h', '4 to 5 weeks')
    """
    size, unit = (1.0, "h") if low >= 1 else (1 / 60, "min")
    if low >= 2 * WEEK_HOURS:
        size, unit = WEEK_HOURS, "weeks"
    elif low > 2 * DAY_HOURS:
        size, unit = DAY_HOURS, "days"
    first, last = (str(round(hours / size, 1)).removesuffix(".0") for hours in (low, high))
    return f"{first} {unit}" if first == last else f"{first} to {last} {unit}"


def standing_text(waits: Iterable[Standing]) -> str:
    """
    Return the waits of a preserve in words for its line of the plan; empty without one.

    >>> standing_text([Standing(12, 12, "in brine"), Standing(672, 840, "in the sealed jars", after=True)])
    'start the evening before: 12 h in brine; best after 4 to 5 weeks'
    """
    return "; ".join(one_text(one) for one in waits)


def one_text(standing: Standing) -> str:
    """Return one wait in words."""
    if standing.after:
        return f"best after {hours_words(standing.hours_low, standing.hours_high)}"
    start = "first" if standing.that_day else f"start {when_words(standing)}:"
    return f"{start} {standing.words}"


def when_words(standing: Standing) -> str:
    """
    Return when a wait is started, before the day of the preserve.

    >>> when_words(Standing(12, 18, "")), when_words(Standing(24, 48, "")), when_words(Standing(504, 672, ""))
    ('the evening before', 'the day before', '3 to 4 weeks before')
    """
    if standing.hours_low < DAY_HOURS:
        return "the evening before"
    if standing.hours_low <= DAY_HOURS:
        return "the day before"
    return f"{hours_words(standing.hours_low, standing.hours_high)} before"
