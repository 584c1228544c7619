"""
A careful cook's week: what somebody with long practice and no computer would do, one day at a time.

Her rules, in words:

1. In the morning the picking comes in and the day's dinner is set aside, and what the next dinners take.
2. She takes in turn what has the first claim: by her habit the ripest crop first, or the musts of the winter list
   first, or the emptiest line of the list first; ties go by the other two.
3. For a line of the list she makes the kind that gives most for her time (or, if she is thrifty, most for the crop),
   as a full load, as often as crop, hands, stove, equipment, jars, lids, lemon juice, money and room allow. She looks
   at the list again after every load, so that no line runs far ahead of one as important.
4. The last load of a line is no bigger than the line needs.
5. Crop that will not be there tomorrow also goes into part loads: first for lines that are not full, then beyond what
   was wanted, as far as there is use for it.
6. If there is time left, she does not sit: she makes part loads of at least half of what keeps, too.
7. In the evening she freezes whole what will not keep, as far as hands, the day's freezing and the freezer allow, and
   takes it out on a later day when the fresh crop leaves her time. The rest goes to the hens.
8. She begins nothing that its equipment has no time for on the days it runs on, and buys only what the load at hand
   needs and the money allows.

She does not look ahead: she does not know what tomorrow's picking will crowd out, does not save jars or money of
today for a later must, and does not weigh two lines against each other beyond importance and how empty they are.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from tests.truth.kitchen_book import NEAR, KitchenBook

from stillroom.household.plan import Period, Plan
from stillroom.household.records import Household, Preserve, Target
from stillroom.planning.parameters import Parameters

CLAIMS = ("ripest", "musts", "emptiest")
"""What a cook may relaxed first."""


@dataclass(frozen=True)
class Habit:
    """How a cook chooses: whose claim comes first, and whether she saves crop (thrifty) or time."""

    first: str = "musts"
    thrifty: bool = False

    def words(self) -> str:
        """The habit in words."""
        return f"{self.first} first, saving {'crop' if self.thrifty else 'time'}"


HABITS = tuple(Habit(first, thrifty) for first, thrifty in itertools.product(CLAIMS, (False, True)))
"""Every habit that is tried."""


@dataclass(frozen=True)
class Choice:
    """A preserve that could be made today for a target, with how ripe its crop is and how empty the target."""

    item: Preserve
    target: Target
    days_left: int
    share: float
    gives: float


def cook_week(household: Household, habit: Habit = Habit()) -> Plan:
    """
    The plan a careful cook makes of the detailed days of a household; nothing is planned in weeks.

    Fixed lines are not looked at: the household must have none.
    """
    book = KitchenBook(Parameters(household))
    for day in book.parameters.singles:
        book.open_day(day)
        while session := next_session(book, day, habit):
            book.note_made(session[0], day, session[1])
        book.close_day(day)
    for week in book.parameters.periods[len(book.parameters.singles) :]:
        book.open_day(week)
        book.close_day(week)
    return book.as_plan()


def next_session(book: KitchenBook, day: Period, habit: Habit) -> tuple[Preserve, int] | None:
    """What she does next today, and how many of it; None when nothing is left to do."""
    choices = sorted(choices_of(book, day, habit), key=lambda choice: claim(choice, habit))
    for method in (full_loads, last_chance, no_idle_hands, rather_than_the_hens):
        for choice in choices:
            count = method(book, day, choice)
            if count:
                return choice.item, count
    return None


def claim(choice: Choice, habit: Habit) -> tuple[float | str, ...]:
    """What comes first, smallest first."""
    ripe, must, empty = float(choice.days_left), float(choice.target.importance), choice.share
    order = {"ripest": (ripe, must, empty), "musts": (must, ripe, empty), "emptiest": (must, empty, ripe)}
    return (*order[habit.first], -choice.gives, choice.item.name)


def choices_of(book: KitchenBook, day: Period, habit: Habit) -> Iterator[Choice]:
    """Everything for which there is crop and a target with room."""
    crops = {crop.name: crop for crop in book.parameters.crops}
    for item in book.parameters.preserves:
        target = book.parameters.target_of.get(item.name)
        if not item.include or target is None or target.wanted <= 0 or book.room(target) <= NEAR:
            continue
        uses = book.parameters.crops_of(item)
        if not uses or any(line.source == "preserve" for line in item.ingredients):
            continue
        frozen = book.parameters.frozen_crops_of(item)
        if any(book.there(crops[name], day) + (book.frozen_before[name] if name in frozen else 0) < each - NEAR
               for name, each in uses.items()):  # fmt: skip
            continue
        left = min(days_left(book, name, day) for name in uses)
        yield Choice(item, target, left, book.covered(target) / target.wanted, gives(book, item, target, habit))


def days_left(book: KitchenBook, name: str, day: Period) -> int:
    """Days until the first of the crop in hand will not keep; far away when none lies there fresh."""
    crop = book.household.crop(name)
    there = book.there(crop, day)
    if there <= NEAR:
        return 999
    for later in book.parameters.periods[day.number :]:
        if book.fresh[name] > in_hand_keepable(book, name, day, later) + NEAR:
            return later.number - day.number
    return 998


def in_hand_keepable(book: KitchenBook, name: str, day: Period, later: Period) -> float:
    """How much of the crop picked so far keeps past a later day."""
    keeps = book.household.crop(name).keeps_days
    return sum(
        lot.kg
        for lot in book.parameters.fresh_lots[name]
        if lot.picked_on <= day.last_day and lot.picked_on.toordinal() + math.floor(keeps) > later.last_day.toordinal()
    )


def gives(book: KitchenBook, item: Preserve, target: Target, habit: Habit) -> float:
    """What a full load gives toward its target for an hour of hands, or for a kilogram of crop when she is thrifty."""
    count = item.load or item.smallest_batch
    if habit.thrifty:
        cost = sum(book.parameters.crops_of(item).values()) * count
    else:
        cost = book.parameters.hands_each(item) * count + book.parameters.hands_load(item)
    return target.counts[item.name] * count / max(cost, NEAR)


def asked(book: KitchenBook, choice: Choice, *, beyond: bool = False) -> int:
    """Containers that the target still asks for; as many as it has room for when `beyond`."""
    each = choice.target.counts[choice.item.name]
    room = math.floor(book.room(choice.target) / each + NEAR)
    if beyond:
        return room
    return min(room, math.ceil((choice.target.wanted - book.covered(choice.target)) / each - NEAR))


def full_loads(book: KitchenBook, day: Period, choice: Choice) -> int:
    """A full load, or the few that the target still asks for."""
    wanted = asked(book, choice)
    count = min(choice.item.load or choice.item.smallest_batch, wanted)
    if wanted > 0 and choice.item.load is not None:
        count = min(wanted, choice.item.load - part_filled(book, choice.item, day) or choice.item.load)
    return count if count > 0 and book.fits(choice.item, day, count) else 0


def part_filled(book: KitchenBook, item: Preserve, day: Period) -> int:
    """Containers in the last load of today that is not full; 0 when all are."""
    return round(book.make.get((item.name, day.number), 0.0)) % (item.load or 1)


def as_many_as_fit(book: KitchenBook, day: Period, choice: Choice, most: int, least: int) -> int:
    """The greatest number between two that fits; 0 when none does."""
    top = min(most, choice.item.load or choice.item.smallest_batch)
    return next((count for count in range(top, least - 1, -1) if book.fits(choice.item, day, count)), 0)


def last_chance(book: KitchenBook, day: Period, choice: Choice) -> int:
    """Crop that will not be there tomorrow, in a part load."""
    if choice.days_left > 0 and day is not book.parameters.singles[-1]:
        return 0
    return as_many_as_fit(book, day, choice, asked(book, choice), 1)


def no_idle_hands(book: KitchenBook, day: Period, choice: Choice) -> int:
    """Half a load or more of what would keep, when there is nothing better to do."""
    full = choice.item.load or choice.item.smallest_batch
    return as_many_as_fit(book, day, choice, asked(book, choice), math.ceil(full / 2))


def rather_than_the_hens(book: KitchenBook, day: Period, choice: Choice) -> int:
    """More than was wanted, of what would be fed tonight."""
    if choice.days_left > 0:
        return 0
    return as_many_as_fit(book, day, choice, asked(book, choice, beyond=True), 1)
