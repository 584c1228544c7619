"""More or less of one thing a household has: each function gives a new household and leaves the old one as it is."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from functools import partial

from stillroom.household.checks import with_pieces
from stillroom.household.records import Crop, Hours, Household, Lot
from stillroom.household.units import POUND_KG

SPACES = {
    "freezer": "freezer_free_litres",
    "refrigerator": "refrigerator_free_litres",
    "shelf": "shelf_free_litres",
    "cellar": "cellar_free_litres",
}
"""The field of the kitchen that says how much room a place has."""

TABLES = {"container": "containers", "lid": "lids", "pantry": "pantry", "equipment": "equipment"}
"""The table of the household that holds each kind of stock."""

HANDS = "hands"
"""The row of hours that the plan goes by; rows of single people's hands begin with it and a colon."""


def more_stock(household: Household, kind: str, name: str, amount: float) -> Household:
    """
    So many more of a container, lid, equipment or, in its base unit, a pantry ingredient; never below none.

    >>> from stillroom.household.examples import tiny_household
    >>> more_stock(tiny_household(), "container", "quart jar", -20).container("quart jar").on_hand
    0.0
    """
    table = TABLES[kind]
    row = next(one for one in getattr(household, table) if one.name == name)
    if kind == "equipment":
        return with_pieces(household, name, max(0, row.how_many + round(amount)))
    return household.changed(table, name, on_hand=max(0.0, row.on_hand + amount))


def more_of_setting(household: Household, field: str, amount: float) -> Household:
    """So much more of a setting of the kitchen, such as space or money; never less than none."""
    return household.with_kitchen(**{field: max(0.0, getattr(household.kitchen, field) + amount)})


def more_crop(household: Household, name: str, kg: float, day: datetime.date | None = None) -> Household:
    """
    So much more of a crop, picked on the first day, or expected on a later one; less comes off its oldest lots.

    What comes off a lot comes off its least and its most too.

    >>> from stillroom.household.examples import tiny_household
    >>> [lot.kg for lot in more_crop(tiny_household(), "tomato", -11).lots if lot.crop == "tomato"]
    [0.0, 11.0, 2.0]
    """
    first = household.kitchen.first_day
    if kg >= 0:
        on = first if day is None else day
        return replace(household, lots=(*household.lots, Lot(name, on, kg, expected=on > first)))
    left = -kg
    lots = list(household.lots)
    fresh = [
        number
        for number, lot in enumerate(lots)
        if lot.crop == name and lot.frozen_on is None and (day is None or lot.picked_on == day)
    ]
    for number in sorted(fresh, key=lambda number: (lots[number].picked_on, lots[number].kg)):
        taken = min(left, lots[number].kg)
        lots[number] = with_amount(lots[number], partial(less, by=taken))
        left -= taken
    return replace(household, lots=tuple(lots))


def crop_times(household: Household, name: str, factor: float) -> Household:
    """
    So many times as much of a crop in every lot that is not in the freezer, its least and its most included.

    >>> lot = Lot("plum", datetime.date(2026, 8, 20), 10.0, expected=True, least_kg=7.0)
    >>> with_amount(lot, lambda kg: 2 * kg).least_kg
    14.0
    """
    return replace(
        household,
        lots=tuple(
            with_amount(lot, lambda kg: kg * factor) if lot.crop == name and lot.frozen_on is None else lot
            for lot in household.lots
        ),
    )


def less(kg: float, by: float) -> float:
    """So much less, but never below nothing."""
    return max(0.0, kg - by)


def with_amount(lot: Lot, change: Callable[[float], float]) -> Lot:
    """A lot whose amount is changed, and with it the least and the most it may be, where they are known."""
    least, most = (None if kg is None else change(kg) for kg in (lot.least_kg, lot.most_kg))
    return replace(lot, kg=change(lot.kg), least_kg=least, most_kg=most)


def with_hours(
    household: Household, what: str, change: Callable[[float], float], weekdays: Collection[int], *, weeks: bool
) -> Household:
    """
    Hours of one thing changed on these weekdays (Monday is 0), and in later weeks when `weeks`; never below none.

    A thing without a row of hours has no limit and stays so. Where later weeks have their hours from the seven days
    they do not follow by themselves. Rows of single people's hands (`hands: person A`) and the hands add up: a person's
    hours change the hands by as much, and the hands' are shared out among the people as theirs are.

    >>> from stillroom.household.examples import tiny_household
    >>> with_hours(tiny_household(), "hands", lambda hours: 0.0, (5,), weeks=False).hours[0].by_weekday
    (4, 4, 4, 4, 4, 0.0, 4)
    """

    def changed(row: Hours) -> Hours:
        by_weekday = tuple(
            max(0.0, change(hours)) if number in weekdays else hours for number, hours in enumerate(row.by_weekday)
        )
        later = max(0.0, change(row.each_later_week)) if weeks else row.each_later_week
        return replace(row, by_weekday=by_weekday, each_later_week=later)

    rows = tuple(changed(row) if row.what.casefold() == what.casefold() else row for row in household.hours)
    if what.casefold() == HANDS:
        rows = shared_out(household.hours, rows)
    elif is_a_person(what):
        rows = added_up(household.hours, rows)
    return replace(household, hours=rows)


def is_a_person(what: str) -> bool:
    """
    Whether a row of hours is that of one person's hands.

    >>> is_a_person("hands: person A"), is_a_person("hands")
    (True, False)
    """
    return what.casefold().startswith(f"{HANDS}:")


def figures(row: Hours) -> tuple[float, ...]:
    """The hours of the seven days and of each later week, in one row."""
    return (*row.by_weekday, row.each_later_week)


def with_figures(row: Hours, hours: Sequence[float]) -> Hours:
    """The row with other hours, as `figures` gives them; never below none."""
    least_none = tuple(max(0.0, each) for each in hours)
    return replace(row, by_weekday=least_none[:-1], each_later_week=least_none[-1])


def added_up(before: Sequence[Hours], rows: Sequence[Hours]) -> tuple[Hours, ...]:
    """The rows where the hands have more or less by what the rows of single people have more or less than before."""
    people = [(figures(old), figures(new)) for old, new in zip(before, rows, strict=True) if is_a_person(old.what)]
    away = [sum(new[place] - old[place] for old, new in people) for place in range(8)]
    return tuple(
        with_figures(row, [hours + by for hours, by in zip(figures(row), away, strict=True)])
        if row.what.casefold() == HANDS
        else row
        for row in rows
    )


def shared_out(before: Sequence[Hours], rows: Sequence[Hours]) -> tuple[Hours, ...]:
    """
    The rows where every person has so many times the hours as the hands together have; alike where nobody had any.

    >>> rows = [Hours(what, (hours,) * 7, 10.0) for what, hours in (("hands", 4.0), ("hands: person A", 3.0))]
    >>> shared_out(rows, [Hours("hands", (6.0,) * 7, 10.0), rows[1]])[1].by_weekday[0]
    4.5
    """
    place = next((number for number, row in enumerate(before) if row.what.casefold() == HANDS), None)
    people = sum(is_a_person(row.what) for row in rows)
    if place is None or not people:
        return tuple(rows)
    was, now = figures(before[place]), figures(rows[place])
    return tuple(
        with_figures(
            row,
            [
                hours if new == old else hours * new / old if old > 0 else new / people
                for hours, old, new in zip(figures(row), was, now, strict=True)
            ],
        )
        if is_a_person(row.what)
        else row
        for row in rows
    )


def bushel_of(crop: Crop, *, metric: bool) -> tuple[float, str]:
    """
    A natural amount of a crop in kg, with its words: a bushel by its own weight, else 20 lb or 10 kg.

    >>> bushel_of(Crop("plum", 5, bushel_kg=25.0), metric=False)
    (25.0, 'a bushel')
    """
    if crop.bushel_kg:
        return crop.bushel_kg, "a bushel"
    return (10.0, "10 kg") if metric else (20 * POUND_KG, "20 lb")
