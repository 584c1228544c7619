"""The season's review: planted truths found, thin records not judged, and small records worked out by hand."""

import dataclasses
import datetime
import json
import random

import pytest
from openpyxl import load_workbook
from tests.household.three_seasons import BETTER, PASTE, three_seasons
from tests.small_kitchen import FRIDAY

import stillroom
from stillroom.app.plan import read_workbook
from stillroom.app.year import review_of
from stillroom.cli import run
from stillroom.household.journal.learning import beta_share, ratio_interval, share_interval
from stillroom.household.records import (
    Container,
    Crop,
    Household,
    Ingredient,
    Kitchen,
    Lot,
    Preserve,
    RecordRow,
    ShelfRow,
    Target,
)
from stillroom.household.results.review import review
from stillroom.household.units import POUND_KG
from stillroom.reports.terminal.review import next_line, year_line

TODAY = datetime.date(2026, 7, 31)


@pytest.fixture(scope="module")
def kitchen(tmp_path_factory):
    """The workbook of three seasons."""
    return three_seasons(tmp_path_factory.mktemp("review") / "kitchen.xlsx")


@pytest.fixture(scope="module")
def seasons(kitchen):
    """The review of it."""
    return review_of(read_workbook(kitchen, FRIDAY))


def named(rows, name, field="name"):
    """The one row of a name."""
    return next(row for row in rows if getattr(row, field) == name)


def of_crop(found, name):
    """The review of one crop."""
    return next(one for one in found.crops if one.crop.name == name)


# Planted truths.


def test_the_better_variety_is_found_and_the_truth_lies_in_its_interval(seasons):
    paste, slicing = of_crop(seasons, "paste tomato"), of_crop(seasons, "slicing tomato")
    least, most = paste.ratio_between
    assert 1.1 < least <= BETTER <= most < 1.35
    assert "more finished from the same weight" in paste.words
    assert slicing.ratio == pytest.approx(1 / paste.ratio)
    assert "Grow more" not in slicing.words
    assert (paste.years, paste.sessions, slicing.sessions) == (3, 24, 27)


def test_the_canner_with_bad_seals_is_found_with_its_days(seasons):
    old, new = named(seasons.equipment, "old canner"), named(seasons.equipment, "new canner")
    assert old.between[0] <= 0.12 <= old.between[1]
    assert "before next season" in old.words
    assert "before next season" not in new.words
    assert len(old.bad_days) >= 3
    assert (old.filled, new.filled) == (168, 189)


def test_crop_a_jar_is_compared_with_the_published_table(seasons):
    """The table has 23 lb of tomatoes for seven quarts of juice."""
    paste = named(seasons.preserves, PASTE)
    assert paste.each_published == pytest.approx(23 / 7 * POUND_KG)
    assert paste.each_own == pytest.approx(3.25 / BETTER * POUND_KG, rel=0.05)


def test_the_target_never_eaten_is_found_and_the_eaten_one_is_asked_for_as_it_is_eaten(seasons):
    juice, pints = named(seasons.targets, "juice", "target"), named(seasons.targets, "small juice", "target")
    assert (pints.never_eaten, pints.a_month, pints.next_wanted) == (True, 0.0, 0.0)
    assert pints.a_month_between[1] == pytest.approx(juice.eaten / 12 * share_interval(0, 36)[1])
    assert "none of 36 records" in pints.why
    least, most = juice.a_month_between
    assert least <= 1.5 * 365 / 12 / 10 <= most
    assert juice.next_wanted > juice.wanted
    assert sum(juice.months.values()) > juice.eaten


def test_years_count_jars_money_and_hours(seasons):
    """2024: 144 lids at 25 cents; 17 sessions of an hour and a half; 106 quarts worth 4 and 7 pints worth 2."""
    year = next(one for one in seasons.years if one.year == 2024)
    assert (year.containers, year.spent, year.worth, year.hours) == (113, 36.0, 438.0, 25.5)


def test_ten_records_of_work_are_too_little_to_tell_anything(tmp_path):
    """And one of lids bought."""
    found = review_of(read_workbook(three_seasons(tmp_path / "ten.xlsx", records=11), FRIDAY))
    assert found.records == 11
    words = [*(one.why for one in found.targets), *(one.words for one in (*found.crops, *found.equipment))]
    assert len(words) == 6
    assert all(word.startswith("Too little to tell") for word in words)
    assert [one.next_wanted for one in found.targets] == [20, 20]
    assert all(one.ratio is None for one in found.crops)


# Intervals.


def test_the_binomial_interval_is_the_one_that_adding_up_gives():
    """At its ends, so many or more, and so few or less, have a chance of 2.5%."""
    from math import comb

    for hits, of in ((1, 10), (16, 168), (3, 7)):
        least, most = share_interval(hits, of)
        above = sum(comb(of, k) * least**k * (1 - least) ** (of - k) for k in range(hits, of + 1))
        below = sum(comb(of, k) * most**k * (1 - most) ** (of - k) for k in range(hits + 1))
        assert (above, below) == (pytest.approx(0.025), pytest.approx(0.025))


def test_the_beta_function_is_the_binomial_sum_at_large_counts_too():
    from math import comb

    p, hits, of = 0.11, 90, 900
    assert beta_share(p, hits, of - hits + 1) == pytest.approx(
        sum(comb(of, k) * p**k * (1 - p) ** (of - k) for k in range(hits, of + 1))
    )


def test_the_interval_of_a_ratio_holds_the_truth_about_as_often_as_it_claims():
    chance, held = random.Random(7), 0
    for _ in range(60):
        ones, others = ([chance.gauss(0, 0.1) for _ in range(8)] for _ in range(2))
        found = ratio_interval({"juice": [1.2 * 2**one for one in ones]}, {"juice": [2**one for one in others]})
        held += found[1] <= 1.2 <= found[2]
    assert 54 <= held <= 60


# Small records worked out by hand.


def small(*record, **more):
    """A kitchen of one crop, preserve and target up to the last day of July."""
    juice = Preserve(
        "juice",
        "boiling-water canned",
        "quart jar",
        hands_minutes_each=10,
        equipment=("canner",),
        ingredients=(Ingredient("plum", "crop", 1.5),),
    )
    others = {
        "crops": (Crop("plum", 300),),
        "preserves": (juice,),
        "containers": (Container("quart jar", "jar", 1.0),),
        "targets": (Target("juice", 12, 12, unit="quart", shop_price=4.0, counts={"juice": 1.0}, weeks=52),),
    }
    return Household(Kitchen(TODAY), record=record, **(others | more))


def put(day, made, failed=0.0, used=None, hours=None):
    """A row of work in August 2025."""
    return RecordRow(datetime.date(2025, 8, day), "juice", made, failed, "plum" if used else None, used, hours)


def ate(days_ago, count=1.0, word="ate: "):
    """A row of what left the shelf."""
    return RecordRow(TODAY - datetime.timedelta(days=days_ago), f"{word}juice", count)


def reviewed(household):
    """The review of a household that is settled as typed."""
    return review(household, household, {}, {})


def test_crop_hours_and_seals_of_one_preserve():
    """Three sessions of seven jars: 10.5, 14 and 17.5 kg are 1.5, 2 and 2.5 a jar; an hour and a half for 70 minutes."""
    rows = (put(1, 7, 0, 10.5, 1.5), put(2, 5, 2, 14.0), put(3, 7, 0, 17.5))
    found = reviewed(small(*rows, lots=(Lot("plum", datetime.date(2025, 8, 1), 60.0),)))
    one = found.preserves[0]
    assert (one.sessions, one.filled, one.failed, one.bad_days) == (3, 21, 2, (datetime.date(2025, 8, 2),))
    assert (one.each_typed, one.each_own, one.hours) == (1.5, 2.0, 1.5)
    assert one.hours_typed == pytest.approx(70 / 60)
    crop = found.crops[0]
    assert crop.finished == pytest.approx(21 / 42)
    assert crop.minutes == pytest.approx(90 / 7)
    assert (crop.weighed_kg, crop.lost, crop.words) == (60.0, pytest.approx(18 / 60), "Too little to tell: 1 lot.")


def test_a_target_eaten_evenly_runs_out_when_the_shelf_does():
    """Two jars every 14 days for 364 days are 52; of 26 on the shelf the last is eaten in 182 days."""
    rows = [ate(days, 2.0) for days in range(0, 364, 14)]
    household = small(*rows, put(15, 60), shelf=(ShelfRow("juice", 26),))
    one = reviewed(household).targets[0]
    assert one.eaten == 52
    assert one.a_month == pytest.approx(52 / 350 * 365 / 12)
    assert one.runs_out is None
    assert one.left == pytest.approx(26 - 52 / 350 * 15)
    assert (one.put_up, one.next_wanted) == (60, 55)


def test_what_was_given_away_is_asked_for_too_and_what_fits_stays():
    rows = [ate(days, 2.0) for days in range(0, 364, 14)] + [ate(40, 6, "gave: "), ate(50, 1, "spoiled: ")]
    shelf = (ShelfRow("juice", 26),)
    household = small(*rows, shelf=shelf)
    one = reviewed(household).targets[0]
    assert (one.given, one.spoiled, one.next_wanted) == (6, 1, 61)
    more = dataclasses.replace(household.targets[0], wanted=60)
    kept = reviewed(dataclasses.replace(household, targets=(more,))).targets[0]
    assert kept.next_wanted == 60
    assert kept.why.endswith("Wanted fits.")


def test_what_was_only_just_put_up_is_not_called_never_eaten():
    """Fifty records of eating something else, and this on the shelf for ten weeks only; in a year it is."""
    other = Preserve("jam", "boiling-water canned", "quart jar")
    eaten = [RecordRow(TODAY - datetime.timedelta(days=7 * week), "ate: jam", 1.0) for week in range(52)]
    for days, never in ((70, False), (360, True)):
        row = RecordRow(TODAY - datetime.timedelta(days=days), "juice", 9.0)
        household = small(row, *eaten, shelf=(ShelfRow("juice", 9),))
        targets = (*household.targets, Target("jam", 9, 9, counts={"jam": 1.0}))
        both = dataclasses.replace(household, targets=targets, preserves=(*household.preserves, other))
        typed = dataclasses.replace(both, shelf=())
        assert review(typed, both, {}, {}).targets[0].never_eaten == never


def test_months_with_an_empty_shelf_are_not_counted():
    """Twelve jars from August 15 on, one a week: gone in eleven weeks, then nothing for nine months."""
    start = datetime.date(2025, 8, 15)
    rows = [RecordRow(start + datetime.timedelta(days=7 * week), "ate: juice", 1.0) for week in range(12)]
    jam = Preserve("jam", "boiling-water canned", "quart jar")
    rows += [RecordRow(TODAY - datetime.timedelta(days=9 * n), "ate: jam", 1.0) for n in range(20)]
    household = small(put(15, 12), *rows, shelf=(ShelfRow("jam", 90),))
    household = dataclasses.replace(
        household,
        preserves=(*household.preserves, jam),
        targets=(*household.targets, Target("jam", 9, 9, counts={"jam": 1.0})),
    )
    one = review(household, dataclasses.replace(household, shelf=()), {}, {}).targets[0]
    assert one.a_month == pytest.approx(12 / 78 * 365 / 12)
    assert one.next_wanted == 56
    assert one.why.endswith("None is left.")


def test_a_canner_is_compared_with_canners_that_were_used_only(kitchen):
    """Without the quarts nothing went through the old canner: it is not listed, and the new one stands alone."""
    reading = read_workbook(kitchen, FRIDAY)
    mine = {item.name for item in reading.typed.preserves if "old canner" in item.equipment}
    record = tuple(row for row in reading.typed.record if row.preserve not in mine)
    found = review(dataclasses.replace(reading.typed, record=record), reading.household, {}, {})
    assert [(one.name, one.words) for one in found.equipment] == [
        ("new canner", "No other canner was used, so there is nothing to compare it with.")
    ]


def test_one_bad_day_is_not_a_bad_canner(kitchen):
    """All failures of the old canner on one day: a load that went wrong."""
    reading = read_workbook(kitchen, FRIDAY)
    first = min(row.date for row in reading.typed.record if row.preserve == PASTE)
    record = tuple(
        dataclasses.replace(row, made=0.0, failed_seals=7.0)
        if (row.preserve, row.date) == (PASTE, first)
        else dataclasses.replace(row, made=row.made + row.failed_seals, failed_seals=0.0)
        for row in reading.typed.record
    )
    found = review(dataclasses.replace(reading.typed, record=record), reading.household, {}, {})
    old = named(found.equipment, "old canner")
    assert (old.failed, "before next season" in old.words) == (7, False)


def test_weeks_have_what_was_expected_and_the_range_over_three_years():
    """The week of August 3: 10, 0 and 30 kg in three years; 20 kg more were expected and never weighed."""
    days = [datetime.date.fromisocalendar(year, 31, 2) for year in (2023, 2024, 2025)]
    lots = [Lot("plum", day, kg) for day, kg in zip(days, (10.0, 0.0, 30.0), strict=True)]
    found = reviewed(small(lots=(*lots, Lot("plum", days[2], 20.0, expected=True))))
    (week,) = found.weeks
    assert (week.week, week.expected, week.weighed) == (datetime.date(2025, 7, 28), 20.0, 30.0)
    assert (week.least, week.usual, week.most, week.years) == (0.0, 10.0, 30.0, 3)


# The command.


def test_the_command_shows_writes_and_is_the_same_the_second_time(tmp_path, capsys):
    path = three_seasons(tmp_path / "kitchen.xlsx")
    assert run(["review", str(path), "--write"]) == 0
    words = " ".join(capsys.readouterr().out.split())
    for part in ("Never eaten", "more finished from the same weight", "Saved in the Review table", "CANNERS"):
        assert part in words
    sheet = [row[:3] for row in load_workbook(path)["Review"].iter_rows(values_only=True)]
    at = sheet.index(("Target", "Unit", "Wanted"))
    assert sheet[at + 1 : at + 3] == [("juice", "quart", 20), ("small juice", "pint", 20)]
    before = path.read_bytes()
    folder = tmp_path / "csv"
    assert run(["review", str(path), "--write", "--json", "--csv", str(folder)]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["review_targets"][1]["next_year"], found["receipt"]["written"]) == (0, False)
    assert path.read_bytes() == before
    frames = stillroom.review(stillroom.read(path, FRIDAY))
    assert sorted(one.stem for one in folder.glob("*.csv")) == sorted(name.lower().replace(" ", "_") for name in frames)
    assert frames["Review crops"]["Times others"].max() > 1.1


def test_what_is_gone_is_not_among_what_there_is_and_nothing_is_worth_zero_dollars():
    (one,) = reviewed(small(put(15, 12), ate(9, 2.0, "gave: "))).targets
    assert next_line(one).endswith("In the last year: 2 given away.")
    assert next_line(dataclasses.replace(one, late=3.0)).endswith(
        "In the last year: 2 given away. Of what you have, 3 will be out of date before you eat it."
    )
    row = {"Year": 2026, "Containers": 7, "Spent": 0, "Store value": 0, "Spent each": 0, "Worth each": 0}
    assert year_line(row) == "2026: 7 put up, nothing recorded as bought."


def test_a_workbook_without_records_is_told_how_to_begin(kitchen, tmp_path, capsys):
    path = three_seasons(tmp_path / "empty.xlsx", records=0)
    assert run(["review", str(path)]) == 0
    assert "No records yet." in capsys.readouterr().out
