"""Labels as HTML: printed they stand on the sheet as in the PDF, on a screen one below the other."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.pages.html_page import words
from stillroom.pages.label_lines import NOTHING, Label
from stillroom.pages.label_sheet import LabelSheet
from stillroom.pages.paper_colours import GREEN, INK, LINE, PAPER

STYLE = f"""
* {{ box-sizing: border-box; }}
body {{ margin: 0; padding: .8rem; color: #{INK}; background: #{PAPER}; overflow-wrap: anywhere;
  font: 1rem/1.25 "DejaVu Sans", Verdana, "Noto Sans", sans-serif; }}
h1 {{ font: bold 1.5rem Georgia, "DejaVu Serif", serif; color: #{GREEN}; margin: 0 0 .3rem; }}
.label {{ border: 1px solid #{LINE}; background: #fff; padding: 2mm; margin: .4rem 0; max-width: 22rem; }}
.label b {{ display: block; font-size: 1.1rem; line-height: 1.15; }}
.label span {{ display: block; font-size: .85rem; }}
"""


def label_html(labels: Sequence[Label], sheet: LabelSheet, start: int = 1, *, cut_lines: bool = False) -> str:
    """The sheets as one file of HTML; the first label stands in place `start` of the first sheet."""
    places = list(enumerate(labels, start - 1))
    pages: dict[int, list[str]] = {}
    for number, label in places:
        pages.setdefault(number // sheet.many, []).append(one_label(label, sheet, number % sheet.many))
    body = "\n".join(f'<section class="sheet">\n{"".join(several)}</section>' for several in pages.values())
    nothing = "" if labels else f"<p>{NOTHING}</p>\n"
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Labels</title>\n<style>{STYLE}{print_style(sheet, cut_lines=cut_lines)}</style>\n</head>\n<body>\n"
        f"<header><h1>Labels</h1><p>{words(sheet.words())}</p></header>\n{nothing}<main>\n{body}\n</main>\n"
        "</body>\n</html>\n"
    )


def one_label(label: Label, sheet: LabelSheet, place: int) -> str:
    """One label, with its place on the printed sheet."""
    x, y = sheet.corner(place)
    lines = "".join(f"<span>{words(line)}</span>" for line in (label.made, label.good_until, label.lot))
    return f'<div class="label" style="left:{x:g}mm;top:{y:g}mm"><b>{words(label.name)}</b>{lines}</div>\n'


def print_style(sheet: LabelSheet, *, cut_lines: bool) -> str:
    """Each sheet a page without margins, each label at its place."""
    border = f"0.2mm solid #{LINE}" if cut_lines else "0"
    points = min(12.0, sheet.height * 72 / 25.4 / 7.5)
    return f"""
@page {{ size: {sheet.paper.css_name}; margin: 0; }}
@media print {{
  html {{ font-size: {points:.1f}pt; }}
  body {{ padding: 0; background: #fff; color: #000; }}
  header {{ display: none; }}
  .sheet {{ position: relative; width: {sheet.paper.width_mm:g}mm; height: {sheet.paper.height_mm - 0.2:g}mm;
    overflow: hidden; }}
  .sheet + .sheet {{ break-before: page; }}
  .label {{ position: absolute; width: {sheet.width:g}mm; height: {sheet.height:g}mm; margin: 0; max-width: none;
    overflow: hidden; border: {border}; }}
}}
"""
