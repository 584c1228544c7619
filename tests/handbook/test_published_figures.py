"""
Figures typed by hand from a second reading of the publications, compared with what the handbook plans by.

Sources: USDA Complete Guide to Home Canning (AIB 539), Guides 2 to 6, and the sheets of the National Center for Home
Food Preservation and Michigan State University Extension made from it. Each line below gives the published row in the
guide's own order: boiling water by altitude band from the lowest up; pressure by minutes for pints and quarts.
"""

from __future__ import annotations

import pytest
from tests.handbook import read_again

from stillroom.handbook.lines import at_altitude, by_line, crop_lb, least_stove_time

FOUR_BANDS = (1_000, 3_000, 6_000, 8_000)
THREE_BANDS = (1_000, 6_000, 8_000)

BOILING_WATER = """
tomato juice, hot pack, pint | 35 40 45 50
tomato juice, hot pack, quart | 40 45 50 55
tomato and vegetable juice, hot pack, pint | 35 40 45 50
tomato and vegetable juice, hot pack, quart | 40 45 50 55
crushed tomatoes, hot pack, pint | 35 40 45 50
crushed tomatoes, hot pack, quart | 45 50 55 60
tomato sauce, hot pack, pint | 35 40 45 50
tomato sauce, hot pack, quart | 40 45 50 55
whole tomatoes in water, hot pack, pint | 40 45 50 55
whole tomatoes in water, raw pack, quart | 45 50 55 60
whole tomatoes in juice, hot pack, quart | 85 90 95 100
whole tomatoes in juice, raw pack, pint | 85 90 95 100
whole tomatoes without liquid, raw pack, quart | 85 90 95 100
tomato ketchup, hot pack, pint | 15 20 25
chile salsa, hot pack, pint | 15 20 25
tomato paste salsa, hot pack, pint | 15 20 25
sliced apples, hot pack, pint | 20 25 30 35
sliced apples, hot pack, quart | 20 25 30 35
applesauce, hot pack, pint | 15 20 20 25
applesauce, hot pack, quart | 20 25 30 35
apple butter, hot pack, half-pint | 5 10 15
apple butter, hot pack, quart | 10 15 20
peaches, hot pack, pint | 20 25 30 35
peaches, hot pack, quart | 25 30 35 40
peaches, raw pack, pint | 25 30 35 40
peaches, raw pack, quart | 30 35 40 45
pears, hot pack, pint | 20 25 30 35
pears, hot pack, quart | 25 30 35 40
plums, raw pack, pint | 20 25 30 35
plums, hot pack, quart | 25 30 35 40
berries, hot pack, quart | 15 20 20 25
berries, raw pack, pint | 15 20 20 25
berries, raw pack, quart | 20 25 30 35
cherries, hot pack, pint | 15 20 20 25
cherries, hot pack, quart | 20 25 30 35
cherries, raw pack, quart | 25 30 35 40
grape juice, hot pack, quart | 5 10 15
grape juice, hot pack, half-gallon | 10 15 20
quick dill pickles, raw pack, pint | 10 15 20
quick dill pickles, raw pack, quart | 15 20 25
bread-and-butter pickles, hot pack, pint | 10 15 20
bread-and-butter pickles, hot pack, quart | 10 15 20
pickled carrots, hot pack, pint | 15 20 25
pickled beets, hot pack, pint | 30 35 40 45
pickled beets, hot pack, quart | 30 35 40 45
pickled bell peppers, hot pack, pint | 5 10 15
pickled hot peppers, raw pack, half-pint | 10 15 20
sauerkraut, hot pack, pint | 10 15 15 20
sauerkraut, hot pack, quart | 15 20 20 25
sauerkraut, raw pack, pint | 20 25 30 35
sauerkraut, raw pack, quart | 25 30 35 40
strawberry jam with powdered pectin, hot pack, half-pint | 5 10 15
"""

LOW_ACID_MINUTES = """
green beans, raw pack | 20 25
green beans, hot pack | 20 25
sweet corn, hot pack | 55 85
sweet corn, raw pack | 55 85
cream-style corn, hot pack | 85 -
carrots, hot pack | 25 30
beets, hot pack | 30 35
green peas, raw pack | 40 40
pumpkin or winter squash cubes, hot pack | 55 90
potatoes, hot pack | 35 40
peppers, hot pack | 35 -
beef stock, hot pack | 20 25
chicken or turkey stock, hot pack | 20 25
meat in pieces, raw pack | 75 90
ground meat, hot pack | 75 90
chicken or rabbit without bones, hot pack | 75 90
chicken or rabbit with bones, raw pack | 65 75
soup, hot pack | 60 75
seafood soup, hot pack | 100 100
dry beans or peas, hot pack | 75 90
mixed vegetables, hot pack | 75 90
spaghetti sauce without meat, hot pack | 20 25
spaghetti sauce with meat, hot pack | 60 70
asparagus, raw pack | 30 40
lima beans, hot pack | 40 50
okra, hot pack | 25 40
spinach and other greens, hot pack | 70 90
sweet potatoes, hot pack | 65 90
mushrooms, hot pack | 45 -
"""

LOW_ACID_DIAL = {2_000: 11, 2_001: 12, 4_000: 12, 4_001: 13, 6_000: 13, 6_001: 14, 8_000: 14}
LOW_ACID_WEIGHTED = {0: 10, 1_000: 10, 1_001: 15, 9_000: 15}

CROP_LB_A_LOAD = {
    ("tomato juice", "quart", 7): 23,
    ("tomato juice", "pint", 9): 14,
    ("crushed tomatoes", "quart", 7): 22,
    ("crushed tomatoes", "pint", 9): 14,
    ("whole tomatoes in water", "quart", 7): 21,
    ("tomato sauce", "quart", 7): 35,
    ("tomato sauce", "pint", 9): 21,
    ("green beans", "quart", 7): 14,
    ("green beans", "pint", 9): 9,
    ("sweet corn", "quart", 7): 31.5,
    ("sweet corn", "pint", 9): 20,
    ("carrots", "quart", 7): 17.5,
    ("beets", "quart", 7): 21,
    ("green peas", "quart", 7): 31.5,
    ("okra", "quart", 7): 11,
    ("potatoes", "quart", 7): 20,
    ("applesauce", "quart", 7): 21,
    ("sliced apples", "quart", 7): 19,
    ("peaches", "quart", 7): 17.5,
    ("pears", "quart", 7): 17.5,
    ("plums", "quart", 7): 14,
    ("berries", "quart", 7): 12,
}
"""Pounds of crop for a canner load of seven quarts or nine pints, as the guide gives them."""


def lines_of(text: str) -> list[tuple[str, list[str]]]:
    """Split a block of lines into key and figures."""
    return [(line.split("|")[0].strip(), line.split("|")[1].split()) for line in text.strip().splitlines()]


@pytest.mark.parametrize(
    ("key", "figures"), lines_of(BOILING_WATER), ids=lambda value: value if isinstance(value, str) else ""
)
def test_boiling_water_minutes_are_the_published_ones(key, figures):
    """Each band is asked at its upper end, where the guide's boundary belongs to it, and one foot above the one before."""
    bands = FOUR_BANDS if len(figures) == 4 else THREE_BANDS
    for top, minutes in zip(bands, figures, strict=True):
        assert [row.minutes for row in at_altitude(by_line()[key], top)] == [float(minutes)]
    for bottom, minutes in zip(bands, figures[1:], strict=False):
        assert [row.minutes for row in at_altitude(by_line()[key], bottom + 1)] == [float(minutes)]


@pytest.mark.parametrize(
    ("key", "figures"), lines_of(LOW_ACID_MINUTES), ids=lambda value: value if isinstance(value, str) else ""
)
def test_pressure_minutes_and_pounds_are_the_published_ones(key, figures):
    """Low-acid food has one time for every altitude; the pounds rise with it."""
    for jar, minutes in zip(("pint", "quart"), figures, strict=True):
        if minutes == "-":
            assert f"{key}, {jar}" not in by_line()
            continue
        rows = by_line()[f"{key}, {jar}"]
        for gauge, pounds in (("dial", LOW_ACID_DIAL), ("weighted", LOW_ACID_WEIGHTED)):
            for altitude, lb in pounds.items():
                found = [(row.minutes, row.pressure_lb) for row in at_altitude(rows, altitude, gauge)]
                assert found == [(float(minutes), float(lb))], (jar, gauge, altitude)


TOMATO_PAIRS = [
    ("tomato juice", "hot pack", {"A": 20, "B": 15, "C": 10}),
    ("tomato and vegetable juice", "hot pack", {"A": 20, "B": 15, "C": 10}),
    ("crushed tomatoes", "hot pack", {"A": 20, "B": 15, "C": 10}),
    ("tomato sauce", "hot pack", {"A": 20, "B": 15, "C": 10}),
    ("whole tomatoes in water", "raw pack", {"A": 15, "B": 10, "C": 1}),
    ("whole tomatoes in juice", "hot pack", {"A": 40, "B": 25, "C": 15}),
    ("whole tomatoes without liquid", "raw pack", {"A": 40, "B": 25, "C": 15}),
]


@pytest.mark.parametrize(("product", "pack", "pairs"), TOMATO_PAIRS, ids=[pair[0] for pair in TOMATO_PAIRS])
def test_tomato_pairs_of_time_and_pressure_are_the_same_for_pints_and_quarts(product, pack, pairs):
    """Options A, B and C are pairs of time and pressure, not jar sizes."""
    for jar in ("pint", "quart"):
        rows = by_line()[f"{product}, {pack}, {jar}, pressure"]
        weighted = {row.option: (row.minutes, row.pressure_lb) for row in at_altitude(rows, 1_000, "weighted")}
        assert weighted == {"A": (pairs["A"], 5), "B": (pairs["B"], 10), "C": (pairs["C"], 15)}
        dial = {row.option: (row.minutes, row.pressure_lb) for row in at_altitude(rows, 4_500, "dial")}
        assert dial == {"A": (pairs["A"], 8), "B": (pairs["B"], 13)}
        assert least_stove_time(at_altitude(rows, 1_001, "weighted")).pressure_lb == 15


@pytest.mark.parametrize(("product", "jar", "jars"), list(CROP_LB_A_LOAD))
def test_a_canner_load_takes_the_published_weight(product, jar, jars):
    """Twenty-three pounds of tomatoes make seven quarts of juice, fourteen pounds nine pints (AIB 539, Guide 3)."""
    assert crop_lb(product, jar) * jars == pytest.approx(CROP_LB_A_LOAD[product, jar, jars])


def how_many_figures() -> int:
    """How many figures stand above."""
    boiling = sum(len(figures) for _, figures in lines_of(BOILING_WATER))
    pressure = sum(figure != "-" for _, figures in lines_of(LOW_ACID_MINUTES) for figure in figures)
    return boiling + pressure + sum(len(pair[2]) for pair in TOMATO_PAIRS) + len(CROP_LB_A_LOAD)


def test_there_are_more_than_a_hundred_and_twenty_figures():
    """The figures above are counted, so that none goes missing."""
    assert how_many_figures() >= 250


def test_the_second_reading_of_the_publications_agrees():
    """Read again in other copies, and typed apart from the tables: nothing differs."""
    count, differing = read_again.compared()
    assert count >= 300
    assert differing == []
