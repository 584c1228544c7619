"""The commands that make a workbook, check it and plan it."""

from __future__ import annotations

import datetime
import functools
import inspect
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, get_type_hints

import typer

from stillroom import app as use_cases
from stillroom import reports
from stillroom.cli.output import out, show, show_files, show_lines, waiting
from stillroom.cli.program import LIST, Csv, Json, Out, Replace, Workbook, command, number
from stillroom.errors import CommandWrong
from stillroom.household.text import quoted
from stillroom.workbook import starter

if TYPE_CHECKING:
    from stillroom.app.answers import Told
    from stillroom.household.merging import Question


TOLD: Mapping[str, Any] = {
    "metric": Annotated[bool, typer.Option("--metric", help="Use kilograms and liter jars.")],
    "people": Annotated[
        float | None,
        typer.Option(
            parser=number("--people", 4, 1, 1000),
            metavar="N",
            help="People who eat from the shelf.",
            show_default=False,
        ),
    ],
    "altitude": Annotated[
        str | None, typer.Option(metavar="HEIGHT", help="Altitude, such as 1450ft or 440m.", show_default=False)
    ],
    "gauge": Annotated[
        str | None, typer.Option(metavar="GAUGE", help="Pressure canner gauge: dial or weighted.", show_default=False)
    ],
    "crops": Annotated[
        str | None,
        typer.Option(metavar=LIST, help="What you grow or buy, such as 'corn, plums'.", show_default=False),
    ],
    "have": Annotated[
        str | None,
        typer.Option(
            metavar=LIST, help="Of canner, pressure canner, dryer, freezer, crock, root cellar.", show_default=False
        ),
    ],
    "jars": Annotated[str | None, typer.Option(metavar=LIST, help="Such as '24 quart, 36 pint'.", show_default=False)],
    "hands": Annotated[
        str | None,
        typer.Option(metavar="HOURS", help="Hands-on hours of a weekday, a weekend day: 3,6.", show_default=False),
    ],
    "stove_free": Annotated[
        str | None,
        typer.Option(metavar="HOURS", help="Hours the stove is free, the same way: 4,8.", show_default=False),
    ],
    "picked": Annotated[
        str | None,
        typer.Option(metavar=LIST, help="Picked today, such as '53 lb tomatoes'.", show_default=False),
    ],
}
"""The option of each thing that `start` and `adopt --filled` are told."""


def with_options_of_told(run: Callable[..., None]) -> Callable[..., None]:
    """Return a command that has every option of `TOLD` in place of its parameter `told`."""
    keyword = inspect.Parameter.KEYWORD_ONLY
    options = [
        inspect.Parameter(name, keyword, default=False if name == "metric" else None, annotation=kind)
        for name, kind in TOLD.items()
    ]
    own = get_type_hints(run, localns={"Told": object}, include_extras=True)
    parameters: list[inspect.Parameter] = []
    for name, one in inspect.signature(run).parameters.items():
        parameters += options if name == "told" else [one.replace(annotation=own[name])]

    @functools.wraps(run)
    def run_told(**given: Any) -> None:
        told = use_cases.answers.Told(**{name: given.pop(name) for name in TOLD})
        run(told=told, **given)

    run_told.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    run_told.__annotations__ = {one.name: one.annotation for one in parameters}
    return run_told


@command("start kitchen.xlsx --people 4 --altitude 1450ft", daily=True)
@with_options_of_told
def start(
    new: Annotated[Path, typer.Argument(metavar="NEW.xlsx", help="The workbook to make.")],
    *,
    told: Told,
    yes: Annotated[bool, typer.Option("--yes", help="Ask nothing: take the defaults.")] = False,
    as_json: Json = False,
) -> None:
    """Make a new workbook with crops, preserves and a winter list."""
    use_cases.files.refuse_folder(new, "kitchen.xlsx")
    if new.suffix.lower() != ".xlsx":
        raise CommandWrong(f"{new.name} must end in .xlsx, such as kitchen.xlsx.")
    starter.start.refuse_existing(new)
    if sys.stdin.isatty() and sys.stdout.isatty() and not (yes or as_json):
        told = ask(told)
    with waiting(new, "making"):
        made = use_cases.setup.start_workbook(new, use_cases.answers.filling(told))
    lines = reports.terminal.setup.start_lines(made, str(new))
    show_lines(lines, as_json=as_json)


def ask(told: Told) -> Told:
    """
    Ask what the options do not give, each question until its answer can be read; Enter takes the answer in brackets.

    The altitude and the gauge have none: nothing is canned until they are known.
    """
    read = use_cases.answers
    show_lines(["Enter takes the answer in brackets. Ctrl-C stops, and nothing is written."])
    units = "Pounds and quarts (us) or kilograms and liters (metric)"
    metric = told.metric or asked(units, "us", one_of(UNITS)).casefold() == "metric"
    read.filling(replace(told, metric=metric))  # an option that cannot be read is refused before the questions
    if told.altitude:
        read.read_altitude(told.altitude, metric=metric)

    def answer(given: str | None, words: str, default: str, check: Callable[[str], object]) -> str:
        return asked(words, default, check) if given is None else given

    height, weight = ("440 m", "24 kg") if metric else ("1450 ft", "53 lb")
    high = f"Altitude, such as {height}: a map or a phone shows it"
    altitude = answer(told.altitude, high, "", partial(read.read_altitude, metric=metric))
    people = told.people
    if people is None:
        people = read.read_people(asked("How many people eat from the shelf", str(read.PEOPLE), read.read_people))
    crops = answer(told.crops, "Which crops do you grow or buy (? lists all)", read.CROPS, read.read_crops)
    ways = f"Which of these do you have: {read.WAYS_WORDS}"
    have = answer(told.have, ways, ", ".join(read.default_ways(told.gauge)), read.read_ways)
    gauge = told.gauge
    if "pressure canner" in read.read_ways(have):
        gauge = answer(gauge, "Gauge of the pressure canner, dial or weighted", "", read.read_gauge)
    jars = told.jars or ", ".join(
        f"{read.read_count(asked(f'How many {shown} jars', str(count), read.read_count)):.0f} {size}"
        for size, shown, count in read.jars_asked(metric=metric)
    )
    if told.hands is None or told.stove_free is None:
        show_lines(["Hours of a day: 2, or 90 min. Where days differ: 3, Tue 0. Two people for an hour are 2."])

    def week(words: str, hours: tuple[str, str], most: float = 24.0) -> str:
        days = (("on a weekday", read.WORKDAYS), ("on a weekend day", read.WEEKEND))
        return "; ".join(
            asked(f"{words} {day}", default, partial(read.read_days, days=of, most=most, metric=metric)).replace(
                ";", ","
            )
            for (day, of), default in zip(days, hours, strict=True)
        )

    hands = told.hands or week("Hands-on hours", read.HANDS, 24.0 * people)
    stove_free = told.stove_free or week("Hours the stove is free", read.STOVE_FREE)
    today = partial(read.read_picked, day=datetime.date.today(), metric=metric)
    picked = answer(told.picked, f"What have you picked, such as {weight} tomatoes", "none", today)
    return read.Told(metric, people, altitude, gauge, crops, have, jars, hands, stove_free, picked)


UNITS = ("us", "metric")


def one_of(words: Sequence[str]) -> Callable[[str], object]:
    """Return what accepts one of some words; it raises CommandWrong for any other."""

    def read(text: str) -> str:
        if text.casefold() in words:
            return text.casefold()
        raise CommandWrong(f"Type {' or '.join(words)}.")

    return read


def asked(words: str, default: str, read: Callable[[str], object]) -> str:
    """Ask until `read` accepts the answer, and return it as typed; a default of "" means that Enter leaves it blank."""
    console = out()
    shown = f" [{default}]" if default else " (Enter: not known yet)"
    while True:
        console.print(f"{words}{shown}", markup=False, soft_wrap=False)
        try:
            answer = input("> ").strip() or default
        except EOFError:
            raise typer.Abort from None
        if not answer:
            return ""
        try:
            read(answer)
        except CommandWrong as wrong:
            console.print(f"  {wrong}", markup=False)
        else:
            return answer


@command("adopt garden.xlsx --filled --people 4 --altitude 1450ft")
@with_options_of_told
def adopt(
    file: Workbook,
    to: Out = None,
    replace: Replace = False,
    filled: Annotated[bool, typer.Option("--filled", help="Fill the new tables with example rows.")] = False,
    *,
    told: Told,
    log: Annotated[
        str | None,
        typer.Option(
            "--log", metavar="SHEET", help="Read your own log on that sheet into Harvest.", show_default=False
        ),
    ] = None,
    yes: Annotated[bool, typer.Option("--yes", help="With --log: write without asking.")] = False,
    as_json: Json = False,
) -> None:
    """Add missing tables to your own workbook, or read your own log."""
    alone = [f"--{name.replace('_', '-')}" for name, value in vars(told).items() if value not in (None, False)]
    if log is not None:
        if to is not None or filled or alone:
            raise CommandWrong("--log goes with --yes and --json only. Run adopt for the tables first.")
        adopt_log(file, log, yes=yes, as_json=as_json)
        return
    if yes:
        raise CommandWrong("--yes only works with --log. Add --log SHEET, or leave it out.")
    if alone and not filled:
        raise CommandWrong(f"{' and '.join(alone)} only works with --filled. Add --filled, or leave it out.")
    use_cases.files.refuse_copy(file, to, replace=replace)
    wanted = use_cases.answers.filling(told, every_crop=True) if filled else None
    with waiting(file), use_cases.files.alone(file, wanted=to is None):
        found, receipt = use_cases.setup.adopt_workbook(file, to, wanted, replace=replace)
    asked_for = (use_cases.setup.adoption_of(found), receipt, file.name)
    pages = reports.terminal.setup
    show(reports.json.text(pages.adopt_object(*asked_for)) if as_json else pages.adopt_page(*asked_for))


@command("add kitchen.xlsx peaches")
def add(
    file: Workbook,
    names: Annotated[list[str], typer.Argument(metavar="NAME", help="Crops or preserves of the handbook.")],
    as_json: Json = False,
) -> None:
    """Add a crop with its preserves and targets."""
    with waiting(file), use_cases.files.alone(file):
        added, receipt = use_cases.setup.add_to_workbook(file, names)
    show_lines(reports.terminal.setup.add_lines(added, receipt, file.name), as_json=as_json)


def agrees(question: str) -> bool:
    """Ask a question on a terminal; without one the answer is no."""
    return sys.stdin.isatty() and sys.stdout.isatty() and typer.confirm(question)


def adopt_log(file: Path, sheet: str, *, yes: bool, as_json: bool) -> None:
    """Show what is understood of a log, and write it when that is agreed to: by --yes, or on a terminal when asked."""
    pages, logs = reports.terminal.setup, use_cases.own_log
    with use_cases.files.alone(file):
        with waiting(file):
            log, found = logs.read_log(file, sheet, datetime.date.today())
        if not as_json:
            show(pages.log_page(found))
        agreed = bool(found.new) and (yes or (not as_json and agrees("Add these to Harvest?")))
        entry = logs.write_log(log, found) if agreed else None
    if as_json:
        print(reports.json.text(pages.log_object(found, entry)))
    elif entry is not None:
        show_lines(entry.messages)
    elif found.new:
        command = f"stillroom adopt {quoted(file.name)} --log {quoted(found.sheet)} --yes"
        show_lines([f"Nothing was written. To add them, run: {command}"])


@command("check kitchen.xlsx")
def check(
    file: Workbook,
    every: Annotated[bool, typer.Option("--all", help="List every problem, not only a dozen.")] = False,
    as_json: Json = False,
) -> None:
    """List everything that must be fixed, with its cell."""
    with waiting(file):
        reading = use_cases.plan.read_workbook(file, datetime.date.today())
        changed = use_cases.write_plan.changed_lines(reading)
    problems, pages = reading.problems, reports.terminal.plan
    if as_json:
        print(reports.json.text(pages.check_object(problems, file.name, changed)))
    elif sys.stdout.isatty():
        out().print(pages.check_page(problems, file.name, changed, every=every))
    else:
        print(pages.check_text(problems, file.name, changed, every=every))
    if any(problem.is_error for problem in problems):
        raise typer.Exit(1)


@command("plan kitchen.xlsx --out planned.xlsx", daily=True)
def plan(
    file: Workbook,
    to: Out = None,
    replace: Replace = False,
    as_json: Json = False,
    csv: Csv = None,
    details: Annotated[
        bool, typer.Option("--details", help="Also show each objective, its bound and the time taken.")
    ] = False,
    time_limit: Annotated[
        float | None,
        typer.Option(
            "--time-limit",
            parser=number("--time-limit", 60, 0.1),
            metavar="SECONDS",
            help="Stop with the best plan found by then.",
            show_default=False,
        ),
    ] = None,
    with_bottlenecks: Annotated[
        bool, typer.Option("--bottlenecks", help="Also write the Bottlenecks sheet (some seconds more).")
    ] = False,
    with_deadlines: Annotated[
        bool,
        typer.Option("--deadlines", help="Also write what can wait and what to do if things go wrong (slower)."),
    ] = False,
    model: Annotated[
        Path | None,
        typer.Option(
            "--model",
            metavar="FILE.mps",
            help="Also write the model for other solvers, as .mps or .lp.",
            show_default=False,
        ),
    ] = None,
    strict: Annotated[
        bool, typer.Option("--strict", help="Write nothing if a preserve is refused (default: plan the rest).")
    ] = False,
) -> None:
    """Plan the season and write it into the workbook."""
    use_cases.files.refuse_copy(file, to, replace=replace)
    if model is not None:
        use_cases.write_plan.refuse_model_name(model)
    today = datetime.date.today()
    with waiting(file) as spinner, use_cases.files.alone(file, wanted=to is None):
        reading = use_cases.plan.read_workbook(file, today)
        planned = use_cases.write_plan.plan_workbook(
            reading,
            to,
            time_limit,
            spinner.update,
            with_bottlenecks=with_bottlenecks,
            with_deadlines=with_deadlines,
            model=model,
            csv=csv,
            strict=strict,
            replace=replace,
        )
    receipt, why = planned.receipt, planned.why
    if as_json:
        print(reports.json.plan_json(planned.tables, planned.objectives, receipt, planned.hedge, why, reading.errors))
        return
    pages = reports.terminal.plan
    end = pages.saved_lines(receipt, why, file.name, unchanged=planned.unchanged)
    how = pages.detail_lines(receipt, planned.seconds) if details else None
    asked = (planned.tables, today, planned.objectives, end, how, reading.household.kitchen)
    page = pages.plan_page(*asked, planned.would_help, receipt.path.name)
    show(reports.terminal.plan.with_errors(reading.household, page))
    show_files(planned.csv_files)


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
    pages, copies = reports.terminal.setup, use_cases.setup
    use_cases.files.refuse_copy(file, to, replace=replace)
    asks = not as_json and sys.stdin.isatty() and sys.stdout.isatty()
    with use_cases.files.alone(file, wanted=to is None):
        told = (file, theirs, base, take, answers)
        with waiting(file):
            found = copies.merge_workbooks(*told, None)
        if not as_json:
            show_lines(pages.merge_lines(found))
        if found.merged.open and asks:
            found = copies.merge_workbooks(*told, ask_which)
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


def ask_which(question: Question) -> str:
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
