"""The commands that answer: what holds the plan back, why, what if, and what the published tables say."""

# ruff: noqa: T201 - this is the one room that prints

from __future__ import annotations

import datetime
from typing import Annotated

import typer

from stillroom.command_line.app import Json, Out, Workbook, app
from stillroom.command_line.saying import out, say, say_lines


@app.command(epilog="Example: stillroom limits kitchen.xlsx")
def limits(
    file: Workbook,
    as_json: Json = False,
    to_write: Annotated[bool, typer.Option("--write", help="Fill the table Limits of FILE; else nothing.")] = False,
) -> None:
    """Say what holds the plan back, and what a little more of it would give."""
    from stillroom.pages import limits_way, waiting

    with waiting.Waiting(out(stderr=True), f"reading {file.name}") as busy:
        limited = limits_way.limits_of(file, datetime.date.today(), busy.say)
    receipt = limits_way.write_limits(limited) if to_write else None
    print(limits_way.limits_json(limited, receipt)) if as_json else say(limits_way.limits_view(limited, receipt))


@app.command(epilog="Example: stillroom why kitchen.xlsx 'salsa, pint'")
def why(
    file: Workbook,
    name: Annotated[str, typer.Argument(help="A preserve or a need.", show_default=False)],
    as_json: Json = False,
) -> None:
    """Say why a preserve is not in the plan, or not more of it, or why a need falls short."""
    from stillroom.pages import waiting, why_way

    with waiting.Waiting(out(stderr=True), f"reading {file.name}") as busy:
        asked = (file, name, datetime.date.today(), busy.say)
        answer = [why_way.why_json(*asked)] if as_json else why_way.why(*asked)
    print(answer[0]) if as_json else say_lines(answer)


@app.command(epilog="Example: stillroom suppose kitchen.xlsx 'quart jars +24' vs 'hands Sat 0'")
def suppose(
    file: Workbook,
    changes: Annotated[
        list[str] | None, typer.Argument(metavar="CHANGE ...", help="Left out: the table Suppose.", show_default=False)
    ] = None,
    as_json: Json = False,
    to: Out = None,
    how: Annotated[bool, typer.Option("--changes", help="Say how changes are written.")] = False,
) -> None:
    """Plan with changes, beside the plan as it is; FILE is never written. How they are written: --changes."""
    from stillroom.pages import copy_name, suppose_way, waiting

    if how:
        print(suppose_way.forms_json() if as_json else suppose_way.help_page())
        return
    copy_name.refuse_copy(file, to)
    with waiting.Waiting(out(stderr=True), f"reading {file.name}") as busy:
        found = suppose_way.suppose(file, changes or (), datetime.date.today(), busy.say)
    copied = None if to is None else suppose_way.write_copy(found, to)
    print(suppose_way.suppose_json(found, copied)) if as_json else say(suppose_way.suppose_view(found, copied))


@app.command(epilog="Example: stillroom handbook tomato --altitude 2300ft --gauge dial --jar quart")
def handbook(
    food: Annotated[str | None, typer.Argument(help="A food; all of them when left out.", show_default=False)] = None,
    altitude: Annotated[
        str | None,
        typer.Option(metavar="HEIGHT", help="Height above sea level, as 2300ft or 700m.", show_default=False),
    ] = None,
    gauge: Annotated[str | None, typer.Option(metavar="GAUGE", help="dial or weighted.", show_default=False)] = None,
    jar: Annotated[
        str | None, typer.Option(metavar="JAR", help="A size of jar: pint, quart.", show_default=False)
    ] = None,
    status: Annotated[
        str | None,
        typer.Option(
            metavar="WORD", help="verified, derived, memory or practice: how sure a row is.", show_default=False
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """Say what the published tables say, each figure with its source."""
    from stillroom.pages.handbook_words import ask, handbook_json, handbook_page

    asked = ask(food, altitude, gauge, jar, status)
    print(handbook_json(asked)) if as_json else say(handbook_page(asked))
