"""Imported once where commands are forked from: it reads a kitchen, so that no command has to get ready for that."""

import contextlib
import gc
import io
import tempfile
from pathlib import Path

from tests.small_kitchen import build

from stillroom.cli import run

with tempfile.TemporaryDirectory() as folder, contextlib.redirect_stdout(io.StringIO()):
    run(["check", str(build(Path(folder) / "kitchen.xlsx"))])
gc.collect()
gc.freeze()
