"""The commands of a day: what to do, what was weighed, made, eaten and bought, and what that teaches."""

from __future__ import annotations

import datetime
from typing import Annotated

import typer

from stillroom.cli.output import say, say_lines
from stillroom.cli.program import Json, On, Workbook, app


@app.command(epilog="Example: stillroom today kitchen.xlsx")
def today(file: Workbook) -> None:
    """Say this morning's list, ripest first: what keeps how long, the freezer, what to put away, what to eat first."""
    from stillroom.app.overview import today_view

    say(today_view(file, datetime.date.today()))


@app.command(epilog="Example: stillroom day kitchen.xlsx --on 2026-08-15")
def day(
    file: Workbook,
    on: On = None,
    as_json: Json = False,
) -> None:
    """Say a day's loads on the clock, step by step, by the plan in the workbook."""
    from stillroom.app.day import day_json, day_view

    if as_json:
        print(day_json(file, on, datetime.date.today()))
    else:
        say(day_view(file, on, datetime.date.today()))


@app.command(epilog="Example: stillroom weigh kitchen.xlsx 'plum tomato' 53lb")
def weigh(
    file: Workbook,
    crop: Annotated[str, typer.Argument(help="A crop of the table Crops.", show_default=False)],
    amount: Annotated[str, typer.Argument(help="How much, as 53lb or '2 bu'.", show_default=False)],
    on: On = None,
) -> None:
    """Add a lot to Harvest; a lot that was expected that day is marked as arrived."""
    from stillroom.app import journal

    say_lines(journal.weigh(file, crop, amount, on, datetime.date.today()))


@app.command(epilog="Example: stillroom made kitchen.xlsx 'tomato juice, quart' 13 --used 46lb --failed 1 --hands 2.5h")
def made(
    file: Workbook,
    preserve: Annotated[str, typer.Argument(help="A preserve, or 'freeze whole: CROP'.", show_default=False)],
    count: Annotated[str, typer.Argument(help="How many sealed; a weight for a crop.", show_default=False)],
    used: Annotated[
        list[str] | None,
        typer.Option(metavar="AMOUNT", help="Crop it took, as 24lb; once for each crop.", show_default=False),
    ] = None,
    failed: Annotated[str | None, typer.Option(metavar="N", help="Jars not sealed.", show_default=False)] = None,
    hands: Annotated[str | None, typer.Option(metavar="TIME", help="Hours, as 2.5h.", show_default=False)] = None,
    on: On = None,
) -> None:
    """Add to Record what was really made; a jar filled in part goes into the refrigerator and is not counted."""
    from stillroom.app import journal

    said = journal.made(file, preserve, count, used or (), failed, hands, on, datetime.date.today())
    say_lines(said)


@app.command(epilog="Example: stillroom ate kitchen.xlsx 'tomato juice, quart' 2")
def ate(
    file: Workbook,
    preserve: Annotated[str, typer.Argument(help="A preserve of the table Preserves.", show_default=False)],
    count: Annotated[str, typer.Argument(help="How many.", show_default=False)],
    on: On = None,
) -> None:
    """Take so many of a preserve off the shelf; their containers come back."""
    from stillroom.app import journal

    say_lines(journal.ate(file, preserve, count, on, datetime.date.today()))


@app.command(epilog="Example: stillroom bought kitchen.xlsx 'quart jar' 24")
def bought(
    file: Workbook,
    stock: Annotated[str, typer.Argument(help="A container, a lid or a larder ingredient.", show_default=False)],
    amount: Annotated[str, typer.Argument(help="How many, as 24; how much, as 2cups.", show_default=False)],
    on: On = None,
) -> None:
    """Add to Record what was bought: jars, lids, larder; crop that was bought is entered with weigh."""
    from stillroom.app import bought as bought_way

    say_lines(bought_way.bought(file, stock, amount, on, datetime.date.today()))


@app.command(epilog="Example: stillroom count kitchen.xlsx")
def count(
    file: Workbook,
    as_json: Json = False,
) -> None:
    """Say for every stock what was counted, came, was used and should be there now; then the season so far."""
    from stillroom.app.overview import count_json, count_view

    today = datetime.date.today()
    print(count_json(file, today)) if as_json else say(count_view(file, today))


@app.command(epilog="Example: stillroom learned kitchen.xlsx")
def learned(file: Workbook) -> None:
    """Say what the record teaches: crop a jar and hours, handbook, own records and used."""
    from stillroom.app.overview import learned_view

    say(learned_view(file, datetime.date.today()))
