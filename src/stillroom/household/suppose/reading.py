"""A change in plain words made to a household, or an exact error with what may have been meant."""

from __future__ import annotations

import difflib

from stillroom.household.names import tidy_text
from stillroom.household.records import Household
from stillroom.household.suppose.forms import FORMS
from stillroom.household.suppose.naming import ChangeWrong

__all__ = ["ALL_OF_THEM", "ChangeWrong", "changed"]

ALL_OF_THEM = "All ways to write one: stillroom suppose FILE.xlsx --changes"


def changed(household: Household, text: str) -> tuple[Household, str]:
    """
    The household with one change made, and the change as it was understood.

    `household` is as counted, before the handbook has settled it: what the published tables refuse is refused again
    when it is settled after the change.

    >>> from stillroom.household.tiny import tiny_household
    >>> changed(tiny_household(), "quart jars +24")[1]
    'quart jar: 36 instead of 12'
    >>> changed(tiny_household(), "quart jras +24")
    Traceback (most recent call last):
    stillroom.household.suppose.naming.ChangeWrong: quart jras +24: no ... is called *quart jras*; did you mean ...

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
