"""
Look every screen of the kitchen page over, at every size, light and dark, with and without JavaScript, and at 200%.

    python3 tests/bench.py kitchen_screens [--pictures FOLDER] [--picture shared/docs/kitchen.png]

Needs Chromium. The workbook is the demo `tomato_glut` with its plan, on a Saturday morning. Printed are the bytes and
requests of each screen, and everything that is too small, too wide, or that axe-core finds. `--pictures` keeps a
picture of each screen in each size, `--picture` makes that of the README only.
"""

from __future__ import annotations

import argparse
import datetime
import io
import itertools
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser
from tests.web.browser.chromium import (
    RULES,
    SCREENS,
    SIZES,
    WEIGHT,
    Served,
    Traffic,
    browser,
    chromium,
    looked_over,
    served,
    zoomed,
)

from stillroom.app.plan import read_workbook
from stillroom.app.write_plan import plan_workbook
from stillroom.reports.charts.render import in_few_colors

DEMO = Path(__file__).resolve().parents[2] / "demo" / "tomato_glut.xlsx"
MOMENT = datetime.datetime(2026, 8, 15, 9, 26)
COLORS = ("light", "dark")
GAP, GROUND = 24, "white"
PICTURE_HIGH = 760


def look_over(chrome: Browser, page: Served, folder: Path | None) -> int:
    """Look every screen over in every way; how much was found."""
    found = 0
    for (size, (wide, high)), colors, script in itertools.product(SIZES.items(), COLORS, (True, False)):
        context = chrome.new_context(
            viewport={"width": wide, "height": high},
            color_scheme=colors,
            java_script_enabled=script,
            has_touch=size != "laptop",
        )
        traffic, tab = Traffic(context), context.new_page()
        tab.goto(page.own)
        for screen in SCREENS:
            tab.goto(page.address + screen)
            weight, requests = tab.evaluate(WEIGHT)
            if folder is not None and script:
                name = screen.strip("/") or "now"
                tab.screenshot(path=folder / f"{name}_{size}_{colors}.png", full_page=True)
            wrong = [*looked_over(tab, RULES if script else None), *zoomed(tab)]
            found += len(wrong)
            ways = f"{size} {colors} {'with' if script else 'without'} a script"
            print(f"{screen:10} {ways:32} {weight / 1000:5.1f} kB {requests} requests", *wrong, sep="\n    ")
        for wrong in (*traffic.elsewhere(page.address), *traffic.errors):
            found += 1
            print("   ", wrong)
        context.close()
    return found


def readme_picture(chrome: Browser, page: Served) -> bytes:
    """Return the first page on a tablet, and what came in on a phone, side by side."""
    shots = []
    for wide, screen in ((820, "/"), (360, "/came")):
        viewport = {"width": wide, "height": PICTURE_HIGH}
        context = chrome.new_context(viewport=viewport, has_touch=True, timezone_id="UTC")
        tab = context.new_page()
        tab.clock.install(time=MOMENT)
        tab.goto(page.own)
        if screen == "/":
            tab.get_by_role("button", name="Full pressure reached").first.click()
        tab.goto(page.address + screen)
        if screen == "/came":
            tab.locator(".tile").first.click()
            tab.get_by_label("How much").fill("53")
        tab.evaluate("scrollTo(0, 0)")
        shots.append(Image.open(io.BytesIO(tab.screenshot())).convert("RGB"))
        context.close()
    both = Image.new("RGB", (sum(one.width for one in shots) + GAP, PICTURE_HIGH), GROUND)
    both.paste(shots[0], (0, 0))
    both.paste(shots[1], (shots[0].width + GAP, 0))
    file = io.BytesIO()
    in_few_colors(both).save(file, format="PNG", optimize=True)
    return file.getvalue()


def main() -> int:
    """Plan the demo, serve it, and look it over; 1 where something is wrong."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--pictures", type=Path)
    parser.add_argument("--picture", type=Path)
    asked = parser.parse_args()
    if chromium() is None:
        print("There is no Chromium on this machine.")
        return 1
    if asked.pictures is not None:
        asked.pictures.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "kitchen.xlsx"
        path.write_bytes(DEMO.read_bytes())
        plan_workbook(read_workbook(path, MOMENT.date()))
        with served(path, lambda: MOMENT) as page, browser() as chrome:
            if asked.picture is not None:
                asked.picture.write_bytes(readme_picture(chrome, page))
                return 0
            found = look_over(chrome, page, asked.pictures)
    print(f"{found} wrong")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
