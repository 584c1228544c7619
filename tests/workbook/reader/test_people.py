"""Hours typed person by person, and a counter that jars cool on: read like other hours and equipment."""

from tests.workbook.reader.making import opened, sound
from tests.workbook.reader.test_problems import place_of, told
from tests.workbook.reader.test_reads import TODAY

from stillroom.reports.problems import line
from stillroom.timetable.schedule import counter_of, counter_part, kitchen_day
from stillroom.workbook.reader import household as read

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def with_people(*people):
    """A sound workbook whose row for hands is replaced by rows (what, hours a day)."""
    content = sound()
    hands, *others = content["Hours"]
    content["Hours"] = [hands | {"What": what, **dict.fromkeys(DAYS, hours)} for what, hours in people] + others
    return content


def test_rows_by_person_add_up_to_hands(tmp_path):
    """Ann 2 h and Ben 1.5 h are 3.5 h of hands a day; the spelling of *hands* does not matter."""
    household, problems = read.household(opened(tmp_path, with_people(("hands: Ann", 2), ("Hands Ben", 1.5))), TODAY)
    assert not any(problem.kind == "hours unlimited" for problem in problems)
    rows = {row.what: row.by_weekday for row in household.hours}
    assert rows["hands"] == (3.5,) * 7
    assert (rows["hands: Ann"], rows["hands: Ben"]) == ((2,) * 7, (1.5,) * 7)
    day = kitchen_day(household, household.kitchen.first_day)
    assert (day.names, day.minutes_of_each) == (("Ann", "Ben"), (120, 90))


def test_a_person_without_hours_on_a_day_is_not_there_that_day(tmp_path):
    household, _ = read.household(opened(tmp_path, with_people(("hands: Ann", 2), ("hands: Ben", 0))), TODAY)
    assert kitchen_day(household, household.kitchen.first_day).names == ("Ann",)


def test_hands_as_a_whole_beside_single_people_are_a_problem(tmp_path):
    """Somebody would be counted twice."""
    found = told(tmp_path, with_people(("hands", 3), ("hands: Ann", 2)))
    assert [what[1:] for what in place_of(found, "hands counted twice")] == [
        ("Hours has a row for hands and other rows for the hands of single people.", "Delete one or the others.")
    ]


def test_the_same_person_twice_is_a_problem(tmp_path):
    found = told(tmp_path, with_people(("hands: Ann", 3), ("hands:  Ann", 2)))
    assert [what[1] for what in place_of(found, "hours row twice")] == ["Hands: Ann is twice in Hours."]


# A counter that jars cool on is a piece of equipment like others; no preserve goes through it.


def test_a_counter_is_read_and_limits_only_what_cools_on_it(tmp_path):
    """Room for 21 quarts: seven take a third of it, whatever the case its kind is written in."""
    content = sound()
    row = dict.fromkeys(content["Equipment"][0]) | {
        "Equipment": "kitchen table", "Kind": "Counter", "Load": 21, "Load unit": "quart jars",
    }  # fmt: skip
    content["Equipment"].append(row)
    household, problems = read.household(opened(tmp_path, content), TODAY)
    assert [line(problem) for problem in problems if problem.is_error] == []
    counter = counter_of(household)
    assert counter is not None
    assert (counter.name, counter.burners, counter.runs_overnight) == ("kitchen table", 0.0, False)
    preserve = next(
        one for one in household.preserves if one.container == "quart jar" or "quart" in one.container.casefold()
    )
    assert abs(counter_part(household, preserve, 7) - 1 / 3) < 0.06
