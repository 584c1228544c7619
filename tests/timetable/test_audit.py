"""The audit of the clock catches each promise that is broken, one spoiled clock at a time."""

import dataclasses
import datetime

import pytest
from tests.timetable.kitchens import CANNER, apples, at, beans, home, juice, on

from stillroom.household.records import Household
from stillroom.timetable.audit import broken_promises, too_much_to_freeze
from stillroom.timetable.clock import on_the_clock

MINUTE = datetime.timedelta(minutes=1)
HOME = home(juice(hands_minutes_each=5.0), beans(), apples())
SESSIONS = [on("apples", 6), on("beans", 7), on("juice", 14)]


def spoiled(kind, change, name=None, household: Household = HOME):
    """What the audit says when every step of a kind is changed."""
    clock = on_the_clock(household, SESSIONS)
    assert broken_promises(household, SESSIONS, clock) == ()
    (day,) = clock
    steps = []
    for step in day.steps:
        hit = step.kind == kind and name in (None, step.name)
        new = change(step) if hit else step
        steps += [] if new is None else [new]
    return " | ".join(broken_promises(household, SESSIONS, [dataclasses.replace(day, steps=tuple(steps))]))


def longer(step, minutes):
    """The step with more minutes, or fewer."""
    return dataclasses.replace(step, end=step.end + minutes * MINUTE)


def moved(step, minutes):
    """The step at another time."""
    return dataclasses.replace(step, start=step.start + minutes * MINUTE, end=step.end + minutes * MINUTE)


@pytest.mark.parametrize("kind", ["heat", "vent", "process", "cool", "run"])
def test_a_step_that_is_too_short_is_caught(kind):
    assert f"{kind} takes" in spoiled(kind, lambda step: longer(step, -1))


@pytest.mark.parametrize("kind", ["heat", "vent", "process", "cool", "run"])
def test_a_step_that_is_missing_is_caught(kind):
    missed = "process" if kind == "run" else kind
    assert f"{missed} takes" in spoiled(kind, lambda _: None)


def test_too_few_minutes_of_hands_are_caught():
    assert "minutes of labor" in spoiled("prepare", lambda _: None, "juice")


def test_steps_out_of_order_are_caught():
    assert "before process ends" in spoiled("cool", lambda step: moved(step, -5))


def test_a_pause_where_there_may_be_none_is_caught():
    assert "waits from" in spoiled("process", lambda step: moved(step, 1))


def test_hands_at_two_things_at_once_are_caught():
    assert "hands A are in use" in spoiled("fill", lambda step: dataclasses.replace(step, start=at(8), end=at(8, 10)))


def test_burners_doubly_used_are_caught():
    assert "burners are in use" in spoiled("heat", lambda step: dataclasses.replace(step, burners=3))


def test_a_canner_doubly_used_is_caught():
    clock = on_the_clock(home(juice(), equipment=(dataclasses.replace(CANNER, how_many=2),)), [on("juice", 14)])
    said = broken_promises(home(juice()), [on("juice", 14)], clock)
    assert any("there is no canner 1" in words for words in said)
    as_one = [
        dataclasses.replace(
            day, steps=tuple(dataclasses.replace(s, equipment=("canner",) if s.equipment else ()) for s in day.steps)
        )
        for day in clock
    ]
    assert any("2 canner are in use" in words for words in broken_promises(home(juice()), [on("juice", 14)], as_one))


def test_more_than_the_freezer_takes_in_a_day_is_caught():
    """5 kg of tomatoes frozen whole and 4 bags of a kilogram: 9 kg, and the freezer takes 8."""
    bags = dataclasses.replace(
        beans(), name="bags", method="frozen", kept_in="freezer", equipment=(), load=None, process_minutes=0.0
    )
    sessions = [on("bags", 4), on("freeze whole: tomato", 5.0)]
    assert list(too_much_to_freeze(home(bags, kitchen={"freeze_kg_a_day": 9.0}), sessions)) == []
    assert list(too_much_to_freeze(home(bags, kitchen={"freeze_kg_a_day": 8.0}), sessions)) == [
        "Aug 18: 19.8 lb are to be frozen, and the freezer takes 17.6 lb a day"
    ]


def test_what_is_not_on_the_clock_is_caught():
    assert "14 of juice planned, 0 on the clock" in " ".join(broken_promises(HOME, [on("juice", 14)], ()))


def test_more_than_a_load_holds_is_caught():
    clock = on_the_clock(home(juice(load=14)), [on("juice", 14)])
    assert any("holds more than 7" in words for words in broken_promises(HOME, [on("juice", 14)], clock))


def test_a_start_before_the_day_is_caught():
    assert "before the day does" in spoiled("prepare", lambda step: moved(step, -120), "juice")


def test_an_end_after_the_day_is_said_to_end_is_caught():
    assert "ends after the day is said to" in spoiled("take out", lambda step: longer(step, 600))
