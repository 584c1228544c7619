"""The grammar of changes on one page: every form with its pattern, an example, and what does it."""

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
"""A figure with what stands behind it; not the 5 % of a name, nor a figure before another sign."""
SIGN = r"(?P<sign>[-+−]?)\s*"
DAY = r"(?P<day>[\w-]+)"
NAME = r"(?P<name>.+?)"
SETTING = (
    r"(?P<name>spending limit|burners|altitude|gauge|fill targets evenly|most to freeze in a day"
    r"|setup minutes)"
)


@dataclass(frozen=True)
class Form:
    """
    One way to say a change: its shape for the help page, an example, and what makes the new household of it.

    `make` raises ChangeWrong when the words are right but what they name is not there.
    """

    shape: str
    means: str
    example: str
    pattern: re.Pattern[str]
    make: Callable[[Household, re.Match[str]], tuple[Household, str]]

    @property
    def exact(self) -> bool:
        """Whether the form has words of its own, so that what is wrong is with the names and figures in it."""
        return self.shape not in ("HOURS DAY N", "STOCK +N", "CROP +N on DAY", "CROP xN")


def form(
    shape: str, means: str, example: str, pattern: str, make: Callable[[Household, re.Match[str]], stocks.Changed]
) -> Form:
    """Build a form; capitals do not matter in its words."""
    return Form(shape, means, example, re.compile(pattern, re.IGNORECASE), make)


FORMS: tuple[Form, ...] = (
    form(
        "SETTING VALUE",
        "a setting of Kitchen: altitude, gauge, burners, spending limit and others",
        "altitude 5200 ft",
        rf"{SETTING}\s+(?P<value>.+)",
        targets.setting,
    ),
    form(
        "plan for HARVEST",
        "likely harvest, all harvests or worst harvest: which seasons the plan must suit",
        "plan for all harvests",
        r"plan(?:ned)? for(?: the)? (?P<which>.+)",
        targets.planned_for,
    ),
    form(
        "PRESERVE: fix N on DAY",
        "a fixed line, as typed in Plan",
        "tomato juice, quart: fix 14 on Thu",
        rf"{NAME}\s*:\s*fix\s+(?P<amount>{AMOUNT})\s+on\s+{DAY}",
        targets.fixed,
    ),
    form("STOCK price P", "another price", "lemon juice price 3.20", rf"{NAME}\s+price\s+(?P<price>\S+)", stocks.price),
    form(
        "STOCK can buy N",
        "how much can be bought: a number, yes or no",
        "quart jars can buy 24",
        rf"{NAME}\s+can buy\s+(?P<much>.+)",
        stocks.can_buy,
    ),
    form(
        "EQUIPMENT free from DAY",
        "free only from that day on",
        "dryer free from Wed",
        rf"{NAME}\s+free from\s+{DAY}",
        targets.free_from,
    ),
    form(
        "CROP keeps N days",
        "keeps so long",
        "plum tomato keeps 3 days",
        rf"{NAME}\s+keeps\s+(?P<figure>\S+)(?:\s+days?)?",
        targets.keeps,
    ),
    form(
        "NEED wanted N",
        "so much wanted; also: at most N, importance N",
        "tomato juice wanted 40",
        rf"{NAME}\s+(?P<what>wanted|at most|importance)\s+(?P<figure>\S+)",
        targets.wanted,
    ),
    form("no PRESERVE", "not made; also all of a need", "no salsa", rf"no\s+{NAME}", targets.not_made),
    form(
        "make PRESERVE",
        "may be made, if the handbook allows it",
        "make corn, pint",
        rf"make\s+{NAME}",
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
        "so many times as much in every lot that is not frozen; also a need",
        "plum tomato x1.5",
        rf"{NAME}\s*(?:\s[x×*]\s*|\stimes\s+)(?P<factor>[\d.,/½¼¾]+)",
        stocks.times,
    ),
    form(
        "HOURS DAY N",
        "hours of hands, of one person (hands: Ann), hours the stove is free (stove) or a row of Hours: N, +N, -N or"
        " xN; a day, every day or later weeks",
        "hands Sat 0",
        r"(?P<name>\w[\w :.'’-]*?)(?:\s+(?P<days>(?:on\s+)?(?:mon|tue|wed|thu|fri|sat|sun|every day|each day"
        r"|later weeks|each later week)[\w ,]*?))?\s+(?P<sign>[-+−x×]?)\s*(?P<figure>[\d.,/½¼¾]+)(?:\s*h(?:ours?)?)?",
        targets.hours,
    ),
    form(
        "STOCK +N",
        "more (+N), less (-N) or just N: containers, lids, larder, equipment, freezer and other space",
        "quart jars +24",
        rf"{NAME}\s+{SIGN}(?P<amount>{AMOUNT})(?P<day>(?!))?",
        stocks.more_or_less,
    ),
    form(
        "CROP +N on DAY",
        "more that comes in then, or -N less of it; without a day: today",
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
    lines = ["Changes, in the workbook's own names (jars or jar, capitals or not):", ""]
    for one in FORMS:
        means = textwrap.wrap(one.means, 40)
        lines.append(f"  {one.example:<36}{means[0]}")
        lines += [f"  {'':<36}{more}" for more in means[1:]]
    lines += ["", "Several changes are one case; the word vs between them begins another case."]
    return "\n".join(lines)


# A change in plain words made to a household, or an exact error with what may have been meant.

__all__ = ["ALL_OF_THEM", "ChangeWrong", "changed"]

ALL_OF_THEM = "All ways to write one: stillroom suppose FILE.xlsx --changes"


def changed(household: Household, text: str) -> tuple[Household, str]:
    """
    The household with one change made, and the change as it was understood.

    `household` is as counted, before the handbook has settled it: what the published tables refuse is refused again
    when it is settled after the change.

    >>> from stillroom.household.examples import tiny_household
    >>> changed(tiny_household(), "quart jars +24")[1]
    'quart jar: 36 instead of 12'
    >>> changed(tiny_household(), "quart jras +24")
    Traceback (most recent call last):
    stillroom.household.suppose.lookup.ChangeWrong: quart jras +24: no ... is called *quart jras*; did you mean ...

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
    msg = f"*{typed}* cannot be read as a change; write one such as {near}. {ALL_OF_THEM}"
    raise ChangeWrong(msg)


def _how_near(exact_and_error: tuple[bool, ChangeWrong]) -> tuple[bool, bool, bool]:
    """How near an error is to what was meant: of an exact form, with a likely name, or with a name that was found."""
    exact, error = exact_and_error
    return exact, "did you mean" in str(error), "is called" not in str(error)


def nearest_example(text: str) -> str:
    """The example most like what was typed."""
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
    The cases that a row of changes says; the word vs stands between two cases, a semicolon between two changes.

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
        raise wrong("there is no change beside a *vs*", "write a change on both sides of it")
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
    return Case(name or "; ".join(typed) or "as it is", tuple(typed), tuple(understood), now)
