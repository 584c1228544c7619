"""Stocktaking in the terminal: every figure stays whole, on a narrow screen too."""

import datetime

import pytest

from stillroom.household.journal.overview import Tally
from stillroom.household.journal.stocks import Card
from stillroom.reports.terminal.lists import plain_text
from stillroom.reports.terminal.stock import stock_page

SATURDAY = datetime.date(2026, 8, 15)
CARDS = (
    Card("container", "quart jar", "each", 1250, SATURDAY, 12, 7),
    Card("shelf", "applesauce, quart", "each", 5, None, 0, 0),
)
SEASON = (
    {"Crop": "plum tomato", "Unit": "lb", "Picked": 116, "Put up": 58, "Surplus": 0, "Lost": 0, "On hand": 58},
    {"Crop": "corn", "Unit": "lb", "Picked": 28, "Eaten or given": 2, "Surplus": 3, "Put up": 11, "On hand": 12},
)
TALLY = Tally({"quart jar": 7}, 3.5, 0, 0.0, (), 0.0, {"tomato juice": (9, 27), "applesauce": (5, 27)})


@pytest.mark.parametrize("wide", [60, 80, 100])
def test_no_word_and_no_figure_is_broken(wide):
    """At 60 letters the names stood in columns of eight, and bars ran over two lines."""
    text = plain_text(stock_page(CARDS, SEASON, TALLY, ()), wide)
    lines = text.splitlines()
    assert max(map(len, lines)) <= wide
    assert any(line.split() == ["quart", "jar", "1,250", "Aug", "15", "12", "7", "1,255"] for line in lines), text
    assert any(line.startswith("applesauce, quart") for line in lines)
    (corn,) = (line.split()[2:7] for line in lines if line.startswith("corn (lb)"))
    assert corn == ["28", "11", "5", "0", "12"], (
        "what was eaten counts too, so that the figures add up to what was picked"
    )
    bars = [line.split()[-1] for line in lines if line.startswith("tomato juice")]
    letters = 8 if wide == 60 else 24
    assert bars == ["#" * round(letters / 3) + "." * (letters - round(letters / 3))]
    assert ("########........" in text) == (wide > 60)
