"""Three invented seasons of one kitchen with known truths: a better variety, a canner with bad seals, a target never eaten."""

from __future__ import annotations

import datetime
import random
from pathlib import Path
from typing import Any

from tests.small_kitchen import FRIDAY, KITCHEN, build

BETTER = 1.2
"""The paste tomato gives so many times the juice of the slicing tomato."""
BAD_SEALS, GOOD_SEALS = 0.12, 0.015
"""The share of jars that do not seal in the old canner and in the new one."""
EACH_LB = 3.25
PASTE, SLICING, PINTS = "paste tomato juice, quart", "slicing tomato juice, quart", "slicing tomato juice, pint"
YEARS = (2023, 2024, 2025)
SESSIONS_A_YEAR = 8
JARS = 7


def three_seasons(path: Path, records: int | None = None, seed: int = 21) -> Path:
    """Write the kitchen with the record of three seasons, or with its first few rows only."""
    chance = random.Random(seed)
    bought = [{"Date": datetime.date(year, 7, 20), "Preserve": "bought: lid", "Made": 144} for year in YEARS]
    record = sorted((*bought, *put_up(chance), *eaten(chance)), key=lambda row: row["Date"])[:records]
    picked = [row for row in record if "Crop used" in row]
    return build(
        path,
        Equipment=[
            KITCHEN["Equipment"][0] | {"Equipment": f"{age} canner", "Load unit": f"{size} jars"}
            for age in ("old", "new")
            for size in ("quart", "pint")
        ],
        Crops=[
            {"Crop": f"{name} tomato", "Handbook food": "tomatoes", "Keeps days": 4} for name in ("paste", "slicing")
        ],
        Harvest=[
            {"Picked on": row["Date"], "Crop": row["Crop"], "Amount": row["Crop used"] + 1, "Unit": "lb"}
            for row in picked
        ],
        Containers=[
            {"Container": f"{size} jar", "Kind": "jar", "Holds": 1, "Unit": size, "On hand": 900, "Lid": "lid"}
            for size in ("quart", "pint")
        ],
        Lids=[{"Lid": "lid", "On hand": 2000, "Price": 0.25}],
        Pantry=[{"Ingredient": "bottled lemon juice", "On hand": 400, "Unit": "cup"}],
        Preserves=[
            KITCHEN["Preserves"][0]
            | {"Preserve": name, "Container": f"{size} jar", "Equipment": f"{age} canner"}
            | {"Handbook line": f"tomato juice, hot pack, {size}"}
            for name, age, size in ((PASTE, "old", "quart"), (SLICING, "new", "quart"), (PINTS, "new", "pint"))
        ],
        Ingredients=[
            {"Preserve": name, "Item": item, "Amount each": amount, "Unit": unit}
            for name, crop, share in ((PASTE, "paste", 1), (SLICING, "slicing", 1), (PINTS, "slicing", 0.5))
            for item, amount, unit in (
                (f"{crop} tomato", EACH_LB * share, "lb"),
                ("bottled lemon juice", 2 * share, "tbsp"),
            )
        ],
        Record=record,
        **{
            "Winter list": [
                {"Target": "juice", "Wanted": 20, "Unit": "quart", "Shop price": 4, "Weeks": 52},
                {"Target": "small juice", "Wanted": 20, "Unit": "pint", "Shop price": 2, "Weeks": 52},
            ],
            "Counts toward": [
                {"Target": "juice", "Preserve": PASTE},
                {"Target": "juice", "Preserve": SLICING},
                {"Target": "small juice", "Preserve": PINTS},
            ],
        },
    )


def put_up(chance: random.Random) -> list[dict[str, Any]]:
    """The sessions: each variety a week from August 1 on, then one of pints; crop within about 5% of the truth."""
    rows = []
    for year in YEARS:
        for week in range(SESSIONS_A_YEAR):
            day = datetime.date(year, 8, 1) + datetime.timedelta(days=7 * week)
            rows += [
                session(day, PASTE, "paste", EACH_LB / BETTER, BAD_SEALS, chance),
                session(day, SLICING, "slicing", EACH_LB, GOOD_SEALS, chance),
            ]
        rows.append(session(day, PINTS, "slicing", EACH_LB / 2, GOOD_SEALS, chance))
    return rows


def session(day: datetime.date, name: str, crop: str, each: float, bad: float, chance: random.Random) -> dict[str, Any]:
    """One session of a load."""
    failed = sum(chance.random() < bad for _ in range(JARS))
    used = round(JARS * each * chance.gauss(1, 0.05), 1)
    row = {"Date": day, "Preserve": name, "Made": JARS - failed, "Failed seals": failed}
    return row | {"Crop": f"{crop} tomato", "Crop used": used, "Unit": "lb", "Hands-on hours": 1.5}


def eaten(chance: random.Random) -> list[dict[str, Any]]:
    """One or two quarts of juice every ten days since the first October; of the pints, nothing."""
    days = range(0, (FRIDAY - datetime.date(YEARS[0], 10, 1)).days, 10)
    return [
        {
            "Date": datetime.date(YEARS[0], 10, 1) + datetime.timedelta(days=day),
            "Preserve": f"ate: {chance.choice((PASTE, SLICING))}",
            "Made": chance.randint(1, 2),
        }
        for day in days
    ]
