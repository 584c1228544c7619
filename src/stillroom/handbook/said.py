"""What the handbook says without stopping: which kind of food a crop was matched to."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.errors import Problem
from stillroom.handbook.foods import kinds, kinds_named
from stillroom.handbook.safety.case import Case
from stillroom.handbook.words import tokens


def matches(case: Case) -> Iterator[Problem]:
    """Say what each crop was matched to by its name, and which match nothing; told once for each crop."""
    crops = {crop.name: crop for crop in case.household.crops}
    for part in case.parts:
        crop = crops.get(part.item)
        if part.source != "crop" or crop is None or part.extra:
            continue
        typed = (crop.handbook_food or "").strip()
        found = kinds_named(typed or crop.name)
        where = crop.where or part.where
        if not found:
            what = f"{typed or crop.name} is not known to the handbook and counts as low-acid"
            yield Problem(where, what, "write what it is under Handbook food", "matched to nothing")
        elif not typed and tokens(crop.name) not in {tokens(kind) for kind in kinds()}:
            what = f"{crop.name} was matched by its name to {' and '.join(sorted(found))}"
            yield Problem(where, what, "write another food under Handbook food if that is wrong", "matched by name")
