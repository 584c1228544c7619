"""The errors of the preserves that the published tables refuse, above a page of the terminal."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.records import Household
from stillroom.household.refusals import nothing_words, refusals
from stillroom.reports.problems import gathered
from stillroom.reports.terminal.lists import dashed, heading, spaced
from stillroom.reports.terminal.plan import problem_line

LEFT_OUT = "left out of the plan"
REST = f"{LEFT_OUT}; the rest is planned"


def with_errors(household: Household, page: RenderableType) -> RenderableType:
    """Return a page with the errors above it; the page itself where there are none. `household` is settled."""
    errors = gathered(refusals(household))
    if not errors:
        return page
    nothing = nothing_words(household)
    block = Group(heading("Errors", LEFT_OUT if nothing else REST), dashed([problem_line(one) for one in errors]))
    return spaced([*([Text(nothing, "bold")] if nothing else []), block, page])
