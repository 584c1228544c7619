"""The starting workbook against the fence: every published line a household may tick is planned as it stands."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest

from stillroom.handbook.catalogue import preserves as catalogue
from stillroom.handbook.lines import lines
from stillroom.handbook.settle import settle
from stillroom.household import checks
from stillroom.household.journal import stocks
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader import household as read
from stillroom.workbook.starter import start
from stillroom.workbook.starter.first_rows import starting_contents

DAY = datetime.date(2026, 8, 14)
PLACES = [
    (False, "500 ft", "dial"), (False, "1450 ft", "weighted"), (False, "5200 ft", "dial"), (True, "440 m", "weighted"), (True, "1600 m", "dial"),
]  # fmt: skip


@pytest.fixture(
    scope="module", params=PLACES, ids=lambda place: f"{'metric' if place[0] else 'us'} {place[1]} {place[2]}"
)
def household(request, tmp_path_factory):
    """A starting workbook, read back."""
    is_metric, altitude, gauge = request.param
    path = tmp_path_factory.mktemp("start") / "new.xlsx"
    path.write_bytes(start.build(starting_contents(metric=is_metric, altitude=altitude, gauge=gauge)))
    found, problems = read.household(Book.open(path), DAY)
    assert [str(problem) for problem in problems if problem.is_error] == []
    return stocks.settle(found)[0]


def test_as_it_stands_nothing_stops(household):
    assert len(household.planned()) >= 30
    _, problems = settle(household)
    assert [str(problem) for problem in (*problems, *checks.problems(household)) if problem.is_error] == []


def test_every_line_may_be_ticked(household):
    """All of them with Include = yes: what the fence allows by its own rules it allows in a household's workbook."""
    ticked = replace(household, preserves=tuple(replace(item, include=True) for item in household.preserves))
    answer, problems = settle(ticked)
    stopped = [str(problem) for problem in (*problems, *checks.problems(ticked)) if problem.is_error]
    assert stopped == []
    assert not [item.name for item in answer.preserves if item.own_recipe]


def test_every_line_with_a_published_weight_is_there(household):
    keys = {item.handbook_line for item in household.preserves}
    metric = any("liter" in item.container for item in household.preserves)
    assert len(household.preserves) == len(catalogue())
    assert metric or keys == {entry.line for entry in catalogue()}
    there, published = (
        {(lines()[key].product, lines()[key].method) for key in of} for of in (keys, (e.line for e in catalogue()))
    )
    assert there == published
