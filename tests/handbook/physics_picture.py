"""The picture of the physics page: steam temperature by altitude at the published pounds, and where water boils."""

from __future__ import annotations

from tests.handbook.physics import steam_f

WIDTH, HEIGHT = 760, 520
LEFT, RIGHT = 60, 600
PANELS = {"steam": (40, 300, 224.0, 252.0), "water": (350, 480, 190.0, 214.0)}
"""Top and bottom of each panel on the page, and the temperatures at its foot and head."""

TOP_FT = 10_000
DIAL = ((11, 0, 2_000), (12, 2_001, 4_000), (13, 4_001, 6_000), (14, 6_001, 8_000))
WEIGHT = ((10, 0, 1_000), (15, 1_001, 10_000))
INK, QUIET, GREEN, RUST = "#222222", "#999999", "#2f6b3c", "#a8512a"


def across(altitude_ft: float) -> float:
    """Where an altitude lies from left to right."""
    return LEFT + (RIGHT - LEFT) * altitude_ft / TOP_FT


def down(panel: str, fahrenheit: float) -> float:
    """Where a temperature lies from top to bottom in a panel."""
    top, bottom, foot, head = PANELS[panel]
    return bottom - (bottom - top) * (fahrenheit - foot) / (head - foot)


def curve(panel: str, pounds: float, low: int, high: int, style: str) -> str:
    """The temperature at these pounds between two altitudes."""
    steps = [low + (high - low) * step / 20 for step in range(21)]
    points = " ".join(f"{across(feet):.1f},{down(panel, steam_f(feet, pounds)):.1f}" for feet in steps)
    return f'<polyline fill="none" {style} points="{points}"/>'


def words(x: float, y: float, text: str, color: str = INK, anchor: str = "start", size: int = 12) -> str:
    """A line of text."""
    return f'<text x="{x:.1f}" y="{y:.1f}" fill="{color}" text-anchor="{anchor}" font-size="{size}">{text}</text>'


def axes(panel: str, every: int) -> list[str]:
    """Lines and figures of a panel."""
    top, bottom, foot, head = PANELS[panel]
    drawn = []
    for fahrenheit in range(int(foot) + (-int(foot)) % every, int(head) + 1, every):
        y = down(panel, fahrenheit)
        drawn.append(f'<line x1="{LEFT}" y1="{y:.1f}" x2="{RIGHT}" y2="{y:.1f}" stroke="#e4e4e4"/>')
        drawn.append(words(LEFT - 6, y + 4, f"{fahrenheit}", QUIET, "end"))
    for feet in range(0, TOP_FT + 1, 2_000):
        x = across(feet)
        drawn.append(f'<line x1="{x:.1f}" y1="{top}" x2="{x:.1f}" y2="{bottom}" stroke="#eeeeee"/>')
        drawn.append(words(x, bottom + 16, f"{feet:,} ft", QUIET, "middle"))
    return drawn


def steam_panel() -> list[str]:
    """The pounds in their bands, and thin beyond, where they fall short."""
    band_top, band_foot = down("steam", 242), down("steam", 238)
    drawn = [
        f'<rect x="{LEFT}" y="{band_top:.1f}" width="{RIGHT - LEFT}" height="{band_foot - band_top:.1f}" fill="#dcebdc"/>',
        *axes("steam", 4),
        words(LEFT, 26, "Steam at the published pounds for low-acid food, F", INK, "start", 14),
        words(RIGHT + 8, down("steam", 240) + 4, "240 F within 2", GREEN),
    ]
    for steps, color in ((DIAL, GREEN), (WEIGHT, RUST)):
        for pounds, low, high in steps:
            beyond = min(high + 2_000, TOP_FT)
            if beyond > high:
                drawn.append(curve("steam", pounds, high, beyond, f'stroke="{color}" stroke-dasharray="3 4"'))
            drawn.append(curve("steam", pounds, low, high, f'stroke="{color}" stroke-width="3"'))
            middle = (low + high) / 2
            drawn.append(
                words(across(middle), down("steam", steam_f(middle, pounds)) - 9, f"{pounds} lb", color, "middle")
            )
    drawn.append(words(RIGHT + 8, 60, "green: dial gauge", GREEN))
    drawn.append(words(RIGHT + 8, 78, "brown: weight", RUST))
    drawn.append(words(RIGHT + 8, 96, "dashed: used too high up", QUIET))
    return drawn


def water_panel() -> list[str]:
    """Where water boils."""
    return [
        *axes("water", 4),
        words(LEFT, 340, "Where water boils, F: why boiling-water times rise with altitude", INK, "start", 14),
        curve("water", 0, 0, TOP_FT, f'stroke="{INK}" stroke-width="3"'),
    ]


def picture() -> str:
    """The whole picture as SVG."""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" font-family="sans-serif" role="img">'
        "<title>Steam temperature by altitude at the published pounds</title>"
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>'
    )
    return "\n".join([head, *steam_panel(), *water_panel(), "</svg>"]) + "\n"
