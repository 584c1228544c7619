"""Between two plans: rows of the record that move stocks, this morning's list, the season so far, what to eat first."""

import datetime
import itertools
import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.household.journal.events import made_lines, with_made_recorded
from stillroom.household.journal.fingerprint import (
    changed,
    counted_text,
    parts,
    parts_in,
    parts_text,
    recounted,
    why_words,
)
from stillroom.household.journal.overview import (
    due_soon,
    eat_first,
    failed_seals,
    freezer_things,
    not_recorded,
    over,
    season_rows,
    seasons,
    tally,
    today_of,
)
from stillroom.household.journal.stocks import settle, stock_cards
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
    Target,
)
from stillroom.reports.problems import line, sentences


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
    ingredients=(Ingredient("corn", "crop", 1.0),),
    keeps_months=6,
    kept_in="freezer",
    space_litres_each=0.5,
)
HOME = Household(
    Kitchen(day(14)),
    crops=(Crop("tomato", 5, may_be_frozen_whole=True), Crop("corn", 2)),
    lots=(
        Lot("tomato", day(10), 20.0, where="T1"),
        Lot("tomato", day(12), 30.0, where="T2"),
        Lot("corn", day(13), 10.0, where="K1"),
    ),
    containers=(
        Container("quart", "jar", 0.95, on_hand=24, counted_on=day(1), lid="wide", price=1.5, where="C1"),
        Container("bag", "bag", 1.0, on_hand=10, counted_on=day(1), where="C2"),
    ),
    lids=(Lid("wide", 30, counted_on=day(1), where="L1"),),
    pantry=(PantryItem("lemon", "litre", 1.0, counted_on=day(1), price=4.0, unit="cup", per_base=4.0, where="G1"),),
    shelf=(ShelfRow("juice", 5, made_on=datetime.date(2025, 9, 1)),),
    preserves=(JUICE, SOUP),
    targets=(Target("juice", 4, 9, shop_price=3.0, counts={"juice": 1.0}), Target("soup", 8, 8, counts={"soup": 1.0})),
)


def home(*rows, **more):
    return replace(HOME, record=rows, **more)


def stock(household, name):
    settled, _ = settle(household)
    return next(one.on_hand for one in (*settled.containers, *settled.lids, *settled.pantry) if one.name == name)


def shelf(household, name="juice"):
    return sum(row.count for row in settle(household)[0].shelf if row.preserve == name)


# ---------------------------------------------------------------- what came and went


def test_what_is_eaten_leaves_the_shelf_and_its_jar_comes_back_but_not_its_lid():
    eaten = home(RecordRow(day(12), "ate: juice", made=2.0))
    assert (shelf(eaten), stock(eaten, "quart"), stock(eaten, "wide")) == (3, 26, 30)


def test_the_oldest_jars_are_eaten_first():
    """Five of last year, seven of this; six eaten: all of last year's and one of this year's."""
    eaten = home(RecordRow(day(12), "juice", made=7.0), RecordRow(day(13), "ate: juice", made=6.0))
    assert [(row.made_on.year, row.count) for row in settle(eaten)[0].shelf] == [(2026, 6.0)]


def test_more_eaten_than_stood_there_is_said():
    problems = settle(home(RecordRow(day(12), "ate: juice", made=9.0, where="R1")))[1]
    assert [line(one) for one in problems if one.kind == "more eaten than on the shelf"] == [
        "R1: By Aug 12 the record has 4 juice eaten or given away that the shelf did not have. Count the shelf again."
    ]


@pytest.mark.parametrize(("name", "left"), [("quart", 36), ("wide", 42), ("lemon", 4.0)])
def test_what_was_bought_is_added_larder_in_its_own_unit(name, left):
    """Twelve cups of lemon juice are three litres."""
    assert stock(home(RecordRow(day(12), f"bought: {name}", made=12.0)), name) == left


def test_what_was_bought_before_the_count_is_in_the_count():
    early = home(RecordRow(datetime.date(2026, 7, 31), "bought: wide", made=12.0))
    assert stock(early, "wide") == 30


def test_fed_crop_is_gone_from_the_oldest_lots():
    settled, _ = settle(home(RecordRow(day(12), "surplus: tomato", crop="tomato", crop_used_kg=25.0)))
    assert [(lot.picked_on.day, lot.kg) for lot in settled.lots if lot.crop == "tomato"] == [(12, 25.0)]


def test_lost_crop_is_taken_from_the_freezer_when_nothing_fresh_is_left():
    rows = (
        RecordRow(day(13), "freeze whole: corn", crop="corn", crop_used_kg=10.0),
        RecordRow(day(14), "spoiled: corn", crop="corn", crop_used_kg=4.0),
    )
    settled, problems = settle(home(*rows))
    assert [(lot.frozen_on.day, lot.kg) for lot in settled.lots if lot.crop == "corn"] == [(13, 6.0)]
    assert not [one for one in problems if one.kind == "lot below zero"]


def test_a_lot_past_its_time_is_not_taken_before_a_sound_one():
    """Corn of the 3rd was spoilt by the 13th: the four kilos of the 13th come off the sound ten."""
    lots = (*HOME.lots, Lot("corn", day(3), 8.0, where="K0"))
    settled, _ = settle(home(RecordRow(day(13), "soup", made=4.0), lots=lots))
    assert [lot.kg for lot in settled.lots if lot.crop == "corn"] == [6.0]


EVENTS = st.lists(
    st.one_of(
        st.builds(RecordRow, st.integers(1, 14).map(day), st.just("juice"), made=st.integers(0, 3).map(float), failed_seals=st.integers(0, 1).map(float)),
        st.builds(RecordRow, st.integers(1, 14).map(day), st.just("ate: juice"), made=st.integers(0, 2).map(float)),
        st.builds(RecordRow, st.integers(1, 14).map(day), st.sampled_from(["bought: wide", "bought: quart", "bought: lemon"]), made=st.integers(0, 12).map(float)),
    ),
    max_size=8,
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(rows=EVENTS, counted=st.one_of(st.none(), st.integers(1, 14).map(day)), seed=st.integers(0, 99))
def test_any_order_of_records_and_purchases_gives_the_same_stock_as_plain_sums(rows, counted, seed):
    """Jars: counted + bought + eaten - sealed; lids: counted + bought - filled; of the day of counting and later."""
    household = home(
        *rows,
        containers=tuple(replace(one, counted_on=counted) for one in HOME.containers),
        lids=tuple(replace(one, counted_on=counted) for one in HOME.lids),
    )
    shuffled = list(rows)
    random.Random(seed).shuffle(shuffled)
    assert replace(settle(replace(household, record=tuple(shuffled)))[0], record=()) == replace(
        settle(household)[0], record=()
    )
    since = [row for row in rows if counted is None or row.date >= counted]
    jars = 24 + sum(
        {"juice": -row.made, "ate: juice": row.made, "bought: quart": row.made}.get(row.preserve, 0) for row in since
    )
    lids = 30 + sum(
        {"juice": -row.made - row.failed_seals, "bought: wide": row.made}.get(row.preserve, 0) for row in since
    )
    assert (stock(household, "quart"), stock(household, "wide")) == (max(jars, 0), max(lids, 0))
    cards = {(card.kind, card.stock): card.should_be_now for card in stock_cards(household)}
    assert (cards["container", "quart"], cards["lid", "wide"]) == (max(jars, 0), max(lids, 0))


def test_a_card_says_counted_came_used_and_now():
    rows = (RecordRow(day(12), "juice", made=7.0, failed_seals=1.0), RecordRow(day(13), "ate: juice", made=2.0))
    cards = {
        (card.kind, card.stock): (card.counted, card.came, card.used, card.should_be_now)
        for card in stock_cards(home(*rows))
    }
    assert cards["container", "quart"] == (24, 2, 7, 19)
    assert cards["lid", "wide"] == (30, 0, 8, 22)
    assert cards["shelf", "juice"] == (5, 7, 2, 10)
    assert cards["pantry", "lemon"] == pytest.approx((4.0, 0, 0.96, 3.04))


# ---------------------------------------------------------------- the season so far


def test_every_kilogram_of_a_hand_worked_season_is_somewhere():
    """Tomato: 50 picked; 12 canned, 5 fed, 3 given, 8 frozen whole; 30 left, of which none is past its five days."""
    rows = (
        RecordRow(day(12), "juice", made=8.0),
        RecordRow(day(13), "surplus: tomato", crop="tomato", crop_used_kg=5.0),
        RecordRow(day(13), None, crop="tomato", crop_used_kg=3.0),
        RecordRow(day(13), "freeze whole: tomato", crop="tomato", crop_used_kg=8.0),
    )
    tomato = seasons(home(*rows))[0]
    assert (
        tomato.picked,
        tomato.put_up["boiling-water canned"],
        tomato.surplus,
        tomato.eaten,
        tomato.lost,
        tomato.on_hand,
    ) == pytest.approx((50, 12, 5, 3, 0, 30))


def test_what_is_past_its_keeping_days_is_lost_and_what_was_never_weighed_was_picked_all_the_same():
    """Corn: ten weighed on the 10th, spoilt by the 14th; twelve used on the 11th: twelve picked, none lost."""
    lots = (Lot("corn", day(10), 10.0),)
    assert seasons(home(lots=lots))[1].lost == 10
    corn = seasons(home(RecordRow(day(11), "soup", made=12.0), lots=lots))[1]
    assert (corn.picked, corn.put_up["frozen"], corn.lost, corn.on_hand) == (12, 12, 0, 0)


def test_thawed_crop_that_nobody_cooked_is_lost_two_days_later():
    rows = (
        RecordRow(day(12), "freeze whole: tomato", crop="tomato", crop_used_kg=8.0),
        RecordRow(day(13), "thaw: tomato", crop="tomato", crop_used_kg=6.0),
        RecordRow(day(13), "juice", made=2.0),
    )
    assert seasons(home(*rows))[0].lost == 0
    later = home(*rows, kitchen=Kitchen(day(15)))
    assert seasons(later)[0].lost == pytest.approx(3.0)


MOVES = st.lists(
    st.one_of(
        st.builds(RecordRow, st.integers(9, 16).map(day), st.sampled_from(["juice", "soup"]), made=st.integers(0, 12).map(float), failed_seals=st.integers(0, 2).map(float)),
        st.builds(
            lambda when, start, crop, kg: RecordRow(when, start + crop if start else None, crop=crop, crop_used_kg=kg),
            st.integers(9, 16).map(day), st.sampled_from(["freeze whole: ", "thaw: ", "surplus: ", "spoiled: ", ""]), st.sampled_from(["tomato", "corn"]), st.floats(0, 30),
        ),
    ),
    max_size=9,
)  # fmt: skip


@settings(max_examples=200, deadline=None)
@given(rows=MOVES, first=st.integers(12, 25))
def test_any_season_adds_up(rows, first):
    """Picked = put up + eaten or given + fed + lost + on hand, whatever was written down, too much of it included."""
    for season in seasons(home(*rows, kitchen=Kitchen(day(first)))):
        parts_kg = sum(season.put_up.values()) + season.eaten + season.surplus + season.lost + season.on_hand
        assert season.picked == pytest.approx(parts_kg, abs=1e-6)
    for row in season_rows(home(*rows, kitchen=Kitchen(day(first)))):
        said = sum(row[name] for name in ("Put up", "Eaten or given", "Surplus", "Lost", "On hand"))
        assert row["Picked"] == pytest.approx(said, abs=1e-4)


def test_the_season_in_figures():
    """Seven quarts at 3.00 in the shop, 2.5 h, twelve lids without a price, four cups of lemon juice: 1 L at 4.00."""
    household = home(
        RecordRow(day(12), "juice", made=7.0, hands_hours=2.5),
        RecordRow(day(13), "soup", made=2.0),
        RecordRow(day(12), "bought: wide", made=12.0),
        RecordRow(day(12), "bought: lemon", made=4.0),
    )
    found = tally(household, settle(household)[0])
    assert found.containers == {"quart": 7, "bag": 2}
    assert (found.hours, found.without_hours, found.spent, found.unpriced, found.shop) == (2.5, 1, 4.0, ("wide",), 21.0)
    assert found.done == {"juice": (12.0, 4), "soup": (2.0, 8)}


# ---------------------------------------------------------------- made in the plan


def test_a_line_with_made_becomes_a_row_and_goes_or_stays_with_its_rest():
    lines = (
        PlanLine(day(14), 1, "juice", make=7.0, made=7.0, where="F1"),
        PlanLine(day(14), 1, "soup", make=8.0, fix=8.0, made=3.0, where="F2"),
        PlanLine(day(13), 1, "soup", make=8.0, fix=8.0, made=3.0, where="F3"),
        PlanLine(day(15), 1, "soup", make=4.0, where="F4"),
    )
    household = replace(HOME, plan_lines=lines)
    moves = made_lines(household, "mark", ())
    assert [(move.row.preserve, move.row.made, move.done) for move in moves] == [
        ("juice", 7, True),
        ("soup", 3, False),
        ("soup", 3, True),
    ]
    after = with_made_recorded(household, moves)
    assert [(line.where, line.made) for line in after.plan_lines] == [("F2", None), ("F4", None)]
    assert len(after.record) == 3


def test_keys_tell_lines_of_one_plan_from_those_of_another_and_are_known_again():
    line = PlanLine(day(14), 1, "juice", made=7.0)
    household = replace(HOME, plan_lines=(line, replace(line)))
    first, second = made_lines(household, "mark", ())
    assert first.key != second.key
    assert [move.known for move in made_lines(household, "mark", {first.key})] == [True, False]
    assert [move.known for move in made_lines(household, "a later mark", {first.key})] == [False, False]


def test_crop_moved_by_a_plan_line_is_written_in_its_own_unit():
    line = PlanLine(day(14), 1, "freeze whole: tomato", made=2 * 0.45359237)
    move = made_lines(replace(HOME, plan_lines=(line,)), "mark", ())[0]
    assert (move.crop_used, move.unit) == (2.0, "lb")
    assert move.row.crop_used_kg == pytest.approx(2 * 0.45359237)


# ---------------------------------------------------------------- this morning


def test_the_ripest_lot_comes_first_and_the_plan_takes_the_oldest_of_a_crop():
    """Corn keeps until the 15th, the tomatoes until the 15th and 17th; 16 juice take 24 kg: all of the first and 4 more."""
    typed = replace(HOME, plan_lines=(PlanLine(day(14), 1, "juice", make=16.0),))
    lots = today_of(typed, settle(typed)[0]).lots
    assert [(lot.crop, lot.until.day, round(lot.planned * 0.45359237, 6)) for lot in lots] == [
        ("corn", 15, 0.0),
        ("tomato", 15, 20.0),
        ("tomato", 17, 4.0),
    ]


def spare(*lines, **more):
    """Kilograms of each lot that the plan has no use for, by crop and last day."""
    typed = replace(HOME, plan_lines=lines, **more)
    lots = today_of(typed, settle(typed)[0]).lots
    return {(lot.crop, lot.until.day): round(lot.spare * 0.45359237, 6) for lot in lots}


def test_what_no_line_takes_before_it_is_past_keeping_has_no_use():
    """
    Of 20 and 30 kg tomato 16 juice take 24 kg today: the first lot and 4 kg. On the 17th, the last day of the second
    lot, 4 more take 6 kg, and 20 kg have no use. Soup of the 16th comes too late for corn, which keeps until the 15th.
    """
    lines = (
        PlanLine(day(14), 1, "juice", make=16.0),
        PlanLine(day(16), 1, "soup", make=10.0),
        PlanLine(day(17), 1, "juice", make=4.0),
    )
    assert spare(*lines) == {("corn", 15): 10.0, ("tomato", 15): 0.0, ("tomato", 17): 20.0}


def test_what_a_later_line_takes_is_counted_for_one_lot_only():
    """10 kg are frozen whole on the 15th: of the first lot, so that 10 of it and all 30 of the second have no use."""
    line = PlanLine(day(15), 1, "freeze whole: tomato", make=10.0)
    assert spare(line) == {("corn", 15): 10.0, ("tomato", 15): 10.0, ("tomato", 17): 30.0}


def test_what_keeps_beyond_the_plan_or_is_eaten_has_its_use():
    """Tomatoes that keep a year can wait; 35 kg of corn a week are 5 a day, and 10 are eaten in two days."""
    crops = (Crop("tomato", 365), Crop("corn", 2, eaten_kg_a_week=35.0))
    assert set(spare(crops=crops).values()) == {0.0}


def test_what_is_thawed_for_tomorrow_comes_out_this_evening():
    typed = replace(
        HOME,
        plan_lines=(
            PlanLine(day(15), 1, "thaw: tomato", make=4.5359237),
            PlanLine(day(14), 1, "freeze whole: tomato", make=4.5359237),
        ),
    )
    found = today_of(typed, settle(typed)[0])
    assert [(one.crop, round(one.amount, 6), one.unit) for one in found.out_this_evening] == [("tomato", 10.0, "lb")]
    assert [one.crop for one in found.freeze] == ["tomato"]
    assert found.planned


def test_yesterdays_jars_are_put_away_and_those_that_failed_are_asked_for():
    typed = home(
        RecordRow(day(13), "juice", made=6.0, failed_seals=1.0, where="R1"), RecordRow(day(11), "juice", made=7.0)
    )
    assert [(one.preserve, one.made, one.failed, one.canned) for one in today_of(typed, typed).put_away] == [
        ("juice", 6, 1, True)
    ]
    assert [(one.where, one.kind) for one in failed_seals(typed)] == [("R1", "seal failed")]


def test_lines_of_the_last_days_of_which_nothing_is_written_are_asked_after_once():
    lines = tuple(PlanLine(day(number), 1, "juice", make=7.0, where=f"F{number}") for number in (3, 11, 12, 13, 14))
    typed = replace(HOME, record=(RecordRow(day(12), "juice", made=7.0),), plan_lines=lines)
    assert [line(one) for one in not_recorded(typed)] == [
        "F11: No record of juice (Aug 11); juice (Aug 13), so it counts as not made. If you made it, type how many under Made or in Record."
    ]


def asked_after(planned, recorded):
    """The days of planned lines of juice that are asked after, for juice recorded on some days."""
    lines = tuple(PlanLine(day(number), 1, "juice", make=7.0, where=f"F{number}") for number in planned)
    record = tuple(RecordRow(day(number), "juice", made=7.0) for number in recorded)
    found = list(not_recorded(replace(HOME, record=record, plan_lines=lines)))
    return sentences(found[0])[0] if found else ""


def test_work_done_a_day_late_is_not_asked_after_and_counts_for_one_line_only():
    """Planned on the 11th and done on the 12th; planned on two days and done once, one is asked after."""
    assert asked_after([11], [12]) == ""
    assert asked_after([11], [10]) == ""
    assert "No record of juice (Aug 13), so" in asked_after([11, 13], [11])
    assert "No record of juice (Aug 13), so" in asked_after([11, 13], [12])
    assert "juice (Aug 8)" in asked_after([8], [12])


def test_frozen_crop_near_or_past_its_day_is_told():
    lots = tuple(Lot("tomato", day(1), 5.0, frozen_on=when) for when in (datetime.date(2026, 7, 1), day(10)))
    assert [when for _, when in due_soon(replace(HOME, lots=lots))] == [datetime.date(2026, 7, 29)]


# ---------------------------------------------------------------- eat first


def test_eat_first_is_in_the_order_of_days_and_what_is_over_is_told():
    settled, _ = settle(HOME)
    assert [(one.preserve, one.count, one.days_left) for one in eat_first(settled)] == [("juice", 5, 18)]
    assert over(settled) == {"juice": 1.0}


def test_what_could_leave_the_freezer_with_the_litres_it_gives():
    """Six bags of soup give three litres; five kilos of frozen tomato nine, and may be canned as juice."""
    rows = (
        RecordRow(day(13), "soup", made=6.0),
        RecordRow(day(12), "freeze whole: tomato", crop="tomato", crop_used_kg=5.0),
    )
    things = freezer_things(settle(home(*rows))[0])
    assert [(one.name, one.litres, one.cook_into) for one in things] == [
        ("tomato", pytest.approx(9.0), ("juice",)),
        ("soup", 3.0, ()),
    ]


# ---------------------------------------------------------------- what changed since


def test_the_note_of_the_inputs_can_be_read_back_and_nothing_has_changed():
    found = parts(HOME)
    assert parts_in(parts_text(found)) == found
    assert changed(found, parts(HOME)) == []


def test_what_changed_is_named_and_nothing_else():
    now = home(
        RecordRow(day(13), "juice", made=7.0), lots=(*HOME.lots, Lot("corn", day(14), 3.0)), kitchen=Kitchen(day(17))
    )
    assert (
        why_words(parts(HOME), parts(now))
        == "Since the last plan: the first day is now Mon Aug 17, 1 new lot, 1 new row in the record."
    )
    assert why_words({}, parts(now)) == ""


def test_a_new_count_is_compared_with_what_the_record_makes_of_the_old_one():
    """30 lids counted on the 1st, seven used on the 12th; on the 14th 17 are counted where 23 should be."""
    row = RecordRow(day(12), "juice", made=7.0)
    later = home(row, lids=(Lid("wide", 17, counted_on=day(14), where="L1"),))
    assert [line(one) for one in recounted(later, counted_text(HOME))] == [
        "L1: By the record there should be 23 wide, but you counted 17. The plan uses your count. Look for what was not written down."
    ]
    near = home(row, lids=(Lid("wide", 21, counted_on=day(14), where="L1"),))
    assert list(recounted(near, counted_text(HOME))) == []


def test_the_order_of_rows_never_matters_for_the_note_of_inputs():
    texts = {parts_text(parts(replace(HOME, lots=lots))) for lots in itertools.permutations(HOME.lots)}
    assert len(texts) == 1
