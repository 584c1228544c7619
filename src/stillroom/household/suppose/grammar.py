"""The grammar of changes: every form with its pattern, an example, and the function that makes the change."""

from __future__ import annotations

import difflib
import re
import textwrap
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from stillroom.household.names import tidy_text
from stillroom.household.records import Household
from stillroom.household.suppose import stocks, targets
from stillroom.household.suppose.lookup import ChangeWrong, wrong

AMOUNT = r"(?![\d.,]+\s*%)[\d.,/½⅓⅔¼¾⅛⅜⅝⅞]+(?:(?!\s[-+−]\s*\d).)*?"
"""A figure with what follows it; not the 5% of a name, nor a figure before another sign."""
SIGN = r"(?P<sign>[-+−]?)\s*"
DAY = r"(?P<day>[\w-]+)"
NAME = r"(?P<name>.+?)"
SETTING = (
    r"(?P<name>spending limit|burners|altitude|gauge|effort|fill targets evenly|most to freeze in a day"
    r"|setup minutes|most preserves in a day|latest end|share of hours kept free)"
)


@dataclass(frozen=True)
class Form:
    """
    One form of a change: its shape for the help page, an example, and what makes the new household of it.

    `make` raises ChangeWrong when the words are right but what they name is not there.
    """

    shape: str
    means: str
    example: str
    pattern: re.Pattern[str]
    make: Callable[[Household, re.Match[str]], tuple[Household, str]]

    @property
    def exact(self) -> bool:
        """Return whether the form has words of its own, so that an error is in its names and figures."""
        return self.shape not in ("HOURS DAY N", "STOCK +N", "CROP +N on DAY", "CROP xN")


def form(
    shape: str, means: str, example: str, pattern: str, make: Callable[[Household, re.Match[str]], stocks.Changed]
) -> Form:
    """Build a form; capitals do not matter in its words."""
    return Form(shape, means, example, re.compile(pattern, re.IGNORECASE), make)


FORMS: tuple[Form, ...] = (
    form(
        "SETTING VALUE",
        "a setting of Kitchen: altitude, gauge, burners, effort, spending limit and others",
        "altitude 5200 ft",
        rf"{SETTING}\s+(?P<value>.+)",
        targets.setting,
    ),
    form(
        "plan for HARVEST",
        "which seasons the plan must fit: likely harvest, all harvests or worst harvest",
        "plan for all harvests",
        r"plan(?:ned)? for(?: the)? (?P<which>.+)",
        targets.planned_for,
    ),
    form(
        "PRESERVE: keep at N on DAY",
        "a number under Keep at in Plan",
        "juice, quart: keep at 14 on Thu",
        rf"{NAME}\s*:\s*keep\s+at\s+(?P<amount>{AMOUNT})\s+on\s+{DAY}",
        targets.fixed,
    ),
    form("STOCK price P", "another price", "lemon juice price 3.20", rf"{NAME}\s+price\s+(?P<price>\S+)", stocks.price),
    form(
        "STOCK can buy N",
        "how much you can buy: a number, yes or no",
        "quart jars can buy 24",
        rf"{NAME}\s+can buy\s+(?P<much>.+)",
        stocks.can_buy,
    ),
    form(
        "EQUIPMENT free from DAY",
        "equipment that is free only from that day on",
        "dryer free from Wed",
        rf"{NAME}\s+free from\s+{DAY}",
        targets.free_from,
    ),
    form(
        "CROP keeps N days",
        "how many days it keeps",
        "plum tomato keeps 3 days",
        rf"{NAME}\s+keeps\s+(?P<figure>\S+)(?:\s+days?)?",
        targets.keeps,
    ),
    form(
        "TARGET wanted N",
        "how much is wanted; also: at most N, importance N",
        "tomato juice wanted 40",
        rf"{NAME}\s+(?P<what>wanted|at most|importance)\s+(?P<figure>\S+)",
        targets.wanted,
    ),
    form("no PRESERVE", "not made; also a whole target", "no salsa", rf"no\s+{NAME}", targets.not_made),
    form(
        "include PRESERVE",
        "may be planned, if the handbook allows it",
        "include corn, pint",
        rf"include\s+{NAME}",
        targets.made_too,
    ),
    form(
        "THING gone",
        "none of it: equipment, a crop, a stock",
        "pressure canner gone",
        rf"{NAME}\s+gone",
        stocks.gone,
    ),
    form(
        "CROP xN",
        "that many times as much in every fresh lot; also a target",
        "plum tomato x1.5",
        rf"{NAME}\s*(?:\s[x×*]\s*|\stimes\s+)(?P<factor>[\d.,/½¼¾]+)",
        stocks.times,
    ),
    form(
        "HOURS DAY N",
        "hands-on hours (hands), of one person (hands: person A), or hours the stove is free (stove): N, +N, -N or xN;"
        " for a day, every day or later weeks",
        "hands Sat 0",
        r"(?P<name>\w[\w :.'’-]*?)(?:\s+(?P<days>(?:on\s+)?(?:mon|tue|wed|thu|fri|sat|sun|every day|each day"
        r"|later weeks|each later week)[\w ,]*?))?\s+(?P<sign>[-+−x×]?)\s*(?P<figure>[\d.,/½¼¾]+)(?:\s*h(?:ours?)?)?",
        targets.hours,
    ),
    form(
        "STOCK +N",
        "more (+N), less (-N) or exactly N: containers, lids, pantry, equipment, freezer and other space",
        "quart jars +24",
        rf"{NAME}\s+{SIGN}(?P<amount>{AMOUNT})(?P<day>(?!))?",
        stocks.more_or_less,
    ),
    form(
        "CROP +N on DAY",
        "more (or -N less) of a crop on that day; without a day: today",
        "plum tomato +53 lb on Sat",
        rf"{NAME}\s+{SIGN}(?P<amount>{AMOUNT})\s+on\s+{DAY}",
        stocks.more_or_less,
    ),
)
"""Every form, the more exact ones first."""


def help_page() -> str:
    """
    The grammar on one page, made of the forms themselves.

    >>> print(help_page().splitlines()[2])
      altitude 5200 ft                    a setting of Kitchen: altitude, gauge,
    """
    lines = ["Changes use the names in your workbook (jars or jar, capitals or not):", ""]
    for one in FORMS:
        means = textwrap.wrap(one.means, 40)
        lines.append(f"  {one.example:<36}{means[0]}")
        lines += [f"  {'':<36}{more}" for more in means[1:]]
    lines += ["", "Several changes make one case. The word vs begins another case."]
    return "\n".join(lines)


# A change in plain words made to a household, or an error with what may have been meant.

__all__ = ["ALL_OF_THEM", "ChangeWrong", "changed"]

ALL_OF_THEM = "To see how to write changes, run: stillroom suppose FILE.xlsx --changes"


def changed(household: Household, text: str) -> tuple[Household, str]:
    """
    Return the household with one change made, and the change as it was understood.

    `household` is as counted, before the handbook has settled it: what the published tables refuse is refused again
    when it is settled after the change.

    >>> from stillroom.household.examples import tiny_household
    >>> changed(tiny_household(), "quart jars +24")[1]
    'quart jar: 36 instead of 12'
    >>> changed(tiny_household(), "quart jras +24")
    Traceback (most recent call last):
    stillroom.household.suppose.lookup.ChangeWrong: quart jras +24: no ... is called "quart jras"; did you mean ...

    Raises ChangeWrong.
    """
    typed = tidy_text(text)
    errors: list[tuple[bool, ChangeWrong]] = []
    for form in FORMS:
        found = form.pattern.fullmatch(typed)
        if found is None:
            continue
        try:
            return form.make(household, found)
        except ChangeWrong as error:
            errors.append((form.exact, error))
    if errors:
        msg = f"{typed}: {max(reversed(errors), key=_how_near)[1]}"
        raise ChangeWrong(msg)
    near = nearest_example(typed)
    msg = f'"{typed}" is not a change. Type one such as "{near}". {ALL_OF_THEM}'
    raise ChangeWrong(msg)


def _how_near(exact_and_error: tuple[bool, ChangeWrong]) -> tuple[bool, bool, bool]:
    """Return how near an error is to what was meant: an exact form, a likely name, a name that was found."""
    exact, error = exact_and_error
    return exact, bool(error.suggestion), not error.unknown_name


def nearest_example(text: str) -> str:
    """Return the example most like what was typed."""
    examples = [form.example for form in FORMS]
    return max(examples, key=lambda example: difflib.SequenceMatcher(None, text.casefold(), example).ratio())


# Several changes as one case, several cases side by side.

BETWEEN = "vs"


@dataclass(frozen=True)
class Case:
    """One case: its name, the changes as typed and as understood, and the household so changed, not settled yet."""

    name: str
    typed: tuple[str, ...]
    understood: tuple[str, ...]
    household: Household


def cases_from(household: Household, words: Sequence[str]) -> tuple[Case, ...]:
    """
    Return the cases of a row of changes; the word vs separates cases, a semicolon separates changes.

    >>> from stillroom.household.examples import tiny_household
    >>> [case.name for case in cases_from(tiny_household(), ["quart jar +6", "hands Sat 0", "vs", "dryer gone"])]
    ['quart jar +6; hands Sat 0', 'dryer gone']

    Raises ChangeWrong with every change that cannot be read.
    """
    groups: list[list[str]] = [[]]
    for word in words:
        if word.strip().casefold() in (BETWEEN, f"{BETWEEN}."):
            groups.append([])
        else:
            groups[-1] += [part.strip() for part in word.split(";") if part.strip()]
    if len(groups) > 1 and not all(groups):
        raise wrong("there is no change next to a vs", "type a change on both sides of it")
    found, errors = [], []
    for group in groups:
        try:
            found.append(case_of(household, group))
        except ChangeWrong as error:
            errors.append(str(error))
    if errors:
        raise ChangeWrong("\n".join(errors))
    return tuple(found)


def case_of(household: Household, typed: Sequence[str], name: str = "") -> Case:
    """One case of all these changes, each made after the one before it. Raises ChangeWrong with every wrong one."""
    now, understood, errors = household, [], []
    for text in typed:
        try:
            now, words = changed(now, text)
            understood.append(words)
        except ChangeWrong as error:
            errors.append(str(error))
    if errors:
        raise ChangeWrong("\n".join(errors))
    return Case(name or "; ".join(typed) or "now", tuple(typed), tuple(understood), now)
