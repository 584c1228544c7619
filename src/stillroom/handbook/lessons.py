"""What the record teaches, held against the published recipes: no yield is learned that a recipe does not allow."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stillroom.handbook.safety.case import Case
from stillroom.handbook.settle import settle_one
from stillroom.household.learning import Learned, with_learned
from stillroom.household.records import Household

WHY_NOT = "its recipe goes by the weight of the crop"


def within_recipes(household: Household, lessons: Iterable[Learned]) -> tuple[Learned, ...]:
    """
    Give the lessons, those set aside with which a preserve would no longer be what the handbook allows.

    More crop in a jar with the same vinegar, say, is less acid than the published pickle has: the typed figure is
    planned with. `household` has the record taken off and is not settled yet.
    """
    return tuple(
        replace(one, used=one.typed, why_not=WHY_NOT) if one.applies and _refused_by_it(household, one) else one
        for one in lessons
    )


def _refused_by_it(household: Household, lesson: Learned) -> bool:
    """Whether the handbook refuses a preserve as it was learned, though not as it was typed."""
    if lesson.crop is None or not household.preserve(lesson.preserve).way:
        return False
    taught = with_learned(household, [lesson])
    return _stops(taught, lesson.preserve) and not _stops(household, lesson.preserve)


def _stops(household: Household, name: str) -> bool:
    _, problems = settle_one(Case(household, household.preserve(name)))
    return any(problem.stops for problem in problems)
