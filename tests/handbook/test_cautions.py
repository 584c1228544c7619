"""The cautions: at most five, and those that fit."""

from __future__ import annotations

from tests.handbook.kitchens import beans, household, juice

from stillroom.handbook.cautions import all_cautions, cautions_for, step_cautions
from stillroom.handbook.settle import settle
from stillroom.household.plan import Plan
from stillroom.household.results.clock import KINDS


def shown(*preserves, made=None, **facts):
    """The kinds of caution shown for a plan that makes these preserves."""
    settled, _ = settle(household(*preserves, **facts))
    plan = Plan((), make={(preserve.name, 0): 7.0 for preserve in (preserves if made is None else made)})
    return cautions_for(settled, plan)


def test_every_caution_has_words_and_a_source():
    assert len(all_cautions()) >= 21
    assert all(caution.text.endswith(".") and caution.source for caution in all_cautions())


def test_at_most_five_are_shown_and_each_only_once():
    found = shown(juice(), beans())
    assert len(found) == 5
    assert len(set(found)) == 5


def test_tomatoes_bring_the_acid_caution_and_no_pressure():
    found = shown(juice())
    assert any("lemon juice" in caution.text for caution in found)
    assert not any(caution.fits in ("pressure", "dial") for caution in found)


def test_a_pressure_canner_brings_its_own():
    fits = {caution.fits for caution in shown(beans())}
    assert {"pressure", "dial"} <= fits
    assert "dial" not in {caution.fits for caution in shown(beans(), gauge="weighted")}


def test_only_what_the_plan_makes_counts():
    assert not any(caution.fits == "pressure" for caution in shown(juice(), beans(), made=[juice()]))


def test_nothing_canned_brings_no_caution():
    assert shown(juice(), made=[]) == ()


def test_an_own_recipe_is_sent_to_the_extension_service():
    made = beans(handbook_line=None, source="aunt", minutes_typed=20.0)
    assert any("extension service" in caution.text for caution in shown(made))


def test_each_step_has_the_cautions_that_matter_at_it():
    settled, _ = settle(household(juice(), beans()))

    def at(item, kind):
        return " ".join(caution.text for caution in step_cautions(settled, item.name, kind))

    assert "10 full minutes" in at(beans(), "vent")
    assert "fall by itself" in at(beans(), "cool")
    assert "lemon juice" in at(juice(), "fill")
    assert "lemon juice" not in at(juice(), "process")
    assert "pressure" not in at(juice(), "process")
    kinds = {kind for caution in all_cautions() for kind in caution.steps}
    assert kinds <= set(KINDS)
