"""
Small invented households whose best plan is worked by hand in the docstring, with its sum.

Every figure is chosen for easy sums and is nobody's directions. What a function takes by keyword is the limit that
decides its answer: loosen it and the answer improves. An hour is one canner load (20 min to heat up, 40 min
process).
"""

from __future__ import annotations

import datetime
import math
from typing import Any

from stillroom.household.checks import with_loads
from stillroom.household.records import (
    STOVE_FREE,
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

TUESDAY = datetime.date(2026, 8, 18)
PLENTY = 1000.0


def day(number: int) -> datetime.date:
    """Return the day so many days after the first Tuesday."""
    return TUESDAY + datetime.timedelta(days=number)


def jar(name: str, crop: str, kg: float, load: int = 7, **more: Any) -> Preserve:
    """Return a preserve in jars through the canner: `kg` of a crop each, an hour a load."""
    lines = (Ingredient(crop, "crop", kg),)
    plain: dict[str, Any] = {"equipment": ("canner",), "load": load, "process_minutes": 40.0, "ingredients": lines}
    return Preserve(name, "boiling-water canned", "jar", **(plain | more))


def bag(name: str, crop: str, kg: float, **more: Any) -> Preserve:
    """Return a preserve in bags without equipment, in any number: `kg` of a crop each, a liter of freezer each."""
    lines = (Ingredient(crop, "crop", kg),)
    plain: dict[str, Any] = {"kept_in": "freezer", "space_litres_each": 1.0, "ingredients": lines}
    return Preserve(name, more.pop("method", "frozen"), "bag", **(plain | more))


def target(name: str, wanted: float, at_most: float | None = None, **more: Any) -> Target:
    """Return a target of the same name as the one preserve that counts toward it, unless `counts` says otherwise."""
    most = wanted if at_most is None else at_most
    return Target(name, wanted, most, **({"counts": {name: 1.0}} | more))


def stove_on(hours: tuple[float, ...], week: float = 0.0) -> Hours:
    """Return hours the stove is free on the first days from Tuesday on, none on the others."""
    by_weekday = [0.0] * 7
    for number, figure in enumerate(hours):
        by_weekday[day(number).weekday()] = figure
    return Hours(STOVE_FREE, tuple(by_weekday), week)


def home(
    preserves: tuple[Preserve, ...],
    lots: tuple[Lot, ...],
    targets: tuple[Target, ...],
    days: int = 2,
    weeks: int = 0,
    **more: Any,
) -> Household:
    """Return a household with plenty of all that `more` does not limit; one canner on a stove with one burner."""
    names = sorted({lot.crop for lot in lots})
    settings = {"burners": 1.0} | more.pop("kitchen", {})
    plain: dict[str, Any] = {
        "crops": tuple(Crop(name, 30.0) for name in names),
        "equipment": (Equipment("canner", "boiling-water canner", 1, (Load(7.0, "jar"),), 1.0, 20 / 60),),
        "containers": (
            Container("jar", "jar", 1.0, None, PLENTY),
            Container("bag", "bag", 1.0, None, PLENTY),
        ),
    }
    kitchen = Kitchen(TUESDAY, days_planned_singly=days, weeks_after_that=weeks, **settings)
    return Household(kitchen, preserves=preserves, lots=lots, targets=targets, **(plain | more))


def juice_by_the_load(tomato_kg: float = 15.0) -> Household:
    """
    Build a household where the crop is the bottleneck, and the canner takes seven jars.

    15 kg at 1.5 kg a jar are 10 jars, in 2 loads (7 and 3, or any two). Wanted 14, so each quarter is 3.5 jars:
    (4 x 3.5 + 3 x 3.5 + 2 x 3.0) / 14 = 30.5 / 14 = 2.17857. Nothing is surplus.
    """
    return home(
        (jar("juice", "tomato", 1.5),), (Lot("tomato", TUESDAY, tomato_kg),), (target("juice", 14, importance=1),)
    )


def juice_or_sauce(tomato_kg: float = 10.5) -> Household:
    """
    Build a household where two needs of one importance share a crop in a week, where nothing is whole.

    A kilogram in sauce (3 kg a jar, 2 wanted) is worth 4/2/3 = 0.667, then 0.5, 0.333, 0.167 by quarters of 1.5 kg;
    in juice (1.5 kg a jar, 8 wanted) 4/8/1.5 = 0.333, then 0.25, 0.167, 0.083 by quarters of 3 kg. So sauce gets three
    quarters (4.5 kg, 1.5 jars) and juice two (6 kg, 4 jars): 4.5 + 6 = 10.5 kg.
    Worth 0.25 x (4+3+2) + 0.25 x (4+3) = 4.
    """
    preserves = (jar("juice", "tomato", 1.5), jar("sauce", "tomato", 3.0))
    targets = (target("juice", 8, importance=1), target("sauce", 2, importance=1))
    return home(preserves, (Lot("tomato", TUESDAY, tomato_kg),), targets, days=0, weeks=1)


def tomatoes_that_keep(keeps_days: float = 1.0) -> Household:
    """
    Build a household where keeping time is the bottleneck: one hour of stove today, none tomorrow, one the day after.

    12 kg at 1.5 kg: today's load takes 7 jars, 10.5 kg. The other 1.5 kg keep until tomorrow, when nothing can be
    cooked: fed. 7 jars, 1.5 kg of surplus. If they kept 2 days: 8 jars, nothing fed.
    """
    return home(
        (jar("juice", "tomato", 1.5),), (Lot("tomato", TUESDAY, 12.0),), (target("juice", 10, importance=1),), days=3,
        crops=(Crop("tomato", keeps_days),), hours=(stove_on((1.0, 0.0, 1.0)),),
    )  # fmt: skip


def freeze_now_cook_later(
    freezer_litres: float = 40.0,
    freeze_kg_a_day: float = 9.0,
    keeps_weeks: float = 4.0,
    from_frozen: bool = True,
    stove: tuple[float, ...] = (0.0, 0.0, 0.0, 3.0),
) -> Household:
    """
    Build a household where the stove is free on the fourth day only and the crop keeps for one day.

    21 kg: 9 kg are frozen today, 9 kg tomorrow (a day's freezing), 3 kg are surplus. Frozen they take 18 x 1.8 = 32.4 L
    of 40. On the fourth day all 18 kg are thawed: 12 jars of 1.5 kg, in two loads. Nothing may be thawed before, and on
    the third day only the 9 kg of today could have been: tomorrow's go in when those would have to come out.
    """
    juice = jar("juice", "tomato", 1.5, ingredients=(Ingredient("tomato", "crop", 1.5, from_frozen=from_frozen),))
    return home(
        (juice,), (Lot("tomato", TUESDAY, 21.0),), (target("juice", 14, importance=1),), days=4,
        crops=(Crop("tomato", 1.0, may_be_frozen_whole=True, frozen_keeps_weeks=keeps_weeks),),
        hours=(stove_on(stove),),
        kitchen={"freezer_free_litres": freezer_litres, "freeze_kg_a_day": freeze_kg_a_day},
    )  # fmt: skip


def frozen_lots_come_due(keeps_weeks: float = 4.0, second_lot_kg: float = 6.0) -> Household:
    """
    Build a household where two frozen lots, and a stove that is free tomorrow.

    The first, 9 kg, was frozen 28 days ago: due today, so it cannot wait for tomorrow and spoils. The second, 6 kg, was
    frozen last week: 4 jars of 1.5 kg tomorrow. If frozen tomatoes kept 5 weeks: 15 kg, 10 jars.
    """
    lots = (
        Lot("tomato", day(-29), 9.0, frozen_on=day(-28)),
        Lot("tomato", day(-8), second_lot_kg, frozen_on=day(-7)),
    )
    juice = jar("juice", "tomato", 1.5, ingredients=(Ingredient("tomato", "crop", 1.5, from_frozen=True),))
    crops = (Crop("tomato", 3.0, frozen_keeps_weeks=keeps_weeks, may_be_frozen_whole=True),)
    return home((juice,), lots, (target("juice", 12, importance=1),), crops=crops, hours=(stove_on((0.0, 2.0)),))


def bags_by_hand(hands_tomorrow: float = 0.6, smallest_batch: int = 4) -> Household:
    """
    Build a household where hands are the bottleneck, and a few bags are not worth starting for.

    12 min a bag: one hour today gives 5 bags; 0.6 h tomorrow would give 3, fewer than the smallest batch of 4: none.
    5 bags. With a smallest batch of 3: 8 bags. With 0.8 h tomorrow: 5 + 4 = 9 bags.
    """
    hands = Hours("hands", (0.0, 1.0, hands_tomorrow, 0.0, 0.0, 0.0, 0.0), 0.0)
    beans = bag("beans", "bean", 1.0, hands_minutes_each=12.0, smallest_batch=smallest_batch)
    return home((beans,), (Lot("bean", TUESDAY, 20.0),), (target("beans", 12, importance=1),), hours=(hands,))


def kinds_in_a_day(most: float = 2.0, **kitchen: Any) -> Household:
    """
    Build a household for one day with time for all, that begins no more than two preserves in a day.

    7 kg of tomatoes are a load of 7 juices, 4 kg of beans 4 bags, 4 kg of peas 4 bags; peas may also be frozen whole.
    Each target is worth 4 x 1/4 + 3 x 1/4 + 2 x 1/4 + 1 x 1/4 = 2.5 when filled. Peas come second and wait: 5 and 0.
    With three in a day: 5 and 2.5.
    """
    preserves = (jar("juice", "tomato", 1.0), bag("beans", "bean", 1.0), bag("peas", "pea", 1.0))
    lots = tuple(Lot(crop, TUESDAY, kg) for crop, kg in (("tomato", 7.0), ("bean", 4.0), ("pea", 4.0)))
    targets = (target("juice", 7, importance=1), target("beans", 4, importance=1), target("peas", 4, importance=2))
    crops = (Crop("tomato", 30.0), Crop("bean", 30.0), Crop("pea", 30.0, may_be_frozen_whole=True))
    kitchen = {"most_preserves_a_day": most, **kitchen}
    return home(preserves, lots, targets, days=1, crops=crops, kitchen=kitchen)


def burners_and_canners(stove_hours: float = 2.0, canners: int = 1) -> Household:
    """
    Build a household where the stove or the canner is the bottleneck, on a day with two burners.

    A load takes the canner 1 h and its burner 1 h, and 30 min of another burner: 1.5 burner-hours. A stove free for 2 h
    gives the canner 2 h, two loads; its 2 x 2 burner-hours give 4 / 1.5 = 2.67, two loads. 14 jars. With 3 h: 3 loads
    by the canner, 4 by the burners: 21 jars. With two canners and 3 h: 4 loads by the burners, 28 jars.
    """
    canner = Equipment("canner", "boiling-water canner", canners, (Load(7.0, "jar"),), 1.0, 20 / 60)
    juice = jar("juice", "tomato", 1.0, stove_minutes_load=30.0)
    return home(
        (juice,), (Lot("tomato", TUESDAY, 50.0),), (target("juice", 40, importance=1),), days=1,
        hours=(stove_on((stove_hours,)),), equipment=(canner,), kitchen={"burners": 2.0},
    )  # fmt: skip


def sauce_in_a_pot(pot_litres: float = 8.0, pots: int = 1) -> Household:
    """
    Build a household where the pot is the bottleneck: a jar of sauce begins as 2 kg of tomatoes and 2 liters of pulp.

    A load takes 2 h in the pot on a burner, then the canner 1 h on its own; the stove is free for 4 h with 3 burners. A
    pot of 8 liters takes 4 jars, and 2 loads: 8 jars. A pot of 14 takes the 7 of the canner: 14 jars. Two pots of 8
    share a load of 7, in 1 h each: 4 loads by the pots' 8 h, the canner and the burners (12 / 3): 28 jars.
    """
    canner = Equipment("canner", "boiling-water canner", 1, (Load(7.0, "jar"),), 1.0, 20 / 60)
    pot = Equipment("pot", "kettle", pots, (Load(pot_litres, "L"),), 1.0)
    sauce = jar("sauce", "tomato", 2.0, stove_minutes_load=120.0, equipment=("pot", "canner"))
    household = home(
        (sauce,), (Lot("tomato", TUESDAY, 70.0),), (target("sauce", 40, importance=1),), days=1,
        hours=(stove_on((4.0,)),), equipment=(canner, pot), crops=(Crop("tomato", 30.0, pot_litres_per_kg=1.0),),
        kitchen={"burners": 3.0},
    )  # fmt: skip
    return with_loads(household)[0]


def dryer_over_two_days(dryers: int = 1) -> Household:
    """
    Build a household where a load of 36 h runs on in the dryer into the next day.

    Begun on the first day it takes 24 h of it and 12 h of the second, which leaves 12 h there: too little for the 24 h
    that a second one begun that day would take. The next begins on the third. 2 loads of 6: 12 bags. Two dryers: 36 h
    are taken of the second day's 48 by a load begun on each, 3 loads of the 3 wanted: 18 bags.
    """
    dryer = Equipment("dryer", "dryer", dryers, (Load(6.0, "bag"),), runs_overnight=True)
    lines = (Ingredient("apple", "crop", 1.0),)
    dried = Preserve("apples", "dried", "bag", equipment=("dryer",), load=6, process_minutes=2160.0, ingredients=lines)
    lots, targets = (Lot("apple", TUESDAY, 40.0),), (target("apples", 18, importance=1),)
    return home((dried,), lots, targets, days=3, equipment=(dryer,))


def jars_that_come_back(on_hand: float = 5.0, lids: float = 20.0) -> Household:
    """
    Build a household where jars are the bottleneck: five on hand, two coming back each week.

    A day and two weeks: by the second week, 8 days on, floor(2 x 8 / 7) = 2 are back. 5 + 2 = 7 jars. With 6 lids: 6.
    """
    jars = Container("jar", "jar", 1.0, None, on_hand, back_each_week=2.0, lid="lid")
    return home(
        (jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 40.0),), (target("juice", 20, importance=1),), days=1,
        weeks=2, containers=(jars,), lids=(Lid("lid", lids),),
    )  # fmt: skip


def what_money_buys(
    limit: float = 5.0, lemon_can_buy: float = 1.0, lemon_on_hand: float = 0.0, already_spent: float = 0.0
) -> Household:
    """
    Build a household where lids and lemon juice are to be bought, within a limit.

    A jar takes a lid at 0.50 and 0.1 L of lemon juice at 5.00 a liter, 0.50: 1.00 a jar. 4 lids are on hand, no lemon
    juice. n jars cost 0.50 n + 0.50 (n - 4) = n - 2: with 5.00, 7 jars: 3 lids and 0.7 L, 1.50 + 3.50 = 5.00 spent.
    With no limit the lemon juice that can be bought decides: 1 L, 10 jars. Money already spent is not there.
    """
    lines = (Ingredient("tomato", "crop", 1.0), Ingredient("lemon juice", "pantry", 0.1))
    return home(
        (jar("juice", "tomato", 1.0, ingredients=lines),), (Lot("tomato", TUESDAY, 40.0),),
        (target("juice", 20, importance=1),), containers=(Container("jar", "jar", 1.0, None, PLENTY, lid="lid"),),
        lids=(Lid("lid", 4.0, price=0.5, can_buy=math.inf),),
        pantry=(PantryItem("lemon juice", "L", lemon_on_hand, price=5.0, can_buy=lemon_can_buy),),
        kitchen={"spending_limit": limit, "already_spent": already_spent},
    )  # fmt: skip


def room_to_keep_it(place: str = "cellar", litres: float = 35.0) -> Household:
    """
    Build a household where room is the bottleneck: a bag takes 5 L of the place it is kept in.

    35 L free: 7 bags of the 12 that the crop gives.
    """
    kept = bag("apples", "apple", 1.0, method="root cellar", kept_in=place, space_litres_each=5.0)
    room = {f"{place}_free_litres": litres}
    return home((kept,), (Lot("apple", TUESDAY, 12.0),), (target("apples", 12, importance=1),), kitchen=room)


def soup_takes_broth(bones_kg: float = 3.0, broth_on_shelf: float = 2.0, broth_wanted: float = 0.0) -> Household:
    """
    Build a household where one preserve is an ingredient of another and counts toward no target itself.

    Two broths on the shelf, and bones for 3 more at 1 kg. A soup takes half a broth: 5 broths are 10 soups of the 12
    wanted. With bones for 9: 12 soups take 6
    broths, so 6 may be made, which spares 6 kg of bones; 3 kg are still there.
    """
    broth = jar("broth", "bone", 1.0)
    lines = (Ingredient("broth", "preserve", 0.5), Ingredient("bean", "crop", 0.5))
    soup = bag("soup", "bean", 0.5, ingredients=lines)
    lots = (Lot("bone", TUESDAY, bones_kg), Lot("bean", TUESDAY, 30.0))
    targets: tuple[Target, ...] = (target("soup", 12, importance=1),)
    if broth_wanted:
        targets += (target("broth", broth_wanted, importance=3),)
    return home((broth, soup), lots, targets, shelf=(ShelfRow("broth", broth_on_shelf),))


def enough_is_enough(at_most: float = 45.0) -> Household:
    """
    Build a household with a target of 45 pints in quarts: 22 are 44 pints, 23 are 46, one pint over.

    The room is 45; the last quart may pass it by less than itself: 23 quarts of the 30 the crop gives. 30 - 23 = 7 kg
    are still fresh when the plan ends and count half: 3.5 kg. With at most 60: 30 quarts, nothing left.
    """
    pints = target("pints", 45, at_most, importance=1, counts={"juice": 2.0})
    return home((jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 30.0),), (pints,))


def what_the_hand_wrote(fix: float | None = 5.0) -> Household:
    """
    Build a household with a fixed line: 5 sauces today, though juice would fill more of the list.

    12 kg: 5 sauces of 2 kg are 10 kg, the 2 kg left are 2 juices of 1 kg. Without the fix all 12 kg go to 12 juices,
    the target that is a must.
    """
    preserves = (jar("juice", "tomato", 1.0), jar("sauce", "tomato", 2.0))
    lines = () if fix is None else (PlanLine(TUESDAY, 1, "sauce", fix=fix),)
    targets = (target("juice", 12, importance=1), target("sauce", 6, importance=2))
    return home(preserves, (Lot("tomato", TUESDAY, 12.0),), targets, plan_lines=lines)


def days_are_whole(days: int = 1, weeks: int = 0) -> Household:
    """
    Build a household that makes whole containers on a detailed day: 10 kg at 4 kg a jar are 2 jars and 2 kg over.

    The 2 kg over are still fresh when the plan ends.
    """
    lots, targets = (Lot("tomato", TUESDAY, 10.0),), (target("sauce", 5, importance=1),)
    return home((jar("sauce", "tomato", 4.0),), lots, targets, days, weeks)


def dinner_comes_first(eaten_kg_a_week: float = 14.0) -> Household:
    """
    Build a household that eats fresh first: 14 kg a week are 2 kg a day, 4 kg of 10 in two days; 6 kg are 6 jars.

    Whenever they are made: the second day's 2 kg are kept for the table.
    """
    crops = (Crop("tomato", 30.0, eaten_kg_a_week=eaten_kg_a_week),)
    lots, targets = (Lot("tomato", TUESDAY, 10.0),), (target("juice", 10, importance=1),)
    return home((jar("juice", "tomato", 1.0),), lots, targets, crops=crops)
