"""What a cook must know to fill a jar: the headspace, and the acid that goes into each."""

from __future__ import annotations

from stillroom.handbook.headspace import headspace_text
from stillroom.handbook.ingredients import extras
from stillroom.handbook.safety.case import Case
from stillroom.household.measures import measured
from stillroom.household.text import format_list

ACID = "acid"


def headspace_of(case: Case) -> str:
    """Return the headspace of a canned preserve, or where to look it up; empty for what is not canned."""
    if not case.canned:
        return ""
    return headspace_text(case.line.product if case.line is not None else None)


def acid_of(case: Case) -> str:
    """Return the acid that goes into each jar of a canned preserve, in kitchen measures; empty without one."""
    if not case.canned:
        return ""
    acids = {part.item for part in case.parts if part.extra and extras()[part.extra].what == ACID and not part.through}
    return format_list(
        [
            f"{measured(line.amount_typed, line.unit)} {line.item}"
            for line in case.preserve.ingredients
            if line.item in acids and line.source == "pantry" and line.amount_typed > 0
        ]
    )
