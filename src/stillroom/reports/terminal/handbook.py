"""The `handbook` command in the terminal and as JSON: rows of the published tables, each with its source."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from functools import partial

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.errors import CommandWrong
from stillroom.handbook.cautions import Caution, cautions_for_lines
from stillroom.handbook.lines import CANNED, DIAL_TOP_FT, TABLE_TOP_FT
from stillroom.handbook.lookup import (
    NotSafe,
    OtherRow,
    Shown,
    jar_named,
    nearest_food,
    not_safe_to_can,
    other_rows,
    practice,
    rows,
)
from stillroom.handbook.safety.equipment import GAUGES
from stillroom.handbook.tables import STATUSES, Row
from stillroom.household.amounts import amount_from, refuse_two_altitudes
from stillroom.household.text import format_altitude
from stillroom.household.units import MeasureWrong, in_base
from stillroom.reports.json import text
from stillroom.reports.terminal.lists import QUIET, Fitted, grid, heading, indented, section, spaced

NOT_RECIPES = (
    "Planning facts, not recipes. Follow the current published guide and your extension service or food authority."
)
NOT_SAFE = "NOT SAFE TO CAN"
MANY = 60
"""Above this number of rows the page suggests how to narrow it."""
CERTAINTY = {"derived": "calculated", "memory": "not verified", "practice": "common practice"}
CERTAINTY_NOTES = {
    "derived": "Calculated: computed from verified figures.",
    "memory": "Not verified: no copy of the publication was found. Check the current guide or the manual of your "
    "canner or dehydrator first.",
}
HIGHEST_FT = 29_032
"""No kitchen is higher: an altitude above this is a typing mistake."""


@dataclass(frozen=True)
class Answer:
    """The rows, cautions and hints for one question."""

    shown: tuple[Shown, ...]
    other: tuple[OtherRow, ...]
    practice: tuple[Row, ...]
    cautions: tuple[Caution, ...]
    ends: str = ""
    hint: str = ""
    nothing: str = ""
    not_safe: tuple[NotSafe, ...] = ()


def ask(
    food: str | None = None,
    altitude: str | None = None,
    gauge: str | None = None,
    jar: str | None = None,
    status: str | None = None,
) -> Answer:
    """
    Return what the tables have on a food.

    Raises CommandWrong for an unknown altitude, gauge, jar or status.
    """
    size = None if jar is None else jar_named(jar)
    if jar is not None and size is None:
        msg = f"{jar} is not a jar size. Type half-pint, pint, quart or half-gallon."
        raise CommandWrong(msg)
    height = None if altitude is None else altitude_ft(altitude)
    chosen = one_of(gauge, GAUGES, "gauge")
    certainty = one_of(status, STATUSES, "status")
    shown = rows(food, height, chosen, size, certainty)
    return Answer(
        shown,
        other_rows(food, certainty) if certainty is not None and certainty != "verified" else (),
        practice(food) if certainty in (None, "practice") else (),
        cautions_for_lines({row.key for row in shown}, dial=any(row.gauge == "dial" for row in shown)),
        end_of_tables(height, chosen),
        narrower(food, shown) if (altitude, gauge, jar, status) == (None,) * 4 else available(food, shown),
        no_entry(food),
        () if food is None else not_safe_to_can(food),
    )


def no_entry(food: str | None) -> str:
    """
    Return the sentence for a question without rows.

    >>> no_entry("tomatto")
    'No handbook entry for "tomatto". Did you mean tomato?'
    """
    if food is None:
        return "No handbook entry for that."
    near = nearest_food(food)
    suggestion = f" Did you mean {near}?" if near else ""
    return f'No handbook entry for "{food}".{suggestion}'


def narrower(food: str | None, shown: Sequence[Shown]) -> str:
    """Return a command with fewer rows, where the answer is long; empty otherwise."""
    if len(shown) <= MANY:
        return ""
    name = f"'{food}'" if food and " " in food else food
    return f"For your kitchen only: stillroom handbook {name or 'FOOD'} --altitude 2300ft --gauge dial --jar quart"


def available(food: str | None, shown: Sequence[Shown]) -> str:
    """
    Return the methods and jars the handbook has for a food, where no row fits the rest of the question.

    >>> available("cucumbers", ())
    'The handbook has for cucumbers: boiling-water canned (pint, quart); fermented.'
    >>> available("moonstones", ())
    ''
    """
    every = () if shown or food is None else rows(food)
    methods: dict[str, dict[str, None]] = {}
    for row in every:
        methods.setdefault(row.method, {}).update({row.jar: None} if row.jar else {})
    found = [f"{method} ({', '.join(jars)})" if jars else method for method, jars in methods.items()]
    return f"The handbook has for {food}: {'; '.join(found)}." if found else ""


def one_of(typed: str | None, words: Sequence[str], what: str) -> str | None:
    """
    Return a word that must be one of a few; None when it was not typed. Raises CommandWrong for another word.

    >>> one_of("Dial", ("dial", "weighted"), "gauge")
    'dial'
    """
    if typed is None or typed.strip().casefold() in words:
        return None if typed is None else typed.strip().casefold()
    msg = f"{typed} is not a {what}. Type {' or '.join((', '.join(words[:-1]), words[-1]))}."
    raise CommandWrong(msg)


def end_of_tables(altitude_ft: float | None, gauge: str | None) -> str:
    """
    Return where the tables end, for an altitude above them; empty otherwise.

    >>> end_of_tables(10_500, None)
    'The process tables end at 10,000 ft. Do not can above that.'
    """
    if altitude_ft is None or altitude_ft <= DIAL_TOP_FT:
        return ""
    if altitude_ft > TABLE_TOP_FT:
        return f"The process tables end at {format_altitude(TABLE_TOP_FT)}. Do not can above that."
    if gauge == "weighted":
        return ""
    return f"The tables for a dial gauge end at {format_altitude(DIAL_TOP_FT)}. Use a weighted gauge above that."


def handbook_page(answer: Answer) -> RenderableType:
    """Return the page: the rows by method, common practice, cautions, then the numbered sources."""
    warning = warning_block(answer.not_safe)
    if not (answer.shown or answer.other or answer.practice):
        words = (answer.ends,) if warning else (answer.nothing, answer.ends, answer.hint)
        return spaced([warning, *(Text(one) for one in words if one)])
    sources = list(dict.fromkeys(source_names(answer)))
    methods = dict.fromkeys(row.method for row in answer.shown)
    parts: list[RenderableType | None] = [
        Group(heading(method), *method_lines([row for row in answer.shown if row.method == method], sources))
        for method in methods
    ]
    parts += [Text(answer.ends)] if answer.ends else []
    parts += [Group(heading("Other rows"), *other_lines(answer.other, sources))] if answer.other else []
    habits = [f"{row['habit']}. Published: {row['published']}. Stillroom {row['planned']}." for row in answer.practice]
    cautions = [f"{caution.text} [{sources.index(caution.source) + 1}]" for caution in answer.cautions]
    parts += [section("Common practice, not published", habits), section("Cautions", cautions)]
    listed = [Text(f"[{number}] {source}", QUIET) for number, source in enumerate(sources, start=1)]
    statuses = {row.status for row in answer.shown} | {row.status for row in answer.other}
    notes = [note for status, note in CERTAINTY_NOTES.items() if status in statuses]
    last = [Text(words) for words in (*notes, NOT_RECIPES, answer.hint) if words]
    return spaced([warning, *parts, section("Sources", listed), *last])


def warning_block(found: Sequence[NotSafe]) -> RenderableType | None:
    """Return what is not safe to can, why, what to do instead and who says so; None where nothing is."""
    if not found:
        return None
    lines: list[RenderableType] = [Text(f"{NOT_SAFE}: {'; '.join(one.what for one in found)}", "bold red")]
    for one in found:
        certainty = "" if one.status == "verified" else f" ({CERTAINTY[one.status]})"
        lines.append(Text(f"{one.why[0].upper()}{one.why[1:]}. {one.instead}."))
        lines.append(indented(Text(f"Source: {one.source}{certainty}", QUIET)))
    return Group(*lines)


def source_names(answer: Answer) -> Iterator[str]:
    """Yield every source that is shown, in the order it is first named."""
    yield from (row.source for row in answer.shown)
    yield from (row.source for row in answer.other)
    yield from (caution.source for caution in answer.cautions)


def method_lines(shown: Sequence[Shown], sources: Sequence[str]) -> list[RenderableType]:
    """Return each handbook line with a row for each altitude, then its crop, headspace, months and notes."""
    lines: list[RenderableType] = []
    for key in dict.fromkeys(row.key for row in shown):
        of_line = [row for row in shown if row.key == key]
        first = of_line[0]
        one_source = len({row.source for row in of_line}) == 1
        lines.append(Fitted(partial(line_table, of_line, () if one_source else sources)))
        details = [
            first.crop,
            f"{first.headspace} headspace" if first.headspace else "",
            f"keeps {first.keeps}" if first.keeps and "keeps" not in first.note else "",
            first.note,
        ]
        words = "; ".join(word for word in details if word)
        number = f" [{sources.index(first.source) + 1}]" if one_source else ""
        lines.append(indented(Text(f"{words}{number}".strip(), QUIET)))
    return lines


def line_table(of_line: Sequence[Shown], sources: Sequence[str], wide: int) -> RenderableType:
    """Return one handbook line with a row for each altitude; the name wraps first, the figures stay whole."""
    table = grid(max(12, min(30, wide - 44)), 18, None)
    for place, row in enumerate(of_line):
        number = f" [{sources.index(row.source) + 1}]" if sources else ""
        certainty = "" if row.status == "verified" else f" ({CERTAINTY[row.status]})"
        cells = (Text(row.altitude), Text(f"{row.process}{certainty}{number}"))
        table.add_row(Text(row.key if place == 0 else "", "bold"), *cells)
    return table


def other_lines(found: Sequence[OtherRow], sources: Sequence[str]) -> list[RenderableType]:
    """Return the rows of the other tables, a line each."""
    lines: list[RenderableType] = []
    for row in found:
        note = f": {row.note}" if row.note else ""
        name, number = row.table.replace("_", " "), sources.index(row.source) + 1
        lines.append(indented(Text(f"{name}, {row.key} ({CERTAINTY[row.status]}) [{number}]{note}")))
    return lines


def handbook_json(answer: Answer) -> str:
    """
    Return the answer as one JSON object: `not_safe`, `handbook`, `other`, `practice` and `cautions` are lists.

    `ends` is text: where the tables end.

    Minutes, pounds and altitudes (ft) are numbers, null where a row has none.
    """
    return text(
        {
            "not_safe": [asdict(one) for one in answer.not_safe],
            "handbook": [asdict(row) | {"canned": row.method in CANNED} for row in answer.shown],
            "other": [asdict(row) for row in answer.other],
            "practice": [
                {name: row[name] for name in ("habit", "published", "planned", "source")} for row in answer.practice
            ],
            "cautions": [{"text": caution.text, "source": caution.source} for caution in answer.cautions],
            "ends": answer.ends or None,
        }
    )


def altitude_ft(text: str) -> float:
    """
    Return an altitude in feet. Raises CommandWrong without a unit (1,500 m are nearly 5,000 ft), or for no altitude.

    >>> altitude_ft("2300ft"), round(altitude_ft("700 m"))
    (2300.0, 2297)
    """
    msg = f"{text} is not an altitude. Type it as 2300ft or 700m."
    try:
        refuse_two_altitudes(text)
    except MeasureWrong as wrong:
        raise CommandWrong(str(wrong)) from None
    try:
        amount = amount_from(text)
        if amount.unit is not None and in_base(amount.number, amount.unit, "length", "ft") <= HIGHEST_FT:
            return in_base(amount.number, amount.unit, "length", "ft")
    except MeasureWrong:
        raise CommandWrong(msg) from None
    if amount.unit is None:
        msg = f"{text} may be feet or meters, and canning times depend on it. Type {text}ft or {text}m."
    raise CommandWrong(msg)
