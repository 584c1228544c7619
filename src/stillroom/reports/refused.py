"""The errors of the preserves that the published tables refuse, as lines and as JSON."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from stillroom.errors import Problem
from stillroom.household.records import Household
from stillroom.household.refusals import nothing_words, refusals
from stillroom.reports.json import problems_object
from stillroom.reports.problems import gathered, line


def error_lines(household: Household, but: Collection[Problem] = ()) -> list[str]:
    """
    Return a line for each error, those with the same cause as one; first that nothing can be planned, if so.

    `household` is settled; `but` are errors that are shown elsewhere.
    """
    errors = gathered([problem for problem in refusals(household) if problem not in but])
    nothing = nothing_words(household)
    return [*([nothing] if nothing else []), *(f"Error: {line(one)}" for one in errors)]


def lines_with_errors(household: Household, lines: Sequence[str]) -> list[str]:
    """Return sentences with those of the errors before them."""
    return [*error_lines(household), *lines]


def errors_object(household: Household) -> dict[str, object]:
    """Return the errors for other programs: `errors`, each with its place and what to do."""
    return {"errors": problems_object(refusals(household))}
