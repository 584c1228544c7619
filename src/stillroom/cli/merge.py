"""Bringing two copies of a workbook together, with what only the household can decide asked on a terminal."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stillroom import app as use_cases
from stillroom import reports
from stillroom.cli.output import out, show, show_lines, waiting
from stillroom.cli.program import Json, Out, Replace, command

if TYPE_CHECKING:
    from stillroom.household.merging import Question


@command("merge kitchen.xlsx 'kitchen from upstairs.xlsx'")
def merge(
    file: Annotated[Path, typer.Argument(metavar="MINE.xlsx", help="Your copy; it is written.", readable=False)],
    theirs: Annotated[Path, typer.Argument(metavar="THEIRS.xlsx", help="The other copy.", readable=False)],
    base: Annotated[
        Path | None,
        typer.Option(
            "--base",
            metavar="FILE.xlsx",
            help="The copy both come from (default: looked for).",
            show_default=False,
            readable=False,
        ),
    ] = None,
    to: Out = None,
    take: Annotated[
        str | None,
        typer.Option("--take", metavar="WORD", help="mine, theirs or both wherever you decide.", show_default=False),
    ] = None,
    answers: Annotated[
        Path | None,
        typer.Option("--answers", metavar="FILE", help="Your answers, one a line.", show_default=False, readable=False),
    ] = None,
    replace: Replace = False,
    as_json: Json = False,
) -> None:
    """Bring two copies of a workbook together."""
    pages, copies = reports.terminal.merge, use_cases.merge
    use_cases.files.refuse_copy(file, to, replace=replace)
    asks = not as_json and sys.stdin.isatty() and sys.stdout.isatty()
    with use_cases.files.alone(file, wanted=to is None):
        told = (file, theirs, base, take, answers)
        with waiting(file):
            found = copies.merge_workbooks(*told, None)
        if not as_json:
            show_lines(pages.merge_lines(found))
        if found.merged.open and asks:
            found = copies.merge_workbooks(*told, ask)
        with waiting(file, "writing"):
            receipt = None if found.merged.open else copies.write_merge(found, to, replace=replace)
    if as_json:
        show(reports.json.text(pages.merge_object(found, receipt)))
    elif receipt is None:
        show_lines(pages.how_to_answer(found.merged.open[0]))
    else:
        show_lines(pages.written_lines(receipt))
    if receipt is None:
        raise typer.Exit(1)


def ask(question: Question) -> str:
    """Ask which of two copies is right until one of the words is typed."""
    console = out()
    words = ["mine", "theirs", *(["both"] if question.both else [])]
    console.print(f"{question.label}", markup=False)
    console.print(f"  mine:   {question.mine}", markup=False)
    console.print(f"  theirs: {question.theirs}", markup=False)
    while True:
        try:
            typed = input(f"{', '.join(words[:-1])} or {words[-1]}> ").strip().casefold()
        except EOFError:
            raise typer.Abort from None
        meant = [word for word in words if typed and word.startswith(typed)]
        if len(meant) == 1:
            return meant[0]
