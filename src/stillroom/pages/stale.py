"""Whether the plan that stands in a workbook is still that of what is typed there, in a sentence."""

from __future__ import annotations

import datetime

from stillroom.household.answer.words import day_words
from stillroom.household.since import changed, parts, parts_in
from stillroom.pages.way import Reading, mark_of
from stillroom.workbook import write
from stillroom.workbook.mark import mark_in, notes_in

CHANGED = "The workbook has changed since this plan was made; plan again to be sure of it."
ONLY_THE_DAY = ("first day",)


def stale_words(reading: Reading) -> str:
    """
    Say what makes the plan in the workbook an older one; empty while it holds.

    A plan made with a time limit, or by another version, holds as long as nothing that it rests on is typed anew.
    """
    notes = notes_in(reading.book)
    mark = mark_in(notes)
    if mark is None or not write.is_unchanged(reading.book, mark[0]):
        return CHANGED
    if mark[0] == mark_of(reading.typed, None)[: len(mark[0])]:
        return ""
    before, now = parts_in(notes.get("inputs", "")), parts(reading.typed)
    if not before:
        return CHANGED
    other = tuple(name for name in now if changed({name: before[name]} if name in before else {}, {name: now[name]}))
    if other == ONLY_THE_DAY:
        then = datetime.date.fromordinal(int(before["first day"][0]))
        return f"This plan begins on {day_words(then)}; plan again to begin with the first day of now."
    return CHANGED if other else ""
