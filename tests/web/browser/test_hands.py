"""Timers that ring and outlast a reload, what the keyboard alone does, and the page without a script."""

from __future__ import annotations

import datetime

import pytest
from playwright.sync_api import Page, expect
from tests.small_kitchen import FRIDAY
from tests.web.asks import JUICE, TOMATO, recorded
from tests.web.browser.chromium import SIZES, until
from tests.web.browser.conftest import process_of

RINGS = """
window.rings = 0;
const create = AudioContext.prototype.createOscillator;
AudioContext.prototype.createOscillator = function () { window.rings += 1; return create.call(this); };
"""
AT = datetime.datetime.combine(FRIDAY, datetime.time(14, 32))


@pytest.fixture
def tab(chrome, page, hour) -> Page:
    hour.now = process_of(page).start
    wide, high = SIZES["tablet"]
    context = chrome.new_context(viewport={"width": wide, "height": high}, timezone_id="America/New_York")
    context.add_init_script(RINGS)
    one = context.new_page()
    one.goto(page.own)
    yield one
    context.close()


def test_a_timer_counts_from_the_tap_outlasts_a_reload_and_rings(tab, page):
    minutes = int(process_of(page).minutes)
    tab.clock.install(time=AT.astimezone(datetime.UTC).replace(hour=18))
    tab.reload()
    tab.get_by_role("button", name="Full boil reached").first.click()
    timer = tab.locator(".timer")
    end = AT + datetime.timedelta(minutes=minutes)
    expect(timer).to_contain_text(f"Full boil reached at 2:32 PM. Done at {end.hour - 12}:{end.minute:02} PM.")
    tab.clock.fast_forward(60_000)
    expect(timer.locator(".left")).to_have_text(f"{minutes - 1}:00")
    timer.get_by_role("button", name="Remove").click()  # a wet finger: one tap does not end it
    tab.clock.fast_forward(5_000)
    tab.goto(f"{page.address}/came")
    expect(timer.locator(".left")).to_have_text(f"{minutes - 2}:55")
    assert tab.evaluate("rings") == 0
    tab.mouse.click(300, 1000)
    tab.clock.fast_forward(minutes * 60_000)
    expect(timer.locator(".left")).to_have_text("Time is up")
    tab.wait_for_function("rings > 0")
    tab.get_by_role("button", name="Stop ringing").click()
    expect(timer).to_have_count(0)


def test_what_is_late_is_shown_later_and_the_page_keeps_up_by_itself(tab, page, hour):
    step = process_of(page)
    running = tab.locator(".step.running")
    expect(running.first).to_contain_text("process")
    tab.get_by_role("button", name="15 min later").click()
    expect(tab.locator(".late")).to_contain_text("15 min later than planned")
    expect(running.first).not_to_contain_text("process")
    tab.get_by_role("button", name="As planned", exact=True).click()
    expect(running.first).to_contain_text("process")
    tab.clock.install()
    tab.reload()
    hour.now = step.end
    tab.clock.run_for(125_000)
    expect(running.first).not_to_contain_text("process")


def test_the_keyboard_alone_is_enough(tab, page):
    tab.goto(f"{page.address}/came")
    reach(tab, "input[name=name]")
    tab.keyboard.press("Space")
    reach(tab, "input[name=amount]")
    tab.keyboard.type("6")
    tab.keyboard.press("Enter")
    expect(tab.locator("#entered")).to_contain_text(f"6 lb {TOMATO} came in")
    reach(tab, "#entered button")
    outline = tab.evaluate("parseFloat(getComputedStyle(document.activeElement).outlineWidth)")
    assert outline >= 3
    tab.keyboard.press("Enter")
    expect(tab.locator("#entered")).to_be_hidden()


def test_without_a_script_it_does_as_much(chrome, page, hour):
    context = chrome.new_context(java_script_enabled=False)
    tab = context.new_page()
    hour.now = process_of(page).start
    tab.goto(page.own)
    expect(tab.locator(".step.running").first).to_contain_text("Full boil reached: set your timer to")
    line = tab.locator(".line", has_text=JUICE)
    line.get_by_text("Another number").click()
    line.get_by_label("How many sealed").fill("a lot")
    line.get_by_role("button", name="Record").click()
    expect(tab.get_by_role("alert")).to_contain_text("a lot")
    expect(line.get_by_label("How many sealed")).to_have_value("a lot")
    line.get_by_role("button", name="Made as planned").click()
    expect(tab.locator("#entered")).to_contain_text(f"Made 7 {JUICE}")
    tab.locator("#entered").get_by_role("button", name="Undo").click()
    expect(tab.locator("#undone")).to_be_visible()
    until(lambda: bool(tab.goto(f"{page.address}/")) and line.count() == 1)
    assert recorded(page.kitchen.keeper.path) == []
    context.close()


def reach(tab: Page, selector: str) -> None:
    """Press Tab until something has the focus."""
    for _ in range(40):
        if tab.evaluate("(selector) => document.activeElement.matches(selector)", selector):
            return
        tab.keyboard.press("Tab")
    raise AssertionError(f"{selector} cannot be reached by keyboard")
