"""The file that opens the kitchen page with a double click, on the system it is made on."""

from __future__ import annotations

import os
import shlex
import sys
from pathlib import Path

from stillroom.app.files import put_all

NAME = "Kitchen page"


def put_launcher(folder: Path) -> Path:
    """Put the file for this system and this installation into a folder; gives its path. Raises CouldNotWrite."""
    program = [sys.executable] if getattr(sys, "frozen", False) else [sys.executable, "-m", "stillroom"]
    name, content = launcher(sys.platform, [*program, "open"])
    (path,) = put_all(folder, [(folder / name, content.encode("utf-8"))])
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
