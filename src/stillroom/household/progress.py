"""How a long computation reports how far it has come."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[str], None]
"""Takes a few words on what is being done now."""


def no_progress(_: str) -> None:
    """Report nothing."""
