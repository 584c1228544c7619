"""
How good the clock is: random days of up to twelve loads against their proved bound, and how long a day takes.

    python3 tests/bench.py timetable [--count 100]

The days are the same in every run. The household is the varied one of the planning bench (invented); its hours of hands
and stove are drawn anew, and so are the preserves of each day, at random and not by a plan: a harder thing to fit.
Printed: the gap to the bound, how many days are proved to end as early as any order could, seconds a day, and what the
audit says.
"""

from __future__ import annotations

import argparse
import dataclasses
import datetime
import random
import statistics
import sys
import time
from collections.abc import Sequence

from tests.planning.varied import FIRST_DAY, base

from stillroom.household.records import FREEZE_WHOLE, Hours, Household
from stillroom.timetable.audit import broken_promises
from stillroom.timetable.clock import on_the_clock
from stillroom.timetable.sessions import Session

MOST_LOADS = 12
GOAL_SECONDS = 2.0


def main(words: Sequence[str] | None = None) -> int:
    """Run the bench; 1 when some clock cannot be kept, else 0."""
    parser = argparse.ArgumentParser(description="Put random days on the clock.")
    parser.add_argument("--count", type=int, default=100, help="how many days (100)")
    count = parser.parse_args(words).count
    gaps, seconds, loads, broken = [], [], [], 0
    for seed in range(count):
        household, sessions = random_day(seed)
        began = time.perf_counter()
        clock = on_the_clock(household, sessions)
        seconds.append(time.perf_counter() - began)
        gaps.append(clock[0].gap)
        loads.append(clock[0].loads)
        wrong = broken_promises(household, sessions, clock)
        broken += bool(wrong)
        for one in wrong:
            print(f"day {seed}: {one}")
    proved = sum(gap < 1e-9 for gap in gaps)
    print(f"{count} random days of {min(loads)} to {max(loads)} loads, {statistics.mean(loads):.1f} on average")
    print(f"proved to end as early as any order could: {proved} of {count}")
    print(
        f"gap to the bound: mean {100 * statistics.mean(gaps):.1f} %, median {100 * statistics.median(gaps):.1f} %, "
        f"nine in ten under {100 * statistics.quantiles(gaps, n=10)[-1]:.1f} %, worst {100 * max(gaps):.1f} %"
    )
    print(
        f"seconds a day: median {statistics.median(seconds):.3f}, worst {max(seconds):.3f} (goal {GOAL_SECONDS:g}); "
        f"clocks that cannot be kept: {broken}"
    )
    return 1 if broken or max(seconds) > GOAL_SECONDS else 0


def random_day(seed: int) -> tuple[Household, list[Session]]:
    """Draw a day: hours of hands and stove, and preserves until there are up to twelve loads."""
    chance = random.Random(seed)
    household = base()
    hands, stove = chance.uniform(4, 20), chance.uniform(8, 40)
    hours = (Hours("hands", (hands,) * 7, 0.0), Hours("stove", (stove,) * 7, 0.0))
    household = dataclasses.replace(household, hours=hours)
    wanted = chance.randint(2, MOST_LOADS)
    sessions: dict[str, Session] = {}
    loads = 0
    while loads < wanted:
        item = chance.choice([one for one in household.preserves if "crock" not in one.equipment])
        if item.name in sessions:
            continue
        if item.load is None:
            sessions[item.name] = Session(FIRST_DAY, item.name, float(chance.randint(item.smallest_batch, 20)))
            loads += 1
        else:
            times = chance.randint(1, min(2, wanted - loads))
            amount = item.load * times - chance.randint(0, item.load - 1)
            sessions[item.name] = Session(FIRST_DAY, item.name, float(amount))
            loads += times
    if chance.random() < 0.3:
        crop = chance.choice([one for one in household.crops if one.may_be_frozen_whole])
        sessions["freeze"] = Session(FIRST_DAY, FREEZE_WHOLE + crop.name, chance.uniform(1, 8))
    return household, sorted(sessions.values())


def next_days(household: Household, days: int, seed: int) -> list[Session]:
    """Draw several days one after the other."""
    found: list[Session] = []
    for number in range(days):
        day = FIRST_DAY + datetime.timedelta(days=number)
        found += [dataclasses.replace(one, day=day) for one in random_day(seed * 100 + number)[1]]
    return found


if __name__ == "__main__":
    sys.exit(main())
