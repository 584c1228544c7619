"""Every screen: large enough, of enough contrast, light, without sideways scrolling, and asked of nobody else."""

from __future__ import annotations

import pytest
from tests.web.browser.chromium import (
    COLORS_ONLY,
    MOST_BYTES,
    MOST_REQUESTS,
    RULES,
    SCREENS,
    SIZES,
    WEIGHT,
    Traffic,
    looked_over,
    zoomed,
)
from tests.web.browser.conftest import process_of

SAMPLE = [("phone", "light", True, RULES), ("tablet", "dark", True, COLORS_ONLY), ("laptop", "light", False, None)]
"""The full matrix is in the bench `kitchen_screens`."""


@pytest.mark.parametrize(("size", "colors", "script", "axe"), SAMPLE)
def test_every_screen_can_be_read_and_tapped_and_is_light(chrome, page, hour, size, colors, script, axe):
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
        assert looked_over(tab, axe) == [], screen
        assert zoomed(tab) == [], f"{screen} at 200%"
    assert traffic.elsewhere(page.address) == set()
    assert traffic.errors == []
    context.close()
