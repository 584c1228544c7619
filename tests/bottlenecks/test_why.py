"""
Why not more of a preserve, and why a need falls short: the answer holds when the kitchen is planned with the change.
"""

from __future__ import annotations

import dataclasses

import pytest
from tests.planning.any_kitchen import any_kitchen
from tests.samples import every
from tests.worked_examples import TUESDAY, bag, day, home, jar, target

from stillroom.household.records import Equipment, Hours, Household, Load, Lot, Tighter
from stillroom.household.simulation.seasons import filled_by_plan
from stillroom.household.suppose import more
from stillroom.planning.bottlenecks.resources import catalogue
from stillroom.planning.parameters import Parameters
from stillroom.planning.solve import build, plan
from stillroom.planning.why import why_preserve, why_target

PLENTY = {
    "container": 500.0,
    "lid": 500.0,
    "pantry": 500.0,
    "hours": 200.0,
    "equipment": 40.0,
    "space": 5000.0,
    "freezing": 500.0,
    "money": 1e5,
}


def beans_by_hand(smallest_batch: int) -> Household:
    """Hands for three bags on each of two days, and thirty kilograms of beans."""
    hands = Hours("hands", tuple(0.6 if number in (1, 2) else 0.0 for number in range(7)), 0.0)
    beans = bag("beans", "bean", 1.0, smallest_batch=smallest_batch, hands_minutes_each=12.0)
    return home((beans,), (Lot("bean", TUESDAY, 30.0),), (target("beans", 4, 9.0),), hours=(hands,))


def test_a_batch_that_no_day_has_hands_for_is_said_to_be_in_the_way() -> None:
    """Three bags a day, begun for four: none can be made, and one day's hands would do it."""
    household = beans_by_hand(4)
    found = why_preserve(household, plan(household), "beans")
    assert (found.made, found.lost) == (0, None)
    assert len(found.bottlenecks) == 1
    assert found.bottlenecks[0].startswith("hands on")


def juice_on_a_clock(wanted: float) -> Household:
    """Hours for two loads a day, but the clock holds one load today and none tomorrow."""
    household = home(
        (jar("juice", "tomato", 1.0),),
        (Lot("tomato", TUESDAY, 60.0),),
        (target("juice", wanted, 21.0),),
        hours=(Hours("stove free", (2.0,) * 7, 0.0),),
    )
    return dataclasses.replace(household, tighter=Tighter(most=(("juice", day(0), 7), ("juice", day(1), 0))))


def test_what_does_not_fit_the_clock_is_in_the_way() -> None:
    """Not more of a preserve, and a need that falls short: both for the clock of tomorrow, whatever hours add up to."""
    household = juice_on_a_clock(7.0)
    of_juice = why_preserve(household, plan(household), "juice")
    assert (of_juice.made, of_juice.lost) == (7.0, None)
    assert of_juice.bottlenecks == ("what fits the clock on Wed Aug 19",)
    household = juice_on_a_clock(21.0)
    found = why_target(household, plan(household), "juice")
    assert (found.filled, found.could) == (7.0, pytest.approx(14.0, abs=0.01))
    assert found.bottlenecks == ("what fits the clock on Wed Aug 19",)


def test_a_canner_that_comes_later_is_said_with_its_day() -> None:
    """A canner that is free from Friday on, and a plan to Wednesday: another one would not be lacking today."""
    later = Equipment("canner", "boiling-water canner", 1, (Load(7.0, "jar"),), 1.0, 20 / 60, free_from=day(3))
    household = home(
        (jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 9.0),), (target("juice", 7),), equipment=(later,)
    )
    assert why_target(household, plan(household), "juice").bottlenecks == ("canner (free from Fri Aug 21)",)


@pytest.mark.parametrize("number", every(3, range(28)))
def test_why_is_answered_for_any_kitchen_and_its_limits_are_the_ones(number: int) -> None:
    """
    Every question has an answer; and planned with plenty of all that is in a need's way, its importance gains as much.

    Not where a need's way is barred by what no more of a thing can loosen: a day that comes later, or room on the list.
    Every third kitchen; `python3 tests/bench.py samples` takes all.
    """
    household = any_kitchen(number)
    found = plan(household)
    filled = filled_by_plan(household, found)
    for item in household.planned():
        if item.include:
            why_preserve(household, found, item.name)
    for one in household.targets:
        if filled[one.name] >= one.wanted - 0.01:
            continue
        answer = why_target(household, found, one.name)
        loosened = with_plenty(household, answer.bottlenecks)
        if answer.could < 0.01 or loosened is None:
            continue
        now = filled_by_plan(loosened, plan(loosened))
        could = filled | {one.name: filled[one.name] + answer.could}
        for importance in range(1, one.importance + 1):
            before, after = worth(household, filled, importance), worth(loosened, now, importance)
            least = worth(household, could if importance == one.importance else filled, importance)
            assert after >= least - 0.002 * max(1.0, least) - 0.01, (number, answer)
            if after > before + 0.01:
                break


def with_plenty(household: Household, words: tuple[str, ...]) -> Household | None:
    """The household with plenty of each of these limits; None where one of them is not a matter of more."""
    parameters, variables = build(household)
    known = {bottleneck.words: bottleneck for bottleneck in reversed(catalogue(parameters, variables))}
    for said in words:
        bottleneck = known.get(said)
        if bottleneck is None or (bottleneck.kind == "equipment" and has_days_off(parameters, bottleneck.name)):
            return None
        if bottleneck.kind == "crop":
            for period in parameters.periods:
                household = more.more_crop(household, bottleneck.name, 500.0, period.first_day)
        else:
            household = bottleneck.loosened(household, PLENTY[bottleneck.kind])
    return household


def has_days_off(parameters: Parameters, name: str) -> bool:
    """Whether a piece of equipment has no hours in some period, so that more of it are of no use there."""
    piece = parameters.household.equipment_named(name)
    return any(parameters.equipment_hours(piece, period) == 0 for period in parameters.periods)


def worth(household: Household, filled: dict[str, float], importance: int) -> float:
    """The points of one importance."""
    gains = (4.0, 3.0, 2.0, 1.0) if household.kitchen.fill_targets_evenly else (1.0,)
    points = 0.0
    for one in household.targets:
        left, size = filled[one.name], one.wanted / len(gains)
        for gain in gains if one.importance == importance and size > 0 else ():
            points += one.weight * gain * min(left, size) / one.wanted
            left -= min(left, size)
    return points
