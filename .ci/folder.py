"""
Build a folder that runs without Python: `python3 .ci/folder.py`.

Needs Python, its venv module and the package index. Makes an environment of its own in `build/`, with no more in it
than the kitchen page and PyInstaller need, and builds `dist/stillroom/` for the system it runs on, and for no other. `dist/stillroom/stillroom` without words after it opens
the kitchen page and asks there for the workbook; with words it is the command. Prints its size, then plans a demo
workbook with it and asks for the first page, with no Python on the path, and prints the seconds.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / "build" / "folder-environment"
OUT = ROOT / "dist"
NAME = "stillroom.exe" if os.name == "nt" else "stillroom"
LEFT_OUT = ("tkinter", "distributed", "pandas.tests", "numpy.tests", "matplotlib.tests", "pyscipopt")
"""What no plan needs."""
WAIT_SECONDS = 120


def main() -> int:
    """Build the folder and try it; 0 when all is well."""
    build(environment())
    print(f"{OUT / 'stillroom'}: {megabytes(OUT / 'stillroom'):.0f} MB", flush=True)
    return tried(OUT / "stillroom" / NAME)


def environment() -> Path:
    """Make the environment, or bring it up to date; return its Python."""
    python = ENVIRONMENT / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if not python.exists():
        subprocess.run([sys.executable, "-m", "venv", ENVIRONMENT], check=True)
    shutil.rmtree(ROOT / "build" / "lib", ignore_errors=True)  # what was taken away since would be installed too
    pip = [python, "-m", "pip", "install", "--disable-pip-version-check", "-q"]
    subprocess.run([*pip, f"{ROOT}[kitchen,folder]"], check=True)
    subprocess.run([*pip, "--no-deps", "--force-reinstall", str(ROOT)], check=True)  # the version number stays the same
    return python


def build(python: Path) -> None:
    """Have PyInstaller gather the program, its modules that are imported late, its files and the handbook."""
    between = os.pathsep
    with tempfile.TemporaryDirectory() as work:
        tables = ROOT / "shared" / "handbook"
        data = [f"{file}{between}share/stillroom/handbook" for file in (*tables.glob("*.csv"), tables / "README.md")]
        words = [
            *("--noconfirm", "--clean", "--log-level", "WARN", "--onedir", "--console", "--name", "stillroom"),
            *("--distpath", str(OUT), "--workpath", work, "--specpath", work),
            *("--collect-submodules", "stillroom", "--collect-data", "stillroom", "--copy-metadata", "stillroom"),
            *("--collect-data", "pint", "--collect-submodules", "uvicorn", "--collect-binaries", "highspy"),
            *(word for file in data for word in ("--add-data", file)),
            *(word for name in LEFT_OUT for word in ("--exclude-module", name)),
        ]
        script = Path(work) / "begin.py"
        script.write_text("from stillroom.cli import main\n\nmain()\n", encoding="ascii")
        subprocess.run([python, "-m", "PyInstaller", *words, script], cwd=ROOT, check=True)


def megabytes(folder: Path) -> float:
    """Return how large a folder is."""
    return sum(file.stat().st_size for file in folder.rglob("*") if file.is_file() and not file.is_symlink()) / 1e6


def tried(program: Path) -> int:
    """Plan a demo workbook and ask for the first page, in an empty home with no Python on the path."""
    with tempfile.TemporaryDirectory() as name:
        home = Path(name)
        copy = home / "kitchen.xlsx"
        shutil.copyfile(ROOT / "demo" / "shared_plan.xlsx", copy)
        keep = {one: os.environ[one] for one in ("SYSTEMROOT", "TEMP", "TMPDIR") if one in os.environ}
        env = {**keep, "PATH": str(home / "nothing"), "HOME": name, "USERPROFILE": name}
        began = time.monotonic()
        code = subprocess.call([program, "plan", copy], env=env, cwd=home, stdout=subprocess.DEVNULL)
        print(f"plan: {time.monotonic() - began:.1f} s, exit code {code}", flush=True)
        began = time.monotonic()
        words = [program, "open", copy, "--no-browser"]
        with subprocess.Popen(words, env=env, cwd=home, stdout=subprocess.PIPE, text=True) as page:
            try:
                status = first_page(page)
            finally:
                page.terminate()
        print(f"first page: {time.monotonic() - began:.1f} s, status {status}", flush=True)
    return 0 if (code, status) == (0, 200) else 1


def first_page(page: subprocess.Popen[str]) -> int:
    """Ask for the page at the address that the program prints; return the status of the answer."""
    line = page.stdout.readline() if page.stdout else ""
    if "http" not in line:
        return 0
    own = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(), urllib.request.ProxyHandler({}))
    with own.open(line[line.index("http") :].strip(), timeout=WAIT_SECONDS) as answer:
        return int(answer.status)


if __name__ == "__main__":
    sys.exit(main())
