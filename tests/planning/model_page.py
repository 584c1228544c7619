"""
The page about the model, made of the docstrings, so that it cannot drift from the code.

    python tests/planning/model_page.py > shared/docs/model.md
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator

from stillroom.planning import cuts, solve
from stillroom.planning import parameters as sets
from stillroom.planning.constraints import CONSTRAINTS
from stillroom.planning.objectives import LARGE, OBJECTIVES, Objective
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables

INTRODUCTION = """
# The model

The plan is the solution of a mixed-integer linear program with lexicographic objectives: each objective is solved for,
then bounded at its value, less a tolerance, while the next one is solved for. The single package that builds and solves
the model is `stillroom.planning`. This page is made of its docstrings:

    python tests/planning/model_page.py > shared/docs/model.md

Formulas use the names of the code. Each constraint has an instance as the code prints it for the small
household of `stillroom.household.examples.tiny_household`; a test runs them all.
"""

EFFORT = """
### How hard to work

*Effort* in Kitchen decides when a crop is worth the work. The plan fills the winter list first, whatever you type. Then
it puts up more crop as long as that takes no more work than the setting allows: for each 2 lb saved about a quarter of
an hour for light, an hour for normal, 4 hours for all out. Type light in a busy week, or when the surplus feeds your
chickens anyway. Type all out when you hate to see a tomato wasted and have the evenings for it.

![Surplus against hands-on hours of the four demo households, at the three settings](effort.png)

Each line goes through the plans of one demo household, from less work to more; no axis begins at zero. Light and all
out are one to three hours apart there, over nine weeks, for 2 to 11 lb of surplus. Most surplus of a glut stays at any
setting; `bottlenecks` shows what runs out. `python3 tests/bench.py effort` prints the figures.
"""

FOOT = """
A relative gap is |value - bound| / |value|. An objective also counts as proved within its absolute gap or its absolute
tolerance. The second gap applies after {patient} nodes. Limits count nodes, never seconds, so a slow machine gives the
same plan. After the node limit the objective is reported as not proved.
"""


def page() -> str:
    """Return the page about the model as Markdown."""
    parts = [
        INTRODUCTION,
        "## Sets\n",
        text_of(sets),
        "## Parameters\n",
        "All are computed before the solve by `stillroom.planning.parameters`.\n",
        *parameters(),
        "\n## Variables\n",
        text_of(Variables),
        "## Constraints\n",
        *(part for name, constraint in CONSTRAINTS.items() for part in (f"### {name}\n", text_of(constraint))),
        "## Objectives, in order\n",
        *(part for number, one in enumerate(unlike(OBJECTIVES), 1) for part in objective(number, one)),
        EFFORT,
        "### Gaps and tolerances\n",
        *gaps(),
        "\n" + FOOT.format(patient=solve.PATIENT_NODES),
        "## Today and tomorrow stay\n",
        text_of(solve.find_near_lines),
        "## Stronger bounds before the last objective\n",
        "### valid_inequalities\n",
        text_of(cuts.valid_inequalities),
        "### tighten_by_reduced_costs\n",
        text_of(cuts.tighten_by_reduced_costs),
        "### load_inequalities\n",
        f"Where there are more than {LARGE} integer variables:\n",
        text_of(cuts.load_inequalities),
    ]
    text = "\n".join(part.strip("\n") + ("" if part.startswith("|") else "\n") for part in parts)
    return re.sub(r"\|\n(?=[^|])", "|\n\n", text).replace("\n\n\n", "\n\n").strip() + "\n"


def text_of(thing: object) -> str:
    """
    Return a docstring as Markdown; its doctest becomes the printed instance, indented like a formula.

    >>> print(text_of(CONSTRAINTS["worthwhile_loads"]).splitlines()[-1].strip())
    worthwhile_loads.juice.08_15: make.juice.08_15 - 7 loads.juice.08_15 >= -4
    """
    lines: list[str] = []
    instance = False
    for line in (inspect.getdoc(thing) or "").splitlines():
        if line.startswith(">>>"):
            if not instance:
                lines += ["An instance:", ""]
            instance = True
        elif instance and line.strip():
            lines.append(f"    {line}")
        else:
            lines.append(line)
    return "\n".join(bulleted(lines))


def bulleted(lines: list[str]) -> Iterator[str]:
    """Yield lines with definitions (`name = ...` under a line of prose) set off as an indented block."""
    before = ""
    for line in lines:
        if line.startswith("    ") and before and not before.startswith("    "):
            yield ""
        yield line
        before = line


def parameters() -> Iterator[str]:
    """Yield one table row for each parameter: name and meaning."""
    yield "| parameter | meaning |"
    yield "|---|---|"
    seen = set()
    for owner in reversed(Parameters.__mro__):
        for name, member in vars(owner).items():
            text = inspect.getdoc(member)
            if name.startswith("_") or name in seen or not text or not text.strip() or owner is object:
                continue
            seen.add(name)
            first = " ".join(text.split("\n\n")[0].split()).removeprefix("Return ")
            yield f"| `{name}` | {first[0].upper()}{first[1:]} |"


def unlike(objectives: tuple[Objective, ...]) -> list[Objective]:
    """Return the objectives without those that differ from an earlier one in their importance alone."""
    return list({one.kind: one for one in reversed(objectives)}.values())[::-1]


def objective(number: int, one: Objective) -> Iterator[str]:
    """Yield the heading and the text of one objective."""
    several = ", for importance 1, then 2, then 3" if one.kind == "target" else ""
    yield f"### {number}. {one.kind}{several}\n"
    yield text_of(getattr(one.terms, "func", one.terms))


def gaps() -> Iterator[str]:
    """Yield the table of gaps, tolerances and node limits."""
    columns = ("gap", "patient_gap", "absolute_gap", "relative_tolerance", "absolute_tolerance", "node_limit")
    yield f"| objective | unit | {' | '.join(column.replace('_', ' ') for column in columns)} |"
    yield "|---|---|" + "---|" * len(columns)
    for one in unlike(OBJECTIVES):
        yield f"| {one.kind} | {one.unit} | {' | '.join(f'{getattr(one, column):g}' for column in columns)} |"


if __name__ == "__main__":
    print(page(), end="")
