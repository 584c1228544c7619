"""The style of the HTML pages: warm on the screen, black on white on paper, one column of cards on a phone."""

from __future__ import annotations

from stillroom.pages.paper_colours import GREEN, INK, LINE, PALE_GREEN, PAPER, QUIET
from stillroom.pages.paper_size import MARGIN_MM, PaperSize

STYLE = f"""
* {{ box-sizing: border-box; }}
html {{ font-size: 100%; -webkit-text-size-adjust: 100%; }}
body {{ margin: 0 auto; padding: 1.25rem; max-width: 52rem; color: #{INK}; background: #{PAPER};
  font: 1rem/1.4 "DejaVu Sans", Verdana, "Noto Sans", sans-serif; overflow-wrap: anywhere; }}
h1, h2, .head {{ font-family: Georgia, "DejaVu Serif", "Noto Serif", serif; color: #{GREEN}; line-height: 1.15; }}
h1 {{ font-size: 1.9rem; margin: 0 0 .25rem; }}
header {{ border-bottom: 2px solid #{GREEN}; padding-bottom: .4rem; margin-bottom: .6rem; }}
header p {{ margin: .2rem 0; }}
h2 {{ font-size: 1.3rem; margin: 1.4rem 0 .4rem; break-after: avoid; }}
h2 small {{ font: .8rem/1.3 "DejaVu Sans", Verdana, "Noto Sans", sans-serif; color: #{QUIET}; }}
p {{ margin: .3rem 0; }}
table {{ border-collapse: collapse; width: 100%; }}
th, td {{ text-align: left; vertical-align: top; padding: .25rem .6rem .3rem 0; border-bottom: 1px solid #{LINE}; }}
thead th {{ font-size: .78rem; font-weight: normal; color: #{QUIET}; border-bottom: 2px solid #{GREEN}; }}
tbody.held tr:last-child > *, th.head {{ border-bottom: 2px solid #{GREEN}; }}
th.head {{ font-size: 1.5rem; white-space: nowrap; padding-right: 1rem; }}
th.head .below {{ font-weight: normal; }}
tr {{ break-inside: avoid; }}
tbody.held {{ break-inside: avoid; }}
td.main, td.number {{ font-weight: bold; font-size: 1.15rem; line-height: 1.2; }}
.door td.main {{ font-size: 1.4rem; }}
.door td.number {{ font-size: 1.6rem; }}
.door th.head {{ font-size: 1.9rem; }}
td.number, td.money, .right {{ text-align: right; white-space: nowrap; }}
td.time {{ white-space: nowrap; font-variant-numeric: tabular-nums; }}
.below {{ display: block; font: .85rem/1.3 "DejaVu Sans", Verdana, "Noto Sans", sans-serif; color: #{QUIET}; }}
.warn {{ font-weight: bold; color: #{INK}; }}
p.warn {{ border-left: 4px solid #{INK}; padding-left: .5rem; }}
.small {{ font-size: .9rem; }}
.small i, .ticks i {{ color: #{QUIET}; font-style: normal; font-size: .9em; }}
ul, ol {{ margin: .2rem 0; padding-left: 1.6rem; }}
li {{ break-inside: avoid; }}
.ticks {{ list-style: none; padding-left: 0; }}
.ticks li {{ padding-left: 1.7rem; text-indent: -1.7rem; margin: .2rem 0; }}
.box {{ display: inline-block; width: 1.1rem; height: 1.1rem; border: 2px solid #{INK}; vertical-align: -.15rem; }}
.ticks .box {{ margin-right: .6rem; text-indent: 0; }}
.write {{ display: inline-block; min-width: 3.4rem; height: 1.3rem; border-bottom: 2px solid #{INK}; }}
.only, .printed {{ display: none; font-weight: normal; }}
@media screen and (max-width: 38rem) {{
  body {{ padding: .8rem; }}
  h1 {{ font-size: 1.5rem; }}
  thead {{ display: none; }}
  table, tbody {{ display: block; }}
  tr {{ display: flex; flex-wrap: wrap; align-items: baseline; border-bottom: 1px solid #{LINE}; padding: .4rem 0; }}
  th, td, tbody.held tr:last-child > *, th.head {{ border-bottom: 0; padding: .1rem .6rem .1rem 0; }}
  tr > * {{ flex: none; max-width: 100%; }}
  tr > td.main {{ flex: 1 1 60%; }}
  tr > td.plain {{ flex: 1 1 55%; }}
  tr > td.money, tr > .written {{ margin-left: auto; padding-right: 0; }}
  th.head {{ flex: 1 1 100%; background: #{PALE_GREEN}; padding: .3rem .5rem; margin-bottom: .3rem; }}
  th.head .below {{ display: inline; margin-left: .6rem; }}
  tbody.held {{ margin-top: .8rem; }}
  .only {{ display: inline; color: #{QUIET}; font-size: .85rem; }}
}}
"""


def print_style(size: PaperSize, points: float) -> str:
    """
    How it is printed: on which paper, and how large so that it fits; `points` is the size of ordinary words.

    >>> from stillroom.pages.paper_size import A4
    >>> "size: A4" in print_style(A4, 10.0)
    True
    """
    return f"""
@page {{ size: {size.css_name}; margin: {MARGIN_MM:g}mm; }}
@media print {{
  html {{ font-size: {points:.1f}pt; }}
  body {{ background: #fff; color: #000; padding: 0; max-width: none; line-height: 1.25; }}
  header {{ margin-bottom: .3rem; }}
  .unprinted {{ display: none; }}
  .printed {{ display: list-item; }}
  h2 {{ margin: .7rem 0 .2rem; }}
  .close td {{ padding: .1rem .5rem .15rem 0; line-height: 1.1; }}
  .close td .below {{ display: inline; margin-left: .4em; }}
  .close h2 {{ margin: .3rem 0 .1rem; }}
}}
"""
