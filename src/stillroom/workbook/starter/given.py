"""What a starting workbook says and is filled with, as `starter.toml` lists it."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from typing import Any

GIVEN: dict[str, Any] = tomllib.loads(files("stillroom.workbook.starter").joinpath("starter.toml").read_text("utf-8"))
