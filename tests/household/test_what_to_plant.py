"""What to plant: pounds of each crop by hand, and the published rows and plants beside them."""

import dataclasses
import datetime
import json

import pytest
from rich.console import Console
from tests.household.three_seasons import PASTE, three_seasons
from tests.small_kitchen import FRIDAY

from stillroom.app.plan import read_workbook
from stillroom.app.year import garden_of
from stillroom.cli import run
from stillroom.handbook.crop_figures import published_planting
from stillroom.household.records import (
    Container,
    Crop,
    Household,
    Ingredient,
    Kitchen,
    Lot,
    PlanLine,
    Preserve,
    RecordRow,
    ShelfRow,
    Target,
)
from stillroom.household.results.review import review
from stillroom.household.results.review.planting import garden_needs
from stillroom.household.units import POUND_KG
from stillroom.reports.terminal.review import garden_page, source_lines, unknown_line

TODAY = datetime.date(2026, 11, 30)
AUGUST = datetime.date(2027, 8, 1)


def made_of(name, kg=1.5, source="crop", item="tomato", **more):
    """A preserve of one item."""
    return Preserve(name, "frozen", "jar", ingredients=(Ingredient(item, source, kg),), **more)


def kitchen(*record, **more):
    """Twelve quarts of juice wanted for a year, of 1.5 kg of tomatoes each."""
    others = {
        "crops": (Crop("tomato", 5), Crop("peaches", 5)),
        "preserves": (made_of("juice"),),
        "containers": (Container("jar", "jar", 1.0),),
        "targets": (Target("juice", 12, 12, unit="quart", counts={"juice": 1.0}, weeks=52),),
    }
    return Household(Kitchen(TODAY), record=record, **(others | more))


def needs(household, settled=None):
    """What it needs of the garden."""
    settled = settled or household
    return garden_needs(household, settled, review(household, settled, {}, {}).targets)


def kg_of(found):
    """The kg by crop."""
    return {one.crop.name: pytest.approx(one.kg) for one in found.crops}


def test_the_whole_list_is_grown_where_nothing_will_be_left():
    """Twelve quarts of 1.5 kg are 18 kg; of five on the shelf in November none is left in a year."""
    for shelf in ((), (ShelfRow("juice", 5),)):
        found = needs(kitchen(shelf=shelf))
        assert kg_of(found) == {"tomato": 18.0}
        assert found.targets[0].left == 0


def test_what_is_left_at_the_next_harvest_need_not_grow():
    """Twelve a year are eaten evenly: of 20, about 8 in 244 days to August 1, so half a jar more than the list."""
    lots = (Lot("tomato", AUGUST, 50.0, expected=True), Lot("tomato", datetime.date(2026, 9, 1), 9.0, expected=True))
    found = needs(kitchen(shelf=(ShelfRow("juice", 20),), lots=lots))
    left = 20 - 12 / 52 / 7 * (AUGUST - TODAY).days
    assert found.targets[0].left == pytest.approx(left, abs=0.05)
    assert left > 11.9
    assert found.targets[0].containers == {"juice": pytest.approx(12 - left, abs=0.05)}
    assert kg_of(found) == {"tomato": 1.5}, "a whole jar"


def test_a_target_is_filled_as_it_was_last_by_record_and_plan():
    """Two pints of sauce of 2 kg for each quart of juice, half a quart each: six quarts of each."""
    sauce = made_of("sauce", 2.0)
    target = Target("juice", 12, 12, unit="quart", counts={"juice": 1.0, "sauce": 0.5}, weeks=52)
    day = datetime.date(2026, 8, 20)
    record = (RecordRow(day, "juice", 3.0), RecordRow(datetime.date(2025, 8, 1), "sauce", 99.0))
    both = kitchen(*record, RecordRow(day, "sauce", 6.0), preserves=(made_of("juice"), sauce), targets=(target,))
    assert needs(both).targets[0].containers == {"juice": pytest.approx(6), "sauce": pytest.approx(12)}
    assert kg_of(needs(both)) == {"tomato": 6 * 1.5 + 12 * 2.0}
    planned = dataclasses.replace(both, record=record, plan_lines=(PlanLine(TODAY, 1, "sauce", make=6.0),))
    assert needs(planned).targets[0].containers == {"juice": pytest.approx(6), "sauce": pytest.approx(12)}


def test_a_preserve_in_a_preserve_takes_its_crop_and_what_is_not_included_takes_none():
    """A jar of chutney has half a jar of juice and 1 kg of peaches."""
    chutney = made_of("chutney", 0.5, "preserve", "juice")
    chutney = dataclasses.replace(chutney, ingredients=(*chutney.ingredients, Ingredient("peaches", "crop", 1.0)))
    targets = (Target("chutney", 4, 4, counts={"old": 1.0, "chutney": 1.0}),)
    old = made_of("old", 9.0, include=False)
    assert kg_of(needs(kitchen(preserves=(made_of("juice"), old, chutney), targets=targets))) == {
        "tomato": 3.0,
        "peaches": 4.0,
    }
    found = needs(kitchen(preserves=(old,), targets=targets))
    assert (found.crops, found.targets[0].containers) == ((), {})


# The published figures.


def test_rows_and_plants_are_those_of_the_table():
    """100 to 250 lb of tomatoes from 100 feet, 18 to 36 inches apart; 25 lb are 10 to 25 feet and 4 to 17 plants."""
    tomato = published_planting("plum tomato", "tomato")
    assert tomato.row_feet(25 * POUND_KG) == (pytest.approx(10), pytest.approx(25))
    assert tomato.plants(25 * POUND_KG) == (pytest.approx(10 / 3), pytest.approx(25 / 1.5))
    corn = published_planting("sweet corn", None)
    assert corn.status == "derived"
    assert corn.row_feet(75 * POUND_KG) == (pytest.approx(100), pytest.approx(100))
    assert corn.plants(1.0) is None
    berries = published_planting("red raspberries", "berries")
    assert berries.plants(15 * POUND_KG) == (pytest.approx(3), pytest.approx(5))
    assert berries.row_feet(15 * POUND_KG) == (pytest.approx(9), pytest.approx(20))


@pytest.mark.parametrize("name", ["peaches", "berries", "leafy greens", "tomatoes and peppers", "our own"])
def test_nothing_is_worked_out_for_what_no_table_has(name):
    assert published_planting(name, None) is None


def test_a_crop_that_is_published_shelled_only_has_no_row_and_the_page_says_why():
    lima = published_planting("lima beans", None)
    assert (lima.row_feet(1.0), lima.plants(1.0)) == (None, None)
    (need,) = needs(kitchen()).crops
    assert unknown_line(need, lima).endswith(
        "no length of row is published (published for shelled beans only, not as picked)."
    )
    assert source_lines([(need, lima)]) == []
    assert unknown_line(need, None) == "tomato: not found in a published table by this name."


# The command.


@pytest.fixture(scope="module")
def seasons(tmp_path_factory):
    """The workbook of three seasons."""
    return three_seasons(tmp_path_factory.mktemp("garden") / "kitchen.xlsx")


def test_the_households_own_yields_count_by_variety(seasons):
    """The paste tomato gives a fifth more juice, by the record; its crop a quart is learned."""
    reading = read_workbook(seasons, FRIDAY)
    found, published = garden_of(reading)
    paste = next(one for one in found.crops if one.crop.name == "paste tomato")
    assert paste.own
    quarts = paste.containers[PASTE]
    assert paste.kg == pytest.approx(quarts * reading.household.preserve(PASTE).crop_kg_each("paste tomato"))
    assert paste.kg < 0.9 * quarts * reading.typed.preserve(PASTE).crop_kg_each("paste tomato")
    assert [one.food for one in published] == ["tomato", "tomato"]


def test_the_command_shows_how_rough_it_is_and_writes_nothing(seasons, capsys):
    before = seasons.read_bytes()
    assert run(["garden", str(seasons)]) == 0
    words = " ".join(capsys.readouterr().out.split())
    for part in ("WHAT TO PLANT", "HOW ROUGH IT IS", "no source", "Your own yields by the record", "Sources: Kansas"):
        assert part in words
    assert run(["garden", str(seasons), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [row["crop"] for row in found["crops"]] == ["paste tomato", "slicing tomato"]
    paste = found["crops"][0]
    assert paste["row_feet_most"] == pytest.approx(paste["needed"])
    assert paste["row_feet_least"] == pytest.approx(paste["needed"] / 2.5)
    assert found["targets"][1]["containers"] == [], "the pints are never eaten"
    assert seasons.read_bytes() == before


def test_a_list_that_needs_nothing_and_one_that_nothing_can_fill_are_told_apart(capsys):
    """Nothing wanted; and a target whose only preserve is not included."""
    page = Console(width=78)
    page.print(garden_page(needs(kitchen(targets=(Target("juice", 0, 0, counts={"juice": 1.0}),))), ()))
    page.print(garden_page(needs(kitchen(preserves=(made_of("juice", include=False),))), ()))
    none, left_out = capsys.readouterr().out.split("WHAT TO PLANT")[1:]
    assert none.split() == ["The", "winter", "list", "needs", "no", "more", "of", "any", "crop."]
    assert "No preserve that can be planned counts toward juice." in left_out
