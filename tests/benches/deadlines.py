"""
How many promises of `stillroom tonight` hold when the household is planned again in full.

    python3 tests/bench.py deadlines [--kitchens 200] [--days 2] [--disruptions 40] [--season 0]

Each line of the first days of a random kitchen is kept out of all days before its last safe day (*Keep at* 0), and the
whole is planned again by the planner itself: no target importance may lose. Kept out of the detailed days altogether,
it may lose no more than was stated. So is each of the ten disruptions of some of the kitchens. Then the glut: seconds
of processor for its first two days and its week. With `--season` only so many seasons with bad evenings are lived, see
`tests/benches/bad_evenings.py`.
"""

from __future__ import annotations

import argparse
import dataclasses
import datetime
import sys
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

from tests.benches.bad_evenings import play
from tests.planning.any_kitchen import any_kitchen

from stillroom.app.fit_day import latest_begin, tightened
from stillroom.app.plan import audited_plan, planned_on_the_clock, read_workbook
from stillroom.errors import StillroomError
from stillroom.household.plan import Plan, periods
from stillroom.household.records import FREEZE_WHOLE, Household, PlanLine
from stillroom.household.results.deadlines import Deadline, Loss
from stillroom.household.simulation.seasons import filled_by_plan
from stillroom.household.suppose.disruptions import the_ten
from stillroom.planning.deadlines import NOTHING, find_deadlines, outcome_of

ROOT = Path(__file__).resolve().parents[2]
WHOLE_CONTAINER = 1.0
"""A plan that is a whole load off may fill another target of the same importance by this many containers less."""


@dataclasses.dataclass(frozen=True)
class Promise:
    """A line, the days it was kept out of, what that was said to lose, and what of a target was lost beyond that."""

    line: Deadline
    kept_out: tuple[datetime.date, ...]
    stated: Loss
    broken: dict[str, float]


def promises(household: Household, days: int = 2) -> list[Promise]:
    """Ask for the deadlines of a kitchen's first days and hold each against a plan made from nothing."""
    household = dataclasses.replace(household, plan_lines=())
    planned, plan = planned_on_the_clock(household)
    found = []
    for line in find_deadlines(planned, plan, tightened, latest_begin, days).lines:
        single = [period.first_day for period in periods(household.kitchen) if period.single]
        after = [day for day in single if day >= line.day]
        before = after if line.until is None else [day for day in after if day < line.until]
        through = after if line.until is None else [day for day in after if day <= line.until]
        for kept_out, stated in ((before, NOTHING), (through, line.loss)):
            if kept_out and not line.name.startswith(FREEZE_WHOLE):
                found.append(Promise(line, tuple(kept_out), stated, broken(planned, plan, line, kept_out, stated)))
    return found


def wrong_promises(household: Household) -> list[tuple[str, dict[str, float]]]:
    """Return each of the ten disruptions of a kitchen with what is lost beyond what was stated, planned in full."""
    household = dataclasses.replace(household, plan_lines=())
    planned, plan = planned_on_the_clock(household)
    found = []
    for one in the_ten(planned, plan):
        outcome = outcome_of(one, plan, tightened)
        if outcome.loss is not None:
            now = filled_by_plan(*planned_on_the_clock(one.household))
            found.append((one.name, lost_beyond(planned, filled_by_plan(planned, plan), now, outcome.loss)))
    return found


def broken(
    household: Household, plan: Plan, line: Deadline, kept_out: Sequence[datetime.date], stated: Loss
) -> dict[str, float]:
    """Return what each importance loses beyond what was stated, in shares of targets, where it loses anything."""
    fixed = tuple(PlanLine(day, 1, line.name, fix=0.0) for day in kept_out)
    now = filled_by_plan(*planned_on_the_clock(dataclasses.replace(household, plan_lines=fixed)))
    return lost_beyond(household, filled_by_plan(household, plan), now, stated)


def lost_beyond(
    household: Household, was: Mapping[str, float], now: Mapping[str, float], stated: Loss
) -> dict[str, float]:
    """Return what each importance loses beyond what was stated, in shares of targets, where it loses anything."""
    found: dict[str, float] = {}
    for importance in (1, 2, 3):
        targets = [one for one in household.targets if one.importance == importance and one.wanted > 0]
        lost = sum((was[one.name] - now[one.name] - stated.targets.get(one.name, 0.0)) / one.wanted for one in targets)
        allowed = sum(WHOLE_CONTAINER / one.wanted for one in targets if was[one.name] > now[one.name] + 1e-6)
        if lost > allowed + 1e-3:
            found[str(importance)] = lost
        if lost < -1e-3:
            break
    return found


def main() -> int:
    """Run the bench."""
    parser = argparse.ArgumentParser(description="Hold the deadlines of random kitchens against new plans.")
    parser.add_argument("--kitchens", type=int, default=200)
    parser.add_argument("--days", type=int, default=2)
    parser.add_argument("--disruptions", type=int, default=40, help="kitchens whose disruptions are planned in full")
    parser.add_argument("--season", type=int, default=0, help="only live so many drawn seasons of each demo")
    chosen = parser.parse_args()
    if chosen.season:
        play(chosen.season)
        return 0
    counts: Counter[str] = Counter()
    for number in range(chosen.kitchens):
        try:
            asked = promises(any_kitchen(number, fixed=False), chosen.days)
        except StillroomError:
            counts["kitchens that cannot be planned"] += 1
            continue
        counts["kitchens"] += 1
        counts["promises"] += len(asked)
        for one in asked:
            if one.broken:
                counts["broken"] += 1
                print(
                    f"kitchen {number}, {one.line.day} {one.line.name}, kept out {len(one.kept_out)} days: {one.broken}"
                )
    for number in range(chosen.disruptions):
        try:
            found = wrong_promises(any_kitchen(number, fixed=False))
        except StillroomError:
            continue
        counts["disruptions"] += len(found)
        counts["disruptions broken"] += sum(bool(lost) for _, lost in found)
        for name, lost in found:
            if lost:
                print(f"kitchen {number}, {name}: {lost}")
    print(dict(counts))
    household, plan = audited_plan(read_workbook(ROOT / "demo" / "tomato_glut.xlsx", datetime.date(2026, 8, 15)))
    for days in (2, 7):
        began = time.process_time()
        lines = len(find_deadlines(household, plan, tightened, latest_begin, days).lines)
        print(f"glut, {days} days: {lines} lines in {time.process_time() - began:.1f} s of processor")
    return 0


if __name__ == "__main__":
    sys.exit(main())
