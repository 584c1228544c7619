"""The plan at a glance: today, tomorrow, what to buy, what will be short and what would help, this week, surplus."""

from __future__ import annotations

import datetime
from collections.abc import Iterable

from stillroom.household.records import Kitchen
from stillroom.household.results.bottlenecks import WouldHelp
from stillroom.household.results.rows import Row, day_in, item_in, number_in, text_in
from stillroom.household.text import (
    format_amount,
    format_full_date,
    format_long_date,
    format_money,
    format_share,
)
from stillroom.reports.print.document import Block, Paper, Points, Section, Sentence
from stillroom.reports.terminal.lists import Tables, days_in, lines_of, short_line
from stillroom.reports.terminal.plan import (
    help_lines,
    missing_words,
    short_targets,
    spending_words,
    surplus_lines,
)


def plan_paper(
    title: str, tables: Tables, today: datetime.date, kitchen: Kitchen, helps: WouldHelp | None, warning: str = ""
) -> Paper:
    """Return the first page: what a cook asks of a plan, in that order; process times are on other pages."""
    days = days_in(tables, single=True)
    names = {today: "Today", today + datetime.timedelta(days=1): "Tomorrow"}
    sections = [
        Section(names.get(day, other), points(made(tables, day)), format_full_date(day))
        for day, other in zip(days, ("First day", "Next day"), strict=False)
    ]
    sections.append(Section("To buy", bought(tables, kitchen, helps), "what it is for: page To buy"))
    short = [f"{text_in(row, 'Target')}: {missing_words(row)} ({share(row)})" for row in short_targets(tables)]
    sections.append(Section("What will be short", points(short, "Nothing: every target is filled.")))
    aside, lines = help_lines(helps, "")
    if short and lines:
        sections.append(Section("What would help most", points(lines), aside))
    week = [f"{format_long_date(day)}: {'; '.join(made(tables, day)) or 'nothing planned'}" for day in days[2:]]
    if week:
        sections.append(Section("This week", points(week)))
    over = [f"{words}: {amounts}." for words, amounts in surplus_lines(tables)]
    if over:
        sections.append(Section("Surplus", points(over)))
    return Paper("plan", "The plan", title, tuple(sections), warning)


def points(lines: Iterable[str], none: str = "Nothing to put up.") -> tuple[Block, ...]:
    """Return lines with a dash each, or a sentence where there are none."""
    items = tuple((line, "") for line in lines)
    return (Points(items),) if items else (Sentence(none),)


def made(tables: Tables, day: datetime.date) -> list[str]:
    """
    Return what is made on a day.

    >>> day = datetime.date(2026, 8, 14)
    >>> made({"Plan": [{"Day": day, "Days": 1, "Preserve": "juice, quart", "Make": 7}]}, day)
    ['7 juice, quart']
    """
    return [short_line(row) for row in lines_of(tables, day, 1)]


def bought(tables: Tables, kitchen: Kitchen, helps: WouldHelp | None) -> tuple[Block, ...]:
    """Return what to buy, the soonest first, with the total and the spending limit."""
    rows = sorted(tables.get("Shopping", ()), key=lambda row: (day_in(row, "Needed by"), text_in(row, "Item")))
    cost = sum(number_in(row, "Cost") for row in rows)
    total = f"Total {format_money(cost)}." if rows else ""
    words = " ".join(filter(None, (total, spending_words(kitchen, cost, helps))))
    return (*points(map(buy_words, rows), "Nothing."), *([Sentence(words)] if words else []))


def buy_words(row: Row) -> str:
    """
    Return one thing to buy.

    >>> buy_words({"Item": "quart jar", "Buy": 24, "Unit": "jar", "Needed by": datetime.date(2026, 9, 12)})
    '24 quart jars by Sat Sep 12'
    """
    amount = number_in(row, "Buy")
    return (
        f"{format_amount(amount, text_in(row, 'Unit'))} {item_in(row)} by {format_long_date(day_in(row, 'Needed by'))}"
    )


def share(row: Row) -> str:
    """Return how far a target is filled."""
    return f"{format_share(number_in(row, 'Covered'))} filled"
