"""Look up a food in the handbook: process rows, keeping and figures, each with its source and status."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from stillroom.handbook.foods import LOW_ACID, kinds_named
from stillroom.handbook.jars import JARS, headspaces
from stillroom.handbook.keeping import DAYS_A_MONTH, format_months
from stillroom.handbook.lines import Line, Process, at_altitude, by_line, lines
from stillroom.handbook.names import holds_phrase, plain, tokens, with_letters
from stillroom.handbook.tables import TABLES, Row, listed, table


@dataclass(frozen=True)
class Shown:
    """One row of the handbook for a reader; `note` is for the cook, `data_note` is how the figure was read."""

    key: str
    method: str
    jar: str
    altitude: str
    process: str
    headspace: str
    crop: str
    keeps: str
    source: str
    status: str
    note: str = ""
    data_note: str = ""
    minutes: float | None = None
    pressure_lb: float | None = None
    gauge: str = ""
    option: str = ""
    altitude_min_ft: int | None = None
    altitude_max_ft: int | None = None


@dataclass(frozen=True)
class OtherRow:
    """A row of a table without processes or lines (acid, recipe, weight, fact), with its source and status."""

    table: str
    key: str
    source: str
    status: str
    note: str


JAR_WORDS = {"litre": "quart", "liter": "quart", "l": "quart", "qt": "quart", "pt": "pint", "cup": "half-pint"}
"""Other words for a jar of the tables; a liter counts as a quart."""

LINE_TABLES = ("process_boiling_water", "process_pressure", "kept", "products", "practice")
WORD_TABLES = ("accepted", "other_foods", "rare_names", "general_words", "behind_a_food")
SHORTEST_WORD = 4
"""Letters; a shorter word of a product, such as `or`, is no suggestion."""


def jar_named(text: str) -> str | None:
    """
    Return the jar of the tables that a text names, or None.

    >>> jar_named("Quarts"), jar_named("liter"), jar_named("half pint"), jar_named("bucket")
    ('quart', 'quart', 'half-pint', None)
    """
    words = " ".join(tokens(text))
    words = JAR_WORDS.get(words, words)
    return next((jar for jar in JARS if " ".join(tokens(jar)) == words), None)


def other_rows(food: str | None = None, status: str | None = None) -> tuple[OtherRow, ...]:
    """
    Return the rows with this status in the tables that `rows` does not show, for one food or all.

    >>> {row.table for row in other_rows("tomato", "memory")} >= {"proportions"}
    True
    """
    return tuple(
        OtherRow(name, row["key"], row["source"], row["status"], row["note"])
        for name in TABLES
        if name not in (*LINE_TABLES, *WORD_TABLES)
        for row in table(name)
        if (status is None or row["status"] == status) and (food is None or _mentions(row["key"], food))
    )


@dataclass(frozen=True)
class NotSafe:
    """Something the publications advise against, or have no process for: why, what to do instead, and who says so."""

    what: str
    why: str
    instead: str
    source: str
    status: str


def not_safe_to_can(food: str) -> tuple[NotSafe, ...]:
    """
    Return what the publications advise against canning of all that a text names; empty when nothing is.

    Source: the rows of the advised_against table; a low-acid food without a canning line, of its own or in a mixture,
    is named by its row of the foods table.

    >>> [one.what for one in not_safe_to_can("mashed pumpkin")], not_safe_to_can("plum tomatoes")
    (['mashed pumpkin or winter squash'], ())
    >>> [one.why for one in not_safe_to_can("bananas")]
    ['no canning process was found for bananas, and they count as low-acid']
    """
    is_product = any(tokens(food) == tokens(line.product) for line in lines().values())
    named = frozenset[str]() if is_product else kinds_named(food)
    canned = frozenset[str]().union(*(line.foods | line.also for line in lines().values() if line.canned))
    texts = (food, *with_letters(food))
    advised = [row for row in table("advised_against") if _is_advised_against(row, named, canned, texts)]
    if advised:
        return tuple(
            NotSafe(row["key"], row["advice"], row["instead"], row["source"], row["status"]) for row in advised
        )
    return tuple(
        NotSafe(
            row["food"],
            f"no canning process was found for {row['food']}, and they count as low-acid",
            "Freeze it, or keep it as the current guide of your extension service says",
            row["source"],
            row["status"],
        )
        for row in table("foods")
        if row["food"] in named - canned and row["acidity"] == LOW_ACID
    )


def _is_advised_against(row: Row, named: frozenset[str], canned: frozenset[str], texts: Sequence[str]) -> bool:
    """Return whether a row is about what a text names: by its words, its foods, or both."""
    foods = frozenset(listed(row["foods"]))
    if row["test"] == "item":
        return bool(named & foods)
    if row["test"] == "only food":
        return bool(named) and named <= foods
    words = set(tokens(texts[0])).union(*(tokens(text) for text in texts))
    is_said = any(
        holds_phrase(tokens(text), tokens(phrase)) or (" " in phrase and words >= set(tokens(phrase)))
        for text in texts
        for phrase in listed(row["words"])
    )
    in_words = any(words & set(tokens(one)) for one in foods)
    return is_said and (
        not foods or in_words or bool(named & foods) or (row["test"] == "item name" and not named <= canned)
    )


def practice(food: str | None = None) -> tuple[Row, ...]:
    """Return the common practices about a food, or all; they have no source."""
    return tuple(
        row
        for row in table("practice")
        if food is None or any(line.product == row["product"] and _fits(line, food, None) for line in lines().values())
    )


def nearest_food(text: str) -> str | None:
    """
    Return the food or product of the handbook that was probably meant; None when none is close or the food is known.

    >>> nearest_food("tomatto"), nearest_food("spinnach"), nearest_food("ketchupp"), nearest_food("moonstones")
    ('tomato', 'spinach', 'ketchup', None)
    """
    if tokens(text) in {tokens(name) for name in _names()}:
        return None
    near = difflib.get_close_matches(plain(text), _names(), n=1, cutoff=0.7)
    return _names()[near[0]] if near else None


@lru_cache(maxsize=1)
def _names() -> Mapping[str, str]:
    """
    Return what a question may name, by its plain spelling: foods, their other words, products and words of products.

    Foods without a process are among them: elderberries misspelled are not to be taken for berries.
    """
    words_of = [name for row in table("accepted") if not row["needs"] for name in listed(row["words"])]
    foods = [*(row["food"] for row in table("foods")), *words_of]
    products = dict.fromkeys(line.product for line in lines().values())
    words = [word for name in products for word in plain(name).split() if len(word) >= SHORTEST_WORD]
    return {plain(name): name for name in reversed((*foods, *products, *words))}


def _mentions(text: str, food: str) -> bool:
    wanted = kinds_named(food)
    return bool(wanted & kinds_named(text)) if wanted else plain(food) in plain(text)


def rows(
    food: str | None = None,
    altitude_ft: float | None = None,
    gauge: str | None = None,
    jar: str | None = None,
    status: str | None = None,
) -> tuple[Shown, ...]:
    """
    Return the rows of the handbook for a food, altitude, gauge, jar and status; None selects all.

    An altitude selects one row of each altitude table; above the tables there is none. A food that matches nothing is
    searched for in the keys.

    >>> found = rows("plum tomatoes", 2300, jar="quart")
    >>> [row.process for row in found if row.key == "tomato juice, hot pack, quart"]
    ['45 min']
    """
    return tuple(
        shown
        for line in lines().values()
        if _fits(line, food, jar)
        for shown in _of_line(line, altitude_ft, gauge)
        if status is None or shown.status == status
    )


def _fits(line: Line, food: str | None, jar: str | None) -> bool:
    if jar is not None and plain(line.jar) != plain(jar):
        return False
    if food is None:
        return True
    wanted = kinds_named(food)
    return bool(wanted & line.foods) if wanted else plain(food) in plain(line.key)


def _of_line(line: Line, altitude_ft: float | None, gauge: str | None) -> Iterator[Shown]:
    if not line.canned:
        yield Shown(
            line.key, line.method, "", "", _process(line), "", _crop(line), _keeps(line), line.source, line.status,
            line.note, line.data_note,
        )  # fmt: skip
        return
    found = [row for row in by_line()[line.key] if gauge is None or not row.gauge or row.gauge == gauge]
    if altitude_ft is not None:
        found = [row for one in ("dial", "weighted") for row in at_altitude(found, altitude_ft, one)]
        found = list(dict.fromkeys(found))
    for row in found:
        note = "; ".join(dict.fromkeys(text for text in (row.note, line.note) if text))
        yield Shown(
            line.key, line.method, line.jar, _band(row), row.text, _headspace(line), _crop(line), _keeps(line),
            row.source, row.status, note, row.data_note, row.minutes, row.pressure_lb, row.gauge, row.option,
            row.altitude_min_ft, row.altitude_max_ft,
        )  # fmt: skip


def _band(row: Process) -> str:
    return f"{row.altitude_min_ft:,} to {row.altitude_max_ft:,} ft"


def _process(line: Line) -> str:
    """Return the process of a line that is not canned."""
    found = []
    if line.hours_low is not None:
        found.append(f"{line.hours_low:g} to {line.hours_high:g} h{' at 140 °F' if line.method == 'dried' else ''}")
    if line.weeks_low is not None:
        found.append(f"{line.weeks_low:g} to {line.weeks_high:g} weeks")
    if line.state:
        found.append(line.state)
    if "conditioning" in line.until:
        found.append(line.until.split(", ")[-1])
    return "; ".join(found)


def _crop(line: Line) -> str:
    """Return the pounds of crop for one container."""
    if line.crop_lb_each is None:
        return ""
    dried = line.container == "lb dried"
    return f"{round(line.crop_lb_each, 1):g} lb per {'dried lb' if dried else line.container}"


def _keeps(line: Line) -> str:
    """Return how long a line keeps: its usual months and the most, in days when under a month."""
    usual = line.keeps_months
    if usual is None:
        return ""
    most = line.keeps_months_most or usual
    if format_months(most) == format_months(usual):
        return format_months(most)
    least = usual if most >= 1 else round(usual * DAYS_A_MONTH)
    return f"{least:g} to {format_months(most)}"


def _headspace(line: Line) -> str:
    """Return the headspace of a canned line, as `1/2 inch`."""
    found = headspaces().get(line.product)
    return found.text if found is not None else ""
