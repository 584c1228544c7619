"""Published waits inside a recipe, and the minutes of blanching, for a preserve that follows a line."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.handbook.names import tokens
from stillroom.handbook.safety.case import Case
from stillroom.handbook.tables import Row, listed, table
from stillroom.handbook.waits import longest
from stillroom.household.standing import Standing


def standing_of(case: Case) -> tuple[Standing, ...]:
    """Return the waits of a preserve that follows its line, in the order of the table; empty for an own recipe."""
    if case.line is None:
        return ()
    rows = [row for row in table("standing") if row["product"] == case.line.product]
    return tuple(
        Standing(
            float(row["hours_low"]),
            float(row["hours_high"]),
            row["where"],
            choice_for(row, rows),
            row["when"] == "after processing",
        )
        for row in rows
        if row["optional"] == "no" and not row["instead_of"] and applies(case, row)
    )


def choice_for(row: Row, rows: list[Row]) -> str:
    """Return the waits that may take the place of a row, in words; empty without one."""
    others = [other for other in rows if other["instead_of"] == row["key"]]
    return ", then ".join(
        Standing(float(one["hours_low"]), float(one["hours_high"]), one["where"]).words for one in others
    )


def applies(case: Case, row: Row) -> bool:
    """
    Return whether a wait is for what goes into the preserve.

    A row that is only for some foods needs one of them by its kind or by a word of its name. What comes out of another
    preserve has stood already.
    """
    fresh = [part for part in case.parts if not part.through]
    if row["only_for"]:
        words = {word for part in fresh for word in tokens(part.item)}
        kinds = {kind for part in fresh for kind in part.kinds}
        return any(one in kinds or set(tokens(one)) <= words for one in listed(row["only_for"]))
    line = case.line
    return line is not None and any(set(part.kinds) & line.foods for part in fresh)


def blanching_of(case: Case) -> str:
    """
    Return how a frozen preserve is blanched or cooked first, in words; empty where the tables have no minutes.

    High up it takes longer (table of facts).
    """
    if case.line is None or case.line.method != "frozen":
        return ""
    row = next((one for one in table("blanching") if one["key"] == case.line.key), None)
    if row is None:
        return ""
    height = case.household.kitchen.altitude_ft or 0.0
    more = longest("blanch longer at altitude") if height >= longest("blanch longer from") else 0.0
    return f"{row['how']} {' to '.join(minutes_of(row, more))} min"


def minutes_of(row: Row, more: float) -> Iterator[str]:
    """
    Yield the least and the most minutes of a row, or the one figure.

    >>> list(minutes_of({"minutes_low": "1.5", "minutes_high": "2.5"}, 0)), list(
    ...     minutes_of({"minutes_low": "3", "minutes_high": "3"}, 1))
    (['1½', '2½'], ['4'])
    """
    figures = (float(row[name]) + more for name in ("minutes_low", "minutes_high"))
    yield from dict.fromkeys(f"{figure:g}".replace(".5", "½") for figure in figures)
