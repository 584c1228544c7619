"""
What *Effort* buys: surplus against hands-on hours, at several prices of a kilogram of surplus.

    python3 tests/bench.py effort [--count 8] [--change 0.25] [--picture FILE]

Plans the four demo households on their first day, and varied households with a real former plan, at each of PRICES and
one price of a container changed. A line each: surplus of the whole plan and of its detailed days, the weighted surplus
and the hours, as the last objective counts them, sessions on the detailed days and containers changed. `--picture`
draws the curves of the demos, the three settings marked: shared/docs/effort.png is made by
`python3 tests/bench.py effort --count 0 --picture shared/docs/effort.png`.
"""

from __future__ import annotations

import argparse
import dataclasses
import datetime
import sys
from collections.abc import Sequence
from pathlib import Path
from unittest.mock import patch

from tests.benches.plan import with_former_plan

from stillroom.app.plan import read_workbook
from stillroom.household.journal.events import still_to_do
from stillroom.household.plan import EFFORT_PRICES, Plan, Prices
from stillroom.household.records import Household
from stillroom.household.units import POUND_KG
from stillroom.planning.solve import plan

ROOT = Path(__file__).resolve().parents[2]
TODAY = datetime.date(2026, 8, 15)
PRICES = (0.1, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0)
"""Hours of work for a kilogram of surplus saved; those of the settings are among them."""


@dataclasses.dataclass(frozen=True)
class Point:
    """What one plan comes to: pounds of surplus, hours, sessions on the detailed days, containers changed."""

    price: float
    surplus: float
    soon: float
    weighted: float
    hours: float
    sessions: int
    changed: float


def main(words: Sequence[str] | None = None) -> int:
    """Plan at every price, print a line each, and draw the demos where a picture is asked for."""
    parser = argparse.ArgumentParser(description="Plan at several prices of surplus.")
    parser.add_argument("--count", type=int, default=8, help="how many varied households (8)")
    parser.add_argument("--change", type=float, default=0.25, help="hours a container changed (0.25)")
    parser.add_argument("--picture", type=Path, metavar="FILE", help="draw the curves of the demos there")
    chosen = parser.parse_args(words)
    demos = {}
    for path in sorted((ROOT / "demo").glob("*.xlsx")):
        demos[path.stem] = curve(path.stem, still_to_do(read_workbook(path, TODAY).household), chosen.change)
    for seed in range(chosen.count):
        curve(f"varied {seed}", with_former_plan(seed), chosen.change)
    if chosen.picture:
        draw(demos, chosen.picture)
    return 0


def curve(name: str, household: Household, change: float) -> list[Point]:
    """Plan a household at every price; gives a point each, printed too."""
    print(f"\n{name}\nh/kg  surplus, lb  detailed days  weighted  hours  sessions  changed", flush=True)
    points = []
    for price in PRICES:
        with patch.dict(EFFORT_PRICES, {household.kitchen.effort: Prices(price, change)}):
            point = point_of(plan(household), price)
        points.append(point)
        print(
            f"{price:4g}{point.surplus:13.0f}{point.soon:15.0f}{point.weighted:10.0f}{point.hours:7.1f}"
            f"{point.sessions:10d}{point.changed:9.1f}",
            flush=True,
        )
    return points


def point_of(found: Plan, price: float) -> Point:
    """What a plan comes to."""
    days = {period.number for period in found.periods if period.single}
    surplus = [(number, kg) for lost in (found.surplus_kg, found.spoil_kg) for (_, number), kg in lost.items()]
    worked = [number for made in (found.make, found.freeze_kg) for (_, number), much in made.items() if much > 0]
    (effort,) = (objective for objective in found.objectives if objective.kind == "effort")
    part = {one.kind: one.value for one in effort.parts}
    return Point(
        price,
        sum(kg for _, kg in surplus) / POUND_KG,
        sum(kg for number, kg in surplus if number in days) / POUND_KG,
        part["surplus"] / POUND_KG,
        part["labor"],
        sum(number in days for number in worked),
        part["stability"],
    )


def draw(demos: dict[str, list[Point]], path: Path) -> None:
    """Draw weighted surplus against hours, a small chart for each demo, the three settings marked."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(8.4, 5.6), layout="constrained")
    FigureCanvasAgg(figure)
    for place, (name, points) in enumerate(demos.items()):
        axes = figure.add_subplot(2, 2, place + 1)
        axes.set_title(name.replace("_", " "), loc="left", fontsize=10)
        axes.plot([one.hours for one in points], [one.weighted for one in points], color="#3f6b46", linewidth=1.2)
        for (setting, prices), marker in zip(EFFORT_PRICES.items(), "vos", strict=True):
            (at,) = (one for one in points if one.price == prices.surplus_kg)
            axes.plot([at.hours], [at.weighted], marker, color="#b3742c", label=setting, linestyle="none")
        axes.margins(0.12)
        axes.set_xlabel("hands-on hours")
        axes.set_ylabel("surplus, lb, later crop at less")
        axes.spines[["top", "right"]].set_visible(False)
        if not place:
            axes.legend(frameon=False)
    figure.savefig(path, dpi=110)


if __name__ == "__main__":
    sys.exit(main())
