"""A page as plain text: no colour, no spaces at the ends of lines."""

from __future__ import annotations

import io
import threading
from types import TracebackType

from rich.console import Console, RenderableType
from rich.status import Status
from rich.text import Text


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


# A sign of life while something takes longer than a second; nothing at all when nobody is looking.

PATIENCE_SECONDS = 1.0


class Waiting:
    """
    A spinner that says what is being done, shown once a second has passed, and gone when it ends.

    Only on a terminal: into a pipe or a file nothing is written.
    """

    def __init__(self, console: Console, words: str) -> None:
        """Get ready; `console` is the one for errors, so that what is asked for stays clean."""
        self._console = console
        self._words = words
        self._status: Status | None = None
        self._lock = threading.Lock()
        self._timer = threading.Timer(PATIENCE_SECONDS, self._show)
        self._timer.daemon = True

    def update(self, words: str) -> None:
        """Show what is being done now."""
        with self._lock:
            self._words = words
            if self._status is not None:
                self._status.update(Text(words))

    def _show(self) -> None:
        with self._lock:
            if not self._timer.finished.is_set():
                self._status = self._console.status(Text(self._words))
                self._status.start()

    def __enter__(self) -> Waiting:
        """Begin to wait."""
        if self._console.is_terminal:
            self._timer.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Take the spinner away, whatever happened."""
        self._timer.cancel()
        with self._lock:
            if self._status is not None:
                self._status.stop()
