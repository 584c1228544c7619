"""The command that says what it is worth to plan for all harvests together."""

# ruff: noqa: T201 - this is the one room that prints

from __future__ import annotations

import datetime

from stillroom.command_line.app import Json, Workbook, app
from stillroom.command_line.saying import out, say_lines


@app.command(epilog="Example: stillroom hedge kitchen.xlsx")
def hedge(file: Workbook, as_json: Json = False) -> None:
    """Say what planning for all harvests, by Least and Most, would give and cost; FILE is never written."""
    from stillroom.pages import hedge_way, waiting

    with waiting.Waiting(out(stderr=True), f"reading {file.name}") as busy:
        found = hedge_way.hedging_of(file, datetime.date.today(), busy.say)
    print(hedge_way.hedging_json(found)) if as_json else say_lines(hedge_way.words_of(found))
