"""Every screen: large enough, of enough contrast, light, without sideways scrolling, and asked of nobody else."""

from __future__ import annotations

import pytest
from tests.web.browser.chromium import MOST_BYTES, MOST_REQUESTS, SCREENS, SIZES, WEIGHT, Traffic, looked_over, zoomed

SAMPLE = [("phone", "light", True), ("tablet", "dark", True), ("laptop", "light", False)]
"""The full matrix is in the bench `kitchen --screens`."""


@pytest.mark.parametrize(("size", "colors", "script"), SAMPLE)
def test_every_screen_can_be_read_and_tapped_and_is_light(chrome, page, hour, size, colors, script):
    hour.now = process_of(page).start
    wide, high = SIZES[size]
    context = chrome.new_context(
        viewport={"width": wide, "height": high}, color_scheme=colors, java_script_enabled=script, has_touch=script
    )
    traffic, tab = Traffic(context), context.new_page()
    tab.goto(page.own)
    for screen in SCREENS:
        tab.goto(page.address + screen)
        weight, requests = tab.evaluate(WEIGHT)
        assert weight < MOST_BYTES, (screen, weight)
        assert requests <= MOST_REQUESTS, (screen, requests)
        for more in tab.locator("main summary").all():
            more.click()
        assert looked_over(tab, axe=script) == [], screen
        assert zoomed(tab) == [], f"{screen} at 200%"
    assert traffic.elsewhere(page.address) == set()
    assert traffic.errors == []
    context.close()


def process_of(page):
    """The first process on the clock of the day."""
    look = page.kitchen.keeper.seen().look
    return next(step for step in look.clock.steps_on(look.day) if step.kind == "process")
