"""The commands that record a whole evening, or the days missed: asked on a terminal, or from options in a script."""

from __future__ import annotations

import datetime
import sys
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Annotated

import typer

from stillroom import app as use_cases
from stillroom.cli.output import out, show, show_lines, waiting
from stillroom.cli.program import LIST, Json, On, Workbook, command
from stillroom.errors import CommandWrong, WorkbookRefused
from stillroom.household.text import format_full_date, format_long_date
from stillroom.reports.problems import line as sentence

if TYPE_CHECKING:
    from stillroom.app.record.catch_up import CatchUp
    from stillroom.app.record.evening import Evening

QUESTIONS = {
    "came": "What came in? (53 lb plum tomato, 12 lb corn)",
    "ate": "What did you eat? (2 salsa, pint; 3 lb corn)",
    "bought": "What did you buy? (24 lids)",
    "gave": "What did you give away?",
    "spoiled": "What spoiled?",
    "surplus": "What went to the animals or the compost?",
}
"""What is asked after the plan's lines; Enter is nothing."""
HOW = "Enter: as planned. 12: made 12. 0: none. -1: one did not seal. s: still going."

Ask = Callable[[str], str]
Tell = Callable[[str], None]


def several(help_text: str, example: str) -> typer.models.OptionInfo:
    """Return an option that takes a list such as `corn 12 lb, plum tomato 53 lb`."""
    option: typer.models.OptionInfo = typer.Option(
        metavar=LIST, help=f"{help_text}, such as '{example}'.", show_default=False
    )
    return option


@command("evening kitchen.xlsx --as-planned --came 'corn 12 lb'", daily=True)
def evening(
    file: Workbook,
    as_planned: Annotated[bool, typer.Option("--as-planned", help="Today's lines were made as planned.")] = False,
    made: Annotated[str | None, several("What was made otherwise", "chile salsa, pint 5")] = None,
    came: Annotated[str | None, several("What came in", "plum tomato 53 lb, corn 12 lb")] = None,
    ate: Annotated[str | None, several("What you ate", "tomato juice, quart 1")] = None,
    bought: Annotated[str | None, several("What you bought", "lid 24")] = None,
    gave: Annotated[str | None, several("What you gave away", "plum jam 2")] = None,
    spoiled: Annotated[str | None, several("What spoiled", "corn 5 lb")] = None,
    surplus: Annotated[str | None, several("What went to animals or compost", "corn 5 lb")] = None,
    since: Annotated[
        str | None,
        typer.Option(
            "--since", metavar="DATE", help="Also the lines of earlier days, from this one.", show_default=False
        ),
    ] = None,
    on: On = None,
    as_json: Json = False,
) -> None:
    """Record today, plan again, and show tomorrow."""
    lists = {"came": came, "ate": ate, "bought": bought, "gave": gave, "spoiled": spoiled, "surplus": surplus}
    scripted = as_planned or made is not None or any(words is not None for words in lists.values())
    asks = not scripted and not as_json and sys.stdin.isatty() and sys.stdout.isatty()
    if not scripted and not asks:
        raise CommandWrong(
            "evening asks only on a terminal. In a script use --as-planned, --came 'corn 12 lb' and others."
        )
    cases = use_cases.evening
    with use_cases.files.alone(file):
        found = cases.open_evening(file, datetime.date.today(), on, since)
        if asks:
            ask_evening(found, ask_on_terminal, lambda words: show_lines([words]))
        else:
            enter_lists(found, {"made": made, **lists}, as_planned=as_planned, since=since is not None)
            left = left_open(found, as_planned=as_planned, since=since is not None)
            found.said += cases.open_lines_words(left, found.day, file.name)
        with waiting(file) as spinner:
            done = cases.save_evening(found, spinner.update)
    show(cases.evening_json(done) if as_json else cases.evening_view(done))
    if done.exit_code:
        raise typer.Exit(done.exit_code)


def left_open(found: Evening, *, as_planned: bool, since: bool) -> list[use_cases.evening.LineToRecord]:
    """Return the lines that a script left open: of earlier days without `since`, of this day unless as planned."""
    return [line for line in found.lines if not (since if line.day < found.day else as_planned)]


def enter_lists(found: Evening, lists: dict[str, str | None], *, as_planned: bool, since: bool) -> None:
    """Queue what a script has; a line named under --made is that many and not as planned. Raises CommandWrong."""
    cases = use_cases.evening
    made = lists.pop("made")
    if made:
        cases.record_list(found, "made", made)
    for line in found.lines if as_planned else ():
        if since or line.day == found.day:
            cases.record_line(found, line, "")
    for kind, words in lists.items():
        if words:
            cases.record_list(found, kind, words)


def ask_on_terminal(question: str) -> str:
    """Ask on the terminal; the end of input stops the command."""
    try:
        return out().input(f"{question} ", markup=False)
    except EOFError:
        raise typer.Abort from None


def ask_evening(found: Evening, ask: Ask, tell: Tell) -> None:
    """Ask what became of each line, then what else happened; a wrong answer is asked again. Raises typer.Abort."""
    cases = use_cases.evening
    tell(f"Evening of {format_full_date(found.day)}. Nothing is saved before the end.")
    for words in found.done:
        tell(f"  recorded already: {words}")
    if found.lines:
        tell(HOW)
    else:
        tell("The plan has nothing more for today." if found.done else "The plan has nothing for today.")
    for line in found.lines:
        day = "" if line.day == found.day else f"{format_long_date(line.day)}: "
        again(f"{day}{line.words}?", ask, tell, partial(cases.record_line, found, line))
    for kind, question in QUESTIONS.items():
        asked = question.replace(" lb ", " kg ") if found.log.metric else question
        again(asked, ask, tell, partial(cases.record_list, found, kind))
    for words in found.entered:
        tell(f"  {words}")
    if ask("Save and plan again? [Y/n]").strip().casefold() in ("n", "no"):
        raise typer.Abort


def again(question: str, ask: Ask, tell: Tell, take: Callable[[str], None]) -> None:
    """Ask until the answer can be taken."""
    while True:
        try:
            take(ask(question).strip())
        except CommandWrong as wrong:
            tell(f"  {wrong}")
        except WorkbookRefused as refused:
            tell("\n".join(f"  {sentence(problem)}" for problem in refused.problems))
        else:
            return


@command("catch-up kitchen.xlsx", name="catch-up")
def catch_up(
    file: Workbook,
    yes: Annotated[bool, typer.Option("--yes", help="Everything was made as planned; nothing to count.")] = False,
    shelf: Annotated[str | None, several("Counted on the shelf", "tomato juice, quart 12")] = None,
    crates: Annotated[str | None, several("Still in crates", "plum tomato 30 lb")] = None,
    lids: Annotated[str | None, several("Lids left", "lid 40")] = None,
    on: On = None,
    as_json: Json = False,
) -> None:
    """Record the days you missed. Asks about ten numbers."""
    lists = {"shelf": shelf, "crates": crates, "lids": lids}
    scripted = yes or any(words is not None for words in lists.values())
    asks = not scripted and not as_json and sys.stdin.isatty() and sys.stdout.isatty()
    if not scripted and not asks:
        raise CommandWrong("catch-up asks only on a terminal. In a script use --yes, --shelf 'juice 12' and others.")
    cases = use_cases.catch_up
    with use_cases.files.alone(file):
        found = cases.open_catch_up(file, datetime.date.today(), on)
        if asks:
            ask_counts(found, ask_on_terminal, lambda words: show_lines([words]))
        for kind, words in lists.items():
            if words:
                cases.count_list(found, kind, words)
        caught_up = cases.enter_catch_up(found)
        with waiting(file) as spinner:
            done = use_cases.evening.save_evening(caught_up, spinner.update)
    show(use_cases.evening.evening_json(done) if as_json else use_cases.evening.evening_view(done))
    if done.exit_code:
        raise typer.Exit(done.exit_code)


def ask_counts(found: CatchUp, ask: Ask, tell: Tell) -> None:
    """Show what is proposed and ask the few numbers that matter; a wrong one is asked again. Raises typer.Abort."""
    cases = use_cases.catch_up
    tell(f"Catching up to {format_full_date(found.evening.day)}. Nothing is saved before the end.")
    proposed = cases.proposal(found)
    tell("Likely, by the plan:" if proposed else "The plan has nothing that is not recorded.")
    for words in proposed:
        tell(f"  {words}")
    if found.counts:
        tell("Count these. Enter = as in the brackets.")
    for one in found.counts:
        again(one.question, ask, tell, partial(cases.count, found, one))
    if ask("Save and plan again? [Y/n]").strip().casefold() in ("n", "no"):
        raise typer.Abort
