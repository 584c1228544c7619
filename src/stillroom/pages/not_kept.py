"""What of a fixed line a plan could not keep, in a sentence with the limits it ran into."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.household.answer.units import in_crop_unit
from stillroom.household.answer.words import amount_words, listed, period_words
from stillroom.household.plan import Breach, Plan
from stillroom.household.records import FREEZE_WHOLE, THAW, Household


def not_kept(household: Household, plan: Plan, before: Plan | None = None) -> Iterator[str]:
    """
    Say each fixed line that a plan breaks, but for those that the plan `before` breaks as well.

    >>> from stillroom.household.periods import periods
    >>> from stillroom.household.tiny import tiny_household
    >>> home = tiny_household()
    >>> breach = Breach("juice", 1, 14.0, 4.0, ("quart jars",))
    >>> list(not_kept(home, Plan(periods(home.kitchen), breaches=(breach,))))
    ['cannot be kept whole: juice on Sat 15 Aug, 4 short of 14; it runs into quart jars']
    """
    known = {(one.name, one.period, one.typed, one.short) for one in before.breaches} if before is not None else set()
    for breach in plan.breaches:
        if (breach.name, breach.period, breach.typed, breach.short) not in known:
            yield f"cannot be kept whole: {breach_words(household, plan, breach)}"


def breach_words(household: Household, plan: Plan, breach: Breach) -> str:
    """One fixed line that is broken: how far, and by what."""
    period = plan.periods[breach.period]
    name = breach.name.removeprefix(FREEZE_WHOLE).removeprefix(THAW)
    crop = next((one for one in household.crops if one.name == name and name != breach.name), None)
    typed, away, unit = breach.typed, abs(breach.short), ""
    if crop is not None:
        typed, away, unit = in_crop_unit(typed, crop), in_crop_unit(away, crop), f" {crop.unit}"
    sense = "short of" if breach.short > 0 else "over"
    when = f"{'on' if period.single else 'in'} {period_words(period.first_day, period.days)}"
    words = f"{breach.name} {when}, {amount_words(away)}{unit} {sense} {amount_words(typed)}"
    return f"{words}; it runs into {listed(list(breach.limits))}" if breach.limits else words
