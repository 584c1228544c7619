"""The help of the program and of its commands: plain names, short lines, the daily commands first."""

from __future__ import annotations

import difflib
from typing import Any

import typer
from typer.core import TyperArgument, TyperCommand, TyperGroup

from stillroom.errors import CommandWrong

FORMER = {"count": "stock", "learned": "yields", "limits": "bottlenecks"}
"""Former names of commands; each is refused with its new name."""
NEAR_ENOUGH = 0.6
ORDER = (
    *("start", "plan", "today", "adopt", "check", "day", "weigh", "made", "ate", "bought", "stock", "yields"),
    *("pages", "labels", "bottlenecks", "why", "suppose", "hedge", "season", "handbook", "plan-all"),
)
"""The order of the commands in the help."""


class PlainCommand(TyperCommand):
    """A command whose help shows its arguments as plain names: no braces, no types, no ranges."""

    def collect_usage_pieces(self, ctx: typer.Context) -> list[str]:  # type: ignore[override]
        """Return `[OPTIONS] FILE.xlsx [CHANGE ...]`."""
        return [piece.strip("{}").replace("...]...", "...]") for piece in super().collect_usage_pieces(ctx)]

    def format_options(self, ctx: typer.Context, formatter: Any) -> None:  # type: ignore[override]
        """Write the arguments, then the options."""
        arguments = [one for one in self.params if isinstance(one, TyperArgument)]
        options = [one for one in self.get_params(ctx) if not isinstance(one, TyperArgument)]
        with formatter.section("Arguments"):
            formatter.write_dl([(str(one.metavar or one.name).strip("[]"), one.help or "") for one in arguments])
        with formatter.section("Options"):
            formatter.write_dl([record for one in options if (record := one.get_help_record(ctx)) is not None])


class GroupedCommands(TyperGroup):
    """The program: its help groups the commands by their panel; a wrong name gets the one that may be meant."""

    def format_commands(self, ctx: typer.Context, formatter: Any) -> None:  # type: ignore[override]  # noqa: ARG002
        """Write each group of commands under its own heading, in ORDER."""
        panels: dict[str, list[tuple[str, str]]] = {}
        for name in sorted(self.commands, key=ORDER.index):
            command = self.commands[name]
            panel = getattr(command, "rich_help_panel", None)
            panels.setdefault(panel if isinstance(panel, str) else "Every day", []).append((name, command.help or ""))
        for panel, rows in panels.items():
            with formatter.section(panel):
                formatter.write_dl([(f"{name:<11}", text) for name, text in rows])

    def resolve_command(self, ctx: typer.Context, args: list[str]) -> Any:  # type: ignore[override]
        """Return the command that was typed. Raises CommandWrong with the one that may be meant."""
        typed = args[0] if args else ""
        if typed and typed not in self.commands and not typed.startswith("-"):
            near = difflib.get_close_matches(typed.casefold(), self.commands, n=1, cutoff=NEAR_ENOUGH)
            meant = FORMER.get(typed.casefold()) or (near[0] if near else "")
            hint = f'Did you mean "{meant}"?' if meant else "See: stillroom --help"
            raise CommandWrong(f'There is no command "{typed}". {hint}')
        return super().resolve_command(ctx, args)
