"""The program itself: its name, its help, and the arguments that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stillroom import __version__

app = typer.Typer(
    name="stillroom",
    help="Plans how a harvest is put up for winter, in the household's own workbook.",
    epilog="Begin with: stillroom start kitchen.xlsx --altitude 1450ft",
    invoke_without_command=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["--help", "-h"], "max_content_width": 80},
)

Workbook = Annotated[
    Path,
    typer.Argument(metavar="FILE.xlsx", help="The household's workbook.", show_default=False, readable=False),
]
"""Whether it can be read is found when it is opened: that is no matter of the command line."""

Out = Annotated[
    Path | None,
    typer.Option(
        "--out", metavar="OUT.xlsx", help="Write a copy; FILE stays as it is.", show_default=False, readable=False
    ),
]

Json = Annotated[bool, typer.Option("--json", help="Say it as one JSON object.")]

On = Annotated[
    str | None,
    typer.Option("--on", metavar="DATE", help="The day; left out: the workbook's first day.", show_default=False),
]


def show_version(wanted: bool) -> None:
    """Say the version and stop."""
    if wanted:
        print(f"stillroom {__version__}")
        raise typer.Exit


@app.callback()
def stillroom(
    context: typer.Context,
    _version: Annotated[
        bool, typer.Option("--version", help="Say the version.", callback=show_version, is_eager=True)
    ] = False,
) -> None:
    """Plans how a harvest is put up for winter, in the household's own workbook."""
    if context.invoked_subcommand is None:
        print(context.get_help())
