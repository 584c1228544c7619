"""A day at the page by clicks, in a real browser, and what the workbook has of it afterwards."""

from __future__ import annotations

import datetime

import pytest
from openpyxl import load_workbook
from playwright.sync_api import BrowserContext, Page, expect
from python_calamine import CalamineWorkbook
from tests.small_kitchen import FRIDAY
from tests.web.asks import JUICE, TOMATO, came_in, recorded
from tests.web.browser.chromium import SIZES, Traffic, until

from stillroom.app.plan import read_workbook

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
