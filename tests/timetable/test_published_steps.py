"""Thirty random published lines on the clock beside the steps of a published canning page: none is missing."""

import random
import re
from dataclasses import replace

from tests.timetable.test_load_steps import DAY, home, preserve

from stillroom.handbook.jars import headspace_text
from stillroom.handbook.lines import PRESSURE, at_altitude, by_line, lines
from stillroom.handbook.settle import steps_of
from stillroom.reports.print.pdf_text import MOST_SIGNS
from stillroom.timetable.clock import on_the_clock
from stillroom.timetable.schedule import Session

FILLING = (
    "wash and prepare",
    r"(heat|boil) \d+ (empty )?jars",
    "headspace",
    "remove air bubbles",
    "wipe rims",
    "put on lids, screw bands fingertip-tight",
)
AFTER = (
    "take out 7 .* with a jar lifter",
    "cool upright on a towel or rack 12 to 24 h; do not move them or tighten the bands",
    "check the seals",
    "take the bands off the sealed jars, wash and label them",
)
PUBLISHED = {
    True: (
        *FILLING, "2 to 3 inches of hot water, fasten the lid", "until steam flows steadily", "vent 10 min",
        "put on the weight or close the petcock", r"process \d+ min at \d+ lb", "start timing when full pressure",
        "again if it drops", "turn off the heat; let the canner depressurize on its own",
        "take off the weight or open the petcock", "lift the lid away from your face", *AFTER,
    ),
    False: (
        *FILLING, "at least 1 inch of hot water", "bring to a full boil", r"process \d+ min",
        "start timing when the water is at a full boil", "turn off the heat, take off the lid; wait 5 min", *AFTER,
    ),
}  # fmt: skip
"""
The steps by whether it is a pressure canner.

Source: Michigan State Univ. Extension, Preserving Food Safely (10/1997), no. 01600949 and 01600950; Univ. of Illinois
Extension, cottage/canning, filling and canner pages; AIB 539 (rev. 1994), Guide 1, for the water over the jars.
"""


def clock_of(line):
    """The clock of one load of a line, with its published words."""
    row = at_altitude(by_line()[line.key], 500.0, "dial")[0]
    made = replace(
        preserve("food", line.method, row.minutes), hands_minutes_each=5.0, process_text=row.text,
        headspace=headspace_text(line.product), steps=steps_of(line),
    )  # fmt: skip
    return on_the_clock(home(made), [Session(DAY, "food", 7.0)])


def missing(line):
    """The published steps that the clock of one load of a line lacks, in their order: those of its page among them."""
    said = " | ".join(step.words for day in clock_of(line) for step in sorted(day.steps, key=lambda one: one.start))
    place, lacking = 0, []
    steps = steps_of(line)
    washed, jars, *rest = PUBLISHED[line.method == PRESSURE]
    cooked, packed = (re.escape(text) for text in (steps.cook, f"({steps.pack})"))
    for step in (washed, re.escape(steps.prepare), jars, cooked, packed, re.escape(steps.fill), *rest):
        found = re.compile(step).search(said, place)
        if found is None:
            lacking.append(f"{line.key}: {step}")
        else:
            place = found.start()
    return lacking


def test_thirty_random_lines_lack_no_published_step():
    canned = [line for line in lines().values() if line.canned]
    assert [step for line in random.Random(16).sample(canned, 30) for step in missing(line)] == []


def test_no_step_of_a_line_is_cut_on_paper():
    """Cut words lose their end: the bands and the canner come last."""
    canned = [line for line in lines().values() if line.canned]
    room = MOST_SIGNS["plain"] - len("load 10 of 10: ") - len("¾ cup and 2 tbsp bottled lemon juice in each, ") - 60
    longest = max((words.words for line in canned for day in clock_of(line) for words in day.steps), key=len)
    assert len(longest) <= room, longest
