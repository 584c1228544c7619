"""Two-season households small enough for a pencil."""

from __future__ import annotations

import dataclasses
import random

from tests import worked_examples as examples

from stillroom.household.records import Container, Crop, Household, Ingredient, Lot


def jam_now_or_sauce_later(
    worth_of_jam: float = 3.5, plan_for: str = "all harvests", least_kg: float = 0.0, most_kg: float = 8.0
) -> Household:
    """
    Ten tubs, and plums that must be used today; tomatoes come the day after tomorrow, or do not.

    A tub of jam is worth 0.35 (3.5 over 10 wanted), a tub of sauce 0.40. A poor season (weight 0.25) brings no
    tomatoes, a likely or good one (0.75) 8 kg: the good one is like the likely one. A tub kept for sauce is
    worth 0.75 x 0.40 = 0.30 before one knows, less than 0.35 in jam today.
    Hedged: 10 of jam, 3.5 in both seasons. For the likely harvest alone 0.40 > 0.35: 8 kept, 2 of jam,
    0.25 x 0.7 + 0.75 x (0.7 + 3.2) = 3.1. Known beforehand: 0.25 x 3.5 + 0.75 x 3.9 = 3.8.
    So hedging is worth 3.5 - 3.1 = 0.4 and knowing 3.8 - 3.5 = 0.3.
    """
    preserves = (examples.bag("jam", "plum", 1.0), examples.bag("sauce", "tomato", 1.0))
    lots = (
        Lot("plum", examples.TUESDAY, 10.0),
        Lot("tomato", examples.day(2), 8.0, expected=True, least_kg=least_kg, most_kg=most_kg),
    )
    targets = (
        examples.target("jam", 10, importance=1, weight=worth_of_jam),
        examples.target("sauce", 10, importance=1, weight=4.0),
    )
    return examples.home(
        preserves, lots, targets, days=3,
        kitchen={"fill_targets_evenly": False, "plan_for": plan_for},
        crops=(Crop("plum", 0.0), Crop("tomato", 0.0)),
        containers=(Container("bag", "tub", 1.0, None, 10.0),),
    )  # fmt: skip


def jars_for_a_good_season(tomato_kg: float = 6.0) -> Household:
    """
    All three seasons differ: 2, 6 or 10 kg of tomatoes the day after tomorrow, 10 tubs, jam 0.2 and sauce 0.4 a tub.

    A tub kept for sauce is filled with probability 1 up to 2, 0.75 up to 6, 0.25 up to 10: worth 0.4, 0.3, 0.1. Jam
    beats the last only: 6 are kept, 4 of jam. Poor 0.8 + 0.8 = 1.6, likely and good 0.8 + 2.4 = 3.2; together 2.8.
    Sauce: 2 to 6, most likely 6.
    """
    home = jam_now_or_sauce_later(2.0)
    lots = (home.lots[0], Lot("tomato", examples.day(2), tomato_kg, expected=True, least_kg=2.0, most_kg=10.0))
    return examples.home(
        home.preserves, lots, home.targets, days=3,
        kitchen={"fill_targets_evenly": False, "plan_for": "all harvests"},
        crops=home.crops, containers=home.containers,
    )  # fmt: skip


def paste_for_a_harvest_that_may_not_come() -> Household:
    """
    Paste counts toward nothing but is an ingredient of sauce, one tub of each in a tub of sauce, with 1 kg of tomatoes.

    Plums for paste are there today only; tomatoes come the day after tomorrow, 4 kg, or none in a poor season. The plan
    for the likely harvest makes 4 of paste today and 4 of sauce. In a poor season no paste has a purpose but for one
    short of a container: none. Planned for all seasons nothing can be made today, so there is no sauce in any.
    """
    line = Ingredient("paste", "preserve", 1.0)
    sauce = examples.bag("sauce", "tomato", 1.0)
    sauce = dataclasses.replace(sauce, ingredients=(*sauce.ingredients, line))
    home = jam_now_or_sauce_later()
    lots = (
        Lot("plum", examples.TUESDAY, 4.0),
        Lot("tomato", examples.day(2), 4.0, expected=True, least_kg=0.0, most_kg=4.0),
    )
    return examples.home(
        (examples.bag("paste", "plum", 1.0), sauce), lots, (examples.target("sauce", 10, importance=1),), days=3,
        kitchen={"fill_targets_evenly": False, "plan_for": "all harvests"},
        crops=home.crops,
    )  # fmt: skip


@dataclasses.dataclass(frozen=True)
class TubsToKeep:
    """
    The question of `jam_now_or_sauce_later` with any figures: how many tubs to keep for sauce, and what that is worth.

    Its answer by trying every number of tubs: kept for sauce, r of them, jam in the rest, are worth
    jam * (tubs - r) + sum over the seasons of weight * sauce * min(r, kg).
    """

    tubs: int
    jam: float
    sauce: float
    kg: tuple[int, int, int]

    def worth(self, kept: int, season: int) -> float:
        """What so many tubs kept are worth in one season."""
        return self.jam * (self.tubs - kept) + self.sauce * min(kept, self.kg[season])

    def expected(self, kept: int) -> float:
        """What so many tubs kept are worth before one knows."""
        return sum(weight * self.worth(kept, season) for season, weight in enumerate((0.25, 0.5, 0.25)))

    def hedged(self) -> float:
        """The most that any number of tubs kept is worth before one knows."""
        return max(self.expected(kept) for kept in range(self.tubs + 1))

    def one_harvest(self) -> float:
        """What it is worth before one knows to keep the tubs that are best for the likely harvest."""
        return self.expected(max(range(self.tubs + 1), key=lambda kept: self.worth(kept, 1)))

    def foresight(self) -> float:
        """What it is worth to keep the tubs that are best for each season."""
        best = [max(self.worth(kept, season) for kept in range(self.tubs + 1)) for season in range(3)]
        return 0.25 * best[0] + 0.5 * best[1] + 0.25 * best[2]

    def household(self) -> Household:
        """The household that asks it."""
        least, likely, most = (float(kg) for kg in self.kg)
        home = jam_now_or_sauce_later()
        lots = (
            Lot("plum", examples.TUESDAY, float(self.tubs)),
            Lot("tomato", examples.day(2), likely, expected=True, least_kg=least, most_kg=most),
        )
        targets = tuple(
            examples.target(name, self.tubs, importance=1, weight=each * self.tubs)
            for name, each in (("jam", self.jam), ("sauce", self.sauce))
        )
        return dataclasses.replace(
            home, lots=lots, targets=targets, containers=(Container("bag", "tub", 1.0, None, float(self.tubs)),)
        )


def tubs_to_keep(seed: int) -> TubsToKeep:
    """One such question; no two tubs are worth the same, so that the plan for the likely harvest is one only."""
    chance = random.Random(seed)
    likely = chance.randint(2, 9)
    kg = (chance.randint(0, likely - 1), likely, chance.randint(likely + 1, 14))
    jam = chance.choice((0.06, 0.27, 0.33, 0.39))
    return TubsToKeep(chance.randint(6, 12), jam, chance.choice((0.31, 0.35, 0.45)), kg)
