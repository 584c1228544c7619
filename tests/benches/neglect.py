"""
What four days without a record cost: a kitchen recorded every evening beside one that only catches up.

    python3 tests/bench.py neglect [--kitchens 50] [--days 4]

Varied harvests of a small invented household are planned; each line of the next days is then really made as planned, a
few less, or not at all. One copy of the workbook has every line recorded as it was. The other has nothing until
`catch-up`, which is told about ten counts of what is really there. Both are planned again from the same day on. Printed
for each: the share of the winter list that shelf and plan fill, in both copies, and how many numbers were asked.
"""

from __future__ import annotations

import argparse
import datetime
import random
import statistics
import tempfile
from pathlib import Path

from tests.season.household import START, build, with_first_day

from stillroom.app.plan import read_workbook
from stillroom.app.record import catch_up, evening
from stillroom.app.write_plan import plan_workbook
from stillroom.household.journal.stocks import stock_cards
from stillroom.household.results.rows import in_crop_unit

LOTS = (("plum tomato", 40, 90), ("snap beans", 15, 40), ("sweet corn", 15, 40), ("apples", 20, 60))
CLOCK = datetime.date(2027, 1, 31)


def kitchen(path: Path, luck: random.Random, days: int) -> None:
    """Write a workbook with a harvest on most days, weighed as it came, and plan it on its first day."""
    harvest = [
        {
            "Picked on": START + datetime.timedelta(days=day),
            "Crop": crop,
            "Amount": luck.randint(least, most),
            "Unit": "lb",
        }
        for crop, least, most in LOTS
        for day in range(-1, days)
        if luck.random() < 0.5
    ]
    build(path, Kitchen=with_first_day(), Harvest=harvest)
    plan_workbook(read_workbook(path, CLOCK))


def really_made(lines: tuple[evening.LineToRecord, ...], luck: random.Random) -> dict[evening.LineToRecord, float]:
    """Return what was made of each line: seven times in ten as planned, else less or nothing."""
    drawn = {line: luck.random() for line in lines}
    return {
        line: line.planned if one < 0.7 else 0.0 if one < 0.8 else max(0.0, line.planned - luck.randint(1, 3))
        for line, one in drawn.items()
    }


def recorded(path: Path, on: str, made: dict[evening.LineToRecord, float]) -> evening.EveningDone:
    """Record every line as it was."""
    found = evening.open_evening(path, CLOCK, on, START.isoformat())
    for line, amount in made.items():
        evening.record_line(found, line, f"{amount:g}")
    return evening.save_evening(found)


def caught_up(path: Path, on: str, truth: evening.EveningDone) -> tuple[evening.EveningDone, int]:
    """Catch up with the counts of what is really there; what came of it, and how many numbers were asked."""
    found = catch_up.open_catch_up(path, CLOCK, on)
    typed = truth.evening.log.typed
    there = {(card.kind, card.stock): card.should_be_now for card in stock_cards(typed)}
    fresh = catch_up.fresh_kg(typed, truth.evening.day)
    for one in found.counts:
        if one.kind == catch_up.CRATES:
            answer = f"{in_crop_unit(fresh[one.name][0], typed.crop(one.name)):.2f} {one.unit}"
            answer = "0" if answer.startswith("0.00") else answer
        else:
            answer = f"{there.get(('lid' if one.kind == catch_up.LIDS else 'shelf', one.name), 0.0):g}"
        catch_up.count(found, one, answer)
    return evening.save_evening(catch_up.enter_catch_up(found)), len(found.counts)


def filled(done: evening.EveningDone) -> float:
    """Return the share of the winter list that shelf and plan fill."""
    if done.planned is None:
        return 0.0
    rows = [row for row in done.planned.tables["Coverage"] if row.get("Target")]
    return statistics.mean(min(1.0, float(str(row["Covered"]))) for row in rows)


def main() -> None:
    """Play the kitchens and print what both ways come to."""
    parser = argparse.ArgumentParser(description="What four days without a record cost.")
    parser.add_argument("--kitchens", type=int, default=50)
    parser.add_argument("--days", type=int, default=4)
    asked = parser.parse_args()
    on = (START + datetime.timedelta(days=asked.days - 1)).isoformat()
    losses, numbers = [], []
    for seed in range(asked.kitchens):
        luck = random.Random(seed)
        with tempfile.TemporaryDirectory() as folder:
            first, second = Path(folder) / "recorded.xlsx", Path(folder) / "missed.xlsx"
            kitchen(first, luck, asked.days)
            second.write_bytes(first.read_bytes())
            lines = evening.open_evening(first, CLOCK, on, START.isoformat()).lines
            truth = recorded(first, on, really_made(lines, luck))
            late, questions = caught_up(second, on, truth)
            with_record, without = filled(truth), filled(late)
        losses.append(1 - without / with_record if with_record else 0.0)
        numbers.append(questions)
        print(
            f"kitchen {seed}: {with_record:.1%} recorded, {without:.1%} caught up, {questions} numbers asked",
            flush=True,
        )
    print(
        f"median loss {statistics.median(losses):.1%}, largest {max(losses):.1%}, numbers asked {max(numbers)} at most"
    )


if __name__ == "__main__":
    main()
