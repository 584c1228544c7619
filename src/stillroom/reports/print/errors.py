"""The errors of the preserves that the published tables refuse, at the top of a printed page."""

from __future__ import annotations

from dataclasses import replace

from stillroom.household.records import Household
from stillroom.reports.print.document import Paper, Section, Sentence
from stillroom.reports.refused import error_lines

HEADING = "Left out of the plan"


def with_error_section(household: Household, paper: Paper) -> Paper:
    """Return a page that begins with the errors of what is left out; the page itself where there are none."""
    lines = error_lines(household)
    if not lines:
        return paper
    section = Section(HEADING, tuple(Sentence(line, warns=True) for line in lines))
    return replace(paper, sections=(section, *paper.sections))
