"""The commands that make paper: pages, calendar, pictures and labels."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated

import typer

from stillroom.cli.output import say_lines
from stillroom.cli.program import Workbook, app

Folder = Annotated[
    Path,
    typer.Option("--out", metavar="DIR", help="The folder to write into.", show_default=False, readable=False),
]

OnPaper = Annotated[
    str | None,
    typer.Option(
        "--paper", metavar="a4|letter", help="Left out: letter for a workbook in pounds, else a4.", show_default=False
    ),
]


OnLabels = Annotated[
    str | None,
    typer.Option(
        "--on",
        metavar="DATE",
        help="The day; left out: the first of the plan that makes anything, with --record the last.",
        show_default=False,
    ),
]


@app.command(epilog="Example: stillroom pages kitchen.xlsx --out paper")
def pages(
    file: Workbook,
    to: Folder,
    paper: OnPaper = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PART",
            help="Only sheets, labels, calendar or pictures; may stand several times.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Write the plan in the workbook as pages (PDF, HTML), labels, a calendar (ICS) and pictures (PNG, SVG)."""
    from stillroom.app.print import write_pages

    say_lines(write_pages(file, to, datetime.datetime.now().astimezone(), paper, only or ()))


@app.command(epilog="Example: stillroom labels kitchen.xlsx --out paper --start 7")
def labels(
    file: Workbook,
    to: Folder,
    sheet: Annotated[
        str | None,
        typer.Option(
            metavar="MEASURES", help="As '3 x 10 of 66.7 x 25.4 mm'; left out: a usual one.", show_default=False
        ),
    ] = None,
    paper: OnPaper = None,
    start: Annotated[int, typer.Option(min=1, metavar="N", help="The first label of the sheet that is free.")] = 1,
    on: OnLabels = None,
    days: Annotated[int, typer.Option(metavar="N", min=1, max=366, help="For so many days from there on.")] = 1,
    record: Annotated[bool, typer.Option("--record", help="For what was made, not for what is planned.")] = False,
    cut_lines: Annotated[bool, typer.Option("--cut-lines", help="Draw lines to cut along.")] = False,
) -> None:
    """Write labels (PDF, HTML) for what a day makes: name, date, best by, lot."""
    from stillroom.app.labels import LabelsAsked, write_labels

    asked = LabelsAsked(sheet, paper, start, on, days, record, cut_lines)
    say_lines(write_labels(file, to, asked, datetime.date.today()))
