"""The commands: the only room that prints or exits."""

from stillroom.cli.entry_point import main, run
from stillroom.cli.program import app

__all__ = ["app", "main", "run"]
