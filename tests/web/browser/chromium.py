"""The kitchen page served to the system's Chromium, and what a screen is looked over for."""

from __future__ import annotations

import datetime
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import uvicorn
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from stillroom.web import journal
from stillroom.web.pages import Kitchen, kitchen
from stillroom.web.serve import HERE, SETTINGS, listening

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
SCREENS = ("/", "/came", "/left", "/winter", "/plan", "/workbook", "/devices", "/pair")
SIZES = {"phone": (360, 740), "tablet": (820, 1180), "laptop": (1280, 800)}
MOST_BYTES, MOST_REQUESTS = 60_000, 5
LEAST_TARGET, LEAST_TEXT = 44, 16
RULES: dict[str, object] = {"rules": {name: {"enabled": True} for name in ("color-contrast-enhanced", "target-size")}}
"""Beyond what is on by default: a contrast of 7 to 1."""
TOO_SMALL = """
([target, text]) => {
  const found = [], shown = (one) => one.checkVisibility({ visibilityProperty: true }) && !one.closest(".unseen");
  for (const one of document.querySelectorAll("a, button, summary, select, input:not([type=hidden])")) {
    const { width, height } = (one.closest(".tile") || one).getBoundingClientRect();
    if (shown(one) && (width < target || height < target)) found.push(`${one.outerHTML.slice(0, 90)} ${width}x${height}`);
  }
  for (const one of document.querySelectorAll("body *")) {
    const own = [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim());
    const size = parseFloat(getComputedStyle(one).fontSize);
    if (own && shown(one) && size < text) found.push(`${one.outerHTML.slice(0, 90)} ${size}px`);
  }
  return found;
}
"""


def chromium() -> str | None:
    """The system's Chromium, None where there is none."""
    return next((found for name in NAMES if (found := shutil.which(name))), None)


@contextmanager
def browser() -> Iterator[Browser]:
    """A browser without a window."""
    with sync_playwright() as driver:
        one = driver.chromium.launch(executable_path=chromium(), args=["--no-sandbox"])
        yield one
        one.close()


@dataclass
class Served:
    """A kitchen page that is served, and at which address."""

    kitchen: Kitchen
    address: str

    @property
    def own(self) -> str:
        """The address that lets this machine in."""
        return f"{self.address}/?key={self.kitchen.pairing.key}"


@contextmanager
def served(path: Path, moment: Callable[[], datetime.datetime]) -> Iterator[Served]:
    """Serve the page of a workbook on this machine only, at another time than now."""
    journal.EVERY_SECONDS, journal.AFTER_SECONDS = 0.5, 0.1  # nobody waits here
    with listening([HERE], 0) as sockets:
        name = f"{HERE}:{sockets[0].getsockname()[1]}"
        page = kitchen(path, hosts=(name,), today=lambda: moment().date(), moment=moment)
        server = uvicorn.Server(uvicorn.Config(page.app, **SETTINGS | {"timeout_graceful_shutdown": 1}))
        page.start()
        thread = threading.Thread(target=server.run, kwargs={"sockets": sockets}, daemon=True)
        thread.start()
        try:
            until(lambda: server.started)
            yield Served(page, f"http://{name}")
        finally:
            server.should_exit = True
            thread.join(10)
            page.close()


@dataclass
class Traffic:
    """What a browser asked for, and what it found wrong."""

    context: BrowserContext
    addresses: set[str] = field(default_factory=set)
    errors: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Listen from now on."""
        self.context.on("request", lambda request: self.addresses.add(request.url))
        self.context.on("weberror", lambda error: self.errors.append(str(error.error)))
        self.context.on("console", lambda told: self.errors.append(told.text) if told.type == "error" else None)

    def elsewhere(self, address: str) -> set[str]:
        """What was asked of anybody else."""
        return {one for one in self.addresses if not one.startswith(f"{address}/") and not one.startswith("data:")}


WEIGHT = """
() => {
  const asked = [...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")];
  const all = asked.filter((one) => one.decodedBodySize); /* a script that is not wanted is not asked for */
  return [all.reduce((sum, one) => sum + one.decodedBodySize, 0), all.length];
}
"""
"""How many bytes and requests a page took, those that the browser had already among them."""


COLORS_ONLY = {"runOnly": ["color-contrast", "color-contrast-enhanced"]}
OPEN_ALL = """
() => { for (const one of document.querySelectorAll("main details")) one.open = true; }
"""


def looked_over(page: Page, axe: dict[str, object] | None = RULES) -> list[str]:
    """Return what is wrong with a screen and all that opens on it: too wide, too small, or what axe-core finds."""
    page.evaluate(OPEN_ALL)
    found = [*page.evaluate(TOO_SMALL, [LEAST_TARGET, LEAST_TEXT]), *too_wide(page)]
    if axe is not None:
        nodes = [(one["id"], one["nodes"][0]) for one in Axe().run(page, options=axe).response["violations"]]
        found += [f"{name}: {node['html'][:120]} {node.get('failureSummary', '')}" for name, node in nodes]
    return found


def too_wide(page: Page) -> list[str]:
    """Return that a screen has to be scrolled sideways, if it has."""
    wide, there = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    return [f"{wide} px wide on {there}"] if wide > there else []


def zoomed(page: Page) -> list[str]:
    """Return what is too wide at 200%, which leaves half the pixels each way."""
    size = page.viewport_size
    assert size is not None
    page.set_viewport_size({"width": size["width"] // 2, "height": size["height"] // 2})
    found = too_wide(page)
    page.set_viewport_size(size)
    return found


def until(holds: Callable[[], bool], seconds: float = 20) -> None:
    """Wait until something holds."""
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, "it never came to be so"
        time.sleep(0.1)
