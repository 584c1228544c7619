"""The command that opens the kitchen page."""

from __future__ import annotations

import sys
import webbrowser
from pathlib import Path
from typing import Annotated

import typer

from stillroom.cli.output import show_lines
from stillroom.cli.program import command, whole_number
from stillroom.errors import CommandWrong

PORT = 8321


@command("open kitchen.xlsx --share", name="open")
def open_page(
    file: Annotated[
        Path | None,
        typer.Argument(metavar="FILE.xlsx", help="Your workbook. Without it the page asks.", readable=False),
    ] = None,
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
    launcher: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR",
            help="Only put a file there that opens the page with a double click.",
            show_default=False,
            readable=False,
        ),
    ] = None,
) -> None:
    """Open the kitchen page of a workbook in the browser."""
    if launcher is not None:
        from stillroom.web.launchers import put_launcher

        show_lines([f"Double-click to open the kitchen page: {put_launcher(launcher)}"])
        return
    if share and file is None:
        raise CommandWrong("--share goes with a workbook. Run: stillroom open kitchen.xlsx --share")
    try:
        from stillroom.web.serve import choose_kitchen, open_kitchen
    except ModuleNotFoundError as missing:
        msg = f"The kitchen page needs {missing.name} too. Run: python -m pip install 'stillroom[kitchen]'"
        raise CommandWrong(msg) from None
    show = webbrowser.open if browser else None
    if file is None:
        choose_kitchen(Path.home(), port=port, tell=tell, show=show)
    else:
        open_kitchen(file, share=share, port=port, tell=tell, show=show)


def tell(words: str) -> None:
    """Print a sentence at once, for the page runs on, and whoever reads a pipe waits for its address."""
    show_lines([words])
    sys.stdout.flush()
