"""What a plan for several seasons says of the others: how much a line may come to, and what each need then has."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.household.answer.sums import ALMOST, Sums
from stillroom.household.answer.units import Row, in_crop_unit
from stillroom.household.answer.words import amount_words, count_words, listed
from stillroom.household.plan import Amounts, Plan
from stillroom.household.records import FREEZE_WHOLE, THAW, Crop, Need

MOST_NEEDS = 9
"""So many needs that differ between the seasons are named, three in a message."""

WORTH_SAYING = 0.5
"""A difference below half a container, or half a need's unit, is not said."""


def amounts_of(plan: Plan, name: str) -> tuple[Amounts, str]:
    """The amounts of a plan that a line's name speaks of, and by which name they stand there."""
    if name.startswith(FREEZE_WHOLE):
        return plan.freeze_kg, name.removeprefix(FREEZE_WHOLE)
    if name.startswith(THAW):
        return plan.thaw_kg, name.removeprefix(THAW)
    return plan.make, name


def over_seasons(plan: Plan, name: str, number: int) -> tuple[float, float, float]:
    """The least, the likely and the most of a plan line over the seasons: containers, or kg of crop."""
    found = []
    seasons = plan.hedge.seasons if plan.hedge is not None else ()
    for one in (plan, *(season.plan for season in seasons)):
        amounts, key = amounts_of(one, name)
        found.append(amounts.get((key, number), 0.0))
    return min(found), found[0], max(found)


def likely_words(plan: Plan, name: str, number: int | None, crop: Crop | None = None) -> str | None:
    """
    How much a line may come to, such as "6 to 14, most likely 9"; None where it is the same in all seasons.

    >>> from stillroom.household.plan import Hedge, SeasonPlan
    >>> poor = SeasonPlan("poor", 0.25, Plan((), make={("juice", 3): 6.0}))
    >>> good = SeasonPlan("good", 0.25, Plan((), make={("juice", 3): 14.0}))
    >>> likely = Plan((), make={("juice", 3): 9.0}, hedge=Hedge((poor, good), 0.5, 2))
    >>> likely_words(likely, "juice", 3), likely_words(likely, "juice", 2)
    ('6 to 14, most likely 9', None)
    """
    if plan.hedge is None or number is None:
        return None
    kg_or_count = over_seasons(plan, name, number)
    if crop is not None:
        said = [amount_words(in_crop_unit(kg, crop), crop.unit) if kg > ALMOST else "0" for kg in kg_or_count]
    else:
        if kg_or_count[2] - kg_or_count[0] < WORTH_SAYING:
            return None
        said = [count_words(count, whole=False) for count in kg_or_count]
    least, likely, most = said
    return None if least == most else f"{least} to {most}, most likely {likely}"


def likely_cells(sums: Sums, row: Row, name: str, number: int | None, crop: Crop | None) -> Row:
    """
    Cells of a plan line that may come to more or less: the words by themselves, and at the end of what it uses.

    `Likely` is besides the columns of the table; so a workbook of before says it too.
    """
    words = likely_words(sums.plan, name, number, crop)
    if words is None:
        return {}
    uses = row.get("Uses")
    return {"Likely": words, "Uses": f"{uses}; {words}" if uses else words}


def season_rows(sums: Sums) -> list[Row]:
    """The messages on the seasons a plan was made for: what was done, and the needs that hang on the harvest."""
    hedge = sums.plan.hedge
    if hedge is None:
        return []
    others = [season.name for season in hedge.seasons]
    names = [f"a {name}" for name in ("poor", "likely", "good") if name == "likely" or name in others]
    said = f"{', '.join(names[:-1])} and {names[-1]}"
    days = "today" if hedge.decided_now == 1 else "today and tomorrow"
    rows = [
        note(
            f"planned for {said} harvest together, by Least and Most: what stands for {days} suits each of them; "
            "later days are those of the likely one",
            "weigh each lot as it comes in and plan again",
        )
    ]
    words = [told for need in sums.household.needs if (told := need_words(sums.plan, need))]
    shown = words[:MOST_NEEDS] + ([f"and {len(words) - MOST_NEEDS} more"] if len(words) > MOST_NEEDS else [])
    rows += [
        note(f"how far the list is filled by harvest: {'; '.join(shown[place : place + 3])}", "")
        for place in range(0, len(shown), 3)
    ]
    return rows


def note(what: str, what_to_do: str) -> Row:
    """One message worth knowing."""
    return {"Severity": "note", "Where": "Harvest", "What": what, "What to do": what_to_do or None}


def need_words(plan: Plan, need: Need) -> str:
    """
    How far a need is filled in each season; empty where it is much the same in all.

    >>> from stillroom.household.plan import Hedge, SeasonPlan
    >>> poor = SeasonPlan("poor", 0.25, Plan((), bands={("juice", 0): 10.0, ("juice", 1): 2.0}))
    >>> likely = Plan((), bands={("juice", 0): 10.0, ("juice", 1): 10.0}, hedge=Hedge((poor,), 0.75, 2))
    >>> need_words(likely, Need("juice", 40.0, 40.0))
    'juice 20 of 40, in a poor one 12'
    """
    seasons = plan.hedge.seasons if plan.hedge is not None else ()
    likely = filled(plan, need.name)
    others = [(season.name, filled(season.plan, need.name)) for season in seasons]
    told = [f"in a {name} one {amount_words(there)}" for name, there in others if abs(there - likely) >= WORTH_SAYING]
    return f"{need.name} {amount_words(likely)} of {amount_words(need.wanted)}, {listed(told)}" if told else ""


def filled(plan: Plan, need: str) -> float:
    """How far a plan fills a need, in the need's unit."""
    return sum(amount for (name, _), amount in plan.bands.items() if name == need)


def worth_words(seasons: Sequence[tuple[str, dict[str, float]]]) -> list[str]:
    """
    What planning for all seasons together gains and costs, season by season, in what the needs have more or less.

    >>> worth_words([("poor", {"beans": 2.3, "beets": -2.3}), ("likely", {"beans": 0.1})])
    ['in a poor season 2¼ more of beans, 2¼ less of beets', 'in a likely season no need has more or less']
    """
    said = []
    for name, more in seasons:
        each = [
            f"{amount_words(abs(by))} {'more' if by > 0 else 'less'} of {need}"
            for need, by in sorted(more.items(), key=lambda one: -one[1])
            if abs(by) >= WORTH_SAYING
        ]
        said.append(f"in a {name} season {', '.join(each) if each else 'no need has more or less'}")
    return said
