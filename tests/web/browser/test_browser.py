"""
The kitchen page in a real browser: every screen looked over, timers, the keyboard alone, and a whole day by clicks.

All in one module: while the browser runs, no other test of its process can have an event loop of its own.
"""

from __future__ import annotations

import datetime

import pytest
from openpyxl import load_workbook
from playwright.sync_api import BrowserContext, Page, expect
from python_calamine import CalamineWorkbook
from tests.small_kitchen import FRIDAY
from tests.web.asks import JUICE, TOMATO, came_in, recorded
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
    until,
    zoomed,
)
from tests.web.browser.conftest import process_of

from stillroom.app.plan import read_workbook
from stillroom.web import pages


def resize(tab: Page, size: str) -> None:
    """Give the screen another size."""
    wide, high = SIZES[size]
    tab.set_viewport_size({"width": wide, "height": high})


def test_every_screen_can_be_read_and_tapped_and_is_light(chrome, page, hour):
    hour.now = process_of(page).start
    context = chrome.new_context(has_touch=True)
    traffic, tab = Traffic(context), context.new_page()
    tab.goto(page.own)
    for screen in SCREENS:  # the full matrix is in the bench `kitchen_screens`
        resize(tab, "phone")
        tab.emulate_media(color_scheme="light")
        tab.goto(page.address + screen)
        weight, requests = tab.evaluate(WEIGHT)
        assert weight < MOST_BYTES, (screen, weight)
        assert requests <= MOST_REQUESTS, (screen, requests)
        assert looked_over(tab, RULES) == [], screen
        assert zoomed(tab) == [], f"{screen} at 200%"
        resize(tab, "tablet")
        tab.emulate_media(color_scheme="dark")
        assert looked_over(tab, COLORS_ONLY) == [], f"{screen} in the dark"
    assert traffic.elsewhere(page.address) == set()
    assert traffic.errors == []
    context.close()


def test_every_screen_is_as_large_without_a_script(chrome, page, hour):
    hour.now = process_of(page).start
    context = chrome.new_context(java_script_enabled=False)
    tab = context.new_page()
    resize(tab, "laptop")
    tab.goto(page.own)
    for screen in SCREENS:
        tab.goto(page.address + screen)
        weight, requests = tab.evaluate(WEIGHT)
        assert (weight < MOST_BYTES, requests <= MOST_REQUESTS) == (True, True), (screen, weight, requests)
        assert looked_over(tab, None) == [], screen
    context.close()


def test_the_script_is_small():
    assert len((pages.HERE / "static" / "kitchen.js").read_bytes()) < 15_000


# Timers, the keyboard, and no script.

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


# A whole day.

PHONE = {"viewport": {"width": SIZES["phone"][0], "height": SIZES["phone"][1]}, "has_touch": True}


@pytest.fixture
def phone(chrome, page) -> BrowserContext:
    context = chrome.new_context(**PHONE)
    context.set_default_timeout(20_000)
    yield context
    context.close()


def shown(tab: Page, words: str) -> None:
    """Wait until the page shows some words."""
    expect(tab.get_by_text(words).locator("visible=true").first).to_be_visible(timeout=20_000)


def typed(tab: Page, digits: str) -> None:
    """Tap a number on the pad."""
    pad = tab.get_by_role("group", name="Number pad")
    for digit in digits:
        pad.get_by_role("button", name=digit, exact=True).tap()


def test_a_day_by_clicks(chrome, phone, page, workbook):
    traffic, tab = Traffic(phone), phone.new_page()
    tab.goto(page.own)

    tab.get_by_role("link", name="Came in").tap()  # weigh
    tab.locator(".tile", has_text=TOMATO).tap()
    typed(tab, "8")
    tab.get_by_role("button", name="Add").tap()
    shown(tab, "Entered:")
    until(lambda: came_in(workbook) == [60.0, 8.0])

    tab.get_by_role("link", name="Plan again").tap()  # plan, keep
    tab.get_by_role("button", name="Plan again").tap()
    tab.get_by_role("button", name="Keep the new plan").tap(timeout=60_000)
    shown(tab, "The new plan is in your workbook.")

    tab.get_by_role("link", name="Now").tap()  # one failed seal
    tab.get_by_text("Another number").tap()
    typed(tab, "13")
    tab.get_by_label("How many did not seal").tap()
    typed(tab, "1")
    tab.get_by_role("button", name="Record").tap()
    shown(tab, "Entered:")
    until(lambda: recorded(workbook) == [(JUICE, 13)])
    expect(tab.get_by_role("button", name="Made as planned")).to_have_count(0)

    tab.get_by_role("link", name="Ate, bought").tap()  # ate
    tab.locator(".tile", has_text="Ate").tap()
    tab.locator("select[name=name]").select_option(JUICE)
    tab.get_by_label("How much").tap()
    typed(tab, "2")
    tab.get_by_role("button", name="Record").tap()
    shown(tab, "Entered:")

    lids = tab.locator("form.line", has_text="lid")  # count
    lids.get_by_role("textbox").tap()
    typed(tab, "9")
    lids.get_by_role("button", name="Count").tap()
    shown(tab, "Entered:")
    until(lambda: stock(workbook) == 9)

    tab.goto(f"{page.address}/came")  # a slip, taken back
    tab.locator(".tile", has_text=TOMATO).tap()
    typed(tab, "500")
    tab.get_by_role("button", name="Add").tap()
    tab.locator("#entered").get_by_role("button", name="Undo").tap()
    expect(tab.locator("#entered")).to_be_hidden()
    until(lambda: came_in(workbook) == [60.0, 8.0])

    lock = workbook.with_name(f".~lock.{workbook.name}#")  # the workbook open in an office program meanwhile
    lock.write_text("Somebody,,,,;", encoding="utf-8")
    tab.goto(f"{page.address}/came")
    tab.locator(".tile", has_text=TOMATO).tap()
    typed(tab, "3")
    tab.get_by_role("button", name="Add").tap()

    other = chrome.new_context(color_scheme="dark", java_script_enabled=False)  # another device, without a script
    tablet = other.new_page()
    tablet.goto(page.address)
    tablet.get_by_label("Code").fill(page.kitchen.pairing.code)
    tablet.get_by_role("button", name="Pair").click()
    tablet.goto(f"{page.address}/came")
    tablet.locator(".tile", has_text=TOMATO).click()
    tablet.get_by_label("How much").fill("4")
    tablet.get_by_role("button", name="Add").click()
    until(lambda: "open in another program" in page.kitchen.keeper.why_waiting)
    tablet.goto(f"{page.address}/came")
    shown(tablet, "2 waiting.")
    assert came_in(workbook) == [60.0, 8.0]
    lock.unlink()
    until(lambda: came_in(workbook) == [60.0, 8.0, 3.0, 4.0])

    tablet.goto(f"{page.address}/")
    expect(tablet.get_by_text("waiting.")).to_have_count(0)
    other.close()
    assert traffic.elsewhere(page.address) == set()
    assert traffic.errors == []
    read_back_by_others(workbook)


def stock(workbook) -> float:
    """How many lids there are."""
    return read_workbook(workbook, FRIDAY).typed.lids[0].on_hand


def read_back_by_others(workbook) -> None:
    """What two other readers find in the record and among the crops."""
    book, other = load_workbook(workbook), CalamineWorkbook.from_path(workbook)
    by_openpyxl = [list(row) for row in book["Record"].iter_rows(values_only=True)]
    by_calamine = other.get_sheet_by_name("Record").to_python()
    named = [[cell for cell in row if cell not in (None, "")] for row in by_openpyxl]
    same = [[cell for cell in row if cell not in (None, "")] for row in by_calamine]
    assert [len(row) for row in named if row] == [len(row) for row in same if row]
    assert [row[0:2] for row in named if JUICE in row] == [
        [datetime.datetime.combine(FRIDAY, datetime.time()), JUICE]
    ] * 2
    harvest = [row for row in book["Harvest"].iter_rows(values_only=True) if TOMATO in row]
    assert [row[2] for row in harvest][:1] == [60]
