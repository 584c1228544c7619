"""The grammar of changes on one page: every form with its pattern, an example, and what does it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from stillroom.household.records import Household
from stillroom.household.suppose import stocks, wishes

AMOUNT = r"(?![\d.,]+\s*%)[\d.,/½⅓⅔¼¾⅛⅜⅝⅞]+(?:(?!\s[-+−]\s*\d).)*?"
"""A figure with what stands behind it; not the 5 % of a name, nor a figure before another sign."""
SIGN = r"(?P<sign>[-+−]?)\s*"
DAY = r"(?P<day>[\w-]+)"
NAME = r"(?P<name>.+?)"
SETTING = (
    r"(?P<name>spending limit|burners|altitude|gauge|fill needs evenly|most to freeze in a day"
    r"|minutes to set up a kind)"
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
        wishes.setting,
    ),
    form(
        "plan for HARVEST",
        "likely harvest, all harvests or worst harvest: which seasons the plan must suit",
        "plan for all harvests",
        r"plan(?:ned)? for(?: the)? (?P<which>.+)",
        wishes.planned_for,
    ),
    form(
        "PRESERVE: fix N on DAY",
        "a fixed line, as typed in Plan",
        "tomato juice, quart: fix 14 on Thu",
        rf"{NAME}\s*:\s*fix\s+(?P<amount>{AMOUNT})\s+on\s+{DAY}",
        wishes.fixed,
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
        wishes.free_from,
    ),
    form(
        "CROP keeps N days",
        "keeps so long",
        "plum tomato keeps 3 days",
        rf"{NAME}\s+keeps\s+(?P<figure>\S+)(?:\s+days?)?",
        wishes.keeps,
    ),
    form(
        "NEED wanted N",
        "so much wanted; also: at most N, importance N",
        "tomato juice wanted 40",
        rf"{NAME}\s+(?P<what>wanted|at most|importance)\s+(?P<figure>\S+)",
        wishes.wanted,
    ),
    form("no PRESERVE", "not made; also all of a need", "no salsa", rf"no\s+{NAME}", wishes.not_made),
    form(
        "make PRESERVE", "may be made, if the handbook allows it", "make corn, pint", rf"make\s+{NAME}", wishes.made_too
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
        wishes.hours,
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
    import textwrap

    lines = ["Changes, in the workbook's own names (jars or jar, capitals or not):", ""]
    for one in FORMS:
        means = textwrap.wrap(one.means, 40)
        lines.append(f"  {one.example:<36}{means[0]}")
        lines += [f"  {'':<36}{more}" for more in means[1:]]
    lines += ["", "Several changes are one case; the word vs between them begins another case."]
    return "\n".join(lines)
