"""The command that opens the kitchen page."""

from __future__ import annotations

import webbrowser
from typing import Annotated

import typer

from stillroom.cli.output import show_lines
from stillroom.cli.program import Workbook, command, whole_number
from stillroom.errors import CommandWrong

PORT = 8321


@command("open kitchen.xlsx --share", name="open")
def open_page(
    file: Workbook,
    share: Annotated[
        bool, typer.Option("--share", help="Let a tablet or phone in your home network in, with a code.")
    ] = False,
    port: Annotated[
        int,
        typer.Option(
            metavar="N",
            help="Port, if another program uses this one.",
            parser=whole_number("--port", PORT, 1024, 65535),
        ),
    ] = PORT,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open it in the browser.")] = True,
) -> None:
    """Open the kitchen page of a workbook in the browser."""
    try:
        from stillroom.web.serve import open_kitchen
    except ModuleNotFoundError as missing:
        msg = f"The kitchen page needs {missing.name} too. Run: python -m pip install 'stillroom[kitchen]'"
        raise CommandWrong(msg) from None
    open_kitchen(
        file, share=share, port=port, tell=lambda words: show_lines([words]), show=webbrowser.open if browser else None
    )
