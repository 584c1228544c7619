"""The words of `handbook` in the terminal and as JSON: what the published tables say, each figure with its source."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from functools import partial

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.errors import CommandWrong
from stillroom.handbook.cautions import Caution, cautions_for_lines
from stillroom.handbook.lookup import Elsewhere, Shown, elsewhere, jar_named, practice, rows
from stillroom.handbook.processes import CANNED, DIAL_TOP_FT, TABLE_TOP_FT
from stillroom.handbook.safety.equipment import GAUGES
from stillroom.handbook.tables import STATUSES, Row
from stillroom.household.amounts import amount_from
from stillroom.household.text import format_number
from stillroom.household.units import MeasureWrong, in_base
from stillroom.reports.json import text
from stillroom.reports.terminal.lists import QUIET, Fitted, grid, heading, indented, spaced

LAST_WORD = (
    "These are facts to plan by and no recipes: the current published guide and your extension service or food "
    "authority come first."
)
MANY = 60
"""An answer of more rows than this says how to ask for fewer."""
NOTHING = "The published tables in this handbook have nothing on that."


@dataclass(frozen=True)
class Asked:
    """What was asked of the handbook, and everything it says to that."""

    shown: tuple[Shown, ...]
    elsewhere: tuple[Elsewhere, ...]
    practice: tuple[Row, ...]
    cautions: tuple[Caution, ...]
    ends: str = ""
    hint: str = ""


def ask(
    food: str | None = None,
    altitude: str | None = None,
    gauge: str | None = None,
    jar: str | None = None,
    status: str | None = None,
) -> Asked:
    """
    Look up what the tables say.

    Raises CommandWrong for an altitude, gauge, jar or status that is none.
    """
    size = None if jar is None else jar_named(jar)
    if jar is not None and size is None:
        msg = f"{jar} is no jar of the tables; write half-pint, pint, quart or half-gallon"
        raise CommandWrong(msg)
    height = None if altitude is None else height_ft(altitude)
    chosen = one_of(gauge, GAUGES, "gauge")
    sure = one_of(status, STATUSES, "status")
    shown = rows(food, height, chosen, size, sure)
    return Asked(
        shown,
        elsewhere(food, sure) if sure is not None and sure != "verified" else (),
        practice(food) if sure in (None, "practice") else (),
        cautions_for_lines({row.key for row in shown}, dial=any(row.gauge == "dial" for row in shown)),
        where_the_tables_end(height, chosen),
        hint(food, shown) if (altitude, gauge, jar, status) == (None,) * 4 else there_is(food, shown),
    )


def hint(food: str | None, shown: Sequence[Shown]) -> str:
    """Say how to see less, where the answer is long."""
    if len(shown) <= MANY:
        return ""
    name = f"'{food}'" if food and " " in food else food
    return f"For your kitchen alone: stillroom handbook {name or 'FOOD'} --altitude 2300ft --gauge dial --jar quart"


def there_is(food: str | None, shown: Sequence[Shown]) -> str:
    """
    Say which ways and jars there are of a food, where nothing answers to the rest of what was asked.

    >>> there_is("cucumbers", ())
    'There is on cucumbers: boiling-water canned (pint, quart); fermented.'
    >>> there_is("moonstones", ())
    ''
    """
    every = () if shown or food is None else rows(food, None, None, None, None)
    methods: dict[str, dict[str, None]] = {}
    for row in every:
        methods.setdefault(row.method, {}).update({row.jar: None} if row.jar else {})
    said = [f"{method} ({', '.join(jars)})" if jars else method for method, jars in methods.items()]
    return f"There is on {food}: {'; '.join(said)}." if said else ""


def one_of(typed: str | None, words: Sequence[str], what: str) -> str | None:
    """
    Read a word that must be one of a few; None when it was not typed.

    >>> one_of("Dial", ("dial", "weighted"), "gauge")
    'dial'
    """
    if typed is None or typed.strip().casefold() in words:
        return None if typed is None else typed.strip().casefold()
    msg = f"{typed} is no {what}; write {' or '.join((', '.join(words[:-1]), words[-1]))}"
    raise CommandWrong(msg)


def where_the_tables_end(altitude_ft: float | None, gauge: str | None) -> str:
    """
    Say that a height lies above the tables; empty when it does not, or none was asked.

    >>> where_the_tables_end(10_500, None)
    'The process tables end at 10,000 ft: above that nothing is canned.'
    """
    if altitude_ft is None or altitude_ft <= DIAL_TOP_FT:
        return ""
    if altitude_ft > TABLE_TOP_FT:
        return f"The process tables end at {format_number(TABLE_TOP_FT)} ft: above that nothing is canned."
    if gauge == "weighted":
        return ""
    return f"The tables for a dial gauge end at {format_number(DIAL_TOP_FT)} ft: above that use a weight."


def handbook_page(asked: Asked) -> RenderableType:
    """The rows by way, then habits and cautions, the sources numbered and named; what is from memory is marked."""
    if not (asked.shown or asked.elsewhere or asked.practice):
        return spaced([Text(words) for words in (NOTHING, asked.ends, asked.hint) if words])
    sources = list(dict.fromkeys(source_names(asked)))
    methods = dict.fromkeys(row.method for row in asked.shown)
    parts: list[RenderableType] = [
        Group(heading(method), *method_lines([row for row in asked.shown if row.method == method], sources))
        for method in methods
    ]
    parts += [Text(asked.ends)] if asked.ends else []
    parts += [Group(heading("Other rows"), *other_lines(asked.elsewhere, sources))] if asked.elsewhere else []
    if asked.practice:
        parts.append(
            Group(heading("Common practice, no source"), *(indented(Text(habit(row))) for row in asked.practice))
        )
    if asked.cautions:
        said = (f"{caution.text} [{sources.index(caution.source) + 1}]" for caution in asked.cautions)
        parts.append(Group(heading("Cautions"), *(indented(Text(words)) for words in said)))
    listed = [indented(Text(f"[{number}] {source}", QUIET)) for number, source in enumerate(sources, start=1)]
    last = [Text(words) for words in (LAST_WORD, asked.hint) if words]
    return spaced([*parts, Group(heading("Sources"), *listed), *last])


def source_names(asked: Asked) -> Iterator[str]:
    """Every source that is shown, in the order it is first named."""
    yield from (row.source for row in asked.shown)
    yield from (row.source for row in asked.elsewhere)
    yield from (caution.source for caution in asked.cautions)


def habit(row: Row) -> str:
    """Say a habit, what is published, and what the plan does."""
    return f"{row['says']}. Published: {row['published']}. Here: {row['planned']}."


def method_lines(shown: Sequence[Shown], sources: Sequence[str]) -> list[RenderableType]:
    """Each handbook line with a row for each height, then what else is known of it."""
    lines: list[RenderableType] = []
    for key in dict.fromkeys(row.key for row in shown):
        several = [row for row in shown if row.key == key]
        lines.append(Fitted(partial(line_table, several, sources)))
        besides = [several[0].crop, f"{several[0].headspace} headspace" if several[0].headspace else ""]
        besides += [f"keeps {several[0].keeps}" if several[0].keeps else "", several[0].note]
        lines.append(indented(Text("; ".join(word for word in besides if word), QUIET)))
    return lines


def line_table(several: Sequence[Shown], sources: Sequence[str], wide: int) -> RenderableType:
    """One handbook line with a row for each height; its name gives way first, the figures stay whole."""
    table = grid(max(12, min(36, wide - 40)), 18, None)
    table.columns[0].justify = "left"
    for place, row in enumerate(several):
        sure = "" if row.status == "verified" else f", {row.status}"
        says = f"{row.says} [{sources.index(row.source) + 1}]{sure}"
        table.add_row(Text(row.key if place == 0 else "", "bold"), Text(row.altitude), Text(says))
    return table


def other_lines(found: Sequence[Elsewhere], sources: Sequence[str]) -> list[RenderableType]:
    """Rows of the other tables, a line each."""
    lines: list[RenderableType] = []
    for row in found:
        note = f": {row.note}" if row.note else ""
        words = f"{row.table.replace('_', ' ')}, {row.key} [{sources.index(row.source) + 1}], {row.status}{note}"
        lines.append(indented(Text(words)))
    return lines


def handbook_json(asked: Asked) -> str:
    """
    The same as one JSON object: `handbook`, `elsewhere`, `practice` and `cautions` are lists of objects, `ends` text.

    Minutes, pounds and altitudes (ft) are numbers, null where a row has none.
    """
    return text(
        {
            "handbook": [asdict(row) | {"canned": row.method in CANNED} for row in asked.shown],
            "elsewhere": [asdict(row) for row in asked.elsewhere],
            "practice": [
                {name: row[name] for name in ("says", "published", "planned", "source")} for row in asked.practice
            ],
            "cautions": [{"text": caution.text, "source": caution.source} for caution in asked.cautions],
            "ends": asked.ends or None,
        }
    )


def height_ft(text: str) -> float:
    """
    A height above sea level in feet; a bare number may be either, and is refused: 1,500 m are nearly 5,000 ft.

    Raises CommandWrong for anything that is no height.

    >>> height_ft("2300ft"), round(height_ft("700 m"))
    (2300.0, 2297)
    """
    msg = f"{text} is no height; write it as 2300ft or 700m"
    try:
        amount = amount_from(text)
    except MeasureWrong:
        raise CommandWrong(msg) from None
    if amount.unit is None:
        msg = f"{text} may be feet or metres, and canning times hang on it; write {text}ft or {text}m"
        raise CommandWrong(msg)
    try:
        return in_base(amount.number, amount.unit, "length", "ft")
    except MeasureWrong:
        raise CommandWrong(msg) from None
