"""The command that opens the kitchen page, and the file that opens it with a double click."""

from __future__ import annotations

import os
import shlex
import sys
import webbrowser
from pathlib import Path
from typing import Annotated

import typer

from stillroom import app as use_cases
from stillroom.cli.output import show_lines
from stillroom.cli.program import command, whole_number
from stillroom.errors import CommandWrong

PORT = 8321
NAME = "Kitchen page"


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


def put_launcher(folder: Path) -> Path:
    """Put the file for this system and this installation into a folder; gives its path. Raises CouldNotWrite."""
    program = [sys.executable] if getattr(sys, "frozen", False) else [sys.executable, "-m", "stillroom"]
    name, content = launcher(sys.platform, [*program, "open"])
    (path,) = use_cases.files.put_all(folder, [(folder / name, content.encode("utf-8"))])
    if os.name != "nt":
        path.chmod(path.stat().st_mode | 0o111)
    return path


def launcher(system: str, words: list[str]) -> tuple[str, str]:
    r"""
    Return the name and the content of the file that runs a command on a system, as `sys.platform` names it.

    >>> launcher("darwin", ["/opt/my tools/python", "-m", "stillroom", "open"])
    ('Kitchen page.command', "#!/bin/sh\nexec '/opt/my tools/python' -m stillroom open\n")
    """
    if system == "win32":  # without a window of its own; the page has a button that closes it
        return f"{NAME}.pyw", (
            "import subprocess\n\n"
            f"words = {words!r}\n"
            "quiet = subprocess.DEVNULL\n"
            "alone = subprocess.CREATE_NO_WINDOW\n"
            "subprocess.Popen(words, stdin=quiet, stdout=quiet, stderr=quiet, creationflags=alone)\n"
        )
    if system == "darwin":
        return f"{NAME}.command", f"#!/bin/sh\nexec {shlex.join(words)}\n"
    return f"{NAME}.desktop", (
        "[Desktop Entry]\nType=Application\n"
        f"Name={NAME}\nComment=Plan what to put up for winter\nExec={' '.join(map(exec_word, words))}\n"
        "Terminal=false\nCategories=Office;\n"
    )


def exec_word(word: str) -> str:
    r"""
    Return a word as the key Exec has it (Desktop Entry Specification 1.5): quoted, with what is special escaped.

    >>> print(exec_word("open"), exec_word("/opt/100% $my/python"))
    open "/opt/100%% \\$my/python"
    """
    word = word.replace("%", "%%")
    if word.replace("/", "").replace("-", "").replace(".", "").replace("_", "").isalnum():
        return word
    quoted = "".join(f"\\{letter}" if letter in '"`$\\' else letter for letter in word).replace("\\", "\\\\")
    return f'"{quoted}"'
