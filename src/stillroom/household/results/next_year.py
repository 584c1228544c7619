"""The workbook for the year to come: what is carried over, what to expect by past years, what the record taught."""

from __future__ import annotations

import datetime
import math
import statistics
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.journal.learning import Learned
from stillroom.household.journal.past_years import Past, own_lots
from stillroom.household.journal.stocks import Counted, per_base, stocks
from stillroom.household.records import Container, Household, Lid, Lot, PantryItem, Preserve, ShelfRow
from stillroom.household.results.review.targets import HALF_YEAR_DAYS, TargetReview
from stillroom.household.results.rows import cell_number, in_crop_unit
from stillroom.household.results.sums import keeps_until
from stillroom.household.text import format_count, format_date_and_year, format_list, format_number, format_quantity

YEAR_DAYS = 364
"""52 weeks: the same weekday a year later."""
MEAN_YEAR_DAYS = 365.25
HALF_WEEK = 3
EARLY_DAYS = 45
"""A season may begin so many days before the day of the year on which the last one began."""
WORTH_TYPING = 0.01
"""A learned figure nearer than this share to the typed one is not typed in (common practice, no source)."""
RECORD = "our record"
"""How a note begins that comes from the record; the next year's takes its place."""
COUNTS: Mapping[type[Counted], str] = {Container: "Containers", Lid: "Lids", PantryItem: "Pantry"}


@dataclass(frozen=True)
class Change:
    """
    One input cell and its value in the next year: `where` is a cell of its row, `unit` that of both values.

    `note` goes into the row's *Note*, `why` is shown.
    """

    table: str
    where: str
    name: str
    heading: str
    before: float
    now: float
    unit: str = ""
    note: str = ""
    why: str = ""


@dataclass(frozen=True)
class Expected:
    """The lots expected of one crop, by so many seasons; `rare` weeks had some in less than half of the seasons."""

    crop: str
    seasons: int
    lots: tuple[Lot, ...]
    rare: int = 0


@dataclass(frozen=True)
class NextYear:
    """
    What the workbook of the next year has.

    `first_day` is 52 weeks after `began`, when the season now over began, unless the household named another; `day` is
    the day of the counts. `shelf` and `lots` are what is carried over, `gone` fresh lots that will not keep, `to_come`
    lots that were still expected. `counts`, `yields` and `targets` are the cells that change.
    """

    began: datetime.date
    first_day: datetime.date
    first_day_named: bool
    day: datetime.date
    shelf: tuple[ShelfRow, ...]
    lots: tuple[Lot, ...]
    gone: tuple[Lot, ...]
    to_come: tuple[Lot, ...]
    expected: tuple[Expected, ...]
    counts: tuple[Change, ...]
    yields: tuple[Change, ...]
    targets: tuple[Change, ...]


def day_of(typed: Household) -> datetime.date:
    """Return the day up to which a workbook tells what happened: its first day, or the last of its record or Made."""
    made = (line.day for line in typed.plan_lines if line.made is not None)
    return max([typed.kitchen.first_day, *(row.date for row in typed.record), *made])


def season_began(typed: Household, past: Past) -> datetime.date:
    """Return the first picking of the half year up to the last one; the first day where nothing was weighed."""
    picked = [lot.picked_on for lot in own_lots(typed, past) if not lot.expected]
    last = max(picked, default=typed.kitchen.first_day)
    return min((one for one in picked if (last - one).days < HALF_YEAR_DAYS), default=last)


def year_after(began: datetime.date, day: datetime.date) -> datetime.date:
    """
    Return the same weekday 52 weeks later, or so many years later that its season is not over on `day`.

    Where that is not after `day`, it is the day after it.

    >>> began = datetime.date(2026, 8, 14)
    >>> year_after(began, datetime.date(2027, 1, 10)), year_after(began, datetime.date(2027, 8, 20))
    (datetime.date(2027, 8, 13), datetime.date(2027, 8, 21))
    """
    found = began + datetime.timedelta(days=YEAR_DAYS)
    while (day - found).days >= HALF_YEAR_DAYS:
        found += datetime.timedelta(days=YEAR_DAYS)
    return max(found, day + datetime.timedelta(days=1))


def next_year(
    typed: Household,
    settled: Household,
    past: Past,
    lessons: Sequence[Learned],
    reviews: Sequence[TargetReview],
    first_day: datetime.date | None = None,
) -> NextYear:
    """
    Work out the next year of a household `typed` up to its first day, of which `settled` is left.

    `lessons` and `reviews` are those of all years.
    """
    day = typed.kitchen.first_day
    began = season_began(typed, past)
    first = first_day or year_after(began, day)
    there = [lot for lot in settled.lots if not lot.expected]
    stays = [lot for lot in there if lot.frozen_on is not None or keeps_until(lot, settled.crop(lot.crop)) >= first]
    weighed = [lot for lot in (*past.lots, *own_lots(typed, past)) if not lot.expected]
    return NextYear(
        began=began,
        first_day=first,
        first_day_named=first_day is not None,
        day=day,
        shelf=settled.shelf,
        lots=tuple(stays),
        gone=tuple(lot for lot in there if lot not in stays),
        to_come=tuple(lot for lot in typed.lots if lot.expected and lot.picked_on > day),
        expected=tuple(expected_of_crops(typed, weighed, began, first)),
        counts=tuple(count_changes(typed, settled)),
        yields=tuple(change for one in lessons if one.applies for change in yield_changes(typed, one)),
        targets=tuple(change for one in reviews for change in target_changes(typed, one)),
    )


# The harvest to expect, by the weighings of the same weeks.


def same_day(picked: datetime.date, first: datetime.date) -> datetime.date:
    """
    Return the same weekday at the same time of the year, in the year from a first day on.

    >>> first = datetime.date(2027, 8, 13)
    >>> same_day(datetime.date(2026, 8, 14), first), same_day(datetime.date(2025, 9, 6), first)
    (datetime.date(2027, 8, 13), datetime.date(2027, 9, 4))
    >>> same_day(datetime.date(2027, 1, 9), first)
    datetime.date(2028, 1, 8)
    """
    for year in (first.year, first.year + 1):
        day = datetime.date(year, picked.month, min(picked.day, 28) if picked.month == 2 else picked.day)
        near = day + datetime.timedelta(days=(picked.weekday() - day.weekday() + HALF_WEEK) % 7 - HALF_WEEK)
        if (first - near).days <= 2 * HALF_WEEK:
            break
    return max(near, first)


def season_of(picked: datetime.date, began: datetime.date) -> int:
    """
    Return which season a picking belongs to: 0 for the one that began then, -1 for the one before.

    >>> began = datetime.date(2026, 8, 14)
    >>> [season_of(datetime.date(*day), began) for day in ((2026, 7, 30), (2026, 11, 2), (2025, 10, 3))]
    [0, 0, -1]
    """
    return math.floor(((picked - began).days + EARLY_DAYS) / MEAN_YEAR_DAYS)


def expected_of_crops(
    typed: Household, weighed: Sequence[Lot], began: datetime.date, first: datetime.date
) -> Iterator[Expected]:
    """Yield what to expect of each crop that was ever weighed."""
    for crop in typed.crops:
        lots = [lot for lot in weighed if lot.crop == crop.name and lot.picked_on < first]
        if lots:
            yield expected_of(crop.name, lots, began, first)


def expected_of(crop: str, weighed: Sequence[Lot], began: datetime.date, first: datetime.date) -> Expected:
    """
    Return what to expect of a crop: of one season its weighings as they were, by picking day.

    Of several the median, the least and the most of each week counted from the first day, a season without any in it
    as none, on the middle one of the days; a week with a median of none is left out.

    >>> began, first = datetime.date(2026, 8, 14), datetime.date(2027, 8, 13)
    >>> lots = [Lot("plum", datetime.date(2026, 8, 14), 9.0), Lot("plum", datetime.date(2025, 8, 16), 6.0)]
    >>> [(lot.picked_on.day, lot.kg, lot.least_kg, lot.most_kg) for lot in expected_of("plum", lots, began, first).lots]
    [(13, 7.5, 6.0, 9.0)]
    """
    seasons = {season_of(lot.picked_on, began) for lot in weighed}
    if len(seasons) == 1:
        sums: dict[datetime.date, float] = defaultdict(float)
        for lot in weighed:
            sums[same_day(lot.picked_on, first)] += lot.kg
        return Expected(crop, 1, tuple(Lot(crop, day, kg, expected=True) for day, kg in sorted(sums.items())))
    weeks: dict[int, list[Lot]] = defaultdict(list)
    for lot in weighed:
        weeks[(same_day(lot.picked_on, first) - first).days // 7].append(lot)
    found = []
    for _, several in sorted(weeks.items()):
        kg = dict.fromkeys(seasons, 0.0)
        for lot in several:
            kg[season_of(lot.picked_on, began)] += lot.kg
        day = statistics.median_low(sorted(same_day(lot.picked_on, first) for lot in several))
        amounts = list(kg.values())
        found.append(Lot(crop, day, statistics.median(amounts), True, None, min(amounts), max(amounts)))
    lots = tuple(lot for lot in found if lot.kg > 0)
    return Expected(crop, len(seasons), lots, len(found) - len(lots))


def seasons_words(seasons: int) -> str:
    """
    Return the note of a figure that comes from the record.

    >>> seasons_words(1), seasons_words(2)
    ('our record, 1 season', 'our record, 2 seasons')
    """
    return f"{RECORD}, {format_count(seasons, 'season')}"


# Cells that change: counts, what the record taught, and the winter list.


def count_changes(typed: Household, settled: Household) -> Iterator[Change]:
    """Yield the count of every container, lid and pantry ingredient, in its own unit, whether it changes or not."""
    left = {(type(stock), stock.name): stock for stock in stocks(settled)}
    for stock in stocks(typed):
        per, now = per_base(stock), left[type(stock), stock.name].on_hand
        unit = stock.unit if isinstance(stock, PantryItem) else ""
        before, counted = (float(cell_number(one * per)) for one in (stock.on_hand, now))
        yield Change(COUNTS[type(stock)], stock.where, stock.name, "On hand", before, counted, unit)


def three_figures(number: float) -> float:
    """
    Round to three figures.

    >>> three_figures(3.5512), three_figures(123.4), three_figures(0.0)
    (3.55, 123.0, 0.0)
    """
    return round(number, 2 - math.floor(math.log10(abs(number)))) if number else 0.0


def yield_changes(typed: Household, one: Learned) -> Iterator[Change]:
    """Yield the cells of Ingredients or Preserves that what was learned of a preserve is typed into."""
    if abs(one.used - one.typed) <= WORTH_TYPING * one.typed:
        return
    seasons = seasons_words(len({sample.day.year for sample in one.samples}))
    preserve = typed.preserve(one.preserve)
    if one.crop is None:
        changed = [(heading, before, now) for heading, before, now in hands_cells(preserve, one) if now != before]
        typed_words = " and ".join(format_number(before) for _, before, _ in changed)
        for heading, before, now in changed:
            note = f"{seasons} ({typed_words} min before)"
            yield Change("Preserves", preserve.where, one.preserve, heading, before, now, "min", note)
        return
    for line in preserve.ingredients:
        if line.source == "crop" and line.item == one.crop and one.typed > 0:
            now = three_figures(line.amount_typed * one.used / one.typed)
            note = f"{seasons} ({format_number(line.amount_typed)} {line.unit} before)"
            name = f"{one.preserve}, {line.item}"
            yield Change("Ingredients", line.where, name, "Amount each", line.amount_typed, now, line.unit, note)


def hands_cells(preserve: Preserve, one: Learned) -> list[tuple[str, float, float]]:
    """Return the headings of the hands-on minutes of a preserve, with what is typed and what was learned."""
    each, load = preserve.hands_minutes_each, preserve.hands_minutes_load
    share = one.used / one.typed if one.typed else 0.0
    now = each * share if one.typed else one.used
    return [
        ("Hands-on min each", each, three_figures(now)),
        ("Hands-on min a load", load, three_figures(load * share)),
    ]


def target_changes(typed: Household, one: TargetReview) -> Iterator[Change]:
    """Yield *Wanted* of a target as the review proposes it, and *At most* where that would be less."""
    if abs(one.next_wanted - one.wanted) < 1e-9:
        return
    target = next(row for row in typed.targets if row.name == one.target)
    note = f"{RECORD}: {format_quantity(one.wanted, one.unit)} wanted before. {one.why}".replace(";", ",")
    about = ("Winter list", target.where, one.target)
    yield Change(*about, "Wanted", one.wanted, one.next_wanted, one.unit, note, one.why)
    if target.at_most != target.wanted and target.at_most < one.next_wanted:
        yield Change(*about, "At most", target.at_most, one.next_wanted, one.unit, note)


# What to look at, in words.


def to_look_at(found: NextYear, household: Household) -> list[str]:
    """Return what the household has to look at, because the record does not tell it."""
    lines = ["Count jars, lids and pantry again before the first plan: only what was recorded is taken off."]
    if found.gone:
        lines.append(f"Not carried over, because it will not keep: {amounts_words(found.gone, household)}.")
    old = [lot for lot in found.lots if lot.frozen_on is not None]
    if old:
        lines.append(f"In the freezer: {amounts_words(old, household)}. Once it is used up, delete its row in Harvest.")
    if found.to_come:
        first, last = (end(lot.picked_on for lot in found.to_come) for end in (min, max))
        days = format_list(dict.fromkeys(map(format_date_and_year, (first, last))), between=" to ")
        lots = format_count(len(found.to_come), "lot")
        lines.append(f"{lots} were still to come ({days}). They are in Past years; nothing is learned from them.")
    lines += [
        f"{one.crop}: left out {format_count(one.rare, 'week')} in which fewer than half of the seasons had any."
        for one in found.expected
        if one.rare
    ]
    spaces = [
        name
        for name in ("freezer", "refrigerator", "shelf", "cellar")
        if household.kitchen.free_litres(name) != float("inf")
    ]
    if spaces:
        lines.append(f"Type the space that is free now in Kitchen: {format_list(spaces)}.")
    return lines


def amounts_words(lots: Sequence[Lot], household: Household) -> str:
    """Return how much of each crop some lots are."""
    sums: dict[str, float] = defaultdict(float)
    for lot in lots:
        sums[lot.crop] += lot.kg
    crops = {name: household.crop(name) for name in sums}
    words = [f"{format_quantity(in_crop_unit(kg, crops[name]), crops[name].unit)} {name}" for name, kg in sums.items()]
    return format_list(words, 4)
