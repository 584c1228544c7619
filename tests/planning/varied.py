"""Realistic households of full size, varied by a seed: what the planning room is timed and tried on.

The household is invented. Weights of crop a load and process minutes are those of the published tables at 0 to 1,000 ft
(USDA Complete Guide to Home Canning, AIB 539, Guides 2 to 6; MSU Preserving Food Safely; USDA Home and Garden Bulletin
10 for frozen packs); hours of drying are from memory of extension tables, the upper end; minutes of hands, stock,
prices and wishes are invented. Canned tomatoes take bottled lemon juice as AIB 539 Guide 3 says: two tablespoons a
quart, one a pint. What a pickle takes is counted in packs for a jar, so that no amount of acid stands here.
"""

from __future__ import annotations

import dataclasses
import datetime
import random
from collections.abc import Iterator

from stillroom.household.plan import Plan, periods
from stillroom.household.records import (
    FREEZE_WHOLE,
    THAW,
    Container,
    Crop,
    Equipment,
    Hours,
    Household,
    Ingredient,
    Kitchen,
    Lid,
    Load,
    Lot,
    PantryItem,
    PlanLine,
    Preserve,
    ShelfRow,
    Target,
)

KG_A_LB = 0.45359237
TABLESPOON_LITRES = 0.014786764781
QUART_LITRES = 0.946352946
FIRST_DAY = datetime.date(2026, 8, 18)

CANNER, PRESSURE, DRYER, KETTLE, CROCK = "canner", "pressure canner", "dryer", "kettle", "crock"
WATER, STEAM = "boiling-water canned", "pressure canned"

# name, way, container, crop, lb a load, containers a load, equipment, process min, stove min a load, hands min each,
# hands min a load, from frozen
CANNED_AND_DRIED = (
    ("tomato juice, quart", WATER, "quart jar", "slicing tomato", 23, 7, (CANNER,), 40, 45, 5, 45, True),
    ("tomato juice, pint", WATER, "pint jar", "slicing tomato", 14, 9, (CANNER,), 35, 45, 3, 40, True),
    ("plum tomato juice, quart", WATER, "quart jar", "plum tomato", 23, 7, (CANNER,), 40, 45, 5, 45, True),
    ("thin tomato sauce, quart", WATER, "quart jar", "slicing tomato", 35, 7, (KETTLE, CANNER), 40, 120, 5, 60, True),
    ("thin tomato sauce, pint", WATER, "pint jar", "slicing tomato", 21, 9, (KETTLE, CANNER), 35, 120, 3, 55, True),
    ("thick tomato sauce, quart", WATER, "quart jar", "plum tomato", 46, 7, (KETTLE, CANNER), 40, 180, 6, 75, True),
    ("thick tomato sauce, pint", WATER, "pint jar", "plum tomato", 28, 9, (KETTLE, CANNER), 35, 180, 4, 60, True),
    ("crushed tomatoes, quart", WATER, "quart jar", "plum tomato", 22, 7, (CANNER,), 45, 20, 7, 40, True),
    ("crushed tomatoes, pint", WATER, "pint jar", "plum tomato", 14, 9, (CANNER,), 35, 20, 5, 40, True),
    ("whole tomatoes in water, quart", WATER, "quart jar", "plum tomato", 21, 7, (CANNER,), 45, 10, 8, 35, False),
    ("whole tomatoes in water, pint", WATER, "pint jar", "plum tomato", 13, 9, (CANNER,), 40, 10, 6, 35, False),
    ("whole tomatoes in juice, quart", WATER, "quart jar", "plum tomato", 21, 7, (CANNER,), 85, 15, 8, 35, False),
    ("spaghetti sauce, quart", STEAM, "quart jar", "plum tomato", 40.2, 6, (KETTLE, PRESSURE), 25, 150, 8, 60, True),
    ("spaghetti sauce, pint", STEAM, "pint jar", "plum tomato", 30, 9, (KETTLE, PRESSURE), 20, 150, 5, 60, True),
    ("green beans, quart", STEAM, "quart jar", "green bean", 14, 7, (PRESSURE,), 25, 0, 9, 20, False),
    ("green beans, pint", STEAM, "pint jar", "green bean", 9, 9, (PRESSURE,), 20, 0, 5, 20, False),
    ("corn kernels, quart", STEAM, "quart jar", "sweet corn", 31.5, 7, (PRESSURE,), 85, 15, 11, 25, False),
    ("corn kernels, pint", STEAM, "pint jar", "sweet corn", 20, 9, (PRESSURE,), 55, 15, 6, 25, False),
    ("creamed corn, pint", STEAM, "pint jar", "sweet corn", 20, 9, (PRESSURE,), 85, 20, 8, 25, False),
    ("peppers, pint", STEAM, "pint jar", "sweet pepper", 9, 9, (PRESSURE,), 35, 10, 7, 25, False),
    ("dill pickles, quart", WATER, "quart jar", "cucumber", 14, 7, (CANNER,), 15, 15, 5, 30, False),
    ("dill pickles, pint", WATER, "pint jar", "cucumber", 9, 9, (CANNER,), 10, 15, 3, 30, False),
    ("bread-and-butter pickles, pint", WATER, "pint jar", "cucumber", 9, 9, (CANNER,), 10, 25, 5, 30, False),
    ("applesauce, quart", WATER, "quart jar", "apple", 21, 7, (CANNER,), 20, 45, 6, 40, False),
    ("applesauce, pint", WATER, "pint jar", "apple", 13.5, 9, (CANNER,), 15, 45, 4, 40, False),
    ("apple slices, quart", WATER, "quart jar", "apple", 19, 7, (CANNER,), 20, 15, 7, 30, False),
    ("dried tomatoes, bag", "dried", "small bag", "plum tomato", 18, 4, (DRYER,), 1080, 0, 6, 20, False),
    ("dried peppers, bag", "dried", "small bag", "sweet pepper", 13.8, 3, (DRYER,), 720, 0, 6, 15, False),
    ("dried beans, bag", "dried", "small bag", "green bean", 16.2, 6, (DRYER,), 840, 0, 6, 20, False),
    ("dried apples, bag", "dried", "small bag", "apple", 17.55, 9, (DRYER,), 720, 0, 5, 20, False),
    ("sauerkraut, quart", "fermented", "refrigerator quart", "cabbage", 25, 9, (CROCK,), 40320, 0, 4, 30, False),
    ("crock pickles, quart", "fermented", "refrigerator quart", "cucumber", 25, 11, (CROCK,), 40320, 0, 3, 30, False),
)

# name, way, container, crop, lb each, hands min each, stove min each, smallest batch, kept in
WITHOUT_EQUIPMENT = (
    ("frozen beans, bag", "frozen", "pint bag", "green bean", 0.75, 4, 2, 4, "freezer"),
    ("frozen corn, bag", "frozen", "pint bag", "sweet corn", 2.25, 6, 3, 4, "freezer"),
    ("frozen peppers, bag", "frozen", "pint bag", "sweet pepper", 0.67, 3, 0, 4, "freezer"),
    ("frozen apples, bag", "frozen", "pint bag", "apple", 1.375, 4, 0, 4, "freezer"),
    ("frozen tomatoes, bag", "frozen", "pint bag", "plum tomato", 1.5, 3, 0, 4, "freezer"),
    ("fermented salsa, tub", "fermented", "litre tub", "slicing tomato", 2.0, 12, 0, 4, "refrigerator"),
    ("keeping apples, box", "root cellar", "bushel box", "apple", 48.0, 20, 0, 1, "cellar"),
    ("keeping cabbage, box", "root cellar", "bushel box", "cabbage", 40.0, 20, 0, 1, "cellar"),
)

# need, wanted, at most, importance, weight, what counts
TARGETS = (
    ("tomato juice", 40, 50, 1, {"tomato juice, quart": 1, "tomato juice, pint": 0.5, "plum tomato juice, quart": 1}),
    (
        "tomato sauce",
        36,
        48,
        1,
        {
            "thin tomato sauce, quart": 0.7,
            "thin tomato sauce, pint": 0.35,
            "thick tomato sauce, quart": 1,
            "thick tomato sauce, pint": 0.5,
        },
    ),
    (
        "cooking tomatoes",
        40,
        60,
        1,
        {
            "crushed tomatoes, quart": 1,
            "crushed tomatoes, pint": 0.5,
            "whole tomatoes in water, quart": 1,
            "whole tomatoes in water, pint": 0.5,
            "whole tomatoes in juice, quart": 1,
            "frozen tomatoes, bag": 0.4,
        },
    ),
    (
        "green beans",
        45,
        60,
        1,
        {"green beans, quart": 2, "green beans, pint": 1, "frozen beans, bag": 1, "dried beans, bag": 1.5},
    ),
    (
        "corn",
        40,
        50,
        1,
        {"corn kernels, quart": 2, "corn kernels, pint": 1, "creamed corn, pint": 1, "frozen corn, bag": 1},
    ),
    ("spaghetti sauce", 16, 20, 2, {"spaghetti sauce, quart": 1, "spaghetti sauce, pint": 0.5}),
    ("salsa", 12, 16, 2, {"fermented salsa, tub": 1}),
    (
        "pickles",
        24,
        30,
        2,
        {
            "dill pickles, quart": 1,
            "dill pickles, pint": 0.5,
            "bread-and-butter pickles, pint": 0.5,
            "crock pickles, quart": 1,
        },
    ),
    ("peppers", 20, 30, 2, {"peppers, pint": 1, "frozen peppers, bag": 1, "dried peppers, bag": 1.5}),
    ("applesauce", 30, 40, 2, {"applesauce, quart": 1, "applesauce, pint": 0.5}),
    ("apples for baking", 20, 30, 2, {"apple slices, quart": 1, "frozen apples, bag": 0.5}),
    ("fresh apples", 4, 6, 2, {"keeping apples, box": 1}),
    ("sauerkraut", 16, 18, 2, {"sauerkraut, quart": 1}),
    ("fresh cabbage", 2, 3, 3, {"keeping cabbage, box": 1}),
    ("dried tomatoes", 8, 12, 3, {"dried tomatoes, bag": 1}),
    ("dried apples", 12, 18, 3, {"dried apples, bag": 1}),
    ("sweet pickles", 8, 10, 3, {"bread-and-butter pickles, pint": 1}),
)

# crop, keeps days, food, frozen whole, trimmings, eaten lb a week, first picking (days from the first day), last,
# every, lb a picking
CROPS = (
    ("plum tomato", 5, "tomato", True, 0.05, 3, -3, 45, 3, 28),
    ("slicing tomato", 4, "tomato", True, 0.08, 6, -2, 38, 3, 22),
    ("green bean", 4, "snap beans", False, 0.1, 2, -1, 30, 4, 11),
    ("sweet corn", 1, "corn, sweet", False, 0.6, 6, 0, 20, 3, 26),
    ("sweet pepper", 7, "peppers, sweet", True, 0.15, 2, -2, 50, 6, 11),
    ("cucumber", 2, "cucumbers", False, 0.05, 3, -1, 24, 4, 13),
    ("apple", 30, "apples", False, 0.2, 5, 10, 52, 7, 60),
    ("cabbage", 21, "cabbage", False, 0.15, 2, 3, 45, 14, 35),
)


def canned_and_dried() -> Iterator[Preserve]:
    """What goes through a piece of equipment, with the weights and minutes of the tables above."""
    for (
        name,
        method,
        container,
        crop,
        pounds,
        load,
        equipment,
        minutes,
        stove,
        each,
        a_load,
        frozen,
    ) in CANNED_AND_DRIED:
        lines = [Ingredient(crop, "crop", pounds * KG_A_LB / load, from_frozen=frozen)]
        if method == WATER and crop.endswith("tomato"):
            spoons = 2 if "quart" in name else 1
            lines.append(Ingredient("bottled lemon juice", "pantry", spoons * TABLESPOON_LITRES))
        if "pickles" in name:
            lines.append(Ingredient("pickling pack", "pantry", 1.0))
        if name == "whole tomatoes in juice, quart":
            lines.append(Ingredient("tomato juice, quart", "preserve", 0.35))
        place = "refrigerator" if container == "refrigerator quart" else "shelf"
        yield Preserve(
            name, method, container, equipment=equipment, load=load, hands_minutes_each=each, hands_minutes_load=a_load,
            stove_minutes_load=stove, process_minutes=minutes, vent_minutes=10.0 if method == STEAM else 0.0,
            kept_in=place, space_litres_each=litres(container), ingredients=tuple(lines), keeps_months=12.0,
        )  # fmt: skip


def without_equipment() -> Iterator[Preserve]:
    """Bags, tubs and boxes."""
    for name, method, container, crop, pounds, hands, stove, batch, place in WITHOUT_EQUIPMENT:
        lines = [Ingredient(crop, "crop", pounds * KG_A_LB)]
        if "salsa" in name:
            lines.append(Ingredient("sweet pepper", "crop", 0.3 * KG_A_LB))
        yield Preserve(
            name, method, container, hands_minutes_each=hands, stove_minutes_each=stove, hands_minutes_load=10.0,
            smallest_batch=batch, kept_in=place, space_litres_each=litres(container), ingredients=tuple(lines),
        )  # fmt: skip


def litres(container: str) -> float:
    """What a container holds, in liters."""
    return {
        "quart jar": QUART_LITRES, "pint jar": QUART_LITRES / 2, "refrigerator quart": QUART_LITRES, "small bag": 1.0,
        "pint bag": QUART_LITRES / 2, "litre tub": 1.0, "bushel box": 35.0,
    }[container]  # fmt: skip


def base(first_day: datetime.date = FIRST_DAY) -> Household:
    """The household before it is varied: 40 preserves, 8 crops, 17 needs, 7 days and 8 weeks."""
    kitchen = Kitchen(
        first_day, altitude_ft=800.0, people=4.0, gauge="weighted", freezer_free_litres=110.0,
        freezer_size_litres=400.0, freeze_kg_a_day=12.8, refrigerator_free_litres=60.0, shelf_free_litres=400.0,
        cellar_free_litres=350.0, spending_limit=150.0,
    )  # fmt: skip
    return Household(
        kitchen,
        hours=(
            Hours("hands", (3.0, 3.0, 3.0, 3.0, 4.0, 12.0, 8.0), 24.0),
            Hours("stove free", (2.5, 2.5, 2.5, 2.5, 3.0, 9.0, 7.5), 25.0),
        ),
        equipment=(
            Equipment(CANNER, "boiling-water canner", 1, jar_loads(7, 9), 1.0, 0.5, 0.0),
            Equipment(PRESSURE, "pressure canner", 1, jar_loads(7, 9), 1.0, 20 / 60, 1.0),
            Equipment(KETTLE, "kettle", 1, (Load(46.0, "lb"),), 1.0),
            Equipment(DRYER, "dryer", 1, (Load(18.0, "lb"),), runs_overnight=True),
            Equipment(CROCK, "crock", 2, (Load(25.0, "lb"),), runs_overnight=True),
        ),
        crops=tuple(
            Crop(
                name,
                float(keeps),
                food,
                may_be_frozen_whole=frozen,
                trimmings_share=trimmings,
                eaten_kg_a_week=eaten * KG_A_LB,
                frozen_keeps_weeks=6.0,
            )
            for name, keeps, food, frozen, trimmings, eaten, *_ in CROPS
        ),
        lots=tuple(lots(first_day)),
        containers=(
            Container(
                "quart jar",
                "jar",
                QUART_LITRES,
                None,
                110.0,
                lid="wide lid",
                price=1.6,
                can_buy=24.0,
                back_each_week=1.0,
            ),
            Container(
                "pint jar",
                "jar",
                QUART_LITRES / 2,
                None,
                120.0,
                lid="narrow lid",
                price=1.2,
                can_buy=24.0,
                back_each_week=1.0,
            ),
            Container("refrigerator quart", "jar", QUART_LITRES, None, 24.0),
            Container("small bag", "bag", 1.0, None, 60.0, price=0.2, can_buy=100.0),
            Container("pint bag", "bag", QUART_LITRES / 2, None, 100.0, price=0.15, can_buy=200.0),
            Container("litre tub", "tub", 1.0, None, 14.0),
            Container("bushel box", "box", 35.0, None, 9.0),
        ),
        lids=(
            Lid("wide lid", 60.0, price=0.35, can_buy=120.0),
            Lid("narrow lid", 80.0, price=0.25, can_buy=120.0),
        ),
        pantry=(
            PantryItem("bottled lemon juice", "L", 1.5, price=6.0, can_buy=5.0),
            PantryItem("pickling pack", "each", 20.0, price=0.5, can_buy=60.0),
        ),
        shelf=(
            ShelfRow("tomato juice, quart", 5.0, best_by=first_day + datetime.timedelta(days=300)),
            ShelfRow("green beans, pint", 7.0, best_by=first_day + datetime.timedelta(days=200)),
            ShelfRow("applesauce, quart", 6.0, best_by=first_day + datetime.timedelta(days=10)),
        ),
        preserves=tuple(canned_and_dried()) + tuple(without_equipment()),
        targets=tuple(
            Target(
                name,
                float(wanted),
                float(most),
                importance,
                counts={key: float(value) for key, value in counts.items()},
            )
            for name, wanted, most, importance, counts in TARGETS
        ),
    )


def jar_loads(quarts: int, pints: int) -> tuple[Load, ...]:
    """A canner takes seven quarts or nine pints (AIB 539, Guide 1)."""
    return Load(float(quarts), "quart jars"), Load(float(pints), "pint jars")


def lots(first_day: datetime.date) -> Iterator[Lot]:
    """Every picking, weighed up to the first day and expected after it; some plum tomatoes lie in the freezer."""
    for name, *_, first, last, every, pounds in CROPS:
        for away in range(first, last + 1, every):
            day = first_day + datetime.timedelta(days=away)
            yield Lot(name, day, pounds * KG_A_LB, expected=away > 0)
    frozen = first_day - datetime.timedelta(days=16)
    yield Lot("plum tomato", frozen, 12 * KG_A_LB, frozen_on=frozen)


def varied(seed: int, former: Plan | None = None) -> Household:
    """
    A household of full size varied by `seed`: the same seed gives the same household.

    Harvest 0.5 to 2 times, each picking 0.6 to 1.4 times; jars, freezer and hours short at random; the first day any
    weekday; a plan already in the workbook (`former` where given, else an invented one made some days ago).
    """
    chance = random.Random(f"household {seed}")
    first_day = FIRST_DAY + datetime.timedelta(days=chance.randrange(7))
    household = base(first_day)
    share = {"harvest": chance.uniform(0.5, 2.0)}
    share["jars"] = chance.choice((1.0, 1.0, 0.6, 0.3))
    share["freezer"] = chance.choice((1.0, 1.0, 0.5, 0.15))
    share["hours"] = chance.choice((1.0, 1.0, 0.7, 0.45))
    household = dataclasses.replace(
        household,
        kitchen=dataclasses.replace(
            household.kitchen,
            freezer_free_litres=round(household.kitchen.freezer_free_litres * share["freezer"], 1),
            spending_limit=chance.choice((150.0, 60.0, 20.0)),
        ),
        hours=tuple(scaled_hours(row, share["hours"]) for row in household.hours),
        equipment=tuple(
            dataclasses.replace(piece, how_many=chance.choice((1, 1, 2)) if piece.name == CANNER else piece.how_many)
            for piece in household.equipment
        ),
        lots=tuple(
            dataclasses.replace(lot, kg=round(lot.kg * share["harvest"] * chance.uniform(0.6, 1.4), 2))
            for lot in household.lots
        ),
        containers=tuple(
            dataclasses.replace(item, on_hand=float(round(item.on_hand * share["jars"] * chance.uniform(0.7, 1.3))))
            for item in household.containers
        ),
        lids=tuple(
            dataclasses.replace(item, on_hand=float(round(item.on_hand * chance.uniform(0.3, 1.3))))
            for item in household.lids
        ),
        targets=tuple(
            dataclasses.replace(
                target, wanted=float(wanted), at_most=float(round(wanted * chance.choice((1.0, 1.2, 1.5))))
            )
            for target in household.targets
            for wanted in [max(1, round(target.wanted * chance.uniform(0.6, 1.4)))]
        ),
    )
    lines = lines_of(former) if former is not None else tuple(former_plan(household, chance))
    return dataclasses.replace(household, plan_lines=tuple(with_a_fix(household, lines, chance)))


def scaled_hours(row: Hours, share: float) -> Hours:
    """The same row with a share of its hours, to a quarter of an hour of hands, or of one of the four burners."""
    parts = 16 if row.what == "stove free" else 4
    by_weekday = tuple(round(hours * share * parts) / parts for hours in row.by_weekday)
    return Hours(row.what, by_weekday, row.each_later_week * share)


def former_plan(household: Household, chance: random.Random) -> Iterator[PlanLine]:
    """An invented plan made one to three days ago: full loads on its days, loads and parts of loads in its weeks."""
    made_on = household.kitchen.first_day - datetime.timedelta(days=chance.randint(1, 3))
    for away in range(7):
        day = made_on + datetime.timedelta(days=away)
        for preserve in chance.sample(household.preserves, chance.randint(0, 3)):
            batch = preserve.load or preserve.smallest_batch
            yield PlanLine(day, 1, preserve.name, make=float(batch * chance.randint(1, 2)))
        if chance.random() < 0.3:
            crop = chance.choice([crop for crop in household.crops if crop.may_be_frozen_whole])
            yield PlanLine(day, 1, FREEZE_WHOLE + crop.name, make=round(chance.uniform(3.0, 9.0), 1))
    for week in range(8):
        day = made_on + datetime.timedelta(days=7 + 7 * week)
        for preserve in chance.sample(household.preserves, chance.randint(2, 6)):
            yield PlanLine(day, 7, preserve.name, make=round(chance.uniform(2.0, 14.0), 2))


def with_a_fix(household: Household, lines: tuple[PlanLine, ...], chance: random.Random) -> Iterator[PlanLine]:
    """The same lines; in a third of the households one line of the coming days is fixed: kept, halved or kept out."""
    coming = [line for line in lines if line.days == 1 and line.day >= household.kitchen.first_day]
    coming = [line for line in coming if not line.name.startswith((FREEZE_WHOLE, THAW))]
    chosen = chance.choice(coming) if coming and chance.random() < 0.34 else None
    for line in lines:
        if line is chosen and line.make is not None:
            yield dataclasses.replace(line, fix=chance.choice((line.make, float(round(line.make / 2)), 0.0)))
        else:
            yield line


def lines_of(plan: Plan) -> tuple[PlanLine, ...]:
    """The lines a plan leaves in the workbook: what is made, frozen whole and thawed in each period."""
    length = {period.number: period for period in plan.periods}
    lines = []
    for prefix, amounts in (("", plan.make), (FREEZE_WHOLE, plan.freeze_kg), (THAW, plan.thaw_kg)):
        for (name, number), amount in amounts.items():
            if amount > 1e-6:
                period = length[number]
                lines.append(PlanLine(period.first_day, period.days, prefix + name, make=amount))
    return tuple(sorted(lines, key=lambda line: (line.day, line.days, line.name)))


def all_varied(count: int = 50) -> Iterator[tuple[int, Household]]:
    """The first `count` varied households with their seeds."""
    for seed in range(count):
        yield seed, varied(seed)


def sizes(household: Household) -> dict[str, int]:
    """How large a household is, in the words of the goal: preserves, crops, needs, periods."""
    return {
        "preserves": len(household.preserves),
        "crops": len(household.crops),
        "targets": len(household.targets),
        "periods": len(periods(household.kitchen)),
    }
