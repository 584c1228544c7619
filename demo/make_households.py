"""
Build the workbooks of the four invented households beside this file.

    python demo/make_households.py

Each household is a page of facts in a file of its own; this script puts them on top of a starting workbook.
Everything in them is invented, and every sheet says so. The same facts give the same bytes.
"""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

import freezer_against_canning  # noqa: E402  (the files of this folder are found through the line above)
import jar_shortage  # noqa: E402
import shared_plan  # noqa: E402
import tomato_glut  # noqa: E402
from household_facts import contents_of  # noqa: E402

from stillroom.workbook.starter import start  # noqa: E402

FILES = ("tomato_glut.xlsx", "jar_shortage.xlsx", "freezer_against_canning.xlsx", "shared_plan.xlsx")


def households() -> dict[str, bytes]:
    """The four workbooks by file name."""
    plain = (tomato_glut.FACTS, jar_shortage.FACTS, freezer_against_canning.FACTS)
    built = {facts.file: start.build(contents_of(facts)) for facts in plain}
    return built | {shared_plan.FACTS.file: shared_plan.build()}


def main() -> None:
    """Write all four."""
    for name, content in households().items():
        (HERE / name).write_bytes(content)
        print(f"wrote {name}")


if __name__ == "__main__":
    main()
