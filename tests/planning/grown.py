"""
The varied household grown to any size: how cost grows with preserves and periods, and a community kitchen.

A household of `copies` gardens grows every crop so many times under other names ("plum tomato 2"), makes every preserve
and wants every need of each, and has so many times the hands, burners, canners, jars and space: a kitchen that several
families share. Invented, as the varied household is.
"""

from __future__ import annotations

import dataclasses
import random

from tests.planning.varied import base

from stillroom.household.records import Hours, Household, Ingredient


def grown(preserves: int, days: int = 7, weeks: int = 8, *, seed: int = 1) -> Household:
    """
    A household with so many preserves (40 to a garden, the last garden cut short), planned so many days and weeks.
    """
    one = base()
    gardens = -(-preserves // len(one.preserves))
    chance = random.Random(f"grown {preserves} {days} {weeks} {seed}")
    kitchen = one.kitchen
    parts = [renamed(one, garden, chance) for garden in range(gardens)]
    kept = tuple(item for part in parts for item in part.preserves)[:preserves]
    names = {item.name for item in kept}
    kept = tuple(
        dataclasses.replace(
            item,
            ingredients=tuple(line for line in item.ingredients if line.source != "preserve" or line.item in names),
        )
        for item in kept
    )
    targets = tuple(
        dataclasses.replace(target, counts={name: each for name, each in target.counts.items() if name in names})
        for part in parts
        for target in part.targets
        if any(name in names for name in target.counts)
    )
    share = preserves / len(one.preserves)
    return dataclasses.replace(
        one,
        kitchen=dataclasses.replace(
            kitchen,
            days_planned_singly=days,
            weeks_after_that=weeks,
            freezer_free_litres=kitchen.freezer_free_litres * share,
            freezer_size_litres=(kitchen.freezer_size_litres or 0) * share,
            freeze_kg_a_day=kitchen.freeze_kg_a_day * share,
            refrigerator_free_litres=kitchen.refrigerator_free_litres * share,
            shelf_free_litres=kitchen.shelf_free_litres * share,
            cellar_free_litres=kitchen.cellar_free_litres * share,
            spending_limit=kitchen.spending_limit * share,
        ),
        hours=tuple(Hours(row.what, tuple(each * share for each in row.by_weekday), row.each_later_week * share) for row in one.hours),
        equipment=tuple(dataclasses.replace(piece, how_many=max(1, round(piece.how_many * share))) for piece in one.equipment),
        crops=tuple(crop for part in parts for crop in part.crops),
        lots=tuple(lot for part in parts for lot in part.lots),
        containers=tuple(dataclasses.replace(item, on_hand=float(round(item.on_hand * share)), can_buy=item.can_buy * share) for item in one.containers),
        lids=tuple(dataclasses.replace(item, on_hand=float(round(item.on_hand * share)), can_buy=item.can_buy * share) for item in one.lids),
        pantry=tuple(dataclasses.replace(item, on_hand=item.on_hand * share, can_buy=item.can_buy * share) for item in one.pantry),
        shelf=tuple(row for part in parts for row in part.shelf if row.preserve in names),
        preserves=kept,
        targets=targets,
    )  # fmt: skip


def renamed(one: Household, garden: int, chance: random.Random) -> Household:
    """The household's crops, preserves and targets under the garden's own number, a little different each."""
    if garden == 0:
        return one

    def name(plain: str) -> str:
        return f"{plain} {garden + 1}"

    share = chance.uniform(0.7, 1.3)

    def line(each: Ingredient) -> Ingredient:
        if each.source == "pantry":
            return each
        return dataclasses.replace(
            each, item=name(each.item), amount_each=each.amount_each * chance.uniform(0.95, 1.05)
        )

    return dataclasses.replace(
        one,
        crops=tuple(dataclasses.replace(crop, name=name(crop.name)) for crop in one.crops),
        lots=tuple(dataclasses.replace(lot, crop=name(lot.crop), kg=round(lot.kg * share * chance.uniform(0.7, 1.3), 2)) for lot in one.lots),
        shelf=tuple(dataclasses.replace(row, preserve=name(row.preserve)) for row in one.shelf),
        preserves=tuple(
            dataclasses.replace(
                item,
                name=name(item.name),
                hands_minutes_each=round(item.hands_minutes_each * chance.uniform(0.9, 1.1), 1),
                ingredients=tuple(line(each) for each in item.ingredients),
            )
            for item in one.preserves
        ),
        targets=tuple(
            dataclasses.replace(target, name=name(target.name), wanted=float(max(1, round(target.wanted * chance.uniform(0.7, 1.3)))), at_most=target.at_most * 1.5, counts={name(key): each for key, each in target.counts.items()})
            for target in one.targets
        ),
    )  # fmt: skip
