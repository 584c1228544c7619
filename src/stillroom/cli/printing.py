"""The commands that make paper: pages, calendar, pictures and labels."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated

import typer

from stillroom import app as use_cases
from stillroom.cli.output import show_lines, waiting
from stillroom.cli.program import Json, Replace, Workbook, command, whole_number

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
        lines = use_cases.print.write_labels(file, to or folder_beside(file), asked, datetime.date.today(), replace=replace)
    show_lines(lines, as_json=as_json)


def folder_beside(file: Path) -> Path:
    """Return where paper goes when no folder is given: each workbook has a folder of its own beside it."""
    return file.with_name(f"{file.stem} paper")
