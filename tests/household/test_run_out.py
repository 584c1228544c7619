"""What a plan says of stocks that are used up while food is left over, and of musts that keep a should empty."""

import dataclasses
import math
from types import SimpleNamespace

import pytest

from stillroom.app.plan import problem_rows
from stillroom.errors import Problem
from stillroom.household.examples import tiny_household
from stillroom.household.plan import Plan, periods
from stillroom.household.records import ShelfRow, Target
from stillroom.household.results.messages import WARNING, message_row
from stillroom.household.results.shortages import remedies
from stillroom.household.results.tables import tables

HINT = "stillroom bottlenecks shows what more would add."
JUICE = (Target("juice", 30, 30, 1, counts={"juice": 1.0}),)


def home(jars=7.0, lids=20.0, lemon_litres=1.0, can_buy=0.0, **changed):
    """The tiny household with so many jars and lids and so much lemon juice, places on its stocks."""
    tiny = tiny_household()
    stocks = {
        "containers": tuple(
            dataclasses.replace(one, on_hand=jars, can_buy=can_buy, back_each_week=0, where="On hand!A6")
            if one.name == "quart jar"
            else one
            for one in tiny.containers
        ),
        "lids": (dataclasses.replace(tiny.lids[0], on_hand=lids, can_buy=0, where="On hand!M6"),),
        "pantry": (dataclasses.replace(tiny.pantry[0], on_hand=lemon_litres, can_buy=0, where="On hand!T6"),),
    }
    return dataclasses.replace(tiny, **({"plan_lines": (), "targets": JUICE} | stocks | changed))


def looked_at(household, **amounts):
    """Where and what of the messages to look at, for seven quarts of juice and 5 kg of tomato fed in the week."""
    given = {"make": {("juice", 0): 7.0}, "loads": {("juice", 0): 1.0}, "surplus_kg": {("tomato", 2): 5.0}} | amounts
    rows = tables(household, Plan(periods(household.kitchen), **given))["Messages"]
    return [(row["Where"], row["What"], row["What to do"]) for row in rows if row["Severity"] == "Warning"]


def test_jars_that_run_out_are_named_with_the_food_that_is_left_over():
    """All 7 jars hold juice, 23 quarts are still wanted, and 5 kg = 11 lb of tomato go to the hens."""
    assert looked_at(home()) == [
        (
            "On hand!A6",
            "Out of quart jars, so 11 lb of tomato won't be put up.",
            f"{remedies(['quart jar'])[0]} {HINT}",
        )
    ]


@pytest.mark.parametrize(
    ("household", "named"),
    [
        (home(jars=20, lids=7), "wide lids"),
        (home(jars=20, lemon_litres=0.22), "lemon juice"),
        (home(lids=7, lemon_litres=0.22), "quart jars, wide lids and lemon juice"),
    ],
)
def test_lids_and_larder_are_named_as_jars_are(household, named):
    """7 quarts take 7 lids and 0.21 L of lemon juice; 0.01 L is too little for the eighth."""
    assert looked_at(household)[0][1].startswith(f"Out of {named}, so ")


def test_nothing_is_said_to_have_run_out_while_more_can_be_bought_or_is_there():
    """Where jars could be bought and were not, something else is in the way."""
    assert looked_at(home(can_buy=math.inf)) == []
    assert looked_at(home(jars=8)) == []


def test_nothing_is_said_to_have_run_out_when_the_list_is_full_or_nothing_is_left_over():
    """Seven wanted and seven made; or all tomato used."""
    assert looked_at(home(targets=(Target("juice", 7, 7, 1, counts={"juice": 1.0}),))) == []
    assert looked_at(home(), surplus_kg={}) == []


def test_a_full_freezer_is_named_with_what_to_do_about_it():
    """Broth takes 1 L a bag; the freezer has none, and 3 kg of cabbage are left over."""
    household = home(targets=(Target("broth", 8, 8, 1, counts={"broth": 1.0}),))
    kitchen = dataclasses.replace(household.kitchen, freezer_free_litres=0.0, where="Kitchen!B6")
    held = {("tomato", number): 2.0 for number in range(3)}
    household = dataclasses.replace(household, kitchen=kitchen)
    where, what, to_do = looked_at(household, make={}, loads={}, frozen_kg=held, surplus_kg={("cabbage", 0): 3.0})[0]
    assert (where, what) == (
        "Kitchen",
        "Out of freezer space, so 6½ lb of cabbage won't be put up.",
    )
    assert to_do == f"Make space in the freezer, and update freezer space free. {HINT}"


@pytest.mark.parametrize("there_are", [1.7, 1.95])
def test_hours_are_named_where_nothing_else_is_lacking(there_are):
    """
    Jars, lids and lemon are there; the food is left over on Friday. A quart of juice takes 6 min and a load 30 min: a
    third of a load, three quarts, 0.8 h. Seven took 1.2 h, so that of 1.95 h only 0.75 h are left; of 4 h there would
    be 2.8 h.
    """
    hours = home().hours
    short = tuple(dataclasses.replace(row, by_weekday=(there_are,) * 7, where="Kitchen!F6") for row in hours[:1])
    surplus = {"surplus_kg": {("tomato", 0): 5.0}}
    where, what, to_do = looked_at(home(jars=20, hours=(*short, hours[1])), **surplus)[0]
    assert (where, what) == (
        "Kitchen!F6",
        "Out of hands-on hours while it keeps, so 11 lb of tomato won't be put up.",
    )
    assert to_do == f"If someone can help, type more hours in Hours. {HINT}"
    assert looked_at(home(jars=20), **surplus) == []


def test_hours_kept_free_are_not_there_to_be_used():
    """Of 2 h there are 0.8 h left for a load of 0.6 h; with a quarter of them kept free 0.3 h."""
    hours = home().hours
    two = (*(dataclasses.replace(row, by_weekday=(2.0,) * 7) for row in hours[:1]), hours[1])
    surplus = {"surplus_kg": {("tomato", 0): 5.0}}
    household = home(jars=20, hours=two)
    assert looked_at(household, **surplus) == []
    assert "Out of hands-on hours" in looked_at(household.with_kitchen(kept_free=0.25), **surplus)[0][1]


def test_a_day_that_holds_no_other_preserve_is_named():
    """Friday has soup and kraut, its two; the tomato of that day cannot become juice, unless juice is one of them."""
    household = home(jars=20).with_kitchen(most_preserves_a_day=2, where="Kitchen!B6")
    others = {"make": {("soup", 0): 4.0, ("kraut", 0): 4.0}, "loads": {("kraut", 0): 1.0}}
    surplus = {"surplus_kg": {("tomato", 0): 5.0}}
    where, what, to_do = looked_at(household, **others, **surplus)[0]
    assert (where, what) == (
        "Kitchen",
        "Out of days with room for another preserve, so 11 lb of tomato won't be put up.",
    )
    assert to_do == f"If you can do more in a day, type more under most preserves in a day. {HINT}"
    assert looked_at(household, **surplus) == []
    assert looked_at(household.with_kitchen(most_preserves_a_day=3), **others, **surplus) == []


def test_an_empty_harvest_is_to_be_looked_at():
    """A plan of nothing says first why it is nothing."""
    empty = message_row(WARNING, "Harvest!A5", "Harvest is empty.", "Add a row for each picking.")
    rows = tables(home(), Plan(periods(home().kitchen)), [empty])["Messages"]
    assert (rows[0]["Severity"], rows[0]["Where"]) == ("Warning", "Harvest!A5")


@pytest.mark.parametrize(("made", "severity"), [({("juice", 0): 7.0}, "Warning"), ({}, "Note")])
def test_a_problem_of_a_preserve_is_a_warning_where_it_is_planned(made, severity):
    """What is not planned changes nothing in this plan; the note stays in the workbook."""
    household = home()
    preserves = tuple(dataclasses.replace(one, where=f"Preserves!A{n}") for n, one in enumerate(household.preserves, 6))
    household = dataclasses.replace(household, preserves=preserves)
    memory = Problem("Preserves!A6", "own recipe", ("juice", "your aunt"))
    reading = SimpleNamespace(household=household, problems=(memory,), errors=())
    rows = problem_rows(reading, Plan(periods(household.kitchen), make=made))
    assert [(row["Severity"], row["Where"]) for row in rows] == [(severity, "Preserves!A6")]


MUST_AND_SHOULD = (
    Target("slices", 4, 4, 1, counts={"dried tomato": 1.0, "kraut": 1.0}),
    Target("juice", 4, 4, 2, counts={"juice": 1.0}),
)


def test_a_must_is_blamed_only_for_what_its_planned_preserves_take():
    """Slices may be dried tomato or kraut: kraut takes no tomato from juice, dried tomato does."""
    household = home(targets=MUST_AND_SHOULD, shelf=())
    said = "juice gets nothing, while slices is over three quarters filled and takes tomato."
    assert [what for _, what, _ in looked_at(household, make={("dried tomato", 0): 4.0}, surplus_kg={})] == [said]
    assert looked_at(household, make={("kraut", 0): 4.0}, surplus_kg={}) == []


def test_a_must_that_is_filled_from_the_shelf_is_blamed_for_nothing():
    """Four bags of dried tomato stand there already; the plan makes none."""
    household = home(targets=MUST_AND_SHOULD, shelf=(ShelfRow("dried tomato", 4),))
    assert looked_at(household, make={}, loads={}, surplus_kg={}) == []


def test_musts_that_take_the_same_are_named_together():
    """Two musts take tomato and the should does: they are filled past three quarters, and all take it."""
    targets = (*MUST_AND_SHOULD, Target("more slices", 4, 4, 1, counts={"dried tomato": 1.0}))
    said = looked_at(home(targets=targets, shelf=()), make={("dried tomato", 0): 4.0}, surplus_kg={})
    assert said[0][1] == (
        "juice gets nothing, while slices; more slices are over three quarters filled and take tomato."
    )
