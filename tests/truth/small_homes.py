"""Random households small enough for every plan of theirs to be tried; all figures invented, easy sums."""

from __future__ import annotations

import random
from typing import Any

from tests.worked_examples import bag, day, home, jar, target

from stillroom.household.records import Container, Crop, Equipment, Hours, Household, Lid, Load, Lot, Preserve, ShelfRow


def small_home(seed: int) -> Household:
    """Two to four preserves of one or two crops over two or three days; the same seed gives the same household."""
    chance = random.Random(f"small home {seed}")
    days = chance.choice((2, 2, 3))
    crops = ("bean", "plum")[: chance.choice((1, 2))]
    number = chance.choice((2, 2, 3, 3, 4)) if days == 2 else chance.choice((2, 2, 3))
    load = chance.choice((2, 3, 4))
    items = tuple(small_preserve(chance, f"preserve {place}", crops, load) for place in range(number))
    settings: dict[str, Any] = {
        "burners": chance.choice((1.0, 2.0)),
        "fill_targets_evenly": chance.random() < 0.75,
        "spending_limit": chance.choice((float("inf"), 1.0, 2.5)),
        "shelf_free_litres": chance.choice((float("inf"), 9.0)),
    }
    return home(
        items,
        tuple(small_lots(chance, crops, days)),
        small_targets(chance, items),
        days,
        kitchen=settings,
        crops=tuple(
            Crop(name, float(chance.choice((0, 1, 1, 2, 5))), eaten_kg_a_week=chance.choice((0.0, 0.0, 0.0, 3.5)))
            for name in crops
        ),
        hours=small_hours(chance, settings["burners"]),
        equipment=(
            Equipment("canner", "boiling-water canner", chance.choice((1, 1, 2)), (Load(float(load), "jar"),), 1.0, 20 / 60),
        ),
        containers=(
            Container("jar", "jar", 1.0, None, float(chance.randint(4, 14)), lid="lid", price=1.0,
                      can_buy=chance.choice((0.0, 0.0, 3.0))),
            Container("bag", "bag", 1.0, None, float(chance.randint(4, 12))),
        ),
        lids=(Lid("lid", float(chance.randint(2, 12)), price=0.5, can_buy=chance.choice((0.0, 4.0, float("inf")))),),
        shelf=(ShelfRow(items[0].name, float(chance.choice((0, 0, 1, 2)))),),
    )  # fmt: skip


def small_preserve(chance: random.Random, name: str, crops: tuple[str, ...], load: int) -> Preserve:
    """Jars through the canner or bags by hand, of one crop."""
    minutes: dict[str, Any] = {
        "hands_minutes_each": float(chance.choice((0, 5, 10, 15))),
        "hands_minutes_load": float(chance.choice((0, 20))),
        "stove_minutes_load": float(chance.choice((0, 0, 30))),
        "space_litres_each": 1.0,
    }
    crop, kg = chance.choice(crops), chance.choice((0.5, 1.0, 1.5, 2.0))
    batch = small_batch(f"{name} {crop} {kg} {load} {minutes}")
    if chance.random() < 0.65:
        return jar(name, crop, kg, load, **minutes, **batch)
    minutes |= {"kept_in": "shelf", "smallest_batch": chance.randint(1, 3)}
    return bag(name, crop, kg, method="dried", **(minutes | batch))


def small_batch(seed: str) -> dict[str, Any]:
    """Half the time a blank smallest batch, now and then one of three; chosen apart from the rest."""
    chance = random.Random(seed)
    blank = {"batch_typed": False, "smallest_batch": 4}
    return chance.choice((blank, blank, {}, {"smallest_batch": 3}))


def small_lots(chance: random.Random, crops: tuple[str, ...], days: int) -> list[Lot]:
    """Two to four pickings, from the day before the first to the last."""
    found = [Lot(name, day(0), float(chance.randint(4, 14))) for name in crops]
    for _ in range(chance.randint(0, 2)):
        away = chance.randint(-1, days - 1)
        found.append(Lot(chance.choice(crops), day(away), float(chance.randint(2, 8)), expected=away > 0))
    return found


def small_targets(chance: random.Random, items: tuple[Preserve, ...]) -> tuple[Any, ...]:
    """A target for each preserve, now and then one that two of them count toward."""
    found = []
    for place, item in enumerate(items):
        counts = {item.name: 1.0}
        if place and chance.random() < 0.4:
            counts[items[place - 1].name] = chance.choice((0.5, 1.0, 2.0))
        wanted = float(chance.randint(3, 10))
        row = target(
            f"need {place}", wanted, wanted + chance.choice((0.0, 0.0, 1.0)), importance=chance.randint(1, 3),
            weight=chance.choice((1.0, 1.0, 2.0)), counts=counts,
        )  # fmt: skip
        found.append(row)
    return tuple(found)


def small_hours(chance: random.Random, burners: float) -> tuple[Hours, ...]:
    """Hands and stove (burner-hours over burners) by weekday, now and then one of them without a row."""
    rows = []
    for what, figures in (("hands", (0.75, 1.5, 3.0)), ("stove free", (1.0, 2.0, 3.0, 4.0))):
        if chance.random() < 0.85:
            over = burners if what == "stove free" else 1.0
            rows.append(Hours(what, tuple(chance.choice(figures) / over for _ in range(7)), 0.0))
    return tuple(rows)
