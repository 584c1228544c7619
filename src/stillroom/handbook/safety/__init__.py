"""The safety checks: one small function for each thing the handbook refuses, each with its source."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from stillroom.errors import Problem
from stillroom.handbook.safety.case import Case
from stillroom.handbook.safety.closed_lists import names_listed
from stillroom.handbook.safety.equipment import (
    canner_by_its_name,
    holds_four_quarts,
    line_known,
    method_known,
    method_of_the_line,
    right_canner,
)
from stillroom.handbook.safety.jars_and_acid import (
    acid_for_tomatoes,
    in_a_jar,
    jar_counted,
    listed_jar,
    low_acid_under_pressure,
    size_as_named,
    sound_jar_for_pressure,
)
from stillroom.handbook.safety.minutes import minutes_typed, source_typed
from stillroom.handbook.safety.not_canned import (
    advised_against,
    cellared_as_published,
    dried_as_published,
    fermented_as_published,
    sealed_on_the_shelf,
)
from stillroom.handbook.safety.recipes import (
    fermented_first,
    proportions_not_verified,
    proportions_of_the_recipe,
    required_by_the_line,
    salt_of_an_own_ferment,
    spices_in_small_amounts,
    thawed_only_cooked,
)

Check = Callable[[Case], Iterator[Problem]]

FIRST: tuple[Check, ...] = (method_known, line_known, method_of_the_line)
"""Checks that come first: when one refuses, the others are not run."""

NAMES: tuple[Check, ...] = (names_listed,)
"""Then what everything is: nothing more is said of a preserve before that is known."""

THEN: tuple[Check, ...] = (
    sealed_on_the_shelf,
    cellared_as_published,
    dried_as_published,
    fermented_as_published,
    right_canner,
    canner_by_its_name,
    holds_four_quarts,
    in_a_jar,
    size_as_named,
    sound_jar_for_pressure,
    listed_jar,
    low_acid_under_pressure,
    acid_for_tomatoes,
    advised_against,
    fermented_first,
    proportions_of_the_recipe,
    salt_of_an_own_ferment,
    required_by_the_line,
    spices_in_small_amounts,
    thawed_only_cooked,
    source_typed,
    minutes_typed,
    proportions_not_verified,
    jar_counted,
)
"""Every other check, in reading order; notes come last."""
