"""
Writes shared/second_table.md: the second table of fruit times beside the national one, difference by difference.

    python tests/handbook/second_table_page.py

A test holds the page equal to what this script makes.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT)]

from stillroom.handbook.lines import at_altitude, by_line  # noqa: E402 - the folder has to be on the path first
from stillroom.handbook.tables import table  # noqa: E402

PAGE = ROOT / "shared" / "second_table.md"
NAMES = {"apples": "sliced apples", "fruit juices": "grape juice"}
"""What the national table calls a fruit of the second one, where the name differs."""

HEAD = """# A second table of fruit times

Made by `python tests/handbook/second_table_page.py`; a test keeps it fresh.

Utah State University Extension gives fruit times for 3,001 to 10,000 ft (Riggs and Washburn, timetables from the 1994
guide). It names what the national guide (AIB 539) leaves open: what is printed there as *above 6,000 ft*, without an end.
The longer of the two times is always the one that is planned.
"""


def lines_compared() -> Iterator[tuple[str, int, float, float, float]]:
    """For each line in both: key, top of the band, national minutes, minutes of the second table, minutes planned."""
    for row in table("high_altitude_fruit"):
        key = f"{NAMES.get(row['food'], row['food'])}, {row['pack']} pack, {row['jar']}"
        top = int(row["altitude_max_ft"])
        if key in by_line():
            national = at_altitude(by_line()[key], min(top, 8_000))[0].minutes
            planned = at_altitude(by_line()[key], top)[0].minutes
            yield key, top, national, float(row["minutes"]), planned


def only_there(unknown: list[str]) -> str:
    """What is said of the fruits that the second table alone has."""
    if not unknown:
        return "Nothing: each of its fruits is a line of the handbook. Its times are a floor for own recipes too."
    return (
        f"{'; '.join(unknown)}. No national row of these was read, so they are not lines of the handbook. For an own\n"
        "recipe of that fruit their times are a floor."
    )


def page() -> str:
    """The whole page."""
    every = list(lines_compared())
    overlap = [found for found in every if found[1] <= 8_000]
    differ = [found for found in overlap if found[2] != found[3]]
    above = [found for found in every if found[1] > 8_000]
    unknown = sorted(
        {f"{row['food']}, {row['pack']} pack" for row in table("high_altitude_fruit")}
        - {
            key.rsplit(", ", 1)[0].replace("sliced apples", "apples").replace("grape juice", "fruit juices")
            for key, *_ in every
        }
    )
    rows = "\n".join(
        f"| {key} | {national:g} | {second:g} | {planned:g} |" for key, _, national, second, planned in above
    )
    found = "\n".join(f"- {key}, to {top:,} ft: {a:g} against {b:g}, {c:g} is planned" for key, top, a, b, c in differ)
    return f"""{HEAD}
## Where both speak, 3,001 to 8,000 ft

{len(overlap)} figures are in both; {len(differ)} differ.
{found}
## Where only the second table speaks, 8,001 to 10,000 ft

The national figure is the one printed for *above 6,000 ft*. The second table goes on rising, because water goes on
boiling cooler; its time is planned wherever it is longer. Berries in quarts, hot pack, are printed as 40 where the steps
of the table would give 30: the printed figure is kept, because it is the longer one.

| line | national, above 6,000 ft | second table, 8,001 to 10,000 ft | planned |
|---|---|---|---|
{rows}

Other lines (tomatoes, pickles, jams) have no second table here; above 8,000 ft they keep the figure printed for above
6,000 ft, and nothing is canned above 10,000 ft.

## Only in the second table

{only_there(unknown)}
Raw pack of pears is printed there as approximate and not endorsed by the national guide: never a line.
"""


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
