"""Small shelves worked out by hand: how long they last, the share a week, and nothing ever past its date."""

import dataclasses
import datetime
import io
import json
import random

import pytest
from openpyxl import load_workbook
from rich.console import Console
from tests.small_kitchen import FRIDAY, build

from stillroom.cli import run
from stillroom.household.records import Household, Kitchen, PlanLine, Preserve, RecordRow, ShelfRow, Target
from stillroom.household.results.winter import eaten_in_order, even_share, shared_out, winter
from stillroom.reports.terminal.year import winter_page

NOVEMBER = datetime.date(2026, 11, 1)


def on(month, day, year=2026):
    """A day, in 2026 when no year is named."""
    return datetime.date(year, month, day)


def shelf_of(*rows, wanted=26, weeks=26, **more):
    """A household with one target for juice, `rows` on its shelf."""
    target = Target("juice", wanted, wanted, unit="quart", shop_price=4.0, counts={"juice": 1.0}, weeks=weeks)
    juice = Preserve("juice", "frozen", "tub", keeps_months=12)
    return Household(Kitchen(NOVEMBER), shelf=rows, targets=(target,), preserves=(juice,), **more)


def only(household, months=6.0, first=NOVEMBER):
    """The cover of the one target."""
    return winter(household, household, first, months).covers[0]


def test_thirteen_quarts_at_one_a_week_last_thirteen_weeks_or_half_a_quart_a_week_to_the_end():
    """November 1 to May 1 are 181 days: 13 quarts over 25.86 weeks are 0.503 a week."""
    cover = only(shelf_of(ShelfRow("juice", 13)))
    assert (cover.amount, cover.by_list, cover.weeks, cover.runs_out) == (13, 1.0, 13.0, on(1, 31, 2027))
    assert cover.share == pytest.approx(13 * 7 / 181)
    assert (cover.share_until, cover.late, cover.worth) == (on(5, 1, 2027), 0, 52)


def test_what_goes_out_of_date_is_eaten_first_and_not_past_its_date():
    """Five quarts are good for two weeks: two are eaten, three go out of date, then four more last four weeks."""
    cover = only(shelf_of(ShelfRow("juice", 4), ShelfRow("juice", 5, best_by=on(11, 15))))
    assert (cover.weeks, cover.late, cover.first_late) == (6.0, 3.0, on(11, 15))


def test_jars_past_their_date_when_the_winter_begins_count_for_nothing():
    cover = only(shelf_of(ShelfRow("juice", 4, best_by=on(10, 31)), ShelfRow("juice", 2)))
    assert cover.amount == 2


def test_the_share_is_what_the_good_jars_give_after_the_last_date():
    """Twenty quarts until November 29, four after: the four have to do for 22 weeks of 26, not the 24 for 26."""
    cover = only(shelf_of(ShelfRow("juice", 20, best_by=on(11, 29)), ShelfRow("juice", 4)))
    assert cover.share == pytest.approx(4 * 7 / 153)


def test_a_shelf_that_lasts_for_centuries_has_no_day_on_which_it_runs_out():
    cover = only(shelf_of(ShelfRow("juice", 300), wanted=0.001))
    assert (cover.runs_out, cover.weeks) == (None, pytest.approx(7_800_000))


def test_the_heading_of_what_was_eaten_is_whole():
    eaten = tuple(RecordRow(on(10, day), "ate: juice", made=4) for day in (4, 20))
    household = shelf_of(ShelfRow("juice", 6), record=eaten)
    console = Console(width=100, file=io.StringIO(), color_system=None)
    console.print(winter_page(household, winter(household, household, NOVEMBER, 6)))
    assert "eaten/week" in console.file.getvalue()


def test_a_jar_counts_once_though_two_targets_could_have_it():
    first = Target("juice", 5, 5, importance=2, counts={"juice": 1.0}, weeks=26)
    must = Target("tomatoes", 6, 6, importance=1, counts={"juice": 1.0}, weeks=26)
    household = dataclasses.replace(shelf_of(ShelfRow("juice", 8)), targets=(first, must))
    amounts = {cover.target: cover.amount for cover in winter(household, household, NOVEMBER, 6).covers}
    assert amounts == {"juice": 2, "tomatoes": 6}


def test_what_the_plan_makes_before_the_first_day_counts_from_the_summer_on():
    """Twelve months from the last day of a rough week."""
    lines = (PlanLine(on(9, 7), 7, "juice", make=9.0), PlanLine(on(11, 2), 1, "juice", make=7.0))
    household = dataclasses.replace(shelf_of(plan_lines=lines), kitchen=Kitchen(on(9, 1)))
    found = winter(household, household, NOVEMBER, 12)
    assert (found.planned, found.covers[0].amount) == (True, 9)
    assert (found.covers[0].share_until, found.last) == (on(9, 13, 2027), on(11, 1, 2027))


def test_what_was_eaten_a_week_is_known_after_four_weeks_of_records():
    """Eight quarts since October 4, four weeks ago; three weeks tell nothing."""
    eaten = tuple(RecordRow(on(10, day), "ate: juice", made=4) for day in (4, 20))
    household = shelf_of(ShelfRow("juice", 6), record=eaten)
    assert (only(household).eaten, only(household).weeks_eaten) == (2.0, 3.0)
    assert only(dataclasses.replace(household, kitchen=Kitchen(on(10, 31)))).eaten is None


def test_what_spoiled_or_was_given_away_is_not_eaten():
    rows = [RecordRow(on(10, 4), f"{word}: juice", made=4) for word in ("ate", "gave", "spoiled", "surplus")]
    assert only(shelf_of(ShelfRow("juice", 6), record=tuple(rows))).eaten == 1.0


def test_nothing_is_eaten_past_its_date_and_no_jar_twice_on_any_shelf():
    """Two hundred random shelves against eating them day by day at the share that was worked out."""
    chance = random.Random(21)
    for _ in range(200):
        jars = [
            (
                float(chance.randint(1, 9)),
                chance.choice([None, NOVEMBER + datetime.timedelta(days=chance.randint(1, 200))]),
            )
            for _ in range(chance.randint(1, 6))
        ]
        last = NOVEMBER + datetime.timedelta(days=chance.randint(20, 180))
        share, until = even_share(jars, NOVEMBER, last)
        days, late, _ = eaten_in_order(jars, share, NOVEMBER)
        assert days >= (until - NOVEMBER).days - 1e-6
        assert days * share / 7 + late == pytest.approx(sum(amount for amount, _ in jars))
        more = eaten_in_order(jars, share * 1.02, NOVEMBER)[0]
        assert more < (until - NOVEMBER).days or share == 0


def test_no_container_is_given_to_two_targets_or_lost():
    chance = random.Random(3)
    names = ["a", "b", "c"]
    for _ in range(100):
        targets = [
            Target(f"t{number}", 5, 5, counts=dict.fromkeys(chance.sample(names, 2), 1.0)) for number in range(3)
        ]
        jars = {name: [(float(chance.randint(1, 6)), None) for _ in range(2)] for name in names}
        found = shared_out(targets, jars, {target.name: float(chance.randint(0, 7)) for target in targets})
        may = {name for target in targets for name in target.counts}
        total = sum(count for name in may for count, _ in jars[name])
        assert sum(amount for several in found.values() for amount, _ in several) == pytest.approx(total)


def test_the_command_shows_writes_and_is_the_same_the_second_time(tmp_path, capsys):
    path = build(
        tmp_path / "kitchen.xlsx",
        Shelf=[{"Preserve": "tomato juice, quart", "On hand": 9, "Best by": FRIDAY + datetime.timedelta(days=300)}],
    )
    assert run(["winter", str(path), "--months", "6", "--write"]) == 0
    words = " ".join(capsys.readouterr().out.split())
    assert "Saved in the Winter table of kitchen.xlsx." in words
    rows = [row[:3] for row in load_workbook(path)["Winter"].iter_rows(values_only=True)]
    at = rows.index(("Target", "On hand", "Unit"))
    assert rows[at + 1] == ("juice", 9, "quarts")
    before = path.read_bytes()
    assert run(["winter", str(path), "--months", "6", "--write", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["winter"][0]["on_hand"], found["receipt"]["written"]) == (9, False)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--months", "0.01"], "--months takes a number from 0.25 to 36, such as 4."),
        (["--from", "2026-08-01"], "before the first day"),
    ],
)
def test_months_and_days_that_cannot_be_are_refused(words, said, tmp_path, capsys):
    path = build(tmp_path / "kitchen.xlsx")
    assert run(["winter", str(path), *words]) == 2
    assert said in capsys.readouterr().err
