"""Whole seasons: every kilogram accounted for, the same season everywhere, and what is said of many of them."""

from __future__ import annotations

import datetime
import pickle
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from tests.planning.strategies import households
from tests.samples import count
from tests.season_replay.comparing import difference, full_plan, hedged_opening, opening_of, share_of_list
from tests.season_replay.dying import die_always, die_once
from tests.season_replay.households import SURE, expected, one_crop, opening, two_crops
from tests.worked_examples import TUESDAY, day

from stillroom.app.parallel import import_early, processes, spread, threads
from stillroom.app.season import play_seasons
from stillroom.errors import StillroomError
from stillroom.household.records import Hours, Household, Lot
from stillroom.household.simulation.seasons import (
    Draw,
    Uncertainty,
    coming,
    ran_out,
    surplus,
    surplus_in_all,
    targets_met,
)
from stillroom.planning import rolling as light
from stillroom.planning.rolling import (
    Planned,
    Settings,
    light_plan,
    play,
    play_some,
    season_end,
    task,
)

SETTINGS = Settings(audit_every=1)


def test_every_kilogram_is_eaten_put_up_fed_or_left() -> None:
    """What lay there and what came = eaten + into preserves + fed + left, in each of twelve seasons."""
    household = two_crops()
    at_first = sum(lot.kg for lot in household.lots if not lot.expected)
    for one in play_seasons(household, opening(household, SETTINGS), SETTINGS, 12):
        gone = one.eaten_kg + one.used_kg + surplus_in_all(one) + one.left_kg
        assert at_first + one.harvest_kg == pytest.approx(gone)
        assert one.audited == one.plans - 1  # the first is audited once for all
        assert sum(one.made.values()) > 0


@settings(max_examples=count(20, 40), deadline=None, derandomize=True)
@given(household=households())
def test_any_household_can_be_played_and_every_kilogram_is_accounted_for(household: Household) -> None:
    """Anything short, fixed lines, weeks only, preserves made of others: every plan keeps every constraint."""
    expected_lots = tuple(replace(lot, expected=lot.frozen_on is None) for lot in household.lots)
    household = replace(household, lots=expected_lots)
    at_first = sum(lot.kg for lot in household.lots if not coming(lot, household.kitchen.first_day))
    one = play(household, Draw(1, 0), SETTINGS)
    gone = one.eaten_kg + one.used_kg + surplus_in_all(one) + one.left_kg
    assert at_first + one.harvest_kg == pytest.approx(gone, abs=1e-6)
    assert one.spent <= household.kitchen.spending_limit + 1e-6
    wanted = {target.name: target.wanted for target in household.targets}
    assert all(0 <= amount <= wanted[name] for name, amount in one.filled.items())


def test_a_season_is_planned_every_few_days_and_the_morning_after_a_lost_evening(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Without lost evenings on days 0, 3, 6, ...; with all of them lost on every day."""
    days: list[int] = []

    def noted(household: Household, whole: int, end: datetime.date) -> Planned:
        days.append((household.kitchen.first_day - TUESDAY).days)
        return light_plan(household, whole, end)

    household = two_crops()
    play(household, Draw(1, 0, SURE), Settings(planner=noted))
    assert days == [0, 3, 6, 9, 12, 15, 18]
    days.clear()
    lost = play(household, Draw(1, 0, replace(SURE, lost_evening=1.0)), Settings(planner=noted))
    assert days == list(range(19))
    assert lost.evenings_lost == 19
    assert lost.made == {}


def test_days_without_hands_cannot_be_lost() -> None:
    household = two_crops()
    hours = (Hours("hands", (0, 9, 0, 0, 0, 9, 0), 18),)
    lost = play(replace(household, hours=hours), Draw(1, 0, replace(SURE, lost_evening=1.0)), SETTINGS)
    assert lost.evenings_lost == 6


def test_the_first_plans_may_be_made_by_another_planner() -> None:
    """The opener makes so many of the first plans; the rest are light."""
    by: list[str] = []

    def opener(household: Household, whole: int, end: datetime.date) -> Planned:
        by.append("opener")
        return full_plan(household, whole, end)

    def after(household: Household, whole: int, end: datetime.date) -> Planned:
        by.append("light")
        return light_plan(household, whole, end)

    play(two_crops(), Draw(1, 0, SURE), Settings(planner=after, opener=opener, openings=2))
    assert by[:4] == ["opener", "opener", "light", "light"]


def test_a_plan_of_weeks_only_is_no_plan_for_the_days() -> None:
    """A household that plans no detailed days is planned for the replay by its own days."""
    household = two_crops()
    weekly = replace(household, kitchen=replace(household.kitchen, days_planned_singly=0, weeks_after_that=3))
    settings = Settings(audit_every=1, opener=full_plan)
    _, first = opening_of(weekly, settings)
    one = play(weekly, Draw(1, 0, SURE), settings, replace(first, periods=first.periods[-1:]))
    assert one.made


def test_a_plan_that_breaks_a_rule_stops_the_season() -> None:
    def wrong(household: Household, whole: int, end: datetime.date) -> Planned:
        shaped, plan = light_plan(household, whole, end)
        return shaped, replace(plan, make={("juice", 0): 999.0})

    with pytest.raises(StillroomError, match="violates a constraint"):
        play(two_crops(), Draw(1, 0, SURE), Settings(audit_every=1, planner=wrong))


def test_a_task_and_a_season_can_be_sent_and_come_back_the_same() -> None:
    household = two_crops()
    sent = task(household, SETTINGS, (3,), opening(household, SETTINGS))
    [here] = play_some(sent)
    [there] = pickle.loads(pickle.dumps(play_some(pickle.loads(pickle.dumps(sent)))))
    assert here == there == play(household, Draw(1, 3), SETTINGS, opening(household, SETTINGS))


def test_more_draws_and_another_order_leave_each_season_as_it_was() -> None:
    household = two_crops()
    first = opening(household, SETTINGS)
    few = play_seasons(household, first, SETTINGS, 3)
    more = play_seasons(household, first, SETTINGS, 5)
    assert more[:3] == few
    assert play_some(task(household, SETTINGS, (2, 0), first)) == (few[2], few[0])
    assert play_seasons(household, first, replace(SETTINGS, seed=2), 3) != few


def test_threads_processes_and_one_after_another_play_the_same_seasons() -> None:
    household = two_crops()
    first = opening(household, SETTINGS)
    alone = play_seasons(household, first, SETTINGS, 8)
    with threads(3) as crew:
        assert play_seasons(household, first, SETTINGS, 8, crew) == alone
    with processes(2, import_early) as crew:
        assert play_seasons(household, first, SETTINGS, 8, crew) == alone


def test_what_a_killed_process_had_is_done_again(tmp_path: Path) -> None:
    given = [str(tmp_path / name) for name in ("a", "b", "c.dies", "d", "e.dies", "f")]
    with processes(2) as crew:
        done = spread(die_once, given, crew)
    assert [one.result for one in done] == ["a", "b", "c.dies", "d", "e.dies", "f"]


def test_work_that_always_ends_its_worker_fails_alone() -> None:
    given = ["a", "b.dies", "c", "d", "e", "f"]
    with processes(2) as crew:
        done = spread(die_always, given, crew)
    assert [one.result for one in done] == ["a", None, "c", "d", "e", "f"]
    assert done[1].error is not None


def half(number: int) -> float:
    """Half of an even number; an error for an odd one."""
    if number % 2:
        msg = f"{number} is odd"
        raise StillroomError(msg)
    return number / 2


def test_an_error_is_kept_beside_the_others_and_little_is_given_out_at_a_time() -> None:
    told: list[int] = []
    with threads(2) as crew:
        submit, most = crew.executor.submit, [0]
        out: list[object] = []

        def counting(*words: object) -> object:
            future = submit(*words)  # type: ignore[arg-type]
            out.append(future)
            most[0] = max(most[0], sum(not one.done() for one in out))  # type: ignore[attr-defined]
            return future

        crew.executor.submit = counting  # type: ignore[method-assign, assignment]
        done = spread(half, range(40), crew, told.append)
    assert [one.result for one in done] == [None if number % 2 else number / 2 for number in range(40)]
    assert most[0] <= crew.hands + 2
    assert told[-1] == 40
    assert [str(one.error) for one in spread(half, [3, 4], None)] == ["3 is odd", "None"]


def test_nothing_to_do_is_nothing_done() -> None:
    with threads(1) as crew:
        assert spread(half, [], crew) == []


def test_what_is_said_of_seasons_counted_by_hand() -> None:
    """Lots of 8, 12 and 14 kg for 10 bags: met in 2 of 3, 8 at least; 0, 2 and 4 kg are left and fed nowhere."""
    household = one_crop(10.0, (Lot("tomato", TUESDAY, 12.0),))
    first = opening(household, SETTINGS)
    played = []
    for number, kg in enumerate((8.0, 12.0, 14.0)):
        with_lot = replace(household, lots=(Lot("tomato", TUESDAY, kg),))
        played.append(play(with_lot, Draw(1, number, SURE), Settings(unsure=SURE)))
    [juice] = targets_met(household, first, played)
    assert (juice.met, juice.draws, juice.planned, juice.least, juice.nine_of_ten) == (2, 3, 10.0, 8.0, 8.0)
    assert juice.mean == pytest.approx(28 / 3)
    assert surplus(first, played).mean == 0.0
    assert ran_out(played) == ()
    assert share_of_list(household, 1)(played[0]) == pytest.approx(0.8)


def test_two_ways_are_compared_over_the_same_seasons_only() -> None:
    """More jars wanted, the same draws: the difference is that of each season, and an equal one is nothing at all."""
    household = one_crop(12.0, (expected(10.0, 1, 8.0, 14.0),))
    settings = Settings(unsure=SURE)
    few = play_seasons(household, opening(household, settings), settings, 30)
    same = difference(few, few, surplus_in_all)
    assert (same.mean, same.low, same.high) == (0.0, 0.0, 0.0)
    more = replace(household, lots=(*household.lots, Lot("tomato", day(0), 1.0)))
    better = play_seasons(more, opening(more, settings), settings, 30)
    gained = difference(better, few, lambda one: one.filled["juice"])
    assert 0.0 < gained.low <= gained.mean <= gained.high <= 1.0
    with pytest.raises(ValueError, match="same seasons"):
        difference(few, better[:-1], surplus_in_all)


def test_without_any_chance_the_replay_fills_what_the_plan_fills() -> None:
    """All as expected, planned in full every few days: no target ends lower than the first plan says, by over a jar."""
    household = two_crops()
    lots = tuple(replace(lot, least_kg=lot.kg, most_kg=lot.kg) for lot in household.lots)
    household = replace(household, lots=lots)
    settings = Settings(unsure=SURE, planner=full_plan, audit_every=1)
    shaped, first = opening_of(household, settings)
    one = play(household, Draw(1, 0, SURE), settings, first)
    planned = targets_met(shaped, first, [one])
    assert all(target.least >= target.planned - 1.0 for target in planned)
    assert season_end(household) == first.periods[-1].last_day
    assert (light.light_plan, light.AUDIT_EVERY) == (light_plan, 1)


def test_uncertainty_is_stated_in_one_place() -> None:
    unsure = Uncertainty()
    assert (unsure.harvest_share, unsure.together, unsure.yield_spread, unsure.lost_evening) == (0.3, 0.5, 0.08, 0.1)


def test_a_season_may_be_begun_by_a_plan_for_several_harvests() -> None:
    """The hedged plan is audited as any other, can be sent, and leaves no season without a plan."""
    household = two_crops()
    settings = Settings(opener=hedged_opening)
    _, first = opening_of(household, settings)
    plain = play_seasons(household, opening(household, SETTINGS), SETTINGS, 6)
    hedged = play_seasons(household, first, settings, 6)
    assert pickle.loads(pickle.dumps(task(household, settings, (0,), first))).opening.make == dict(first.make)
    assert [one.harvest_kg for one in hedged] == [one.harvest_kg for one in plain]
    assert all(one.made for one in hedged)


def test_a_season_leaves_nothing_behind_but_its_few_figures() -> None:
    """What is kept of a draw is under 3 kB, and four more of them leave hardly more than that in memory."""
    import gc
    import tracemalloc

    household = two_crops()
    first = opening(household, SETTINGS)
    play_seasons(household, first, SETTINGS, 2)
    tracemalloc.start()
    kept = []
    grown = []
    for number in range(2, 8):
        kept += play_some(task(household, SETTINGS, (number,), first))
        gc.collect()
        grown.append(tracemalloc.get_traced_memory()[0])
    tracemalloc.stop()
    assert all(len(pickle.dumps(one)) < 3000 for one in kept)
    assert (grown[-1] - grown[1]) / 4 < 8000
