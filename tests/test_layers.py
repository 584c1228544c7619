"""The modules of the program: no circle of imports, few imports inside functions, and every dependency declared and used."""

import ast
import graphlib
import re
import sys
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src"

LAZY_MILLISECONDS = {
    ("app.questions.bottlenecks", "stillroom.planning.bottlenecks"): 230,
    ("app.questions.bottlenecks", "stillroom.planning.why"): 230,
    ("app.frames", "pandas"): 400,
    ("app.questions.less", "stillroom.planning.rolling"): 240,
    ("app.record.own_log", "pandas"): 400,
    ("app.parallel", "stillroom.planning.bottlenecks"): 230,
    ("app.parallel", "stillroom.planning.rolling"): 240,
    ("app.plan", "stillroom.planning.stochastic.solve"): 230,
    ("app.plan", "stillroom.planning.why"): 170,
    ("app.season", "pandas"): 400,
    ("app.questions.suppose", "stillroom.planning.why"): 230,
    ("app.questions.tonight", "stillroom.planning.deadlines"): 200,
    ("app.write_plan", "stillroom.planning.model_file"): 270,
    ("cli.kitchen", "stillroom.web.serve"): 300,
    ("cli.output", "rich.console"): 60,
    ("cli.program", "stillroom.household.text"): 80,
    ("household.units", "pint"): 350,
    ("reports.charts.canvas", "matplotlib.ft2font"): 210,
    ("reports.charts", "stillroom.reports.charts.render"): 500,
    ("reports.print.html", "stillroom.reports.charts.render"): 500,
    ("workbook.starter.charts", "stillroom.workbook.starter.draw_chart"): 300,
}
"""
Every import inside a function: the module that has it, what it imports, and the milliseconds it saves a command that
never needs it (`python -X importtime`, a quiet machine). The solver takes most of those of planning.
"""
MOST_INNER = 30
LEAST_MILLISECONDS = 50
ONLY_SOMEWHERE = {
    ("workbook.ooxml.files.put", "fcntl"),
    ("workbook.ooxml.files.put", "msvcrt"),
    ("cli.entry_point", "multiprocessing"),
}
"""Imports of what not every operating system has, or what only the self-contained folder needs."""
NAMES = {"pillow": "PIL"}
"""Packages that are imported by another name than the one they are installed by."""
FOR_ANOTHER = {"python-multipart"}
"""Packages that one of ours imports only where it is there: Starlette, to read a form."""


@cache
def modules() -> dict[str, ast.Module]:
    """Return every module of the program by its name, parsed."""
    found = {}
    for path in sorted(SOURCE.rglob("*.py")):
        name = ".".join(path.relative_to(SOURCE).with_suffix("").parts).removesuffix(".__init__")
        found[name] = ast.parse(path.read_text())
    return found


@cache
def nodes(name: str) -> list[ast.AST]:
    """Return every node of a module."""
    return list(ast.walk(modules()[name]))


def imported(node: ast.AST) -> Iterator[str]:
    """Yield what an import statement imports: modules of ours by their full name, others as written."""
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom) and node.module:
        for alias in node.names:
            full = f"{node.module}.{alias.name}"
            yield full if full in modules() else node.module


def inner_imports() -> set[tuple[str, str]]:
    """Return the imports inside functions: the importing module without its first part, and what it imports."""
    found = set()
    for name in modules():
        for function in nodes(name):
            if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef):
                found |= {
                    (name.removeprefix("stillroom."), one) for node in ast.walk(function) for one in imported(node)
                }
    return found


def test_no_modules_import_each_other_in_a_circle():
    """Imports inside functions and those for types alone count too."""
    graph = {
        name: {one for node in nodes(name) for one in imported(node) if one in modules() and one != name}
        for name in modules()
    }
    try:
        graphlib.TopologicalSorter(graph).prepare()
    except graphlib.CycleError as error:
        pytest.fail(" -> ".join(reversed(error.args[1])))


def test_imports_inside_functions_are_few_and_save_time():
    """Whoever adds one measures what it saves, and writes it down here."""
    found = inner_imports() - ONLY_SOMEWHERE
    assert found == set(LAZY_MILLISECONDS)
    assert len(found) < MOST_INNER
    assert min(LAZY_MILLISECONDS.values()) >= LEAST_MILLISECONDS


WRITES = {
    "write_bytes",
    "write_text",
    "mkstemp",
    "mkdtemp",
    "NamedTemporaryFile",
    "TemporaryDirectory",
    "link",
}
"""Ways to write a file that are not ours; `replace` and `rename` to one thing are as well."""


def writes(node: ast.AST) -> bool:
    """Whether this calls a function that puts a file in its place."""
    if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
        return False
    renamed = node.func.attr in ("replace", "rename") and len(node.args) == 1 and not node.keywords
    return node.func.attr in WRITES or (renamed and not isinstance(node.args[0], ast.Constant))


def test_files_are_put_in_their_place_one_way():
    """There were six; three left broken files on a full disk. A dated copy is a second name of the file, if it can be."""
    found = {name.removeprefix("stillroom.") for name in modules() if any(map(writes, nodes(name)))}
    assert found - {"workbook.ooxml.files.copies"} == {"workbook.ooxml.files.put"}


@cache
def declared() -> set[str]:
    """Return the packages that pyproject.toml declares for the program itself, by the names they are imported by."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    lines = [
        *project["dependencies"],
        *project["optional-dependencies"]["cluster"],
        *project["optional-dependencies"]["kitchen"],
    ]
    names = [re.match(r"[\w-]+", line)[0] for line in lines]
    return {NAMES.get(name, name) for name in names}


@cache
def used() -> set[str]:
    """Return the packages that the program imports, those by name at run time too, without the standard library."""
    found = {one.partition(".")[0] for name in modules() for node in nodes(name) for one in imported(node)}
    for name in modules():
        for node in nodes(name):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "importlib.import_module":
                found.add(ast.literal_eval(node.args[0]).partition(".")[0])
    return found - set(sys.stdlib_module_names) - {"stillroom"}


def test_every_declared_dependency_is_imported():
    assert declared() - used() == FOR_ANOTHER


def test_every_imported_package_is_declared():
    assert used() - declared() == set()
