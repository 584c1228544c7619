"""What is entered of a day, what came from the shop included: each checked, counted once, and queued in a workbook."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stillroom.app.record.journal import (
    STARTS,
    Log,
    happened_cells,
    left_kitchen,
    name_first,
    preserves_and_crops,
    put_up,
    weighed,
)
from stillroom.errors import CommandWrong, Problem, WorkbookRefused
from stillroom.household.amounts import Amount, is_metric, parse_entry, typed_amount
from stillroom.household.journal import stocks
from stillroom.household.journal.stocks import stock_cards
from stillroom.household.names import Names, either, find_crop, find_preserve, find_stock, key, tidy_text, unknown
from stillroom.household.records import BOUGHT as BOUGHT_PREFIX
from stillroom.household.records import Container, Household, Lid, PantryItem, RecordRow
from stillroom.household.results.commands import Entry
from stillroom.household.text import format_long_date, format_number, plural
from stillroom.household.units import MeasureWrong, bare, find_unit, unit_of
from stillroom.reports.problems import line
from stillroom.workbook.ooxml.book import Book, Value
from stillroom.workbook.reader import household as read
from stillroom.workbook.writer.record import has_column, input_table, row_number

Stock = Container | Lid | PantryItem

STOCK_KINDS: dict[type[Stock], str] = {Container: "container", Lid: "lid", PantryItem: "pantry ingredient"}
"""What each stock is called."""

CARDS: dict[type[Stock], str] = {Container: "container", Lid: "lid", PantryItem: "pantry"}
"""The kind that a card of `count` has for each."""

KEYS = {"Containers": "Container", "Lids": "Lid", "Pantry": "Ingredient"}
"""The tables of what is bought, and in which column the name stands."""

SINGLY = ("each", "dozen")
"""Units that say how many jars there are; a box of them does not."""


def bought(path: Path, stock: str, amount: str, on: str | None, today: datetime.date) -> Entry:
    """
    Add to the record that so much of a container, a lid or a pantry ingredient was bought.

    Its row in the record is added to what was counted before that day or on it, and is part of a later count.
    Raises WorkbookRefused, CommandWrong, CouldNotWrite; nothing is changed then.
    """
    book = Book.open(path)
    typed, problems = read.household(book, today)
    log = Log(book, typed, today=today)
    return log.save(came_home(log, stock, amount, log.day(on), problems))


def came_home(log: Log, stock: str, amount: str, day: datetime.date, problems: Sequence[Problem]) -> list[str]:
    """
    Queue what was bought; what to say of it. `problems` are those of the workbook as it was read.

    Raises CommandWrong, and WorkbookRefused where the stock's own row cannot be read, with nothing queued.
    """
    book, typed = log.book, log.typed
    every: tuple[Stock, ...] = (*typed.containers, *typed.lids, *typed.pantry)
    stock, amount = name_first(Names("stock", (one.name for one in every)), stock, amount)
    refuse_unreadable(book, every, stock, problems)
    one = the_stock(typed, stock)
    number, unit = pantry_amount(log, amount, one) if isinstance(one, PantryItem) else (pieces(log, amount, one), "")
    row: dict[str, Value] = {"Date": day, "Made": number, **happened_cells(log, BOUGHT_PREFIX, one.name, one.name)}
    if unit and has_column(book, "Record", "Unit"):
        row["Unit"] = f"US {unit}" if log.metric and bare(unit, unit_of(unit)) else unit
    name = one.name if unit else plural(number, one.name)
    words = f"{much(number, unit)} {name} bought on {format_long_date(day)}"
    place, gone = log.added("Record", [row], words)
    said = [f"{words}: in the record at {place}."]
    came = RecordRow(day, BOUGHT_PREFIX + one.name, made=number, where=place)
    log.happened(came)
    return [*said, *gone, *there_now(typed, one, came, problems), *twice_words(typed, came), *shop_words(typed, one)]


def refuse_unreadable(book: Book, every: Sequence[Stock], text: str, problems: Sequence[Problem]) -> None:
    """Refuse a stock whose row is there but cannot be read; raises WorkbookRefused with what is wrong in that row."""
    if key(text) in {key(one.name) for one in every}:
        return
    for name in KEYS:
        table = input_table(book, name)
        named = table.column(KEYS[name]) if table is not None else None
        if table is None or named is None:
            continue
        cells = [row[named - table.first_column] for _, row in table.rows.filled()]
        places = [f"{table.sheet}!{cell.address}" for cell in cells if key(str(cell.value)) == key(text)]
        wrong = [problem for problem in problems if problem.stops and any(same_row(problem.where, at) for at in places)]
        if wrong:
            raise WorkbookRefused(wrong)


def the_stock(typed: Household, text: str) -> Stock:
    """The one stock of that name; raises CommandWrong with what may have been meant, or where it belongs."""
    tables: tuple[tuple[Stock, ...], ...] = (typed.containers, typed.lids, typed.pantry)
    found = [one for table in tables for one in table if key(one.name) == key(text)]
    if len(found) > 1:
        both = " and a ".join(STOCK_KINDS[type(one)] for one in found)
        msg = f'"{found[0].name}" is a {both}, and the record cannot tell them apart; give one of them another name'
        raise CommandWrong(msg)
    if found:
        return found[0]
    crop = Names("crop", (one.name for one in typed.crops)).find(text)
    if crop is not None:
        msg = f'"{crop}" is a crop; what you bought of it is a lot: enter it with "weigh"'
        raise CommandWrong(msg)
    preserve = Names("preserve", (one.name for one in typed.preserves)).find(text)
    if preserve is not None:
        msg = f'"{preserve}" is a preserve; write what you bought of it in Shelf, with the day in Made on'
        raise CommandWrong(msg)
    meant = find_stock(text, typed)
    if len(meant) == 1:
        return the_stock(typed, meant[0])
    names = [
        Names(STOCK_KINDS[kind], (one.name for one in table)) for kind, table in zip(STOCK_KINDS, tables, strict=True)
    ]
    raise CommandWrong("; ".join(unknown(text, *names, table=either(KEYS), meant=meant)))


def pieces(log: Log, text: str, one: Container | Lid) -> float:
    """
    How many jars or lids, whole ones; raises CommandWrong.

    `24`, `2 dozen`, `24 jars` and `24 lids` are understood; a box of them is not, for it does not say how many.
    """
    plain = without_word(text, one.name, one.kind if isinstance(one, Container) else "lid")
    try:
        unit = typed_amount(plain, metric=log.metric).unit
        counts_singly = unit is None or unit.name in SINGLY
    except MeasureWrong as wrong:
        if wrong.kind not in ("unknown unit", "unit of two sizes"):
            raise CommandWrong(str(wrong)) from None
        counts_singly = False
    if not counts_singly:
        msg = f'"{tidy_text(text)}" does not say how many {one.name}; write the number of them, such as 24'
        raise CommandWrong(msg)
    number = log.count(plain, f"{STOCK_KINDS[type(one)]}s")
    if number == 0:
        msg = f'"{tidy_text(text)}" is not more than nothing; write how many, such as 24'
        raise CommandWrong(msg)
    if number != round(number):
        msg = f"{format_number(number)} {one.name} cannot be; write how many whole ones"
        raise CommandWrong(msg)
    return log.not_too_large(Amount(number, None), text).number


def without_word(text: str, *words: str) -> str:
    """
    An amount without the word for what is counted, one or many.

    >>> without_word("24 quart jars", "quart jar", "jar"), without_word("2 dozen lids", "lid"), without_word("24", "")
    ('24', '2 dozen', '24')
    """
    plain = tidy_text(text).casefold()
    for word in sorted(filter(None, words), key=len, reverse=True):
        for form in (word.casefold(), f"{word.casefold()}s", f"{word.casefold()}es"):
            if plain.endswith(form) and plain[: -len(form)].strip():
                return plain[: -len(form)].strip()
    return plain


def pantry_amount(log: Log, text: str, item: PantryItem) -> tuple[float, str]:
    """How much of an ingredient, in the unit of its row, and that unit; raises CommandWrong."""
    amount = log.amount(text)
    unit = unit_of(item.unit)
    if amount.unit is None or amount.unit.name == unit.name:
        return amount.number, unit.name
    if not amount.unit.like(unit):
        kept = f'in which Pantry keeps "{item.name}"'
        msg = f'"{tidy_text(text)}" cannot be turned into {unit.name}, {kept}; write it in {unit.name}'
        raise CommandWrong(msg)
    number = float(f"{amount.number * amount.unit.factor * item.per_base:.12g}")
    return log.not_too_large(Amount(number, unit), text).number, unit.name


def much(number: float, unit: str) -> str:
    """
    An amount with its unit, or a number of things.

    >>> much(2.5, "cup"), much(24.0, ""), much(3.0, "each")
    ('2.5 cup', '24', '3')
    """
    return f"{format_number(number)} {unit}" if unit not in ("", "each") else format_number(number)


def there_now(typed: Household, one: Stock, came: RecordRow, problems: Sequence[Problem]) -> list[str]:
    """What there is of it now and out of what; or why that cannot be said."""
    wrong = [problem for problem in problems if problem.stops]
    if wrong:
        own = [line(problem) for problem in wrong if same_row(problem.where, one.where)]
        return [*own, 'Fix the errors that "check" lists to see how much you have now.']
    after = replace(typed, record=(*typed.record, came))
    card = next(card for card in stock_cards(after) if (card.kind, card.stock) == (CARDS[type(one)], one.name))
    counted, used, now = (much(number, card.unit) for number in (card.counted, card.used, card.should_be_now))
    if card.counted_on is not None and came.date < card.counted_on:
        return [f"It is part of the {counted} counted later, on {format_long_date(card.counted_on)}; {now} there now."]
    found = stocks.settle(after)[1]
    short = [line(problem) for problem in found if problem.kind == "stock below zero" and problem.where == one.where]
    on = "" if card.counted_on is None else f" on {format_long_date(card.counted_on)}"
    said = [f"{counted} counted{on}, {much(card.came, card.unit)} came, {used} used: {now} there now.", *short]
    if card.counted_on is None:
        said.append("Counted on is blank: write the day there, and take the row out if the count has these already.")
    elif card.counted_on == came.date:
        said.append("It was counted that same day: take the row out, if the count has these already.")
    return [*said, *(line(problem) for problem in found if lowered(problem, one))]


def same_row(where: str, other: str) -> bool:
    """
    Whether two places stand in one row of a sheet.

    >>> same_row("On hand!E3", "On hand!A3"), same_row("On hand!E4", "On hand!A3"), same_row("Record", "On hand!A3")
    (True, False, False)
    """
    if "!" not in where or "!" not in other or where.rpartition("!")[0] != other.rpartition("!")[0]:
        return False
    return row_number(where) == row_number(other)


def twice_words(typed: Household, came: RecordRow) -> list[str]:
    """Say where the same stock was bought on that day already."""
    before = [one for one in typed.record if (one.date, one.preserve) == (came.date, came.preserve)]
    return [
        f"{one.where} has {format_number(one.made)} bought that day already, and both are counted; "
        "take one of the rows out, if it is the same."
        for one in before[-1:]
    ]


def shop_words(typed: Household, one: Stock) -> list[str]:
    """What to enter or to write besides: lids that came with jars, a crop of that name."""
    said = []
    if isinstance(one, Container) and one.lid is not None:
        said.append(f'If lids came with them, enter those too: "{one.lid}".')
    if any(key(crop.name) == key(one.name) for crop in typed.crops):
        said.append('A crop has that name too: what you bought to put up is a lot, entered with "weigh".')
    return said


def lowered(problem: Problem, one: Stock) -> bool:
    """Whether a problem is about what is left of *Can buy* of a stock, or of the spending limit."""
    if problem.kind == "can buy lowered":
        return problem.where == one.where
    return problem.kind == "spending limit lowered" and one.price is not None


# What is entered of a day: its kinds, a list of them as it is typed, and each one checked and queued in a workbook.

MADE, CAME, BOUGHT = "made", "came", "bought"
_BELOW_ZERO = re.compile(r"(.*\S)\s+([-−]\s*\d+)")
KINDS = (MADE, CAME, "ate", BOUGHT, "gave", "spoiled", "surplus")
"""Everything that can be entered."""
_FIGURES = re.compile(r"[\d$]")
_SEPARATOR = re.compile(r"\s*(?:(?<!\d),|,(?!\d)|;)\s*|\s+(and)\s+")
"""What parts a list: no comma between figures, which is part of a number."""


@dataclass(frozen=True)
class Entered:
    """One thing entered: its kind, whose it is, how much, and when; `failed` are jars that did not seal."""

    kind: str
    name: str
    amount: str
    day: datetime.date
    failed: str | None = None


def enter(log: Log, entered: Entered, problems: Sequence[Problem] = ()) -> list[str]:
    """
    Check one thing and queue it; what to say of it. `problems` are those of the workbook.

    Raises CommandWrong or WorkbookRefused, with nothing queued.
    """
    if entered.kind == MADE:
        return put_up(log, entered.name, entered.amount, entered.day, failed=entered.failed)
    if entered.kind == CAME:
        return weighed(log, entered.name, entered.amount, entered.day)
    if entered.kind == BOUGHT:
        return came_home(log, entered.name, entered.amount, entered.day, problems)
    return left_kitchen(log, STARTS[entered.kind], entered.name, entered.amount, entered.day)


def finder(kind: str, household: Household) -> Callable[[str], tuple[str, ...]]:
    """Return what gives the one name of a kind that a text means, or the few it could."""
    of_kind = {MADE: find_preserve, CAME: find_crop, BOUGHT: find_stock}
    if kind in of_kind:
        return lambda text: of_kind[kind](text, household)
    exact = preserves_and_crops(household)

    def either(text: str) -> tuple[str, ...]:
        name = exact.find(text)
        return (name,) if name is not None else (*find_preserve(text, household), *find_crop(text, household))

    return either


def first_among(lines: Sequence[str], find: Callable[[str], tuple[str, ...]]) -> Callable[[str], tuple[str, ...]]:
    """
    Return what takes a name for one of the lines of the day where it could mean several things, or none.

    >>> several = {"salsa": ("salsa, pint", "salsa, quart")}
    >>> find = first_among(["sweet corn, pint", "salsa, pint"], lambda text: several.get(text, ()))
    >>> find("sweet corn"), find("salsa")
    (('sweet corn, pint',), ('salsa, pint',))
    """

    def meant(text: str) -> tuple[str, ...]:
        found = find(text)
        if len(found) == 1:
            return found
        near = [name for name in lines if name in found] or [
            name for name in lines if key(name).startswith((f"{key(text)},", f"{key(text)} "))
        ]
        return (near[0],) if len(near) == 1 else found

    return meant


def entered_list(
    kind: str, text: str, household: Household, day: datetime.date, lines: Sequence[str] = ()
) -> list[Entered]:
    """
    Read several things of a kind from one line: a name and an amount each, in either order, between commas or "and".

    A name may have these of its own, where it is one of the workbook's. `lines` are those of the plan that it may be
    short for. Raises CommandWrong.
    """
    find, metric = first_among(lines, finder(kind, household)), is_metric(household)
    return [
        Entered(kind, meant[0] if len(meant := find(name)) == 1 else name, amount, day)
        for name, amount in pairs_in(text, find, metric=metric)
    ]


def pairs_in(text: str, find: Callable[[str], tuple[str, ...]], *, metric: bool = False) -> list[tuple[str, str]]:
    """
    Take a list apart into names and amounts; `find` gives the names that words could mean.

    Raises CommandWrong where there is a name without an amount.

    >>> from stillroom.household.names import Names
    >>> find = Names("", ["plum tomato", "corn", "tomato juice, quart", "quart jar"]).meant
    >>> pairs_in("53 lb plum tomato, corn 3 dozen", find)
    [('plum tomato', '53 lb'), ('corn', '3 dozen')]
    >>> pairs_in("tomato juice, quart -1, 12 quart jars and 5lb pears", find)
    [('tomato juice, quart', '-1'), ('quart jars', '12'), ('pears', '5lb')]
    >>> pairs_in("a dozen corn, half a bushel pears", find)
    [('corn', 'a dozen'), ('pears', 'half a bushel')]
    >>> pairs_in("peas and carrots 3 and corn 2", Names("", ["corn", "peas and carrots"]).meant)
    [('peas and carrots', '3'), ('corn', '2')]
    >>> pairs_in("corn", find)
    Traceback (most recent call last):
    stillroom.errors.CommandWrong: "corn" has no amount that can be read; write such as corn 12
    >>> pairs_in("quart jars 12 for $16", find)
    Traceback (most recent call last):
    stillroom.errors.CommandWrong: "quart jars 12 for $16" has no amount that can be read; write such as quart jars 12
    """
    first, *more = _SEPARATOR.split(tidy_text(text))
    words = zip(["", *(" and " if word else ", " for word in more[::2])], [first, *more[1::2]], strict=True)
    parts = [(before, part) for before, part in words if part]
    found = []
    while parts:
        pairs = [one_pair(joined(parts[:n]), find, metric) for n in range(1, len(parts) + 1)]
        named = [n for n in range(len(parts), 1, -1) if is_one_name(pairs[n - 1], find)]
        many = named[0] if named else next((n for n, pair in enumerate(pairs, 1) if pair[1]), len(parts))
        name, amount = pairs[many - 1]
        if not amount:
            example = _FIGURES.split(name)[0].strip() or "corn"
            msg = f'"{name}" has no amount that can be read; write such as {example} 12'
            raise CommandWrong(msg)
        found.append((name, amount))
        del parts[:many]
    return found


def joined(parts: Sequence[tuple[str, str]]) -> str:
    """
    Return parts of a list as they were typed, each after what parts it from the one before.

    >>> joined([(", ", "peas"), (" and ", "carrots"), (", ", "pint 3")])
    'peas and carrots, pint 3'
    """
    return "".join(before + part for before, part in parts).removeprefix(parts[0][0])


def is_one_name(pair: tuple[str, str], find: Callable[[str], tuple[str, ...]]) -> bool:
    """Whether a pair has an amount, and the very name of one thing."""
    return bool(pair[1]) and [key(name) for name in find(pair[0])] == [key(pair[0])]


def one_pair(piece: str, find: Callable[[str], tuple[str, ...]], metric: bool) -> tuple[str, str]:
    """
    Return name and amount of one piece of a list; an amount below zero is that of jars that did not seal.

    >>> one_pair("12 lb corm", lambda name: (), False), one_pair("salsa -1", lambda name: (), False)
    (('corm', '12 lb'), ('salsa', '-1'))
    >>> one_pair("salsa 6 -1", lambda name: (), False)
    ('salsa', '6 -1')
    """
    below = _BELOW_ZERO.fullmatch(piece)
    if below is not None and is_one_name((below[1], below[2]), find):
        return below[1], below[2]
    name, amount = parse_entry(piece if below is None else below[1], find, metric=metric)
    if below is not None:
        return name, " ".join(part for part in (amount, below[2]) if part)
    unit, _, rest = name.partition(" ")
    return (rest, f"{amount} {unit}") if amount and rest and not find(name) and find_unit(unit) else (name, amount)
