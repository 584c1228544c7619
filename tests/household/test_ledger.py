"""The record taken off what was counted and weighed, each case worked by hand."""

import datetime
import itertools
import math
import random
from dataclasses import replace

import pytest

from stillroom.household.journal.events import still_to_do
from stillroom.household.journal.stocks import settle, with_best_by
from stillroom.household.plan import best_by
from stillroom.household.records import (
    Container,
    Crop,
    Household,
    Ingredient,
    Kitchen,
    Lid,
    Lot,
    PantryItem,
    PlanLine,
    Preserve,
    RecordRow,
    ShelfRow,
)
from stillroom.reports.problems import gathered, line, sentences


def day(number):
    return datetime.date(2026, 8, number)


JUICE = Preserve(
    "juice",
    "boiling-water canned",
    "quart",
    ingredients=(Ingredient("tomato", "crop", 1.5, from_frozen=True), Ingredient("lemon", "pantry", 0.03)),
    keeps_months=12,
)
SOUP = Preserve(
    "soup",
    "frozen",
    "bag",
    ingredients=(Ingredient("corn", "crop", 1.0), Ingredient("juice", "preserve", 0.5)),
    keeps_months=6,
)
HOME = Household(
    Kitchen(day(14)),
    crops=(Crop("tomato", 5), Crop("corn", 2)),
    lots=(
        Lot("tomato", day(10), 20.0, where="T1"),
        Lot("tomato", day(12), 30.0, where="T2"),
        Lot("corn", day(13), 10.0, where="K1"),
    ),
    containers=(
        Container("quart", "jar", 0.95, on_hand=24, counted_on=day(1), lid="wide", where="C1"),
        Container("bag", "bag", 1.0, on_hand=10, counted_on=day(1), where="C2"),
    ),
    lids=(Lid("wide", 30, counted_on=day(1), where="L1"),),
    pantry=(PantryItem("lemon", "litre", 1.0, counted_on=day(1), unit="cup", per_base=4.0, where="G1"),),
    preserves=(JUICE, SOUP),
)


def with_record(*rows, **more):
    return replace(HOME, record=rows, **more)


def stocks(household):
    return {one.name: one.on_hand for one in (*household.containers, *household.lids, *household.pantry)}


def lots(household):
    return [
        (lot.crop, lot.picked_on.day, round(lot.kg, 6), lot.frozen_on and lot.frozen_on.day) for lot in household.lots
    ]


def test_without_a_record_everything_stays_as_it_was_counted():
    settled, problems = settle(HOME)
    assert problems == ()
    assert stocks(settled) == {"quart": 24, "bag": 10, "wide": 30, "lemon": 1.0}
    assert lots(settled) == [("corn", 13, 10, None), ("tomato", 10, 20, None), ("tomato", 12, 30, None)]


def test_seven_sealed_and_two_failed_jars():
    """
    Nine lids, nine jars' food (9 * 1.5 = 13.5 kg, 9 * 0.03 = 0.27 L), but only seven jars full and seven on the shelf.

    24 - 7 = 17 jars; 30 - 9 = 21 lids; 1 - 0.27 = 0.73 L; the lot of the 10th: 20 - 13.5 = 6.5 kg.
    """
    settled, problems = settle(with_record(RecordRow(day(13), "juice", made=7, failed_seals=2)))
    assert problems == ()
    assert stocks(settled) == {"quart": 17, "bag": 10, "wide": 21, "lemon": pytest.approx(0.73)}
    assert lots(settled)[1:] == [("tomato", 10, 6.5, None), ("tomato", 12, 30, None)]
    assert settled.shelf == (ShelfRow("juice", 7, day(13), datetime.date(2027, 8, 13)),)


def test_crop_used_as_typed_goes_before_the_ingredients():
    """23 typed: 20 from the oldest lot, 3 from the next."""
    settled, _ = settle(with_record(RecordRow(day(13), "juice", made=7, crop="tomato", crop_used_kg=23.0)))
    assert lots(settled)[1:] == [("tomato", 12, 27, None)]


def test_crop_used_in_a_row_of_its_own_is_not_taken_twice():
    rows = (RecordRow(day(13), "juice", made=7), RecordRow(day(13), "juice", crop="tomato", crop_used_kg=23.0))
    settled, _ = settle(with_record(*rows))
    assert lots(settled)[1:] == [("tomato", 12, 27, None)]


def test_a_lot_counts_from_the_day_it_was_picked():
    """On the 11th only the lot of the 10th was there: 20 - 15 = 5; nothing is taken from the lot of the 12th."""
    settled, problems = settle(with_record(RecordRow(day(11), crop="tomato", crop_used_kg=15.0)))
    assert lots(settled)[1:] == [("tomato", 10, 5, None), ("tomato", 12, 30, None)]
    assert problems == ()


def test_more_than_was_weighed_counts_as_zero_and_is_said():
    settled, problems = settle(with_record(RecordRow(day(11), crop="tomato", crop_used_kg=25.0, where="R1")))
    assert lots(settled)[1:] == [("tomato", 12, 30, None)]
    assert [line(problem) for problem in problems] == [
        "R1: The record uses 11 lb tomato more than there was, first on Aug 11. Weigh in the missing lot, or correct the record."
    ]
    assert not problems[0].stops


@pytest.mark.parametrize(("used", "said"), [(20.2, 0), (20.3, 1)])
def test_a_rounded_weight_a_little_above_what_was_there_is_no_problem(used, said):
    """20 kg were there: 0.2 kg is under half a pound, 0.3 kg is not."""
    settled, problems = settle(with_record(RecordRow(day(11), crop="tomato", crop_used_kg=used)))
    assert lots(settled)[1:] == [("tomato", 12, 30, None)]
    assert len(problems) == said


@pytest.mark.parametrize(("counted", "left"), [(12, 17), (13, 17), (14, 24)])
def test_what_was_made_before_the_day_of_counting_is_not_taken_off(counted, left):
    """Made on the 13th: taken off a count of the 12th or the 13th, not of the 14th."""
    jar = replace(HOME.containers[0], counted_on=day(counted))
    settled, _ = settle(with_record(RecordRow(day(13), "juice", made=7), containers=(jar, HOME.containers[1])))
    assert stocks(settled)["quart"] == left


def test_a_blank_day_of_counting_means_before_the_record_and_is_said_once_for_a_table():
    blank = tuple(replace(one, counted_on=None) for one in HOME.containers)
    rows = (RecordRow(day(13), "juice", made=8), RecordRow(day(12), "soup", made=2))
    settled, problems = settle(with_record(*rows, containers=blank, shelf=(ShelfRow("juice", 4),)))
    assert stocks(settled)["quart"] == 24 - 8 + 1
    blanks = [line(problem) for problem in problems if problem.kind == "counted on blank"]
    assert blanks == [
        "C1: Counted on is blank for quart, so everything used since Aug 12 is taken off. Type the day you counted, if you counted later.",
        "C2: Counted on is blank for bag, so everything used since Aug 12 is taken off. Type the day you counted, if you counted later.",
    ]


def test_rows_of_the_record_after_the_first_day_are_taken_off_too():
    settled, _ = settle(with_record(RecordRow(day(20), "juice", made=7)))
    assert stocks(settled)["quart"] == 17


def test_stocks_below_zero_count_as_zero_and_are_said():
    settled, problems = settle(with_record(RecordRow(day(13), "juice", made=32)))
    assert stocks(settled) == {"quart": 0, "bag": 10, "wide": 0, "lemon": pytest.approx(0.04)}
    assert [line(problem) for problem in problems if problem.kind == "stock below zero"] == [
        "C1: The record uses 8 quart more than the 24 counted. Run stillroom bought, or count again and type the day under Counted on.",
        "L1: The record uses 2 wide more than the 30 counted. Run stillroom bought, or count again and type the day under Counted on.",
    ]


SHOP = replace(
    HOME,
    kitchen=Kitchen(day(14), spending_limit=60, spending_where="K1"),
    containers=(replace(HOME.containers[0], price=1.5, can_buy=36), replace(HOME.containers[1], can_buy=math.inf)),
    pantry=(replace(HOME.pantry[0], price=4.0, can_buy=1.0),),
)


def test_what_was_bought_since_the_count_lowers_can_buy_and_the_spending_limit():
    """12 jars at 1.50 and a cup of lemon, a quarter of a liter at 4.00: 19.00. Twelve more are part of the count."""
    rows = (
        RecordRow(day(1) - datetime.timedelta(days=1), "bought: quart", made=12),
        RecordRow(day(13), "bought: quart", made=12),
        RecordRow(day(13), "bought: lemon", made=1),
        RecordRow(day(13), "bought: bag", made=50),
    )
    settled, problems = settle(replace(SHOP, record=rows))
    assert [row.can_buy for row in (*settled.containers, *settled.pantry)] == [24, math.inf, pytest.approx(0.75)]
    assert (settled.kitchen.spending_limit, settled.kitchen.already_spent) == (60, 19)
    assert settled.kitchen.left_to_spend == 41
    assert [line(problem) for problem in problems] == [
        "C1: Can buy 36 quart, 12 already bought, 24 left. To buy more, raise the number under Can buy.",
        "G1: Can buy 4 cup lemon, 1 cup already bought, 3 cup left. To buy more, raise the number under Can buy.",
        "K1: Spending limit $60.00, $19.00 already spent, $41.00 left. To spend more, raise the limit.",
        "K1: No price for bag, so what was bought is not counted as spent. Type its price under Price.",
    ]


def test_more_bought_than_can_be_bought_or_spent_leaves_nothing():
    settled, _ = settle(replace(SHOP, record=(RecordRow(day(13), "bought: quart", made=48),)))
    assert settled.container("quart").can_buy == 0
    assert settled.kitchen.left_to_spend == 0


def test_without_a_spending_limit_nothing_is_said_of_what_was_spent():
    settled, problems = settle(with_record(RecordRow(day(13), "bought: quart", made=48)))
    assert settled.kitchen == HOME.kitchen
    assert problems == ()


def test_larder_below_zero_is_said_in_its_own_unit():
    _, problems = settle(with_record(RecordRow(day(13), "juice", made=24, failed_seals=16)))
    assert (
        "G1: The record uses 0.8 cup lemon more than the 4 cup counted. Run stillroom bought, or count again and type the day under Counted on."
        in [line(problem) for problem in problems]
    )


def test_a_preserve_used_in_another_gives_its_jar_back_and_not_its_lid():
    """
    Four soups take 4 * 0.5 = 2 jars of juice off the oldest: 3 - 2 = 1 left of the unknown day.

    Two jars come back: 24 + 2 = 26; lids stay at 30; four bags go: 10 - 4 = 6; corn 10 - 4 = 6.
    """
    shelf = (ShelfRow("juice", 5, made_on=day(3)), ShelfRow("juice", 3))
    settled, problems = settle(with_record(RecordRow(day(13), "soup", made=4), shelf=shelf))
    assert problems == ()
    assert stocks(settled) == {"quart": 26, "bag": 6, "wide": 30, "lemon": 1.0}
    counts = [(row.preserve, row.count, row.made_on) for row in settled.shelf]
    assert counts == [("juice", 1, None), ("juice", 5, day(3)), ("soup", 4, day(13))]
    assert lots(settled)[0] == ("corn", 13, 6, None)


def test_more_juice_used_than_stood_on_the_shelf_is_said():
    settled, problems = settle(
        with_record(RecordRow(day(13), "soup", made=4, where="R1"), shelf=(ShelfRow("juice", 1),))
    )
    assert [row.preserve for row in settled.shelf] == ["soup"]
    assert [line(problem) for problem in problems] == [
        "R1: On Aug 13 the record uses 1 juice that the shelf did not have. Count the shelf again."
    ]


def test_freezing_whole_moves_the_oldest_fresh_crop_into_the_freezer():
    """25 kg on the 12th: the 20 of the 10th and 5 of the 12th; a frozen lot of 25 dated the 12th."""
    settled, problems = settle(
        with_record(RecordRow(day(12), "freeze whole: tomato", crop="tomato", crop_used_kg=25.0))
    )
    assert problems == ()
    assert lots(settled)[1:] == [("tomato", 12, 25, 12), ("tomato", 12, 25, None)]


def test_thawing_takes_the_oldest_frozen_crop_and_what_is_cooked_of_it_is_not_taken_from_fresh_lots():
    """
    Frozen 6 (2nd) and 8 (5th); thawed 10 on the 13th: 0 and 4 left. Juice from 10 kg that day takes the thawed crop.

    Ten more kg of juice would come from the fresh lot of the 10th: 20 - 10 = 10.
    """
    frozen = (Lot("tomato", day(1), 6.0, frozen_on=day(2)), Lot("tomato", day(4), 8.0, frozen_on=day(5)))
    thawed = RecordRow(day(13), "thaw: tomato", crop="tomato", crop_used_kg=10.0)
    cooked = RecordRow(day(13), "juice", made=6, crop="tomato", crop_used_kg=10.0)
    settled, problems = settle(with_record(cooked, thawed, lots=HOME.lots + frozen))
    assert problems == ()
    assert lots(settled)[1:] == [("tomato", 4, 4, 5), ("tomato", 10, 20, None), ("tomato", 12, 30, None)]
    settled, _ = settle(with_record(cooked, cooked, thawed, lots=HOME.lots + frozen))
    assert lots(settled)[1:] == [("tomato", 4, 4, 5), ("tomato", 10, 10, None), ("tomato", 12, 30, None)]


def test_thawed_crop_goes_only_into_what_may_be_made_from_frozen():
    """Soup takes fresh corn only: thawed corn does not spare the fresh lot."""
    frozen = (Lot("corn", day(1), 5.0, frozen_on=day(2)),)
    rows = (
        RecordRow(day(13), "thaw: corn", crop="corn", crop_used_kg=5.0),
        RecordRow(day(13), "soup", made=4),
    )
    settled, _ = settle(with_record(*rows, lots=HOME.lots + frozen, shelf=(ShelfRow("juice", 9),)))
    assert lots(settled)[0] == ("corn", 13, 6, None)


def test_made_in_a_plan_line_counts_like_a_row_of_the_record():
    in_plan = replace(HOME, plan_lines=(PlanLine(day(13), 1, "juice", make=14.0, made=7.0),))
    in_record = with_record(RecordRow(day(13), "juice", made=7))
    assert replace(settle(in_plan)[0], plan_lines=()) == replace(settle(in_record)[0], record=())


def test_made_of_freezing_and_thawing_lines_is_kilograms():
    lines = (PlanLine(day(12), 1, "freeze whole: tomato", made=25.0), PlanLine(day(13), 1, "thaw: tomato", made=5.0))
    settled, _ = settle(replace(HOME, plan_lines=lines))
    assert lots(settled)[1:] == [("tomato", 12, 20, 12), ("tomato", 12, 25, None)]


def test_one_days_work_in_the_plan_and_in_the_record_is_counted_twice_and_said():
    both = with_record(
        RecordRow(day(13), "juice", made=7, where="R1"),
        plan_lines=(PlanLine(day(13), 1, "juice", made=7.0, where="F1"),),
    )
    settled, problems = settle(both)
    assert stocks(settled)["quart"] == 10
    assert [line(problem) for problem in problems] == [
        "R1: Juice of Aug 13 is here and in Made of the plan, and both count. Delete this row if it was made once."
    ]


@pytest.mark.parametrize(("picked", "stays"), [(9, True), (8, False)])
def test_a_lot_stays_until_its_keeping_days_are_over(picked, stays):
    """Tomatoes keep five days: picked on the 9th they are good on the 14th, picked on the 8th they are not."""
    settled, problems = settle(replace(HOME, lots=(Lot("tomato", day(picked), 20.0, where="T9"),)))
    assert bool(settled.lots) is stays
    told = [line(problem) for problem in problems]
    sentence = "T9: 44.1 lb tomato (picked Aug 8, keeps 5 days): kept too long, so left out of the plan. Sort it today, record what is bad with stillroom spoiled, and weigh again what is sound."
    assert told == ([] if stays else [sentence])


def test_several_lots_that_kept_too_long_are_one_sentence_with_the_day_of_each():
    """Gathered by parts, three lots were "picked on Aug 7; Aug 6; Aug 5 keeps only 5 days, so the plan ignores it"."""
    several = tuple(Lot("tomato", day(number), 20.0, where=f"Harvest!C{number}") for number in (5, 6, 7))
    (told,) = gathered(settle(replace(HOME, lots=several))[1])
    days = "; ".join(f"44.1 lb tomato (picked Aug {number}, keeps 5 days)" for number in (5, 6, 7))
    assert sentences(told)[0] == f"{days}: kept too long, so left out of the plan."


def test_a_crop_that_keeps_a_day_keeps_one_day():
    """Corn keeps 1 day, not 1 days."""
    corn = replace(HOME, crops=(Crop("tomato", 1),), lots=(Lot("tomato", day(8), 20.0, where="T9"),))
    assert "keeps 1 day)" in line(settle(corn)[1][0])


def test_only_what_the_record_left_of_a_spoilt_lot_is_told():
    """20 kg of the 8th, 18 used on the 9th: 2 kg, 4.4 lb, are left out."""
    old = replace(
        HOME, lots=(Lot("tomato", day(8), 20.0),), record=(RecordRow(day(9), crop="tomato", crop_used_kg=18.0),)
    )
    told = sentences(settle(old)[1][0])[0]
    assert told == "4.4 lb tomato (picked Aug 8, keeps 5 days): kept too long, so left out of the plan."
    used_up = replace(old, record=(RecordRow(day(9), crop="tomato", crop_used_kg=20.0),))
    assert settle(used_up) == (replace(used_up, lots=()), ())


def test_frozen_crop_past_its_weeks_is_said_and_stays():
    old = replace(
        HOME, lots=(Lot("tomato", datetime.date(2026, 7, 1), 5.0, frozen_on=datetime.date(2026, 7, 2), where="T1"),)
    )
    settled, problems = settle(old)
    assert len(settled.lots) == 1
    assert sentences(problems[0])[0] == "11 lb tomato frozen whole on Jul 2, 2026: more than the 4 weeks it keeps."


def test_an_expected_lot_whose_day_has_gone_by_is_not_there():
    expected = tuple(Lot("tomato", day(number), 5.0, expected=True, where=f"T{number}") for number in (13, 14, 15))
    settled, problems = settle(replace(HOME, lots=expected))
    assert [lot.picked_on.day for lot in settled.lots] == [14, 15]
    assert [line(problem) for problem in problems] == [
        "T13: Expected 11 lb tomato (Aug 13): never marked weighed, so left out of the plan. Mark what came in as weighed, or delete the row."
    ]


def test_the_record_takes_nothing_from_an_expected_lot():
    expected = replace(
        HOME,
        lots=(Lot("tomato", day(14), 5.0, expected=True),),
        record=(RecordRow(day(14), crop="tomato", crop_used_kg=2.0),),
    )
    settled, problems = settle(expected)
    assert settled.lots[0].kg == 5.0
    assert problems[0].kind == "lot below zero"


def test_the_order_of_rows_does_not_matter():
    rows = [
        RecordRow(day(11), "juice", made=5),
        RecordRow(day(12), "juice", made=7, failed_seals=1),
        RecordRow(day(12), "freeze whole: tomato", crop="tomato", crop_used_kg=9.0),
        RecordRow(day(13), "thaw: tomato", crop="tomato", crop_used_kg=4.0),
        RecordRow(day(13), "soup", made=3),
        RecordRow(day(13), crop="tomato", crop_used_kg=1.0),
    ]
    expected = None
    rng = random.Random(3)
    for _ in range(20):
        rng.shuffle(rows)
        shuffled_lots = rng.sample(HOME.lots, len(HOME.lots))
        settled, problems = settle(with_record(*rows, lots=tuple(shuffled_lots)))
        found = (stocks(settled), lots(settled), sorted(settled.shelf, key=repr), sorted(problems))
        expected = expected or found
        assert found == expected


def test_weights_add_up_over_any_record():
    """Weighed = left + frozen whole + used, whatever the order, as long as nothing goes below zero."""
    for first, second, third in itertools.product((0.0, 7.5, 20.0), repeat=3):
        rows = (
            RecordRow(day(12), "freeze whole: tomato", crop="tomato", crop_used_kg=first),
            RecordRow(day(13), crop="tomato", crop_used_kg=second),
            RecordRow(day(13), "juice", made=4, crop="tomato", crop_used_kg=third),
        )
        settled, problems = settle(with_record(*rows))
        left = sum(lot.kg for lot in settled.lots if lot.crop == "tomato")
        used = second + third
        if any(problem.kind == "lot below zero" for problem in problems):
            assert first + used > 50
        else:
            assert left == pytest.approx(50 - used)


@pytest.mark.parametrize(
    ("made", "months", "good_until"),
    [((2026, 8, 31), 6, (2027, 2, 28)), ((2026, 12, 15), 1, (2027, 1, 15)), ((2026, 8, 14), 0, (2026, 8, 14))],
)
def test_best_by_is_so_many_calendar_months_later(made, months, good_until):
    assert best_by(datetime.date(*made), months) == datetime.date(*good_until)


def test_a_typed_best_by_stands_and_a_blank_one_is_filled_when_both_its_parts_are_known():
    shelf = (
        ShelfRow("juice", 1, made_on=day(1), best_by=day(20)),
        ShelfRow("juice", 1, made_on=day(1)),
        ShelfRow("juice", 1),
    )
    settled = with_best_by(replace(HOME, shelf=shelf))
    assert [row.best_by for row in settled.shelf] == [day(20), datetime.date(2027, 8, 1), None]


def test_of_a_fixed_line_what_was_made_on_its_days_is_done():
    """A week fixed at 20: 4 in its own Made, 6 in the record on its last day, 5 a day later do not count: 10 are left."""
    rows = (RecordRow(day(20), "juice", made=6), RecordRow(day(21), "juice", made=5))
    line = PlanLine(day(14), 7, "juice", fix=20.0, made=4.0)
    household = with_record(
        *rows, plan_lines=(line, PlanLine(day(22), 1, "juice", fix=0.0), PlanLine(day(22), 1, "soup", make=3.0))
    )
    assert [one.fix for one in still_to_do(household).plan_lines] == [10.0, 0.0, None]
    assert household.plan_lines[0].fix == 20.0
