"""A page as plain text: no colour, no spaces at the ends of lines."""

from __future__ import annotations

import io

from rich.console import Console, RenderableType


def plain_text(page: RenderableType, width: int = 80) -> str:
    """
    Render a page as it goes into a pipe or a file.

    >>> from rich.text import Text
    >>> plain_text(Text("seven quarts", "bold"))
    'seven quarts'
    """
    text = io.StringIO()
    Console(file=text, width=width, color_system=None, force_terminal=False, highlight=False).print(page)
    return "\n".join(line.rstrip() for line in text.getvalue().splitlines())
