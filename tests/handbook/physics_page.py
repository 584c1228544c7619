"""
Writes the physics page of the project's reference: shared/physics.md and shared/physics.svg.

    python tests/handbook/physics_page.py

A test holds both equal to what this script makes.
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT)]

from tests.handbook.physics import TARGET_F, WITHIN_F, steam_f  # noqa: E402 - the folder has to be on the path first
from tests.handbook.physics_picture import picture  # noqa: E402

from stillroom.handbook.lines import all_processes, at_altitude, by_line, ladders  # noqa: E402

PAGE, PICTURE = ROOT / "shared" / "physics.md", ROOT / "shared" / "physics.svg"
TOPS_FT = (1_000, 3_000, 6_000, 8_000, 10_000)
"""Where the boiling-water bands end."""

HEAD = """# What physics says of the published figures

Made by `python tests/handbook/physics_page.py`; a test keeps it fresh. Nothing here is planned by: the plan takes
minutes and pounds from the published tables only. This page asks of those tables whether they can be true.

Steam: saturated steam by IAPWS-IF97 (package `iapws`). Air: ICAO standard atmosphere (package `ambiance`). A gauge
shows pounds above the air around it, so the same pounds are cooler higher up. Real air moves a few tenths of a pound
with the weather, and a gauge may be off by more: have it tested.

![Steam temperature by altitude at the published pounds](physics.svg)
"""


def pressure_rows() -> list[tuple[str, float, int, int, int, float, float, float | None]]:
    """Every pressure band that a line uses, each once: gauge, pounds, band, lines, F at bottom and top, F one band up."""
    lines: dict[tuple[str, float, int, int], set[str]] = {}
    one_up: dict[tuple[str, float, int, int], int] = {}
    for rungs in ladders(row for row in all_processes() if row.gauge):
        for place, row in enumerate(rungs):
            band = (row.gauge, float(row.pressure_lb or 0), row.altitude_min_ft, row.altitude_max_ft)
            lines.setdefault(band, set()).add(row.key)
            if place + 1 < len(rungs) and rungs[place + 1].pressure_lb != row.pressure_lb:
                one_up[band] = rungs[place + 1].altitude_max_ft
    found = []
    for band in sorted(lines, key=lambda band: (band[0], band[2], band[1])):
        gauge, pounds, low, high = band
        short = steam_f(one_up[band], pounds) if band in one_up else None
        found.append((gauge, pounds, low, high, len(lines[band]), steam_f(low, pounds), steam_f(high, pounds), short))
    return found


def pressure_table() -> str:
    """The pounds of every band with the steam they give."""
    said = [
        "| gauge | lb | from ft | to ft | lines | F at the bottom | F at the top | F at the top of the next band |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for gauge, pounds, low, high, count, bottom, top, short in pressure_rows():
        up = "" if short is None else f"{short:.1f}"
        said.append(f"| {gauge} | {pounds:g} | {low:,} | {high:,} | {count} | {bottom:.1f} | {top:.1f} | {up} |")
    return "\n".join(said)


def boiling_table() -> str:
    """The minutes of every boiling-water line beside where water boils at the top of each band."""
    heads = " | ".join(f"to {top:,} ft, {steam_f(top, 0):.1f} F" for top in TOPS_FT)
    said = [f"| line | {heads} |", "|---" * (len(TOPS_FT) + 1) + "|"]
    for key, rows in by_line().items():
        if not rows[0].gauge:
            minutes = [at_altitude(rows, top)[0].minutes for top in TOPS_FT]
            said.append(f"| {key} | " + " | ".join(f"{figure:g}" for figure in minutes) + " |")
    return "\n".join(said)


def page() -> str:
    """The whole page."""
    return f"""{HEAD}
## Pressure

Every row for low-acid food (10 lb and more in the first band of a weight, 11 and more on a dial) gives {TARGET_F:g} F
within {WITHIN_F:g} F at the top of its band, where it is coolest; 15 lb under a weight gives more lower down, because a weight
has no step between 10 and 15. Used one band too high, the same pounds fall short by more than {WITHIN_F:g} F wherever the
table changes. Rows for fruit and tomatoes at 5 to 9 lb (and 10 lb of a weight above 1,000 ft) are not meant to reach
240 F: acid food needs less, and those rows agree with one another at 225 to 228 F at the top of their bands.

{pressure_table()}

## Boiling water

Minutes of each line at the top of each band, where water boils coolest. No time falls as the boiling point does; some
stay as they are from one band to the next, as published.

{boiling_table()}
"""


def main() -> None:
    """Write both files."""
    PAGE.write_text(page(), encoding="utf-8")
    PICTURE.write_text(picture(), encoding="utf-8")


if __name__ == "__main__":
    main()
