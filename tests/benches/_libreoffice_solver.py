"""Drives LibreOffice's solver on a sheet; run by the system's Python, which has `uno`: TASK.json PROFILE-FOLDER."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

try:
    import uno
    from com.sun.star.beans import PropertyValue
    from com.sun.star.sheet import SolverConstraint
    from com.sun.star.sheet.SolverConstraintOperator import EQUAL, GREATER_EQUAL, INTEGER, LESS_EQUAL
    from com.sun.star.table import CellAddress
except ImportError:  # not the system's Python; only looked at
    uno = None


def office(task, profile):
    """Start an office of its own and give a way to it."""
    pipe = f"stillroom-{task['solver']}"
    words = [
        "soffice",
        "--headless",
        "--norestore",
        "--nologo",
        f"--accept=pipe,name={pipe};urp;",
        f"-env:UserInstallation=file://{Path(profile).as_posix().replace(' ', '%20')}",
    ]
    process = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True)
    context = uno.getComponentContext()
    resolver = context.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", context)
    for _ in range(120):
        try:
            return process, resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except Exception:
            time.sleep(0.5)
    os.killpg(process.pid, signal.SIGKILL)
    raise SystemExit("the office did not answer")


def address(column, row):
    """The address of a cell on the first sheet; rows are counted from one."""
    place = CellAddress()
    place.Sheet, place.Column, place.Row = 0, column, row - 1
    return place


def constraint(left, operator, right=None):
    """One limit for the solver."""
    found = SolverConstraint()
    found.Left, found.Operator = left, operator
    if right is not None:
        found.Right = right
    return found


def main():
    """Solve and say the value and the seconds of solving."""
    senses = {"<=": LESS_EQUAL, ">=": GREATER_EQUAL, "=": EQUAL}
    task = json.loads(Path(sys.argv[1]).read_text())
    process, remote = office(task, sys.argv[2])
    try:
        desktop = remote.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", remote)
        hidden = PropertyValue()
        hidden.Name, hidden.Value = "Hidden", True
        document = desktop.loadComponentFromURL(Path(task["workbook"]).as_uri(), "_blank", 0, (hidden,))
        solver = remote.ServiceManager.createInstanceWithContext(f"com.sun.star.comp.Calc.{task['solver']}", remote)
        if solver is None:
            print(json.dumps({"failed": "does not bring this solver"}))
            return
        limits = [constraint(address(3, row), senses[sense], bound) for row, sense, bound in task["limits"]]
        limits += [constraint(address(1, row), LESS_EQUAL, float(most)) for row, most in task["most"]]
        limits += [constraint(address(1, row), INTEGER) for row in task["whole"]]
        solver.Document = document
        solver.Objective = address(5, 1)
        solver.Variables = tuple(address(1, row + 1) for row in range(task["variables"]))
        solver.Constraints = tuple(limits)
        solver.Maximize = True
        solver.NonNegative = True
        if hasattr(solver, "Timeout"):
            solver.Timeout = int(task["limit"])
        began = time.monotonic()
        solver.solve()
        seconds = time.monotonic() - began
        if solver.Success:
            print(json.dumps({"value": solver.ResultValue, "seconds": seconds}))
        else:
            print(
                json.dumps(
                    {
                        "failed": f"found no answer ({seconds:.0f} s): {getattr(solver, 'StatusDescription', '')}".strip(
                            " :"
                        )
                    }
                )
            )
    finally:
        os.killpg(process.pid, signal.SIGKILL)


if __name__ == "__main__":
    main()
