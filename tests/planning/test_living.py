"""What the bench of lived plans counts: plans made by hand that are silly, each beside one that had no choice."""

from __future__ import annotations

import dataclasses
import datetime
import json
import math

import pytest
from tests.benches import living
from tests.benches._living_counts import (
    FREEZE,
    LONELY,
    LONG,
    OFTEN,
    SMALL,
    WEEK_CRUMB,
    Counts,
    batches,
    finished_in_time,
    jobs_of,
    work,
)
from tests.timetable.kitchens import POT, home, juice, on

from stillroom.household.examples import tiny_household
from stillroom.household.plan import Plan, periods
from stillroom.household.records import (
    Container,
    Crop,
    Equipment,
    Hours,
    Household,
    Ingredient,
    Kitchen,
    Load,
    Lot,
    PlanLine,
    Preserve,
    Target,
)
from stillroom.household.results.clock import Step
from stillroom.timetable.clock import on_the_clock

DAY = datetime.date(2026, 8, 17)
BEANS = Preserve(
    "beans", "boiling-water canned", "jar", equipment=("canner",), load=7, hands_minutes_each=5.0, process_minutes=30.0,
    ingredients=(Ingredient("bean", "crop", 1.0),),
)  # fmt: skip
SLICES = dataclasses.replace(BEANS, name="slices", ingredients=(Ingredient("apple", "crop", 1.0),))
DRIED = dataclasses.replace(BEANS, name="dried beans", method="dried", equipment=("dryer",))
KITCHEN = Household(
    Kitchen(DAY, days_planned_singly=4, weeks_after_that=1, people=1.0),
    hours=(Hours("hands", (4.0,) * 7, 20.0), Hours("stove free", (4.0,) * 7, 20.0)),
    equipment=(
        Equipment("canner", "boiling-water canner", 1, (Load(7.0, "jar"),), 1.0),
        Equipment("dryer", "dryer", 1, (Load(7.0, "jar"),), runs_overnight=True),
    ),
    crops=(Crop("bean", 3.0), Crop("apple", 30.0)),
    lots=(Lot("bean", DAY, 40.0), Lot("apple", DAY, 40.0)),
    containers=(Container("jar", "jar", 1.0, on_hand=60.0),),
    preserves=(BEANS, SLICES, DRIED),
    targets=(Target("beans", 30.0, 40.0, counts={"beans": 1.0, "dried beans": 1.0}), Target("apples", 30.0, 40.0, counts={"slices": 1.0})),
)  # fmt: skip


def counts(make, household=KITCHEN, **amounts):
    """A plan made by hand, with as few loads as its jars take."""
    loads = {key: float(math.ceil(many / 7)) for key, many in make.items() if key[1] < 4}
    return Counts(household, Plan(periods(household.kitchen), make, loads, **amounts))


def reasons(found, kind):
    """The reasons of one kind of finding."""
    return [reason for what, _, reason in found.findings() if what == kind]


def at_most(most):
    """The kitchen whose target for beans stops there."""
    return KITCHEN.changed("targets", "beans", at_most=most, wanted=min(most, 30.0))


EIGHT, LEFT = {("beans", 0): 8.0}, {("bean", 0): 3.0}


def test_a_jar_in_a_second_load_is_silly_while_crop_is_left_over():
    found = counts(EIGHT, surplus_kg=LEFT)
    assert reasons(found, SMALL) == [""]
    assert reasons(found, LONELY) == [""]
    assert found.fullness() == {"all jars": 8, "all capacity": 14, "loads": 2, "jars": 8, "capacity": 14}


@pytest.mark.parametrize(
    ("reason", "household", "surplus"),
    [
        ("target", at_most(8.0), LEFT),
        ("crop", KITCHEN, {}),
        ("jars", KITCHEN.changed("containers", "jar", on_hand=8.0), LEFT),
        ("kept by hand", dataclasses.replace(KITCHEN, plan_lines=(PlanLine(DAY, 1, "beans", fix=8.0),)), LEFT),
    ],
)
def test_the_same_load_is_forced_by(reason, household, surplus):
    found = counts(EIGHT, household, surplus_kg=surplus)
    assert reasons(found, SMALL) == [reason]
    full = found.fullness()
    assert (full["jars"], full["capacity"], full[f"forced: {reason}"]) == (7, 7, 1)


AT_ONCE = KITCHEN.changed("crops", "bean", keeps_days=0.0)


def test_two_part_loads_of_two_days_are_silly_while_crop_of_one_of_them_lies_there_or_keeps():
    make = {("beans", 0): 2.0, ("beans", 2): 3.0}
    stop = {"at_most": 5.0, "wanted": 5.0}
    kept = KITCHEN.changed("targets", "beans", **stop)
    assert reasons(counts(make, kept), SMALL) == [""]
    gone = AT_ONCE.changed("targets", "beans", **stop)
    assert reasons(counts(make, gone), SMALL) == ["keeping"]
    assert reasons(counts(make, gone, fresh_kg={("bean", 0): 3.0, ("bean", 1): 3.0}), SMALL) == [""]


def test_jars_that_no_load_could_hold_together_are_forced_and_those_a_week_could_give_are_silly():
    assert reasons(counts({("beans", 0): 2.0, ("beans", 1): 6.0}, at_most(8.0)), SMALL) == ["target"]
    week = {("beans", 0): 2.0, ("beans", 4): 7.0}
    assert reasons(counts(week, at_most(9.0)), SMALL) == ["keeping"]
    lying = {("bean", number): 1.0 for number in range(4)}
    assert reasons(counts(week, at_most(9.0), fresh_kg=lying), SMALL) == [""]


def test_freezing_two_pounds_is_silly_unless_there_was_no_more():
    assert reasons(counts({}, freeze_kg={("bean", 0): 1.0}), FREEZE) == [""]
    few = dataclasses.replace(KITCHEN, lots=(Lot("bean", DAY, 1.0),))
    assert reasons(counts({}, few, freeze_kg={("bean", 0): 1.0}), FREEZE) == ["all there was"]
    assert reasons(counts({}, freeze_kg={("bean", 0): 2.0}), FREEZE) == []


def test_a_preserve_on_three_days_is_silly_unless_it_is_dried_or_a_day_is_full():
    make = {("beans", 0): 2.0, ("beans", 1): 2.0, ("beans", 2): 2.0}
    lying = {("bean", 0): 4.0, ("bean", 1): 2.0}
    assert reasons(counts(make, fresh_kg=lying), OFTEN) == [""]
    busy = dataclasses.replace(KITCHEN, hours=(Hours("hands", (0.2,) * 7, 20.0), KITCHEN.hours[1]))
    assert reasons(counts(make, busy, fresh_kg=lying), OFTEN) == ["hands"]
    few = dataclasses.replace(KITCHEN, preserves=(dataclasses.replace(BEANS, kept_in="freezer"),))
    assert reasons(counts(make, few.with_kitchen(freeze_kg_a_day=3.0), fresh_kg=lying), OFTEN) == ["freezer a day"]
    dried = {("dried beans", number): many for (_, number), many in make.items()}
    assert reasons(counts(dried, fresh_kg=lying), OFTEN) == ["dryer"]
    assert reasons(counts(dict(list(make.items())[:2]), fresh_kg=lying), OFTEN) == []


def test_less_than_half_a_jar_in_a_week_is_a_crumb_unless_a_target_needs_it():
    assert reasons(counts({("beans", 0): 35.0, ("beans", 4): 0.3}), WEEK_CRUMB) == [""]
    assert reasons(counts({("beans", 0): 7.0, ("beans", 4): 0.3}), WEEK_CRUMB) == ["target"]
    assert reasons(counts({("beans", 4): 0.6}), WEEK_CRUMB) == []


def test_apples_on_the_busiest_day_are_silly_while_another_day_would_do():
    make = {("beans", 0): 14.0, ("slices", 0): 7.0}
    assert reasons(counts(make), LONG) == [""]
    assert reasons(counts({("slices", 0): 7.0, ("beans", 1): 14.0}), LONG) == []
    gone = KITCHEN.changed("crops", "apple", keeps_days=14.0)
    gone = dataclasses.replace(gone, lots=(Lot("apple", DAY - datetime.timedelta(days=14), 9.0), *KITCHEN.lots[:1]))
    assert reasons(counts(make, gone), LONG) == ["keeping"]


def test_a_roomy_day_is_always_finished_and_one_without_slack_only_sometimes():
    roomy = home(juice(), hands=6.0, stove=6.0)
    tight = home(juice(), hands=0.25, stove=1.35)
    for household, shares in ((roomy, {1.0}), (tight, {number / 30 for number in range(1, 30)})):
        clock = on_the_clock(household, [on("juice", 7)])
        done = [finished_in_time(household, clock, 0, f"{seed}", pots=True) for seed in range(30)]
        assert sum(done) / 30 in shares


def test_nobody_is_in_two_places_and_two_loads_wait_for_the_one_canner():
    household = home(juice(hands_minutes_each=3.0))
    ends = []
    for jars in (7, 14):
        day = on_the_clock(household, [on("juice", jars)])[0]
        jobs = jobs_of(household, day, NoChance(), pots=True)
        work(day, jobs, {})
        ends.append((max(job.over for job in jobs), (day.ends - day.kitchen.starts).total_seconds() / 60))
    assert [over for over, _ in ends] == [planned for _, planned in ends]


class NoChance:
    """Chance under which every step takes what is planned."""

    def uniform(self, low, high):
        """Return the middle."""
        return (low + high) / 2


def test_sauce_for_fourteen_quarts_of_juice_is_boiled_down_in_two_batches():
    pot = dataclasses.replace(POT, loads=(Load(8.0, "quart jars"),))
    sauce = juice(equipment=("pot", "canner"), ingredients=(Ingredient("tomato", "crop", 46 * 0.45359237 / 7),))
    cook = Step(datetime.datetime.min, datetime.datetime.max, "cook", "", "juice", 1, 1, ("pot",), containers=7.0)
    assert batches(home(sauce, equipment=(pot,)), cook) == 2
    assert batches(home(sauce, equipment=(pot,)), dataclasses.replace(cook, containers=4.0)) == 1
    assert batches(home(sauce, equipment=(pot,)), dataclasses.replace(cook, equipment=("pot 1", "pot 2"))) == 1
    liters = dataclasses.replace(pot, loads=(Load(7.5, "L"),))
    assert batches(home(sauce, equipment=(liters,)), cook) == 2
    assert (
        batches(home(sauce), cook)
        == batches(home(sauce, equipment=(pot,)), dataclasses.replace(cook, equipment=()))
        == 1
    )


@pytest.mark.parametrize("noisy", [False, True])
def test_a_small_kitchen_is_lived_three_days(noisy, capsys):
    household = tiny_household().with_kitchen(days_planned_singly=3, weeks_after_that=1)
    rows = living.live("tiny", 3, 3, noisy=noisy, household=dataclasses.replace(household, plan_lines=()))
    assert [row["day"] for row in rows] == [0, 1, 2, 3]
    assert sum(row["broken"] for row in rows) == 0
    if not noisy:
        assert [row["changed"] for row in rows][:3] == [None, 0, 0]
        assert sum(row.get("not made as planned", 0) for row in rows) == 0
        assert rows[-1]["lived"] == pytest.approx(rows[-1]["hindsight"], rel=0.2, abs=1.0)
    living.report("lived", {"new": json.loads(json.dumps(rows))})
    assert "counted loads, % full" in capsys.readouterr().out


def test_lines_are_compared_by_day_with_half_a_jar_and_half_a_pound():
    former = [
        PlanLine(DAY, 1, "beans", 7.0),
        PlanLine(DAY, 1, "freeze whole: bean", 2.0),
        PlanLine(DAY, 7, "beans", 9.0),
    ]
    now = [PlanLine(DAY, 1, "beans", 6.0), PlanLine(DAY, 1, "freeze whole: bean", 2.2)]
    assert living.lines_changed(former, now, DAY) == 1
    assert living.lines_changed(former, [], DAY) == 2
    assert living.lines_changed(former, now, DAY + datetime.timedelta(days=1)) == 0
