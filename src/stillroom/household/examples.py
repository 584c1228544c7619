"""An invented household, small enough to print its whole model: two days and a week of tomatoes and two other crops."""

from __future__ import annotations

import datetime
import math

from stillroom.household.records import (
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

FRIDAY = datetime.date(2026, 8, 14)


def tiny_household() -> Household:
    """
    Build the household of the printed instances: two detailed days, a week, juice, dried slices, kraut and a soup.

    All figures are chosen for easy sums; they are nobody's directions.
    """
    return Household(
        kitchen=Kitchen(
            FRIDAY,
            altitude_ft=500,
            days_planned_singly=2,
            weeks_after_that=1,
            people=2,
            spending_limit=20,
            freezer_free_litres=40,
            freeze_kg_a_day=6,
            refrigerator_free_litres=10,
            shelf_free_litres=50,
            cellar_free_litres=60,
        ),
        hours=(Hours("hands", (4,) * 7, 20), Hours("stove free", (2,) * 7, 10)),
        equipment=(
            Equipment("canner", "boiling-water canner", 1, (Load(7, "quart jars"),), 1, 0.5, 0.0),
            Equipment("dryer", "dryer", 1, (Load(6, "bag"),), 0, runs_overnight=True),
            Equipment("crock", "crock", 1, (Load(4, "tub"),), 0, runs_overnight=True),
        ),
        crops=(
            Crop("tomato", 3, eaten_kg_a_week=1.4, may_be_frozen_whole=True, frozen_keeps_weeks=1, trimmings_share=0.3),
            Crop("cabbage", 10),
        ),
        lots=(
            Lot("tomato", FRIDAY - datetime.timedelta(days=2), 10.0),
            Lot("tomato", FRIDAY + datetime.timedelta(days=1), 12.0),
            Lot("tomato", FRIDAY - datetime.timedelta(days=5), 2.0, frozen_on=FRIDAY - datetime.timedelta(days=4)),
            Lot("cabbage", FRIDAY, 8.0),
        ),
        containers=(
            Container("quart jar", "jar", 0.95, None, 12, back_each_week=2, lid="wide lid", price=1.5, can_buy=12),
            Container("bag", "bag", 1.0, None, 40),
            Container("tub", "tub", 1.0, None, 8),
        ),
        lids=(Lid("wide lid", 10, price=0.25, can_buy=math.inf),),
        pantry=(PantryItem("lemon juice", "litre", 0.25, price=4.0, can_buy=1.0, unit="L"),),
        shelf=(ShelfRow("juice", 2),),
        preserves=(
            Preserve(
                "juice",
                "boiling-water canned",
                "quart jar",
                hands_minutes_each=6,
                hands_minutes_load=30,
                stove_minutes_load=60,
                equipment=("canner",),
                load=7,
                batch_typed=False,
                process_minutes=40,
                space_litres_each=1.0,
                ingredients=(
                    Ingredient("tomato", "crop", 1.5, from_frozen=True),
                    Ingredient("lemon juice", "pantry", 0.03),
                ),
            ),
            Preserve(
                "dried tomato",
                "dried",
                "bag",
                hands_minutes_each=5,
                equipment=("dryer",),
                load=6,
                process_minutes=36 * 60,
                space_litres_each=1.0,
                ingredients=(Ingredient("tomato", "crop", 1.0),),
            ),
            Preserve(
                "soup",
                "frozen",
                "bag",
                hands_minutes_each=3,
                stove_minutes_each=5,
                smallest_batch=4,
                kept_in="freezer",
                space_litres_each=1.0,
                ingredients=(Ingredient("juice", "preserve", 0.5), Ingredient("broth", "preserve", 0.25)),
            ),
            Preserve(
                "broth",
                "frozen",
                "bag",
                stove_minutes_each=10,
                smallest_batch=4,
                kept_in="freezer",
                space_litres_each=1.0,
                ingredients=(Ingredient("cabbage", "crop", 0.25),),
            ),
            Preserve(
                "kraut",
                "fermented",
                "tub",
                hands_minutes_each=10,
                equipment=("crock",),
                load=4,
                process_minutes=5 * 24 * 60,
                kept_in="refrigerator",
                space_litres_each=1.0,
                ingredients=(Ingredient("cabbage", "crop", 1.0),),
            ),
            Preserve(
                "cabbage heads",
                "root cellar",
                "bag",
                smallest_batch=4,
                kept_in="cellar",
                space_litres_each=4.0,
                ingredients=(Ingredient("cabbage", "crop", 1.0),),
            ),
        ),
        targets=(
            Target("tomato juice", 20, 24, 1, "quart", counts={"juice": 1.0}),
            Target("dried goods", 6, 6, 2, "bag", counts={"dried tomato": 1.0}),
            Target("soup", 8, 8, 2, "bag", counts={"soup": 1.0}),
            Target("cabbage", 8, 10, 3, "kg", counts={"kraut": 1.0, "cabbage heads": 1.0}),
        ),
        plan_lines=(
            PlanLine(FRIDAY, 1, "juice", 7),
            PlanLine(FRIDAY + datetime.timedelta(days=1), 1, "kraut", 4, fix=4),
        ),
    )
