"""What the pictures show is what the plan says: lengths of bars, bands and numbers, by plain arithmetic."""

import datetime
import itertools
from dataclasses import replace

import pytest

from stillroom.household.journal.overview import season_rows, seasons
from stillroom.household.text import METRIC, format_clock, in_style
from stillroom.reports.charts import pictures_of
from stillroom.reports.charts.canvas import EARSHOT, FROZEN, HANDS_ON, PLANNED, SHELF, UNATTENDED, Box, Ribbon, Words
from stillroom.reports.charts.day import day_picture, lanes_of
from stillroom.reports.charts.flow import LEFT_OVER, flow_picture, flows_of
from stillroom.reports.charts.season import parts_of, season_picture
from stillroom.reports.charts.stocks import (
    coverage_picture,
    freezer_fill,
    freezer_picture,
    jars_left_by_size,
    jars_picture,
)
from stillroom.timetable.schedule import kitchen_day


def boxes(picture, tone):
    """The boxes of a tone, but for that of the key."""
    return [
        mark for mark in picture.drawing.marks if isinstance(mark, Box) and mark.tone == tone and mark.width != 13.0
    ]


def words(picture):
    """All that is written."""
    return [mark.text for mark in picture.drawing.marks if isinstance(mark, Words)]


def test_the_bars_of_the_winter_list_are_as_long_as_what_is_there(tiny):
    """On the shelf and planned together, as a share of what is wanted, at most the whole."""
    picture = coverage_picture(tiny)
    wide = max(mark.width for mark in picture.drawing.marks if isinstance(mark, Box))
    drawn = {round(mark.top, 3): 0.0 for mark in boxes(picture, SHELF) + boxes(picture, PLANNED)}
    for mark in boxes(picture, SHELF) + boxes(picture, PLANNED):
        drawn[round(mark.top, 3)] += mark.width / wide
    rows = sorted(tiny.tables["Coverage"], key=lambda row: row["Importance"])
    expected = [min(1.0, (row["On the shelf"] + row["Planned"]) / row["Wanted"]) for row in rows]
    expected = [1.0 if share >= 0.995 else share for share in expected if share > 0]
    assert [share for _, share in sorted(drawn.items())] == pytest.approx(expected, abs=1e-6)


def test_the_winter_list_says_what_is_short(tiny):
    """In the need's own unit."""
    picture = coverage_picture(tiny)
    short = [row for row in tiny.tables["Coverage"] if row["Covered"] < 0.995]
    assert short
    assert sum("short of" in text or text.startswith("none of") for text in words(picture)) == len(short)
    assert (
        f"{len(tiny.tables['Coverage']) - len(short)} of {len(tiny.tables['Coverage'])} targets" in picture.alternative
    )


def test_the_bars_of_the_freezer_are_as_high_as_what_is_in_it(tiny):
    """What is there now and what the plan changes, never below nothing; forty liters are 1½ cubic feet."""
    picture, fill = freezer_picture(tiny), freezer_fill(tiny)
    changes = [row["Freezer change"] for row in tiny.tables["Space"]]
    assert [level - fill.now for level in fill.levels] == pytest.approx(changes)
    high = [mark.height for mark in sorted(boxes(picture, FROZEN), key=lambda mark: mark.left)]
    there = [level for level in fill.levels if level > 1e-6]
    assert high == pytest.approx([level * high[0] / there[0] for level in there], rel=1e-6)
    assert "1½ cu ft" in picture.alternative
    assert any(text.startswith("full: 1½ cu ft") for text in words(picture))


def test_a_freezer_that_is_emptied_is_drawn_from_what_is_in_it_now(tiny):
    """Three liters taken out of a freezer of 100 with 40 free: 60 now, 57 then; of unknown size, 3 now and 0 then."""
    rows = [row | {"Freezer change": -3.0} for row in tiny.tables["Space"]]
    known = replace(tiny.household.kitchen, freezer_size_litres=100.0, freezer_free_litres=40.0)
    unknown = replace(known, freezer_size_litres=None)
    for kitchen, now, then in ((known, 60.0, 57.0), (unknown, 3.0, 0.0)):
        shown = replace(tiny, household=replace(tiny.household, kitchen=kitchen), tables=tiny.tables | {"Space": rows})
        fill = freezer_fill(shown)
        assert (fill.now, set(fill.levels), fill.full) == (now, {then}, now + 40.0)
        assert "only takes food out of the freezer" in freezer_picture(shown).alternative


def test_the_jars_left_are_those_of_the_table_of_spaces(shown):
    """Where a size is in that table too: quart jars."""
    if not shown.planned:
        pytest.skip("no plan")
    left = jars_left_by_size(shown)
    table = [row["Quart jars left"] for row in shown.tables["Space"]]
    quarts = [name for name in left if "quart" in name]
    assert all(one is None for one in table) or quarts or left
    for name in quarts:
        assert left[name] == pytest.approx(table, abs=0.06)


def test_what_was_made_already_takes_no_jar_twice(tiny):
    """A line with *Made* filled is in the record, and the record has taken its jars."""
    before = jars_left_by_size(tiny)["quart jar"]
    lines = list(tiny.household.plan_lines)
    place = next(number for number, line in enumerate(lines) if line.name == "juice")
    gone = lines[place].make
    lines[place] = replace(lines[place], made=gone)
    after = jars_left_by_size(replace(tiny, household=replace(tiny.household, plan_lines=tuple(lines))))["quart jar"]
    assert after[-1] == pytest.approx(before[-1] + gone)


def test_every_number_of_jars_is_written(tiny):
    """Whole jars, never a part of one."""
    picture = jars_picture(tiny)
    for count in jars_left_by_size(tiny)["quart jar"]:
        assert str(int(count + 1e-6)) in words(picture)


def test_what_flows_into_a_way_flows_out_of_it(shown):
    """And all of it together is what is harvested."""
    flows = flows_of(shown)
    for method in {method for _, method in flows.into} - set(LEFT_OVER):
        out = sum(weight for (name, _), weight in flows.out_of.items() if name == method)
        assert flows.of(method, 1) == pytest.approx(out, rel=1e-9), method
    by_crop = {row["Crop"]: row["Harvested"] for row in shown.tables.get("Crop use", ())}
    in_own = {crop.name: (0.45359237 if crop.unit == "lb" else 1.0) for crop in shown.household.crops}
    for crop, amount in by_crop.items():
        assert flows.of(crop, 0) == pytest.approx(amount * in_own[crop], abs=0.05), crop


def test_an_ingredient_goes_where_the_preserve_goes_that_uses_it(tiny):
    """Broth is on no line of the list; the soup that takes it is."""
    flows = flows_of(tiny)
    if any(line.name == "broth" for line in tiny.lines):
        assert flows.out_of["frozen", "soup"] > 0
    assert all(target in {one.name for one in tiny.household.targets} for _, target in flows.out_of)


def test_the_bands_are_as_wide_as_what_flows(tiny):
    """One scale for all bands: together they are as wide as all that flows."""
    picture, flows = flow_picture(tiny), flows_of(tiny)
    bands = [mark for mark in picture.drawing.marks if isinstance(mark, Ribbon)]
    wide = [band.left[2] - band.left[1] for band in bands]
    assert len(bands) == len(flows.into) + len(flows.out_of)
    assert wide == pytest.approx([band.right[2] - band.right[1] for band in bands])
    scale = sum(wide[: len(flows.into)]) / flows.whole
    assert sorted(wide) == pytest.approx(sorted(scale * one for one in (*flows.into.values(), *flows.out_of.values())))


def test_every_minute_of_a_day_is_in_a_lane_once(shown):
    """Hands: once for each pair at it; equipment: once for each piece it is in."""
    for day in shown.days:
        steps = [step for step in shown.steps if step.start.date() == day.day]
        lanes = lanes_of(day, steps, [])
        drawn = sum((bar.end - bar.start).total_seconds() / 60 for lane in lanes.lanes for bar in lane.bars)
        there = sum(
            step.minutes * (len(step.persons) + len(step.equipment) or 1) for step in steps if step.end > step.start
        )
        assert drawn == pytest.approx(there)
        for lane in lanes.lanes:
            ordered = sorted(lane.bars, key=lambda bar: bar.start)
            for one, other in itertools.pairwise(ordered):
                assert one.end <= other.start, (day.day, lane.name)


def test_whom_a_step_needs_is_told_apart(tiny, dryer):
    """Hands at a step with persons; nobody while a dryer runs or a canner cools; an ear for the rest."""
    kinds = set()
    days = [(plan, day) for plan in (tiny, dryer) for day in plan.days]
    for made, day in days:
        steps = [step for step in made.steps if step.start.date() == day.day]
        for lane in lanes_of(day, steps, []).lanes:
            kinds |= {bar.tone for bar in lane.bars}
            if lane.name.startswith("person"):
                assert {bar.tone for bar in lane.bars} == {HANDS_ON}
    assert kinds == {HANDS_ON, EARSHOT, UNATTENDED}


def test_a_day_names_every_load_and_when_it_ends(tiny):
    """And a day without work says so."""
    day = tiny.days[0]
    picture = day_picture(tiny, day.day)
    assert format_clock(day.ends) in picture.alternative
    for step in day.steps:
        if step.end > step.start and step.start.date() == day.day:
            assert any(step.name in text for text in words(picture)), step.name
    idle = day_picture(tiny, day.day + datetime.timedelta(days=300))
    assert idle.empty
    assert "Nothing to put up" in idle.alternative


def test_what_runs_from_the_day_before_is_in_the_next_day(dryer):
    """A dryer that is still going has a bar without a letter, and words say until when."""
    run = next(step for step in dryer.steps if step.kind == "run")
    assert run.end.date() > run.start.date()
    assert any("until" in text for text in words(day_picture(dryer, run.start.date())))
    day = replace(dryer.days[0], kitchen=kitchen_day(dryer.household, run.end.date()))
    lanes = lanes_of(day, [], [run]).lanes
    assert [(lane.name, [bar.letter for bar in lane.bars]) for lane in lanes] == [(run.equipment[0], [""])]


def test_the_season_adds_up_and_is_that_of_the_table(season):
    """What was picked is what became of it, crop by crop."""
    rows = {row["Crop"]: row for row in season_rows(season.typed)}
    for one in seasons(season.typed):
        if one.picked > 0:
            parts = parts_of(one)
            assert sum(parts.values()) == pytest.approx(one.picked)
            assert rows[one.crop.name]["Surplus"] == pytest.approx(parts["Surplus"] / 0.45359237, abs=1e-6)
    picture = season_picture(season)
    for word in ("surplus", "lost", "eaten or given", "left", "boiling-water canned", "dried"):
        assert word in picture.alternative


def test_the_household_reads_its_own_units():
    """Kilograms in a metric kitchen, pounds in the other."""
    from tests.pictures.conftest import MAKERS

    with in_style(METRIC):
        assert " kg " in flow_picture(MAKERS["metric"]()).alternative
    assert " lb " in flow_picture(MAKERS["tiny"]()).alternative


def test_a_sentence_that_has_to_stand_with_the_plan_stands_in_every_picture_of_it(tiny):
    """And in its text alternative; not with the season, which asks no plan."""
    said = "The workbook has changed since this plan was made; plan again to be sure of it."
    for picture in pictures_of(replace(tiny, warning=said)):
        if not picture.empty and picture.name != "season_so_far":
            assert said in picture.alternative, picture.name
            assert "plan again" in " ".join(words(picture)).replace("- ", "-"), picture.name
