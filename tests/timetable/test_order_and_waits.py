"""The order of a day as a cook wants it, waits inside recipes, blanching, and days that start at their own times."""

import dataclasses
import datetime

import pytest
from tests.handbook import kitchens
from tests.timetable.kitchens import CANNER, DAY, NEXT, POT, PRESSURE, beans, home, juice, on
from tests.workbook.reader.making import opened, sound
from tests.workbook.reader.test_problems import place_of, told
from tests.workbook.reader.test_reads import TODAY

from stillroom.handbook.lines import lines
from stillroom.handbook.settle import settle, steps_of
from stillroom.household.records import Crop, Ingredient, Preserve
from stillroom.household.standing import Standing
from stillroom.reports.terminal.day import jar_words, pack_words
from stillroom.timetable.audit import broken_promises
from stillroom.timetable.clock import on_the_clock
from stillroom.timetable.schedule import evening_before, kitchen_day
from stillroom.timetable.text import prepare_words, run_words
from stillroom.workbook.reader import household as read


def clock_of(household, *sessions):
    """The days of some sessions, without a broken promise."""
    days = on_the_clock(household, sessions)
    assert broken_promises(household, sessions, days) == ()
    return days


def corn_and_salsa():
    """Corn keeps one day, the salsa's tomatoes five; both go through the one canner, and the salsa cooks 90 minutes."""
    crops = (Crop("corn", 1.0), Crop("tomato", 5.0))
    corn = dataclasses.replace(
        beans(), name="corn", ingredients=(Ingredient("corn", "crop", 1.0),), hands_minutes_each=8.0
    )
    salsa = juice(hands_minutes_each=6.0, stove_minutes_load=90.0, equipment=("pot", "canner"))
    return home(
        corn, dataclasses.replace(salsa, name="salsa"), crops=crops, equipment=(CANNER, PRESSURE, POT),
    )  # fmt: skip


def test_what_keeps_least_begins_first_when_the_day_is_about_as_short():
    household = corn_and_salsa()
    (day,) = clock_of(household, on("corn", 7), on("salsa", 7))
    first = next(step for step in day.steps if step.kind == "prepare")
    fills = {step.name: step.start for step in day.steps if step.kind == "fill"}
    assert fills["corn"] < fills["salsa"]
    assert first.name in ("corn", "salsa")
    assert day.ends <= day.could_end + datetime.timedelta(minutes=60)


def test_corn_comes_before_salsa_in_the_same_canner():
    """One canner: the loads can only come one after the other, in two orders of about the same length."""
    household = corn_and_salsa()
    salsa = dataclasses.replace(household.preserve("salsa"), equipment=("pressure canner",), stove_minutes_load=0.0)
    household = dataclasses.replace(household, preserves=(household.preserve("corn"), salsa))
    (day,) = clock_of(household, on("corn", 7), on("salsa", 7))
    fills = {step.name: step.start for step in day.steps if step.kind == "fill"}
    assert fills["corn"] < fills["salsa"]


def pickles(*waits):
    """Juice with waits inside its recipe."""
    return dataclasses.replace(juice(hands_minutes_each=5.0), standing=waits)


def test_a_wait_of_hours_is_between_the_preparing_and_the_filling_without_hands():
    (day,) = clock_of(home(pickles(Standing(3, 4, "in salt and ice"))), on("juice", 7))
    (wait,) = [step for step in day.steps if step.kind == "standing"]
    prepared = max(step.end for step in day.steps if step.kind == "prepare")
    filled = min(step.start for step in day.steps if step.kind == "fill")
    assert (wait.start, wait.hands, wait.words) == (prepared, 0, "leave 3 to 4 h in salt and ice")
    assert filled - prepared >= datetime.timedelta(hours=3)


def test_an_overnight_wait_is_a_line_on_the_evening_before():
    days = clock_of(home(pickles(Standing(12, 12, "in brine"))), on("juice", 7, NEXT))
    (line,) = [step for step in days[0].steps if step.kind == "ahead"]
    filled = min(step.start for step in days[0].steps if step.kind == "fill")
    assert line.words == "start 12 h in brine"
    assert line.start.date() == DAY
    assert line.minutes == 0
    assert filled - line.start >= datetime.timedelta(hours=12)


def test_an_overnight_wait_that_should_have_begun_before_the_plan_is_said():
    (day,) = clock_of(home(pickles(Standing(12, 12, "in brine"))), on("juice", 7))
    (line,) = [step for step in day.steps if step.kind == "ahead"]
    assert line.words == "must have had 12 h in brine; if not, make it another day"
    assert line.start == day.kitchen.starts


def settled(line, method, food, **more):
    """The one preserve of a line, settled by the handbook."""
    item = Preserve(
        "it", method, "tub" if method == "frozen" else "quart", handbook_line=line,
        ingredients=(Ingredient(food, "crop", 0.5),), **more,
    )  # fmt: skip
    household = kitchens.household(item)
    household = dataclasses.replace(household, crops=(*household.crops, Crop(food, 3.0)))
    found, problems = settle(household)
    assert not [problem for problem in problems if problem.stops], problems
    return found.preserve("it")


def test_dry_beans_soak_and_broccoli_is_blanched_by_the_tables():
    soaked = settled(
        "dry beans or peas, hot pack, quart", "pressure canned", "dry beans", equipment=("canner",), load=7
    )
    (wait,) = soaked.standing
    assert wait.words == "12 to 18 h in the refrigerator"
    assert wait.then == "drain, boil 30 min in fresh water"
    assert wait.choice == "1 h in the hot water, off the heat"
    assert wait.ahead
    assert settled("broccoli, frozen", "frozen", "broccoli", kept_in="freezer").blanch_text == "blanch 3 min"


def said(item):
    """The words of the clock for one load of a settled preserve, in the order of the steps."""
    days = clock_of(home(item), on(item.name, 7, NEXT))
    return [step.words for day in days for step in day.steps if step.name == item.name]


def made_by(line, *standing):
    """The juice of the hand-worked cases with the steps of another line, and its waits."""
    return juice(hands_minutes_each=5.0, steps=steps_of(lines()[line]), standing=standing)


def test_cucumbers_are_trimmed_before_their_brine_and_drained_after_it():
    """Published order: cut off the blossom ends, 12 h in brine, drain, boil the solution, fill and cover."""
    brine = Standing(12, 12, "in brine", then="drain")
    first, *others = said(made_by("quick dill pickles, raw pack, quart", brine))
    assert first == "wash; cut 1/16 inch off the blossom ends, leave 1/4 inch of stem; then start 12 h in brine"
    assert [words for words in others if "blossom" in words] == []
    places = [
        next(place for place, words in enumerate(others) if part in words)
        for part in ("prepare: drain", "heat the vinegar", "fill 7", "process")
    ]
    assert places == sorted(places)
    assert "(raw pack)" in others[places[2]]
    assert "cover with the boiling solution" in others[places[2]]


def test_what_stands_that_day_is_drained_after_it_and_heated_before_the_jars_are_filled():
    ice = Standing(3, 4, "in salt and ice, in the refrigerator", then="drain")
    words = said(made_by("bread-and-butter pickles, hot pack, pint", ice))
    places = [
        next(place for place, one in enumerate(words) if part in one)
        for part in ("slice 3/16 inch", "in salt and ice, in the refrigerator; drain", "reheat to a boil", "fill 7")
    ]
    assert places == sorted(places)


def test_a_pack_is_named_where_minutes_depend_on_it():
    """Raw peaches in the time of hot ones would be underprocessed."""
    for pack in ("hot", "raw"):
        peaches = dataclasses.replace(juice(), steps=steps_of(lines()[f"peaches, {pack} pack, quart"]))
        assert jar_words(peaches).startswith(f"{pack} pack; ")


@pytest.mark.parametrize(
    ("line", "method", "food", "words"),
    [
        (
            "sweet corn, frozen whole kernel",
            "frozen",
            "sweet corn",
            "blanch 4 min; cut off the kernels, leave 1/2 inch",
        ),
        ("tomatoes, frozen whole or in pieces", "frozen", "tomato", "leave 1 inch headspace"),
        ("sweet peppers, frozen", "frozen", "sweet peppers", "leave 1/2 inch headspace in a rigid container"),
        ("carrots, dried", "dried", "carrots", "blanch 2 to 3 min"),
    ],
)
def test_the_sheet_has_how_a_line_is_blanched_and_packed(line, method, food, words):
    item = settled(line, method, food, kept_in="freezer" if method == "frozen" else "shelf")
    assert pack_words(item).startswith(words)


def test_the_crock_and_the_cellar_have_their_place_and_temperature():
    kraut = Preserve(
        "kraut", "fermented", "crock", process_text="4 weeks", steps=steps_of(lines()["sauerkraut, fermented"])
    )
    assert run_words(kraut).startswith("ferment 4 weeks, under a plate and weights, covered, at 70 to 75 °F")
    onions = Preserve("onions", "root cellar", "box", steps=steps_of(lines()["onions, root cellar"]))
    assert prepare_words(onions, alone=True) == "sort and store at 32 °F, dry"


def test_a_settled_load_has_the_published_waits():
    item = settled("dry beans or peas, hot pack, quart", "pressure canned", "dry beans", equipment=("canner",), load=7)
    assert (item.vent_minutes, item.rise_minutes, item.rest_minutes) == (10, 5, 10)


def with_starts(**times):
    """A sound workbook with a row *day starts*."""
    content = sound()
    content["Hours"].append(dict.fromkeys(content["Hours"][0]) | {"What": "Day starts"} | times)
    return content


def test_each_weekday_may_start_at_its_own_time(tmp_path):
    """A blank day takes the setting; the row is no row of hours."""
    content = with_starts(Mon="5:00 PM", Sat=datetime.time(7, 30))
    household, problems = read.household(opened(tmp_path, content), TODAY)
    assert not [problem for problem in problems if problem.stops]
    monday, saturday, sunday = (datetime.date(2026, 8, day) for day in (17, 22, 23))
    starts = [household.kitchen.starts_on(day).time() for day in (monday, saturday, sunday)]
    assert starts == [datetime.time(17), datetime.time(7, 30), household.kitchen.day_starts_at]
    assert kitchen_day(household, monday).starts.time() == datetime.time(17)
    assert evening_before(household, monday + datetime.timedelta(days=1)).time() >= datetime.time(17)
    assert "day starts" not in {row.what for row in household.hours}


def test_a_start_that_is_no_time_and_a_second_row_are_problems(tmp_path):
    content = with_starts(Mon="soon")
    content["Hours"].append(dict(content["Hours"][-1]) | {"Mon": None})
    found = told(tmp_path, content)
    assert place_of(found, "unreadable time")
    assert place_of(found, "hours row twice")


def test_what_runs_past_midnight_is_held_until_the_next_day_starts():
    """A day that starts at 5 PM is followed by one that starts at 8 AM: the dryer is still in use then."""
    household = home(juice())
    times = tuple(datetime.time(17) if day == DAY.weekday() else datetime.time(8) for day in range(7))
    kitchen = dataclasses.replace(household.kitchen, starts_by_weekday=times)
    household = dataclasses.replace(household, kitchen=kitchen)
    today, tomorrow = clock_of(household, on("juice", 7), on("juice", 7, NEXT))
    assert (today.kitchen.starts.hour, tomorrow.kitchen.starts.hour) == (17, 8)
    seals = [step for step in today.steps if step.kind == "seals"]
    assert all(step.start >= tomorrow.kitchen.starts for step in seals)
