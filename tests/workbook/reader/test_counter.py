"""A counter that jars cool on is a piece of equipment like others; no preserve goes through it."""

from tests.workbook.reader.making import opened, sound
from tests.workbook.reader.test_reads import TODAY

from stillroom.reports.problems import line
from stillroom.timetable.schedule import counter_of, counter_part
from stillroom.workbook.reader import household as read


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
