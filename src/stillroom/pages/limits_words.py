"""What holds a plan back, in words: for the terminal, for the table Limits, and as JSON."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.answer.gains import list_words, shop_worth, weight_words
from stillroom.household.answer.units import Row, tidy
from stillroom.household.answer.words import amount_words, listed, unit_words
from stillroom.household.records import Household
from stillroom.pages.as_json import snake
from stillroom.pages.terminal_days import QUIET, grid, heading, indented, spaced
from stillroom.planning.limits.find import Held, LimitsFound
from stillroom.planning.limits.gains import Gain

CENTS = 0.05
"""Money below this is not said."""

UNPROVED = "at least "


def gain_words(household: Household, gain: Gain) -> str:
    """What more of something gives: on the list, then crop fed, then money; empty when it gives nothing."""
    words = []
    if any(gain.points):
        proved = "" if gain.proved else UNPROVED
        words.append(proved + (list_words(household, gain.needs) or "the list is filled a little more evenly"))
    fed = gain.less_fed_kg
    if abs(fed) >= 0.1:
        words.append(f"{weight_words(household, abs(fed))} {'less' if fed > 0 else 'more'} fed")
    if abs(gain.spent) >= CENTS and (any(gain.points) or fed > 0):
        words.append(f"{abs(gain.spent):.2f} {'more' if gain.spent > 0 else 'less'} to buy")
    return "; ".join(words)


def would_give(household: Household, held: Held) -> str:
    """What one natural unit more would give, alone or together with another limit, and how far that goes on."""
    gain = held.one_more
    parts = []
    if gain.helps:
        parts.append(gain_words(household, gain))
    elif held.with_other is not None:
        other, both = held.with_other
        parts.append(f"nothing alone; with {other.step_words}: {gain_words(household, both)}")
    elif gain.less_fed_kg > 0:
        parts.append(f"nothing on the list; {gain_words(household, gain)}")
    elif held.limit.kind == "crop" and gain.proved:
        parts.append("nothing: there is no use for more of it")
    else:
        parts.append("nothing" if gain.proved else "nothing that could be proved")
    if held.helps_to is not None:
        much = f"{amount_words(held.helps_to * held.limit.shown, held.limit.unit)} more"
        parts.append(f"helps up to {much}" if held.seen_end else f"still helps at {much}")
    if held.one_less is not None and held.one_less.hurts:
        parts.append(f"{held.limit.less_words}: {list_words(household, held.one_less.needs) or 'a little less'}")
    return "; ".join(parts)


def worth_it(household: Household, held: Held) -> str:
    """What one unit more costs against what it gives would cost in the shop; empty without a price or a gain."""
    limit, gain = held.limit, held.one_more
    if limit.price is None or not gain.helps:
        return ""
    cost = (0.0 if limit.kind == "money" else limit.price) + gain.spent
    worth, unpriced = shop_worth(household, gain.needs)
    if unpriced and worth <= cost:
        return f"costs {cost:.2f}; no shop price for {listed(list(unpriced), 3)}"
    if cost < CENTS:
        return f"yes: costs nothing more, worth {worth:.2f} in the shop"
    return f"{'yes' if worth > cost else 'no'}: costs {cost:.2f}, worth {worth:.2f} in the shop"


def limit_rows(household: Household, found: LimitsFound) -> list[Row]:
    """The rows of the table Limits, the one that gives most first."""
    return [
        {
            "Limit": held.limit.words,
            "Used": tidy(held.used * held.limit.shown),
            "Of": tidy(held.of * held.limit.shown),
            "Unit": held.limit.unit,
            "One more": held.limit.step_words,
            "Would give": would_give(household, held),
            "Worth it": worth_it(household, held) or None,
        }
        for held in found.held
    ]


def limits_page(household: Household, found: LimitsFound, end: Sequence[str] = ()) -> RenderableType:
    """What the plan runs up against, what helps most on top."""
    if not found.held:
        return Text("Nothing holds this plan back: no supply, space or time is used up.")
    helps = [one for one in found.held if one.one_more.helps or one.with_other or one.one_more.less_fed_kg > 0]
    others = [one for one in found.held if one not in helps]
    parts: list[RenderableType] = []
    if helps:
        lines = [line for one in helps for line in limit_lines(household, one)]
        parts.append(Group(heading("What would help", "each planned again with that much more"), *lines))
    if others:
        table = grid(26, None)
        table.columns[0].justify = "left"
        for one in others:
            words = would_give(household, one)
            more = f"{one.limit.step_words}: {words}"
            table.add_row(one.limit.words, Text(more, QUIET))
        parts.append(Group(heading("Used up too", "more of it would change nothing by itself"), table))
    if found.untried:
        names = listed([one.limit.words for one in found.untried], 6)
        parts.append(indented(Text(f"Used up too, but not tried: {names}.", QUIET)))
    if not all(one.one_more.proved for one in found.held):
        parts.append(indented(Text('"At least" and "could be proved": the search was cut before it was sure.', QUIET)))
    if end:
        parts.append(Group(*(Text(line) for line in end)))
    return spaced(parts)


def limit_lines(household: Household, held: Held) -> list[RenderableType]:
    """One limit that helps: what more of it gives, then what there is of it and whether it is worth its price."""
    limit = held.limit
    figures = (
        f"{amount_words(held.used * limit.shown, limit.unit)} of {amount_words(held.of * limit.shown, limit.unit)}"
    )
    lines: list[RenderableType] = [
        indented(Text.assemble((limit.step_words, "bold"), f": {would_give(household, held)}"))
    ]
    beside = f"{limit.words}: {figures} {unit_words(held.of * limit.shown, limit.unit)} used"
    worth = worth_it(household, held)
    lines.append(indented(indented(Text(f"{beside}{'; worth it? ' + worth if worth else ''}", QUIET))))
    return lines


def limits_object(household: Household, found: LimitsFound) -> dict[str, object]:
    """The same for other programs: the rows of the table, each with what was gained in plain figures."""
    rows = []
    for held, row in zip(found.held, limit_rows(household, found), strict=True):
        entry: dict[str, object] = {snake(name): value for name, value in row.items()}
        entry["gain"] = gain_object(held.one_more)
        entry["one_less"] = None if held.one_less is None else gain_object(held.one_less)
        entry["together_with"] = None
        if held.with_other is not None:
            other, both = held.with_other
            entry["together_with"] = {"one_more": other.step_words, "gain": gain_object(both)}
        entry["helps_up_to"] = None if held.helps_to is None else tidy(held.helps_to * held.limit.shown)
        entry["end_was_seen"] = held.seen_end
        rows.append(entry)
    return {"limits": rows, "not_tried": [one.limit.words for one in found.untried]}


def gain_object(gain: Gain) -> dict[str, object]:
    """A gain in plain figures: needs in their own units, weight in kg."""
    return {
        "helps": gain.helps,
        "needs": {name: tidy(change) for name, change in sorted(gain.needs.items())},
        "less_fed_kg": tidy(gain.less_fed_kg),
        "spent": tidy(gain.spent),
        "proved": gain.proved,
    }
