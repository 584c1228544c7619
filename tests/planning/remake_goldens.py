"""
Write the golden LP file of every rule anew: `python tests/planning/remake_goldens.py`. Read the difference before
keeping it.
"""

from __future__ import annotations

from pathlib import Path

from stillroom.household.examples import tiny_household
from stillroom.planning.constraints import CONSTRAINTS
from stillroom.planning.show import lp_text

GOLDEN = Path(__file__).parent / "golden"

if __name__ == "__main__":
    GOLDEN.mkdir(exist_ok=True)
    for old in GOLDEN.glob("*.lp"):
        old.unlink()
    for name, constraint in CONSTRAINTS.items():
        (GOLDEN / f"{name}.lp").write_text(lp_text(constraint, tiny_household()))
