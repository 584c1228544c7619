"""
How plans hold up when they are lived: planned again every day for two weeks, the work of each day done as planned.

    python3 tests/bench.py living [--kitchens 12] [--days 14] [--silly 50] [--news 4] [--jobs 2] [--former SRC]
        [--keep FOLDER]

Twelve kitchens (four demos, eight varied) are planned, today's lines are done and recorded, the first day moves on by
one, the plan's lines stay in the workbook as the last plan, and it is planned again; once with everything as expected,
once with harvest up to 15 % and yields about 7.5 % off (one standard deviation) and one evening in ten lost. Printed by
day and over all: how full the canners are, what is silly with its reasons, lines of today and tomorrow that changed
against the plan before, how many days a step-by-step kitchen finishes (steps up to 20 % off), and what the two weeks
and the last plan come to beside one plan that knew the harvest and the lost evenings of its detailed days from the
first day on. On every fourth day (`--news`) the same household is planned once more with every coming lot up to 10 %
off. Then silly things are counted over varied households with a former plan. `--former SRC` runs each kitchen also with
the code of another source tree (its own demos), so that both stand side by side. With `--keep` a run that was stopped
goes on where it was; such a folder is for one state of the code.
"""

from __future__ import annotations

import argparse
import dataclasses
import datetime
import json
import math
import os
import random
import statistics
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from tests.benches._living_counts import LONELY, Counts, finished_in_time
from tests.benches.plan import with_former_plan
from tests.planning.varied import lines_of, varied

import stillroom
from stillroom.app.plan import planned_on_the_clock, read_workbook
from stillroom.household.audit import violated_constraints
from stillroom.household.journal.events import still_to_do
from stillroom.household.plan import Plan, periods
from stillroom.household.records import FREEZE_WHOLE, THAW, Household, Lot, PlanLine, Tighter
from stillroom.household.results.sums import Sums
from stillroom.household.simulation.seasons import Draw, Uncertainty, filled_by_plan
from stillroom.household.simulation.state import SeasonState, work
from stillroom.timetable.clock import on_the_clock
from stillroom.timetable.schedule import sessions_of_plan

ROOT = Path(__file__).resolve().parents[2]
TODAY = datetime.date(2026, 8, 15)
KITCHENS = (
    "tomato_glut", "varied 0", "varied 1", "jar_shortage", "varied 2", "varied 3", "freezer_against_canning",
    "varied 4", "varied 5", "shared_plan", "varied 6", "varied 7",
)  # fmt: skip
EXACT = Uncertainty(harvest_share=0.0, yield_spread=0.0, lost_evening=0.0)
NOISY = Uncertainty(harvest_share=0.15, yield_spread=0.075, lost_evening=0.1)
SAME, SAME_KG = 0.5, 0.5 * 0.45359237
"""A line changed when it differs by half a container, or half a pound of crop."""
TRIES = 5
"""So many times a day is worked off, each with other lengths of its steps."""

Row = dict[str, Any]


def main(words: Sequence[str] | None = None) -> int:
    """Run the bench; 1 when a plan of this tree broke a constraint or could not be made, else 0."""
    parser = argparse.ArgumentParser(description="Live two weeks by daily plans.")
    parser.add_argument("--kitchens", type=int, default=len(KITCHENS), help="how many kitchens (12)")
    parser.add_argument("--days", type=int, default=14, help="days lived; whole weeks make hindsight quick (14)")
    parser.add_argument("--silly", type=int, default=50, help="how many varied households are searched (50)")
    parser.add_argument("--news", type=int, default=4, help="every so many days also planned with news; 0 never (4)")
    parser.add_argument("--jobs", type=int, default=2, help="how many processes (2)")
    parser.add_argument("--former", type=Path, metavar="SRC", help="another source tree, measured beside this one")
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="keep what is measured there, and go on from it")
    parser.add_argument("--unit", nargs=2, metavar=("KITCHEN", "HOW"), help=argparse.SUPPRESS)
    chosen = parser.parse_args(words)
    if chosen.unit:
        kitchen, how = chosen.unit
        rows = silly(int(kitchen)) if how == "silly" else live(kitchen, chosen.days, chosen.news, noisy=how == "noisy")
        print(json.dumps(rows))
        return 0
    trees = {"new": Path(stillroom.__file__).parents[1]}
    trees |= {"former": chosen.former.resolve()} if chosen.former else {}
    units = [(kitchen, how) for how in ("exact", "noisy") for kitchen in KITCHENS[: chosen.kitchens]]
    units += [(str(seed), "silly") for seed in range(chosen.silly)]
    jobs = [(tree, unit) for unit in units for tree in trees]
    with ThreadPoolExecutor(chosen.jobs) as crew:
        found = list(crew.map(lambda job: run_unit(job[0], trees[job[0]], job[1], chosen), jobs))
    rows = [row | {"tree": tree} for (tree, _), several in zip(jobs, found, strict=True) for row in several]
    for how, title in (("exact", "made as planned"), ("noisy", "with noise"), ("silly", "with a former plan")):
        report(title, {tree: [row for row in rows if (row["tree"], row["how"]) == (tree, how)] for tree in trees})
    failed = [unit for (tree, unit), several in zip(jobs, found, strict=True) if tree == "new" and not several]
    return 1 if failed or any(row["broken"] for row in rows if row["tree"] == "new") else 0


def run_unit(tree: str, source: Path, unit: tuple[str, str], chosen: argparse.Namespace) -> list[Row]:
    """Measure one kitchen with one source tree, in a process of its own, or read what was kept of it."""
    kept = (chosen.keep or Path()) / f"{tree} {' '.join(unit)} {chosen.days} {chosen.news}.json"
    if chosen.keep and kept.exists():
        return list(json.loads(kept.read_text(encoding="utf-8")))
    words = [sys.executable, __file__, f"--days={chosen.days}", f"--news={chosen.news}", "--unit", *unit]
    paths = os.pathsep.join((str(source), str(ROOT)))
    began = time.monotonic()
    done = subprocess.run(words, check=False, capture_output=True, text=True, env=os.environ | {"PYTHONPATH": paths})
    said = f"failed: {done.stderr.strip()[-1500:]}" if done.returncode else f"{time.monotonic() - began:.0f} s"
    print(f"  {' '.join(unit)}, {source}: {said}", file=sys.stderr, flush=True)
    rows: list[Row] = [] if done.returncode else json.loads(done.stdout.splitlines()[-1])
    if chosen.keep and rows:
        kept.parent.mkdir(parents=True, exist_ok=True)
        kept.write_text(json.dumps(rows), encoding="utf-8")
    return rows


# ---------------------------------------------------------------------- one kitchen, day after day


def kitchen_named(name: str) -> Household:
    """A demo of the source tree that is measured, or a varied household without a former plan."""
    kind, _, seed = name.partition(" ")
    if kind == "varied":
        return dataclasses.replace(varied(int(seed)), plan_lines=())
    own = Path(stillroom.__file__).parents[2] / "demo" / f"{name}.xlsx"
    return still_to_do(read_workbook(own if own.exists() else ROOT / "demo" / own.name, TODAY).household)


def live(name: str, days: int, news: int, *, noisy: bool, household: Household | None = None) -> list[Row]:
    """Live one kitchen; gives what was counted of each plan, and at the end the sums beside the plan with hindsight."""
    household = kitchen_named(name) if household is None else household
    household = dataclasses.replace(
        household, lots=tuple(dataclasses.replace(lot, least_kg=None, most_kg=None) for lot in household.lots)
    )
    number = KITCHENS.index(name) if name in KITCHENS else 0
    draw, first = Draw(17, number, NOISY if noisy else EXACT), household.kitchen.first_day
    end = periods(household.kitchen)[-1].last_day + datetime.timedelta(days=days)
    state, former, rows, hours, lost = SeasonState(household, draw, end), household.plan_lines, [], 0.0, []
    for away in range(days + 1):
        day = first + datetime.timedelta(days=away)
        state.morning(day)
        asked = with_lines(state.as_household(day), former)
        began = time.process_time()
        planned, plan = planned_on_the_clock(asked)
        seconds = time.process_time() - began
        row = {"kitchen": name, "how": "noisy" if noisy else "exact", "day": away, "seconds": seconds}
        row |= counted(planned, plan, f"{name} {away}", days=7 if away == 0 else 1)
        row["changed"] = lines_changed(former, lines_of(plan), day) if away else None
        if news and away % news == news - 1:
            heard = lines_of(planned_on_the_clock(with_news(asked, f"{name} {away}"))[1])
            row["changed by news"] = lines_changed(former, heard, day)
        rows.append(row)
        if away == days:
            break
        former = lines_of(plan)
        state.eat()
        before = len(state.done)
        if draw.evening_lost(day):
            lost.append(day)
        else:
            work(state, plan, day)
        hours += hours_done(planned, state.done[before:])
        row["not made as planned"] = sum(1 for line in former if line.day == day and line.days == 1) - len(
            {done[1] for done in state.done[before:]}
        )
        state.evening(day)
    lived = ending(planned, plan, sum(state.surplus.values()), hours)
    knowing, best = planned_on_the_clock(with_hindsight(household, draw, days, lost))
    rows[-1] |= {"lived": lived, "hindsight": ending(knowing, best, 0.0, 0.0)}
    return rows


def with_lines(household: Household, former: Iterable[PlanLine]) -> Household:
    """The household with the lines of the last plan; what it fixed itself stays fixed."""
    fixed = {(line.day, line.days, line.name): line for line in household.plan_lines if line.fix is not None}
    lines = {(line.day, line.days, line.name): line for line in former if line.fix is None}
    lines |= {key: dataclasses.replace(lines.get(key, line), fix=line.fix) for key, line in fixed.items()}
    return dataclasses.replace(household, plan_lines=tuple(lines.values()))


def with_news(household: Household, seed: str) -> Household:
    """The household with every coming lot up to a tenth more or less."""
    chance = random.Random(f"news {seed}")
    lots = [
        dataclasses.replace(lot, kg=lot.kg * chance.uniform(0.9, 1.1)) if lot.expected else lot
        for lot in household.lots
    ]
    return dataclasses.replace(household, lots=tuple(lots))


def with_hindsight(household: Household, draw: Draw, days: int, lost: Iterable[datetime.date]) -> Household:
    """The household on its first day, knowing every lot and lost evening, planned to the end of the last daily plan."""
    kitchen = household.kitchen
    state = SeasonState(household, draw, datetime.date.max)
    here = [lot for lot in household.lots if lot not in state.expected]
    coming = [Lot(crop, day, kg, expected=True) for day, lots in state.comes.items() for crop, kg in lots]
    hands = next((row.by_weekday for row in household.hours if row.what.casefold() == "hands"), (0.0,) * 7)
    return dataclasses.replace(
        household,
        kitchen=dataclasses.replace(
            kitchen,
            days_planned_singly=kitchen.days_planned_singly + days % 7,
            weeks_after_that=kitchen.weeks_after_that + days // 7,
        ),
        lots=(*here, *coming),
        tighter=Tighter(less_hours=tuple(("hands", day, hands[day.weekday()]) for day in lost)),
    )


def hours_done(household: Household, done: Iterable[tuple[datetime.date, str, float]]) -> float:
    """Hands-on hours of what was done in a day."""
    sums, hours = Sums(household, Plan(())), 0.0
    for _, name, amount in done:
        if name in sums.preserve_named:
            item = sums.preserve_named[name]
            hours += sums.hands_hours(item, amount, math.ceil(amount / item.load) if item.load else 0.0)
        elif name.startswith(FREEZE_WHOLE):
            hours += amount * sums.crop_named[name.removeprefix(FREEZE_WHOLE)].freeze_hours_per_kg
    return hours


def ending(household: Household, plan: Plan, surplus: float, hours: float) -> Row:
    """Targets by importance (mean percent), surplus and hours: what was lived so far, and the plan for the rest."""
    filled, parts = filled_by_plan(household, plan), {}
    for importance in (1, 2, 3):
        shares = [
            filled[target.name] / target.wanted
            for target in household.targets
            if target.importance == importance and target.wanted > 0
        ]
        parts[f"targets {importance}"] = 100 * statistics.fmean(shares) if shares else 100.0
    surplus += sum(plan.surplus_kg.values()) + sum(plan.spoil_kg.values())
    return parts | {"surplus kg": surplus, "hours": hours + sum(Sums(household, plan).hands_by_period.values())}


def lines_changed(former: Iterable[PlanLine], now: Iterable[PlanLine], day: datetime.date) -> int:
    """How many lines of a day and the next are not as a former plan had them."""
    both = [{(line.day, line.name): line.make or 0.0 for line in one if line.days == 1} for one in (former, now)]
    days = (day, day + datetime.timedelta(days=1))
    found = 0
    for key in {key for one in both for key in one if key[0] in days}:
        least = SAME_KG if key[1].startswith((FREEZE_WHOLE, THAW)) else SAME
        found += abs(both[0].get(key, 0.0) - both[1].get(key, 0.0)) >= least - 1e-9
    return found


def counted(household: Household, plan: Plan, seed: str, *, days: int) -> Row:
    """What is counted of one plan; its first so many days are worked off step by step."""
    counts = Counts(household, plan)
    clock = on_the_clock(household, sessions_of_plan(plan))
    until = plan.periods[0].first_day + datetime.timedelta(days=days)
    work_off = [place for place, day in enumerate(clock) if day.day < until and day.loads]
    tries = [(place, f"{seed} {place} {one}") for place in work_off for one in range(TRIES)]
    finished = [finished_in_time(household, clock, place, words, pots=True) for place, words in tries]
    large = [
        one or finished_in_time(household, clock, *words, pots=False)
        for one, words in zip(finished, tries, strict=True)
    ]
    return {
        "broken": len(violated_constraints(household, plan)),
        "full": counts.fullness(),
        "findings": [list(one) for one in counts.findings()],
        "days": len(tries) / TRIES,
        "finished": sum(finished) / TRIES,
        "finished, large pots": sum(large) / TRIES,
        "unproved": sum(not objective.proved for objective in plan.objectives),
    }


def silly(seed: int) -> list[Row]:
    """Plan one varied household with a real former plan, and count what is silly in the plan."""
    household = with_former_plan(seed)
    began = time.process_time()
    planned, plan = planned_on_the_clock(household)
    row = {"kitchen": f"varied {seed}", "how": "silly", "day": 0, "seconds": time.process_time() - began}
    return [row | counted(planned, plan, f"silly {seed}", days=7)]


# ---------------------------------------------------------------------- what is printed


def percent(part: float, whole: float) -> float:
    """A share in percent; 100 of nothing."""
    return 100 * part / whole if whole else 100.0


def total(rows: Iterable[Row], *keys: str) -> float:
    """The sum of a figure over rows; None and what is missing count as nothing."""
    found = 0.0
    for row in rows:
        value: Any = row
        for key in keys:
            value = value.get(key) if isinstance(value, Mapping) else None
        found += value or 0.0
    return found


def fullness(rows: Iterable[Row]) -> list[tuple[int, float]]:
    """Day of each plan that has counted loads, and percent of their capacity that they hold."""
    full = [(row["day"], row["full"]) for row in rows if row["full"].get("capacity")]
    return [(day, percent(one["jars"], one["capacity"])) for day, one in full] or [(0, 100.0)]


def slope(rows: Sequence[Row]) -> float:
    """Points a day by which the plans' fullness rises, by least squares."""
    points = fullness(rows)
    middle = statistics.fmean(day for day, _ in points)
    wide = sum((day - middle) ** 2 for day, _ in points)
    return sum((day - middle) * full for day, full in points) / wide if wide else 0.0


def found_of(rows: Iterable[Row], kind: str, *, forced: bool) -> Counter[str]:
    """How often something silly was found, by its reason."""
    return Counter(why for row in rows for what, _, why in row["findings"] if what == kind and bool(why) == forced)


FIGURES: dict[str, Callable[[Sequence[Row]], float]] = {
    "plans": len,
    "seconds of the processor, a plan": lambda rows: total(rows, "seconds") / len(rows),
    "seconds of the processor, worst plan": lambda rows: max(row["seconds"] for row in rows),
    "plans that fail the audit": lambda rows: sum(row["broken"] > 0 for row in rows),
    "objectives not proved": lambda rows: total(rows, "unproved"),
    "canner loads": lambda rows: total(rows, "full", "loads"),
    "all loads, % full": lambda rows: percent(total(rows, "full", "all jars"), total(rows, "full", "all capacity")),
    "counted loads, % full": lambda rows: percent(total(rows, "full", "jars"), total(rows, "full", "capacity")),
    "counted loads, % full, median plan": lambda rows: statistics.median(full for _, full in fullness(rows)),
    "counted loads, % full, worst plan": lambda rows: min(full for _, full in fullness(rows)),
    "counted loads, points a day": slope,
    "planned days finished, %": lambda rows: percent(total(rows, "finished"), total(rows, "days")),
    "  with pots large enough, %": lambda rows: percent(total(rows, "finished, large pots"), total(rows, "days")),
    "lines changed, a plan": lambda rows: mean_of(rows, "changed"),
    "lines changed by 10 % news, a plan": lambda rows: mean_of(rows, "changed by news"),
    "lines of today not made as planned": lambda rows: total(rows, "not made as planned"),
}


def mean_of(rows: Sequence[Row], key: str) -> float:
    """The mean of a figure over the rows that have it."""
    return statistics.fmean([row[key] for row in rows if row.get(key) is not None] or [0.0])


def report(title: str, trees: Mapping[str, Sequence[Row]]) -> None:
    """Print the figures of one way of living, a column for each source tree."""
    trees = {tree: rows for tree, rows in trees.items() if rows}
    if not trees:
        return
    print(f"\n{title}\n{'':48}" + "".join(f"{tree:>12}" for tree in trees))
    for words, figure in FIGURES.items():
        print(f"{words:48}" + "".join(f"{figure(rows):12.2f}" for rows in trees.values()))
    kinds = {key for rows in trees.values() for row in rows for key in row["full"] if key.startswith("forced")}
    for kind in sorted(kinds):
        print(f"  loads {kind:40}" + "".join(f"{total(rows, 'full', kind):12.0f}" for rows in trees.values()))
    for kind in sorted({what for rows in trees.values() for row in rows for what, _, _ in row["findings"]} | {LONELY}):
        free = [sum(found_of(rows, kind, forced=False).values()) for rows in trees.values()]
        most = [
            max(sum(one[0] == kind and not one[2] for one in row["findings"]) for row in rows)
            for rows in trees.values()
        ]
        print(f"{kind + ', not forced':48}" + "".join(f"{count:12}" for count in free))
        print(f"{'  the most in one plan':48}" + "".join(f"{count:12}" for count in most))
        forced = [found_of(rows, kind, forced=True) for rows in trees.values()]
        for why in sorted(set().union(*forced)):
            print(f"{'  forced: ' + why:48}" + "".join(f"{one[why]:12}" for one in forced))
    for tree, rows in trees.items():
        by_day(tree, rows)
        endings(tree, [row for row in rows if "lived" in row])
        examples(tree, rows)


def by_day(tree: str, rows: Sequence[Row]) -> None:
    """Print how the plans of each day are."""
    if len({row["day"] for row in rows}) < 2:
        return
    print(f"{tree}, by day:     % full   counted   unforced findings   changed   finished %   seconds")
    for day in sorted({row["day"] for row in rows}):
        of_day = [row for row in rows if row["day"] == day]
        full, counted_full = (
            percent(total(of_day, "full", f"{which}jars"), total(of_day, "full", f"{which}capacity"))
            for which in ("all ", "")
        )
        free = sum(not why for row in of_day for _, _, why in row["findings"])
        print(
            f"  {day:12}{full:13.1f}{counted_full:10.1f}{free:20}{mean_of(of_day, 'changed'):10.2f}"
            f"{percent(total(of_day, 'finished'), total(of_day, 'days')):13.1f}{total(of_day, 'seconds') / len(of_day):10.1f}"
        )


def endings(tree: str, rows: Sequence[Row]) -> None:
    """Print what was lived beside the plan with hindsight, summed over the kitchens (targets: their mean)."""
    for key in rows[0]["lived"] if rows else ():
        lived, best = ([row[which][key] for row in rows] for which in ("lived", "hindsight"))
        add = statistics.fmean if key.startswith("targets") else sum
        worst = max(zip(lived, best, rows, strict=True), key=lambda one: abs(one[0] - one[1]))
        print(
            f"{tree}, {key}: lived {add(lived):.1f}, with hindsight {add(best):.1f}; "
            f"farthest apart {worst[2]['kitchen']}: {worst[0]:.1f} and {worst[1]:.1f}"
        )


def examples(tree: str, rows: Sequence[Row], most: int = 12) -> None:
    """Print some of what is silly and not forced."""
    free = [
        f"{row['kitchen']}, day {row['day']}: {kind}: {what}"
        for row in rows
        for kind, what, why in row["findings"]
        if not why
    ]
    for words in free[:: max(1, -(-len(free) // most))]:
        print(f"  {tree}, {words}")


if __name__ == "__main__":
    sys.exit(main())
