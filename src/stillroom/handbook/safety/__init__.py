"""The safety fence: one small function for each thing the handbook refuses, each with its source."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from stillroom.errors import Problem
from stillroom.handbook.safety.acidity import acid_for_tomatoes, low_acid_under_pressure
from stillroom.handbook.safety.advised_against import advised_against
from stillroom.handbook.safety.case import Case
from stillroom.handbook.safety.equipment import holds_four_quarts, right_canner
from stillroom.handbook.safety.jar_sizes import in_a_jar, jar_counted, listed_jar, size_as_named, sound_jar_for_pressure
from stillroom.handbook.safety.methods import line_known, method_known, method_of_the_line, sealed_on_the_shelf
from stillroom.handbook.safety.own_recipes import minutes_typed, source_typed
from stillroom.handbook.safety.recipes import (
    fermented_first,
    proportions_of_the_recipe,
    remembered_proportions,
    salt_of_an_own_ferment,
    spices_in_small_amounts,
    thawed_only_cooked,
    what_the_line_needs,
)

Check = Callable[[Case], Iterator[Problem]]

FIRST: tuple[Check, ...] = (method_known, line_known, method_of_the_line)
"""What must be clear before anything else can be asked."""

THEN: tuple[Check, ...] = (
    sealed_on_the_shelf,
    right_canner,
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
    what_the_line_needs,
    spices_in_small_amounts,
    thawed_only_cooked,
    source_typed,
    minutes_typed,
    remembered_proportions,
    jar_counted,
)
"""Every other refusal, in reading order; what is only said comes last."""
