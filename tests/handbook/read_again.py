"""
Figures typed from a second reading of the publications, made apart from the tables.

Each block was read in a copy that is named with it, and typed from that copy; none was taken from the tables of this
project. Copies: pages of Michigan State University Extension, *Preserving Food Safely* (10/13/97), numbered 01600...;
pages of the National Center for Home Food Preservation (adapted from AIB 539, revised 2015); pages that print AIB 539
(rev. 1994, and the 2009/2015 wording) word for word; the timetables of Utah State University Extension (Riggs and
Washburn, from the 1994 guide).
"""

from __future__ import annotations

from stillroom.handbook.lines import Process, at_altitude, by_line, crop_lb
from stillroom.handbook.tables import table

FOUR, THREE = (1_000, 3_000, 6_000, 10_000), (1_000, 6_000, 10_000)
"""Tops of the boiling-water bands; what is printed as *above 6,000 ft* is asked at 6,001."""

BOILING_WATER = {
    # whole or halved tomatoes packed in water, hot and raw: NCHFP (reviewed 2018), and a page printing the 2015 guide
    "whole tomatoes in water, hot pack, pint": (40, 45, 50, 55),
    "whole tomatoes in water, hot pack, quart": (45, 50, 55, 60),
    "whole tomatoes in water, raw pack, pint": (40, 45, 50, 55),
    "whole tomatoes in water, raw pack, quart": (45, 50, 55, 60),
    # whole or halved tomatoes packed in tomato juice, hot and raw, pints and quarts: MSU 01600828
    "whole tomatoes in juice, hot pack, pint": (85, 90, 95, 100),
    "whole tomatoes in juice, hot pack, quart": (85, 90, 95, 100),
    "whole tomatoes in juice, raw pack, pint": (85, 90, 95, 100),
    "whole tomatoes in juice, raw pack, quart": (85, 90, 95, 100),
    # tomato and vegetable juice blend: a page printing the 2015 guide
    "tomato and vegetable juice, hot pack, pint": (35, 40, 45, 50),
    "tomato and vegetable juice, hot pack, quart": (40, 45, 50, 55),
    # standard tomato sauce: two pages printing the guide
    "tomato sauce, hot pack, pint": (35, 40, 45, 50),
    "tomato sauce, hot pack, quart": (40, 45, 50, 55),
    # peaches, halved or sliced: a page printing AIB 539 (rev. 1994)
    "peaches, hot pack, pint": (20, 25, 30, 35),
    "peaches, hot pack, quart": (25, 30, 35, 40),
    "peaches, raw pack, pint": (25, 30, 35, 40),
    "peaches, raw pack, quart": (30, 35, 40, 45),
    # applesauce: MSU 01600353
    "applesauce, hot pack, pint": (15, 20, 20, 25),
    "applesauce, hot pack, quart": (20, 25, 30, 35),
    # quick fresh-pack dill pickles: a page printing AIB 539 (rev. 1994); three bands
    "quick dill pickles, raw pack, pint": (10, 15, 20),
    "quick dill pickles, raw pack, quart": (15, 20, 25),
    # apricots: MSU 01600770. Nectarines: pages printing NCHFP. Rhubarb: MSU 01600253. Fruit purees: MSU 01600839
    "apricots, hot pack, pint": (20, 25, 30, 35),
    "apricots, raw pack, quart": (30, 35, 40, 45),
    "nectarines, hot pack, quart": (25, 30, 35, 40),
    "nectarines, raw pack, pint": (25, 30, 35, 40),
    "rhubarb, hot pack, pint": (15, 20, 25),
    "rhubarb, hot pack, quart": (15, 20, 25),
    "fruit purees, hot pack, quart": (15, 20, 25),
    # grapes, raw pack: MSU 01600322. Pineapple: MSU 01600459. Grapefruit and orange sections: MSU 01600449
    "whole grapes, raw pack, pint": (15, 20, 20, 25),
    "whole grapes, raw pack, quart": (20, 25, 30, 35),
    "pineapple, hot pack, pint": (15, 20, 20, 25),
    "pineapple, hot pack, quart": (20, 25, 30, 35),
    "citrus sections, raw pack, pint": (10, 15, 20),
    # cherries: a page printing NCHFP. Jams: a page of So Easy to Preserve, 5th edition
    "cherries, raw pack, pint": (25, 30, 35, 40),
    "cherries, raw pack, quart": (25, 30, 35, 40),
    "jam without added pectin, hot pack, half-pint": (5, 10, 15),
    "jam with added pectin, hot pack, pint": (5, 10, 15),
    # apples, sliced: NCHFP (rev. 2015, reviewed 2018), by a page that prints it. Berries: UF/IFAS FCS8277
    "sliced apples, hot pack, pint": (20, 25, 30, 35),
    "sliced apples, hot pack, quart": (20, 25, 30, 35),
    "berries, hot pack, pint": (15, 20, 20, 25),
    "berries, hot pack, quart": (15, 20, 20, 25),
    "berries, raw pack, pint": (15, 20, 20, 25),
    "berries, raw pack, quart": (20, 25, 30, 35),
    # plums: MSU 01600415. Grape juice: MSU 01600323 and So Easy to Preserve, 6th edition
    "plums, hot pack, pint": (20, 25, 30, 35),
    "plums, raw pack, quart": (25, 30, 35, 40),
    "grape juice, hot pack, pint": (5, 10, 15),
    "grape juice, hot pack, quart": (5, 10, 15),
    "grape juice, hot pack, half-gallon": (10, 15, 20),
    # tomato juice: MSU 01600829. Chile salsa: Oklahoma State University Extension, from NCHFP
    "tomato juice, hot pack, pint": (35, 40, 45, 50),
    "tomato juice, hot pack, quart": (40, 45, 50, 55),
    "chile salsa, hot pack, pint": (15, 20, 25),
    # pickled beets: a page printing the 2015 guide. Bell peppers: NCHFP, by Missouri's Seasonal and Simple
    "pickled beets, hot pack, pint": (30, 35, 40, 45),
    "pickled beets, hot pack, quart": (30, 35, 40, 45),
    "pickled bell peppers, hot pack, half-pint": (5, 10, 15),
    "pickled bell peppers, hot pack, pint": (5, 10, 15),
    # bread-and-butter pickles: MSU 01600131. Hot peppers: NCHFP, by two pages that print it
    "bread-and-butter pickles, hot pack, pint": (10, 15, 20),
    "bread-and-butter pickles, hot pack, quart": (10, 15, 20),
    "pickled hot peppers, raw pack, pint": (10, 15, 20),
    # sauerkraut, raw pack: a book that repeats the guide's figures
    "sauerkraut, raw pack, pint": (20, 25, 30, 35),
    "sauerkraut, raw pack, quart": (25, 30, 35, 40),
}
"""Minutes by altitude band, from the lowest up."""

LOW_ACID = {
    "carrots, hot pack": (25, 30),  # MSU 01600169
    "carrots, raw pack": (25, 30),  # MSU 01600169
    "green beans, hot pack": (20, 25),  # a page printing the 1994 guide
    "green beans, raw pack": (20, 25),
    "sweet corn, hot pack": (55, 85),  # two pages printing the guide
    "sweet corn, raw pack": (55, 85),
    "beets, hot pack": (30, 35),  # a page printing AIB 539 (rev. 1994)
    "meat in pieces, hot pack": (75, 90),  # MSU 01600849
    "meat in pieces, raw pack": (75, 90),
    "chicken or rabbit without bones, hot pack": (75, 90),  # a page printing AIB 539 (rev. 1994)
    "chicken or rabbit without bones, raw pack": (75, 90),
    "chicken or rabbit with bones, hot pack": (65, 75),
    "chicken or rabbit with bones, raw pack": (65, 75),
    "ground meat, hot pack": (75, 90),  # a table of Guide 5
    "beef stock, hot pack": (20, 25),
    "soup, hot pack": (60, 75),
    "asparagus, hot pack": (30, 40),  # MSU 01600038
    "asparagus, raw pack": (30, 40),
    "lima beans, hot pack": (40, 50),  # MSU 01600712
    "lima beans, raw pack": (40, 50),
    "okra, hot pack": (25, 40),  # MSU 01600181
    "spinach and other greens, hot pack": (70, 90),  # MSU 01600053
    "sweet potatoes, hot pack": (65, 90),  # MSU 01600190
    "potatoes, hot pack": (35, 40),  # NCHFP (rev. 2015)
    "green peas, hot pack": (40, 40),  # MSU 01600242
    "green peas, raw pack": (40, 40),
    "pumpkin or winter squash cubes, hot pack": (55, 90),  # a page printing the 2015 guide
    "spaghetti sauce without meat, hot pack": (20, 25),  # a page printing the 2015 guide; Missouri, Seasonal and Simple
}
"""Minutes for pints and quarts; 11, 12, 13, 14 lb on a dial and 10, 15 lb under a weight in all of them."""

LOW_ACID_LB = {"dial": ((2_000, 11), (4_000, 12), (6_000, 13), (8_000, 14)), "weighted": ((1_000, 10), (10_000, 15))}
FEWER_LB = {"dial": ((2_000, 6), (4_000, 7), (6_000, 8), (8_000, 9)), "weighted": ((1_000, 5), (10_000, 10))}

PAIRS = {
    # whole tomatoes in water: a page printing the 2015 guide; NCHFP
    "whole tomatoes in water, hot pack": ((15, 5), (10, 10), (1, 15)),
    "whole tomatoes in water, raw pack": ((15, 5), (10, 10), (1, 15)),
    # in juice: MSU 01600828
    "whole tomatoes in juice, hot pack": ((40, 5), (25, 10), (15, 15)),
    "whole tomatoes in juice, raw pack": ((40, 5), (25, 10), (15, 15)),
    # vegetable juice blend: a page printing the 2015 guide. Sauce: NCHFP (reviewed 2018)
    "tomato and vegetable juice, hot pack": ((20, 5), (15, 10), (10, 15)),
    "tomato sauce, hot pack": ((20, 5), (15, 10), (10, 15)),
    # raw without liquid: two pages printing the guide's table. Crushed, and juice: pages of a maker of canners
    "whole tomatoes without liquid, raw pack": ((40, 5), (25, 10), (15, 15)),
    "crushed tomatoes, hot pack": ((20, 5), (15, 10), (10, 15)),
    "tomato juice, hot pack": ((20, 5), (15, 10), (10, 15)),
}
"""Minutes and pounds under a weight up to 1,000 ft: pairs to choose from, for pints and for quarts."""

FEWER = {"applesauce, hot pack, pint, pressure": 8, "applesauce, hot pack, quart, pressure": 10}  # MSU 01600353
FEWER |= {f"peaches, {pack} pack, {jar}, pressure": 10 for pack in ("hot", "raw") for jar in ("pint", "quart")}
# process times for some acid foods, AIB 539 (rev. 1994), Guide 2; rhubarb and purees in MSU too
FEWER |= {f"{food}, {pack} pack, {jar}, pressure": 10 for food in ("apricots", "nectarines", "plums") for pack in ("hot", "raw") for jar in ("pint", "quart")}  # fmt: skip
FEWER |= {f"{food}, hot pack, {jar}, pressure": 8 for food in ("rhubarb", "fruit purees", "berries") for jar in ("pint", "quart")}  # fmt: skip
"""Minutes of fruit under pressure, at 6, 7, 8, 9 lb on a dial and 5, 10 lb under a weight."""

LOADS = {
    "whole tomatoes in water": (21, 13), "crushed tomatoes": (22, 14), "tomato sauce": (35, 21), "carrots": (17.5, 11),
    "green beans": (14, 9), "sweet corn": (31.5, 20), "beets": (21, 13.5), "peaches": (17.5, 11), "applesauce": (21, 13.5),
    "apricots": (16, 10), "rhubarb": (10.5, 7), "whole grapes": (14, 9), "asparagus": (24.5, 16), "lima beans": (28, 18), "okra": (11, 7),
    "sweet potatoes": (17.5, 11), "grape juice": (24.5, 16), "sliced apples": (19, 12.25), "green peas": (31.5, 20),
    "plums": (14, 9), "berries": (12, 8), "tomato juice": (23, 14), "potatoes": (20, 13),
}  # fmt: skip
"""Pounds for a load of seven quarts and of nine pints, from the same pages."""

SECOND = """
apples hot 30 30 35 35 40 40
applesauce hot 20 30 25 35 30 40
apricots raw 35 40 40 45 45 50
apricots hot 30 35 35 40 40 45
berries raw 20 30 25 35 30 40
berries hot 20 20 25 25 30 40
cherries raw 35 35 40 40 45 45
cherries hot 20 30 25 35 30 40
fruit_juices hot 10 10 15 15 20 20
fruit_purees hot 20 20 25 25 30 30
peaches raw 35 40 40 45 45 50
peaches hot 30 35 35 40 40 45
pears hot 30 35 35 40 40 45
plums raw 30 35 35 40 40 45
plums hot 30 35 35 40 40 45
"""
"""Utah State: pints and quarts at 3,001-6,000, 6,001-8,000 and 8,001-10,000 ft."""


def compared() -> tuple[int, list[str]]:
    """Compare every figure; gives how many were compared, and each difference in words."""
    checks = [*_boiling(), *_low_acid(), *_pairs(), *_fewer(), *_loads(), *_second()]
    return len(checks), [f"{name}: read {read}, held {held}" for name, read, held in checks if read != held]


Check = tuple[str, object, object]


def _boiling() -> list[Check]:
    found: list[Check] = []
    for key, figures in BOILING_WATER.items():
        for place, minutes in enumerate(figures):
            tops = FOUR if len(figures) == 4 else THREE
            altitude = 6_001 if place == len(figures) - 1 else tops[place]
            found.append((f"{key}, {altitude:,} ft", [float(minutes)], _minutes(at_altitude(by_line()[key], altitude))))
    return found


def _minutes(rows: tuple[Process, ...]) -> list[float]:
    return [row.minutes for row in rows]


def _process(key: str, gauge: str, top: int) -> list[tuple[float, float | None]]:
    return [(row.minutes, row.pressure_lb) for row in at_altitude(by_line()[key], top, gauge)]


def _low_acid() -> list[Check]:
    return [
        (f"{key}, {jar}, {gauge}, {top:,} ft", [(float(minutes), float(pounds))], _process(f"{key}, {jar}", gauge, top))
        for key, figures in LOW_ACID.items()
        for jar, minutes in zip(("pint", "quart"), figures, strict=True)
        for gauge, bands in LOW_ACID_LB.items()
        for top, pounds in bands
    ]


def _pairs() -> list[Check]:
    return [
        (f"{key}, {jar}, weighted", {(float(m), float(lb)) for m, lb in pairs}, set(_process(f"{key}, {jar}, pressure", "weighted", 1_000)))
        for key, pairs in PAIRS.items()
        for jar in ("pint", "quart")
    ]  # fmt: skip


def _fewer() -> list[Check]:
    return [
        (f"{key}, {gauge}, {top:,} ft", [(float(minutes), float(pounds))], _process(key, gauge, top))
        for key, minutes in FEWER.items()
        for gauge, bands in FEWER_LB.items()
        for top, pounds in bands
    ]


def _loads() -> list[Check]:
    return [
        (f"{product}, {jars} {jar}s", float(pounds), round((crop_lb(product, jar) or 0.0) * jars, 6))
        for product, both in LOADS.items()
        for (jar, jars), pounds in zip((("quart", 7), ("pint", 9)), both, strict=True)
    ]


def _second() -> list[Check]:
    held = {
        (row["food"], row["pack"], row["jar"], row["altitude_max_ft"]): float(row["minutes"])
        for row in table("high_altitude_fruit")
    }
    found: list[Check] = []
    for line in SECOND.strip().splitlines():
        food, pack, *figures = line.replace("_", " ").replace("fruit ", "fruit_").split()
        places = [(jar, top) for top in ("6000", "8000", "10000") for jar in ("pint", "quart")]
        for (jar, top), minutes in zip(places, figures, strict=True):
            name = food.replace("_", " ")
            found.append(
                (f"second table: {name}, {pack}, {jar}, to {top} ft", float(minutes), held.get((name, pack, jar, top)))
            )
    return found
