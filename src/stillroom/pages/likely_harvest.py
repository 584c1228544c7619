"""Answers that are worked out for the likely harvest alone, and that say so where a workbook is planned for several."""

from __future__ import annotations

from dataclasses import replace

from stillroom.household.harvest_cases import LIKELY_HARVEST, planned_for_several
from stillroom.household.records import Household
from stillroom.household.still_to_do import still_to_do
from stillroom.pages.way import Reading


def for_the_likely(household: Household) -> Household:
    """
    The household planned for its likely harvest alone.

    >>> from stillroom.household.tiny import tiny_household
    >>> for_the_likely(tiny_household()) == tiny_household()
    True
    """
    return replace(household, kitchen=replace(household.kitchen, plan_for=LIKELY_HARVEST))


def read_for_the_likely(reading: Reading) -> tuple[Reading, str]:
    """
    The workbook as it was read, to be planned for its likely harvest alone, and what is to be said of that.

    The words are empty where it would have been planned so in any case.
    """
    words = likely_words(still_to_do(reading.household))
    return replace(reading, household=for_the_likely(reading.household)), words


def likely_words(household: Household) -> str:
    """
    What is said of an answer worked out for the likely harvest; empty where the household is planned so anyway.

    >>> from stillroom.household.tiny import tiny_household
    >>> likely_words(tiny_household())
    ''
    """
    if not planned_for_several(household):
        return ""
    whole = "the worst harvest" if household.kitchen.plan_for == "worst harvest" else "all harvests"
    return f"Worked out for the likely harvest alone; the plan itself is for {whole}, so a few jars may differ."
