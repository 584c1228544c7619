"""
How little a plan changes when little has changed: one lot 10 % heavier, with and without the aim of least change.

    python3 tests/bench.py least_change [--count 100] [--full]

Each of so many varied households is planned; its plan is put into its workbook as the last one; one fresh lot, chosen
at random, is made a tenth heavier, and it is planned again, once with all aims and once without that of least change.
Counted are the lines that the Change column names: new, more, less, moved, gone. Planned again with nothing changed,
no line may change. The households are the varied ones of full size cut to their first three crops and what is made of
those (20 preserves, 7 days and 6 weeks), which plan in seconds; `--full` takes all of them.
"""

from __future__ import annotations

import argparse
import dataclasses
import random
import statistics
import time

from tests.planning.varied import lines_of, varied

from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.household.results.plan_table import changes
from stillroom.household.results.sums import Sums
from stillroom.planning import objectives
from stillroom.planning.solve import plan


def main() -> None:
    """Plan, change, plan again, and print the figures."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--full", action="store_true")
    asked = parser.parse_args()
    began = time.monotonic()
    figures = [one_week(seed, full=asked.full) for seed in range(asked.count)]
    lines, same, aimed, free = zip(*figures, strict=True)
    print(f"{asked.count} weeks, {statistics.mean(lines):.1f} lines a plan, {time.monotonic() - began:.0f} s")
    print(f"nothing changed:             {sum(same)} lines changed in all of them")
    for words, counts in (("with the aim:", aimed), ("without it:", free)):
        middle, mean, worst = statistics.median(counts), statistics.mean(counts), max(counts)
        print(f"a lot a tenth heavier, {words:<14} median {middle:g}, mean {mean:.1f}, most {worst} lines changed")


def one_week(seed: int, *, full: bool) -> tuple[int, int, int, int]:
    """Lines of one plan, and lines changed: with nothing changed, with the objective, without it."""
    household = dataclasses.replace(varied(seed), plan_lines=())
    household = household if full else of_three_crops(household)
    first = plan(household)
    again = dataclasses.replace(household, plan_lines=lines_of(first))
    heavier = a_tenth_heavier(again, random.Random(f"lot {seed}"))
    every = objectives.OBJECTIVES
    counts = [lines_changed(again, plan(again)), lines_changed(heavier, plan(heavier))]
    try:
        objectives.OBJECTIVES = tuple(objective for objective in every if objective.name != "plan stability")
        counts.append(lines_changed(heavier, plan(heavier)))
    finally:
        objectives.OBJECTIVES = every
    print(f"household {seed:>3}: {len(again.plan_lines):>3} lines; changed {counts}", flush=True)
    return len(again.plan_lines), counts[0], counts[1], counts[2]


def of_three_crops(household: Household) -> Household:
    """The household with its first three crops, what is made of them alone, and six weeks after its days."""
    crops = household.crops[:3]
    names = {crop.name for crop in crops}
    preserves = household.preserves
    for _ in preserves:
        known = {item.name for item in preserves}
        preserves = tuple(
            item
            for item in preserves
            if all(
                line.item in (names if line.source == "crop" else known)
                for line in item.ingredients
                if line.source != "pantry"
            )
        )
    known = {item.name for item in preserves}
    targets = [
        dataclasses.replace(target, counts={name: each for name, each in target.counts.items() if name in known})
        for target in household.targets
    ]
    return dataclasses.replace(
        household,
        crops=crops,
        lots=tuple(lot for lot in household.lots if lot.crop in names),
        preserves=preserves,
        targets=tuple(target for target in targets if target.counts),
        kitchen=dataclasses.replace(household.kitchen, weeks_after_that=6),
    )


def a_tenth_heavier(household: Household, chance: random.Random) -> Household:
    """The same household with one fresh lot a tenth heavier."""
    fresh = [number for number, lot in enumerate(household.lots) if lot.frozen_on is None and lot.kg > 0]
    chosen = chance.choice(fresh)
    lots = [
        dataclasses.replace(lot, kg=lot.kg * 1.1) if number == chosen else lot
        for number, lot in enumerate(household.lots)
    ]
    return dataclasses.replace(household, lots=tuple(lots))


def lines_changed(household: Household, found: Plan) -> int:
    """How many lines the Change column would say something about."""
    change = changes(Sums(household, found))
    return sum(1 for words in change.of_line.values() if words and not words.startswith("moved to"))


if __name__ == "__main__":
    main()
