"""
What the handbook holds and how it was checked: foods, lines, rows by status, figures compared, the physics table.

`python3 tests/bench.py handbook`.
"""

from __future__ import annotations

import sys
from collections import Counter

from tests.handbook import physics_page, read_again, test_published_figures
from tests.handbook.physics import TARGET_F, WITHIN_F
from tests.handbook.table_checks import faults

from stillroom.handbook.lines import lines
from stillroom.handbook.tables import STATUSES, TABLES, table


def held() -> None:
    """Foods, lines by way, rows by table and status."""
    every = lines().values()
    foods = {food for line in every for food in line.foods}
    print(f"{len(foods)} foods, {len(every)} lines, of them:")
    for method, count in Counter(line.method for line in every).items():
        print(f"  {method:24}{count:>5}")
    print(f"\n{'table':26}" + "".join(f"{status:>10}" for status in STATUSES))
    total: Counter[str] = Counter()
    for name in TABLES:
        by_status = Counter(row["status"] for row in table(name))
        total += by_status
        print(f"{name:26}" + "".join(f"{by_status[status]:>10}" for status in STATUSES))
    print(f"{'together':26}" + "".join(f"{total[status]:>10}" for status in STATUSES))
    wrong = faults()
    print(f"\nchecks of the tables by themselves: {len(wrong)} faults", *wrong, sep="\n  ")


def compared() -> int:
    """Figures typed again from the publications against what is planned by; gives how many differ."""
    first = test_published_figures.how_many_figures()
    again, differing = read_again.compared()
    print("\nfigures compared")
    print(f"  typed when the tables were built (a test of its own): {first}")
    print(f"  read again in other copies of the publications:       {again}, of which {len(differing)} differ")
    print("\n".join(f"    {difference}" for difference in differing))
    print(f"\nphysics: low-acid rows give {TARGET_F:g} F within {WITHIN_F:g} F at the top of their band\n")
    print(physics_page.pressure_table())
    return len(differing)


def main() -> int:
    """Print everything; 1 when the tables have a fault or a figure differs."""
    held()
    return 1 if compared() or faults() else 0


if __name__ == "__main__":
    sys.exit(main())
