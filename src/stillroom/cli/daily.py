"""The commands of a day: what to do, what was weighed, made, eaten and bought, what to print, what the records show."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stillroom import app as use_cases
from stillroom.cli.output import as_csv, show, show_lines, waiting
from stillroom.cli.program import Csv, Json, On, Replace, Workbook, command, whole_number
from stillroom.errors import CommandWrong

if TYPE_CHECKING:
    from stillroom.household.results.commands import Entry


@command("today kitchen.xlsx", daily=True)
def today(
    file: Workbook,
    less: Annotated[
        list[str] | None,
        typer.Option(
            metavar="THING", help="Plan today with less, such as 'hands 2h' 'pressure canner'.", show_default=False
        ),
    ] = None,
    more_less: Annotated[
        list[str] | None, typer.Argument(metavar="THING", help="More of --less.", show_default=False)
    ] = None,
    as_json: Json = False,
) -> None:
    """Show what to do today, what is due first, and why."""
    if more_less and not less:
        raise CommandWrong(f'"{more_less[0]}": write --less before what there is less of today.')
    if less:
        with waiting(file) as spinner:
            found = use_cases.less.less_today(file, [*less, *(more_less or ())], datetime.date.today(), spinner.update)
        show(use_cases.less.less_json(found) if as_json else use_cases.less.less_view(found))
        return
    with waiting(file):
        reading = use_cases.plan.read_workbook(file, datetime.date.today())
    show(use_cases.day.today_json(reading) if as_json else use_cases.day.today_view(reading))


@command("day kitchen.xlsx --on 8/15")
def day(file: Workbook, on: On = None, as_json: Json = False) -> None:
    """Show one day step by step."""
    today = datetime.date.today()
    with waiting(file):
        page = use_cases.day.day_json(file, on, today) if as_json else use_cases.day.day_view(file, on, today)
    show(page)


def show_entry(entry: Entry, *, as_json: bool) -> None:
    """Print what an entry of the journal wrote."""
    if as_json:
        show(use_cases.day.entry_json(entry, datetime.date.today()))
    else:
        show_lines(entry.messages)


@command("weigh kitchen.xlsx corn 12 lb")
def weigh(
    file: Workbook,
    crop: Annotated[str, typer.Argument(metavar="CROP", help="A crop of the table Crops.")],
    amount: Annotated[list[str], typer.Argument(metavar="AMOUNT", help="How much, such as 53 lb or 3 dozen.")],
    on: On = None,
    as_json: Json = False,
) -> None:
    """Add what you picked."""
    with waiting(file), use_cases.files.alone(file):
        entry = use_cases.journal.weigh(file, crop, " ".join(amount), on, datetime.date.today())
    show_entry(entry, as_json=as_json)


@command("made kitchen.xlsx 'tomato juice, quart' 13 --used 46lb --failed 1 --hours 2.5h")
def made(
    file: Workbook,
    preserve: Annotated[str, typer.Argument(metavar="PRESERVE", help="A preserve, or 'freeze whole: CROP'.")],
    count: Annotated[list[str], typer.Argument(metavar="N", help="How many sealed (a weight for frozen crops).")],
    used: Annotated[
        list[str] | None,
        typer.Option(metavar="AMOUNT", help="Crop it took, such as 24lb (repeat for each crop).", show_default=False),
    ] = None,
    failed: Annotated[str | None, typer.Option(metavar="N", help="Jars that did not seal.", show_default=False)] = None,
    hours: Annotated[
        str | None, typer.Option(metavar="TIME", help="Hands-on hours, such as 2.5h.", show_default=False)
    ] = None,
    on: On = None,
    as_json: Json = False,
) -> None:
    """Record what you put up. Leave out a jar that is only part full."""
    with waiting(file), use_cases.files.alone(file):
        entry = use_cases.journal.made(
            file, preserve, " ".join(count), used or (), failed, hours, on, datetime.date.today()
        )
    show_entry(entry, as_json=as_json)


Name = Annotated[str, typer.Argument(metavar="NAME", help="A preserve or a crop.")]
Much = Annotated[
    list[str], typer.Argument(metavar="AMOUNT", help="How many of a preserve, or a weight of a crop, such as 12 lb.")
]


@command("ate kitchen.xlsx 'tomato juice, quart' 2")
def ate(file: Workbook, name: Name, amount: Much, on: On = None, as_json: Json = False) -> None:
    """Record what you ate off the shelf, or fresh."""
    record_left(file, "ate", name, amount, on, as_json=as_json)


@command("gave kitchen.xlsx 'tomato juice, quart' 2")
def gave(file: Workbook, name: Name, amount: Much, on: On = None, as_json: Json = False) -> None:
    """Record what you gave away."""
    record_left(file, "gave", name, amount, on, as_json=as_json)


@command("spoiled kitchen.xlsx 'sweet corn' 12lb")
def spoiled(file: Workbook, name: Name, amount: Much, on: On = None, as_json: Json = False) -> None:
    """Record what went bad."""
    record_left(file, "spoiled", name, amount, on, as_json=as_json)


@command("surplus kitchen.xlsx 'plum tomato' 20lb --to compost")
def surplus(
    file: Workbook,
    name: Name,
    amount: Much,
    to: Annotated[
        str | None, typer.Option("--to", metavar="WHERE", help="animals or compost.", show_default=False)
    ] = None,
    on: On = None,
    as_json: Json = False,
) -> None:
    """Record what went to the animals or the compost."""
    record_left(file, "surplus", name, amount, on, as_json=as_json, to=to)


def record_left(
    file: Path, happened: str, name: str, amount: list[str], on: str | None, *, as_json: bool, to: str | None = None
) -> None:
    """Record what left the kitchen and print it."""
    with waiting(file), use_cases.files.alone(file):
        entry = use_cases.journal.left(file, happened, name, " ".join(amount), on, datetime.date.today(), to)
    show_entry(entry, as_json=as_json)


@command("undo kitchen.xlsx")
def undo(file: Workbook, as_json: Json = False) -> None:
    """Take back the last thing you recorded. Run it again for the one before."""
    with waiting(file), use_cases.files.alone(file):
        entry = use_cases.journal.take_back(file, datetime.date.today())
    show_entry(entry, as_json=as_json)


@command("eat-first kitchen.xlsx", name="eat-first")
def eat_first(file: Workbook, as_json: Json = False) -> None:
    """Show what goes out of date first, on the shelf and in the freezer."""
    with waiting(file):
        reading = use_cases.plan.read_workbook(file, datetime.date.today())
    show(use_cases.day.eat_first_json(reading) if as_json else use_cases.day.eat_first_view(reading))


@command("bought kitchen.xlsx 'quart jar' 24")
def bought(
    file: Workbook,
    stock: Annotated[str, typer.Argument(metavar="ITEM", help="A container, a lid or a pantry ingredient.")],
    amount: Annotated[
        list[str], typer.Argument(metavar="AMOUNT", help="How many or how much, such as 2 dozen or 2 cups.")
    ],
    on: On = None,
    as_json: Json = False,
) -> None:
    """Record what you bought. For a bought crop use weigh."""
    with waiting(file), use_cases.files.alone(file):
        entry = use_cases.entries.bought(file, stock, " ".join(amount), on, datetime.date.today())
    show_entry(entry, as_json=as_json)


@command("stock kitchen.xlsx")
def stock(file: Workbook, as_json: Json = False, csv: Csv = None, replace: Replace = False) -> None:
    """Show what should be on hand, and the season so far."""
    with waiting(file):
        reading = use_cases.plan.read_workbook(file, datetime.date.today())
    with as_csv(csv, lambda: use_cases.day.stock_tables(reading), as_json=as_json, replace=replace):
        show(use_cases.day.stock_json(reading) if as_json else use_cases.day.stock_view(reading))


@command("yields kitchen.xlsx")
def yields(file: Workbook, as_json: Json = False, csv: Csv = None, replace: Replace = False) -> None:
    """Show what your records teach about yields and time."""
    with waiting(file):
        reading = use_cases.plan.read_workbook(file, datetime.date.today())
    with as_csv(csv, lambda: use_cases.day.yields_tables(reading), as_json=as_json, replace=replace):
        show(use_cases.day.yields_json(reading) if as_json else use_cases.day.yields_view(reading))


# The commands that make paper: pages, calendar, pictures and labels.

Folder = Annotated[
    Path | None,
    typer.Option(
        "--out",
        metavar="DIR",
        help="Folder to write into (default: 'kitchen paper' next to kitchen.xlsx).",
        show_default=False,
        readable=False,
    ),
]
OnPaper = Annotated[
    str | None,
    typer.Option(
        "--paper",
        metavar="SIZE",
        help="a4 or letter (default: letter for a workbook in pounds, else a4).",
        show_default=False,
    ),
]
OnLabels = Annotated[
    str | None,
    typer.Option(
        "--on",
        metavar="DATE",
        help="Day (default: the plan's first busy day, with --record the last).",
        show_default=False,
    ),
]


@command("pages kitchen.xlsx")
def pages(
    file: Workbook,
    to: Folder = None,
    paper: OnPaper = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PART",
            help="Write only sheets, labels, calendar or pictures (repeat for several).",
            show_default=False,
        ),
    ] = None,
    replace: Replace = False,
    as_json: Json = False,
) -> None:
    """Write printable pages, labels, pictures and a calendar."""
    now = datetime.datetime.now().astimezone()
    with waiting(file, "making pages from"):
        lines = use_cases.print.write_pages(file, to or folder_beside(file), now, paper, only or (), replace=replace)
    show_lines(lines, as_json=as_json)


@command("labels kitchen.xlsx --start 7")
def labels(
    file: Workbook,
    to: Folder = None,
    sheet: Annotated[
        str | None,
        typer.Option(
            metavar="SIZES",
            help="Label sheet, such as '3 x 10 of 66.7 x 25.4 mm' (default: a common one).",
            show_default=False,
        ),
    ] = None,
    paper: OnPaper = None,
    start: Annotated[
        int,
        typer.Option(parser=whole_number("--start", 7, 1, 10_000), metavar="N", help="First free label on the sheet."),
    ] = 1,
    on: OnLabels = None,
    days: Annotated[
        int, typer.Option(parser=whole_number("--days", 7, 1, 366), metavar="N", help="How many days (1 to 366).")
    ] = 1,
    record: Annotated[bool, typer.Option("--record", help="Label what was made instead of what is planned.")] = False,
    cut_lines: Annotated[bool, typer.Option("--cut-lines", help="Draw lines to cut along.")] = False,
    replace: Replace = False,
    as_json: Json = False,
) -> None:
    """Write labels for a day."""
    asked = use_cases.print.LabelsAsked(sheet, paper, start, on, days, record, cut_lines)
    with waiting(file, "making labels from"):
        lines = use_cases.print.write_labels(
            file, to or folder_beside(file), asked, datetime.date.today(), replace=replace
        )
    show_lines(lines, as_json=as_json)


def folder_beside(file: Path) -> Path:
    """Return where paper goes when no folder is given: each workbook has a folder of its own beside it."""
    return file.with_name(f"{file.stem} paper")
