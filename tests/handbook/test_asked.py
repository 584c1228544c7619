"""What the handbook answers before anything else, and canners, jars and altitudes that are not believed."""

from __future__ import annotations

import dataclasses
import json

import pytest
from tests.handbook.kitchens import beans, group, household, juice
from tests.small_kitchen import KITCHEN, build

from stillroom.cli import run
from stillroom.errors import CommandWrong
from stillroom.handbook.lookup import not_safe_to_can
from stillroom.handbook.settle import settle
from stillroom.handbook.tables import table
from stillroom.reports.terminal.handbook import altitude_ft

NOT_SAFE = {
    "white peaches": "white-flesh peaches",
    "Peaches, WHITE": "white-flesh peaches",
    "mashed pumpkin": "mashed pumpkin or winter squash",
    "pumpkin butter": "pumpkin or squash butter",
    "garlic in oil": "herbs, garlic or vegetables in oil",
    "banana": "bananas",
    "wild mushrooms": "wild mushrooms",
    "chanterelles": "wild mushrooms",
    "summer squash": "summer squash alone",
    "elderberries": "elderberries",
    "refried beans": "mashed vegetables",
    "pesto": "pesto",
    "figs": "figs",
    "broccoli": "broccoli",
}
SAFE = (
    "tomatoes",
    "peaches",
    "apple butter",
    "bread and butter pickles",
    "mixed vegetables",
    "pumpkin",
    "green beans",
    "celery",
)


@pytest.mark.parametrize(("asked", "what"), NOT_SAFE.items())
def test_what_is_not_safe_to_can_comes_first_with_its_source(asked, what, capsys):
    assert run(["handbook", asked]) == 0
    page = " ".join(capsys.readouterr().out.split())
    assert page.startswith(f"NOT SAFE TO CAN: {what}")
    (found,) = not_safe_to_can(asked)
    assert f"Source: {found.source}" in page
    assert page.index(found.instead) < page.index("Source: ")


@pytest.mark.parametrize("asked", SAFE)
def test_what_has_a_published_process_is_not_warned_of(asked):
    assert not_safe_to_can(asked) == ()


def test_other_programs_are_told_too(capsys):
    assert run(["handbook", "pumpkin butter", "--json"]) == 0
    (found,) = json.loads(capsys.readouterr().out)["not_safe"]
    assert found["what"] == "pumpkin or squash butter"
    assert found["status"] == "verified"


@pytest.mark.parametrize("typed", ["99999ft", "4.800 ft", "1.450 m", "1500"])
def test_an_altitude_that_is_none_or_can_be_read_two_ways_is_refused(typed):
    with pytest.raises(CommandWrong, match=r"may be|not an altitude"):
        altitude_ft(typed)


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        ("4.800 ft", None, '"4.800 ft" may be 4.8 or 4800'),
        ("1.450 m", None, '"1.450 m" may be 1.45 or 1450'),
        ("450 m", "ft", "altitude is in m, but Unit is ft"),
    ],
)
def test_an_altitude_in_a_workbook_is_never_guessed(value, unit, words, tmp_path, capsys):
    rows = [row if row["Setting"] != "altitude" else row | {"Value": value, "Unit": unit} for row in KITCHEN["Kitchen"]]
    assert run(["check", str(build(tmp_path / "kitchen.xlsx", Kitchen=rows))]) == 1
    assert words.casefold() in " ".join(capsys.readouterr().out.split()).casefold()


def kinds(*made, **changed):
    """Return the kinds of what refuses, and of what warns."""
    _, problems = settle(household(*made, **changed))
    return [one.kind for one in problems if one.is_error], [one.kind for one in problems if one.severe]


@pytest.mark.parametrize(
    "name",
    [
        "Oven",
        "my dish-washer",
        "Microwave canner",
        "electric pressure cooker",
        "Steam canner",
        "sun canner",
        "crock pot",
    ],
)
def test_a_canner_is_not_believed_against_its_name(name):
    preserve = juice()
    pot = next(piece for piece in household(preserve).equipment if piece.name == preserve.equipment[-1])
    renamed = dataclasses.replace(preserve, equipment=(*preserve.equipment[:-1], name))
    refused, _ = kinds(renamed, equipment=(dataclasses.replace(pot, name=name),))
    assert refused == ["not a canner: by its name"]
    assert kinds(preserve)[0] == []


def test_every_row_of_what_is_no_canner_can_refuse():
    assert {row["key"] for row in table("not_canners")} >= {"oven", "dishwasher", "solar or sun canning"}


@pytest.mark.parametrize("name", ["PET jar", "tin jar", "plastic quart jar", "wine glass jar"])
def test_a_jar_of_another_material_is_none(name):
    preserve = juice()
    jar = next(one for one in household(preserve).containers if one.name == preserve.container)
    renamed = dataclasses.replace(preserve, container=name)
    refused, _ = kinds(renamed, containers=(dataclasses.replace(jar, name=name),))
    assert "jar not published: not a jar" in refused


def test_more_than_twice_the_published_minutes_is_a_warning():
    published = settle(household(beans()))[0].preserves[0].process_minutes
    far, near = (dataclasses.replace(beans(), minutes_typed=published * times) for times in (2.1, 1.9))
    assert "far more minutes than table" in kinds(far)[1]
    assert "far more minutes than table" not in kinds(near)[1]
    assert {group(problem) for problem in settle(household(near))[1]} >= {"more minutes than table"}
