"""The program: its name, its commands, their help, and the arguments that several commands share."""

from __future__ import annotations

import difflib
import functools
import math
import re
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated, Any

import typer
from typer.completion import completion_init, install  # type: ignore[attr-defined]
from typer.core import TyperArgument, TyperCommand, TyperGroup, TyperOption

from stillroom import app as use_cases
from stillroom.cli.output import fitted
from stillroom.errors import CommandWrong, CouldNotWrite
from stillroom.version import VERSION

# The help of the program and of its commands: plain names, short lines, the daily commands first.

FORMER = {"count": "stock", "learned": "yields", "limits": "bottlenecks"}
"""Former names of commands; each is refused with its new name."""
LIST = "LIST"
"""The kind of value of an option that takes a list, such as `corn 12 lb, plum tomato 53 lb`."""
NEAR_ENOUGH = 0.6
ORDER = (
    *("start", "plan", "today", "evening", "open", "adopt", "add", "check", "day", "tonight", "weigh", "made", "ate"),
    *("gave", "spoiled", "surplus", "bought", "undo", "catch-up", "stock", "eat-first", "yields", "pages", "labels"),
    *("bottlenecks", "why", "suppose", "hedge", "season", "winter", "review", "garden", "next-year", "merge"),
    *("handbook", "plan-all"),
)
"""The order of the commands in the help."""


class PlainCommand(TyperCommand):
    """A command whose help shows its arguments as plain names: no braces, no types, no ranges."""

    def parse_args(self, ctx: typer.Context, args: list[str]) -> list[str]:  # type: ignore[override]
        """Read the words of the command line; a list given twice is one list. Raises CommandWrong."""
        valued = [one for one in self.params if isinstance(one, TyperOption) and not (one.is_flag or one.multiple)]
        lists = {name: one.metavar == LIST for one in valued for name in one.opts}
        return super().parse_args(ctx, given_once(args, lists))

    def collect_usage_pieces(self, ctx: typer.Context) -> list[str]:  # type: ignore[override]
        """Return `[OPTIONS] FILE.xlsx [CHANGE ...]`, or `NAME [NAME ...]` for one or more."""
        pieces = [re.sub(r"^\{(\w+)\}\.\.\.$", r"\1 [\1 ...]", piece) for piece in super().collect_usage_pieces(ctx)]
        return [piece.strip("{}").replace("...]...", "...]") for piece in pieces]

    def format_options(self, ctx: typer.Context, formatter: Any) -> None:  # type: ignore[override]
        """Write the arguments, then the options."""
        arguments = [one for one in self.params if isinstance(one, TyperArgument)]
        options = [one for one in self.get_params(ctx) if not isinstance(one, TyperArgument)]
        with formatter.section("Arguments"):
            formatter.write_dl([(str(one.metavar or one.name).strip("[]"), one.help or "") for one in arguments])
        with formatter.section("Options"):
            formatter.write_dl([record for one in options if (record := one.get_help_record(ctx)) is not None])


def given_once(args: list[str], lists: Mapping[str, bool]) -> list[str]:
    """
    Join the lists of an option that was given more than once; `lists` tells of each option with a value if it is one.

    Otherwise the last would hold and the others be lost. Raises CommandWrong for an option with one value.

    >>> given_once(["k.xlsx", "--came", "corn 12 lb", "--json", "--came=plums 5 lb"], {"--came": True, "--on": False})
    ['k.xlsx', '--came=corn 12 lb; plums 5 lb', '--json']
    """
    said: list[str] = []
    places: dict[str, int] = {}
    words = iter(args)
    for word in words:
        if word == "--":
            return [*said, word, *words]
        name, equals, behind = word.partition("=")
        if name not in lists:
            said.append(word)
            continue
        value = behind if equals else next(words, None)
        if value is None:
            return [*said, word]
        if name not in places:
            places[name] = len(said)
            said.append(f"{name}={value}")
        elif lists[name]:
            said[places[name]] += f"; {value}"
        else:
            raise CommandWrong(f"{name} is given twice. Give it once.")
    return said


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


app = typer.Typer(
    name="stillroom",
    cls=GroupedCommands,
    help="Plan what to can, freeze, dry, and store from your harvest, in your own workbook.",
    epilog="Begin with: stillroom start kitchen.xlsx",
    invoke_without_command=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["--help", "-h"], "max_content_width": 80},
)


def command(example: str, name: str | None = None, *, daily: bool = False) -> Callable[[Any], Any]:
    """Return the decorator that adds a command with its example; `daily` ones come first in the help."""
    panel = {} if daily else {"rich_help_panel": "More"}
    add = app.command(name, cls=PlainCommand, epilog=f"Example: stillroom {example}", **panel)  # type: ignore[arg-type]
    return lambda run: add(after_branches(run))


def after_branches(run: Callable[..., Any]) -> Callable[..., Any]:
    """Return a command that first says, on standard error, if another copy is in the place of its workbook."""

    @functools.wraps(run)
    def run_after(**given: Any) -> Any:
        place = given.get("file") or given.get("folder")
        if place is not None or "new" in given:
            use_cases.files.begin()
        if place is not None and (lines := use_cases.files.branch_lines(place)):
            print(fitted("\n".join(lines), sys.stderr), file=sys.stderr)
        return run(**given)

    return run_after


Workbook = Annotated[Path, typer.Argument(metavar="FILE.xlsx", help="Your workbook.", readable=False)]
"""Whether it can be read is found when it is opened: that is no matter of the command line."""

Out = Annotated[
    Path | None,
    typer.Option(
        "--out", metavar="OUT.xlsx", help="Write a copy; FILE is not changed.", show_default=False, readable=False
    ),
]

Replace = Annotated[
    bool,
    typer.Option(
        "--replace",
        help="Replace files that stillroom did not write, or that were changed, and keep a dated copy of each.",
    ),
]

Csv = Annotated[
    Path | None,
    typer.Option(
        "--csv", metavar="DIR", help="Also write the tables there as CSV.", show_default=False, readable=False
    ),
]

Json = Annotated[bool, typer.Option("--json", help="Print JSON.")]

On = Annotated[
    str | None,
    typer.Option(
        "--on",
        metavar="DATE",
        help="Day, such as 8/15, Sat or yesterday (default: the workbook's first day).",
        show_default=False,
    ),
]


def number(option: str, example: float, least: float = 0.0, most: float = math.inf) -> Callable[[Any], float]:
    """Return the parser of an option that takes a number; it raises CommandWrong with an example of that option."""

    def parse(typed: Any) -> float:
        try:
            value = float(typed)
        except ValueError:
            value = math.nan
        if least <= value <= most:
            return value
        from stillroom.household.text import format_number

        limits = ""
        if not math.isnan(value):
            above = f" at least {format_number(least)}"
            limits = above if math.isinf(most) else f" from {format_number(least)} to {format_number(most)}"
        raise CommandWrong(f"{option} takes a number{limits}, such as {format_number(example)}.")

    return parse


def whole_number(option: str, example: int, least: int, most: int) -> Callable[[Any], int]:
    """Return the parser of an option that takes a whole number; raises CommandWrong as `number` does."""
    parse = number(option, example, least, most)

    def parse_whole(typed: Any) -> int:
        value = parse(typed)
        if value != int(value):
            raise CommandWrong(f"{option} takes a whole number, such as {example}.")
        return int(value)

    return parse_whole


def show_version(wanted: bool) -> None:
    """Show the version and stop."""
    if wanted:
        print(f"stillroom {VERSION}")
        raise typer.Exit


def install_completion(wanted: bool) -> None:
    """Let the shell complete commands with the Tab key, and stop. Raises CouldNotWrite."""
    if not wanted:
        return
    use_cases.files.begin()
    completion_init()
    try:
        shell, path = install(prog_name="stillroom")
    except OSError as error:
        raise CouldNotWrite(f"Your shell's settings could not be written: {error.strerror}.") from error
    print(f"Saved in {path}. In a new {shell} window, the Tab key completes commands and options.")
    raise typer.Exit


@app.callback()
def stillroom(
    context: typer.Context,
    _version: Annotated[
        bool, typer.Option("--version", help="Show the version.", callback=show_version, is_eager=True)
    ] = False,
    _install: Annotated[
        bool,
        typer.Option(
            "--install-completion",
            help="Complete commands with the Tab key.",
            callback=install_completion,
            is_eager=True,
        ),
    ] = False,
) -> None:
    """Plan what to can, freeze, dry, and store from your harvest, in your own workbook."""
    if context.invoked_subcommand is None:
        print(context.get_help())
