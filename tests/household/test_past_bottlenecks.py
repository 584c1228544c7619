"""What ran short in past plans: counted by hand, kept from plan to plan, and added up by the review."""

import dataclasses
import datetime

import pytest
from tests.household.test_run_out import JUICE, home
from tests.small_kitchen import FRIDAY, build

from stillroom.app.plan import read_workbook
from stillroom.app.year import review_of
from stillroom.cli import run
from stillroom.household.plan import Plan, periods
from stillroom.household.results.bottlenecks import (
    LONGEST,
    PAST_NOTE,
    Past,
    past_in,
    past_text,
    season_bottlenecks,
    with_gains,
    with_plan,
)
from stillroom.household.results.coverage import coverage_rows
from stillroom.household.results.shortages import containers_lost
from stillroom.household.results.sums import Sums
from stillroom.reports.terminal.review import bottleneck_lines
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.writer.plan import notes_in

DAYS = [datetime.date(2026, 8, day) for day in range(14, 20)]


def lost(household, kg):
    """What the seven quarts that are made cost, with so much tomato left over in the week."""
    plan = Plan(
        periods(household.kitchen),
        make={("juice", 0): 7.0},
        loads={("juice", 0): 1.0},
        surplus_kg={("tomato", 2): kg},
    )
    sums = Sums(household, plan)
    return containers_lost(sums, coverage_rows(sums))


def test_what_ran_out_cost_the_jars_that_the_crop_left_over_would_fill():
    """5 kg of tomato left over; with a jar or a lid more each would take its share of it."""
    each = home().preserve("juice").crop_kg_each("tomato")
    assert lost(home(), 5.0) == {"quart jar": 5.0 // each}
    assert lost(home(jars=20, lids=7), 5.0) == {"wide lid": 5.0 // each}


def test_no_more_is_lost_than_the_target_is_short():
    """30 wanted, 2 on the shelf and 7 made: at most 21, however much is left over; of 10 wanted, one; of 9, none."""
    assert lost(home(), 500.0) == {"quart jar": 21.0}
    for wanted, found in ((10, {"quart jar": 1.0}), (9, {})):
        targets = (dataclasses.replace(JUICE[0], wanted=wanted, at_most=wanted),)
        assert lost(home(targets=targets), 500.0) == found


def test_the_text_can_be_read_back_and_drops_the_oldest_plans_only():
    many = [
        Past(datetime.date(2020, 1, 1) + datetime.timedelta(days=day), f"jar “{day}”, quart", day + 0.5)
        for day in range(1500)
    ]
    kept = past_in(past_text(many))
    assert len(past_text(many)) <= LONGEST
    assert 200 < len(kept) < len(many)
    assert list(kept) == many[-len(kept) :]


def test_a_plan_without_any_bottleneck_is_counted_too_and_the_last_plan_of_a_day_counts():
    past = with_plan((), DAYS[0], [Past(DAYS[0], "lid", 3.0)])
    past = with_plan(past, DAYS[1], ())
    past = with_plan(past, DAYS[2], [Past(DAYS[2], "lid", 5.0)])
    past = with_plan(past, DAYS[2], [Past(DAYS[2], "lid", 2.0), Past(DAYS[2], "quart jar", 4.0)])
    past = with_gains(past, DAYS[1], [Past(DAYS[1], "canner", 6.0, "one more canner")])
    found = {one.name: one for one in season_bottlenecks(past, DAYS[0], DAYS[-1])}
    assert list(found) == ["quart jar", "lid", "canner"]
    assert [(one.plans, one.of, one.containers, one.gain) for one in found.values()] == [
        (1, 3, 4.0, None),
        (2, 3, 3.0, None),
        (1, 3, None, 6.0),
    ]
    assert season_bottlenecks(past, DAYS[3], DAYS[-1]) == ()
    assert bottleneck_lines(tuple(found.values())) == [
        "quart jar: short in 1 of 3 plans, up to 4 containers not filled.",
        "lid: short in 2 of 3 plans, up to 3 containers not filled.",
        "canner: short in 1 of 3 plans. In a trial, one more canner filled 6 more.",
        "Before next season, more of this would help: quart jar, lid, canner.",
    ]


def test_time_and_room_are_not_to_be_bought():
    past = [Past(DAYS[0], "hands-on hours", 7.0), Past(DAYS[0], "freezer space", 3.0)]
    assert not any("Before next" in line for line in bottleneck_lines(season_bottlenecks(past, DAYS[0], DAYS[0])))


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    """The small kitchen with seven jars, planned."""
    path = build(
        tmp_path_factory.mktemp("past") / "kitchen.xlsx",
        Containers=[{"Container": "quart jar", "Kind": "jar", "Holds": 1, "Unit": "quart", "On hand": 7, "Lid": "lid"}],
    )
    assert run(["plan", str(path)]) == 0
    return path


def test_each_plan_leaves_a_line_and_the_review_counts_them(planned):
    """All seven jars are used; the review says so."""
    (first,) = past_in(notes_in(Book.open(planned))[PAST_NOTE])
    assert (first.day, first.name, first.one_more) == (FRIDAY, "quart jar", "")
    assert first.containers > 0
    found = review_of(read_workbook(planned, FRIDAY)).bottlenecks
    assert (found[0].name, found[0].plans, found[0].of, found[0].containers) == ("quart jar", 1, 1, first.containers)
