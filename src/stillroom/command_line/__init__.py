"""The commands: the only room that prints or exits."""

from stillroom.command_line.app import app
from stillroom.command_line.run import main, run

__all__ = ["app", "main", "run"]
