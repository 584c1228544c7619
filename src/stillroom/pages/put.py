"""Files put in their place in one step, so that none is ever half written."""

from __future__ import annotations

from pathlib import Path


def put(path: Path, content: bytes) -> Path:
    """Write a file beside its place and move it there; gives the path. Raises OSError, and leaves nothing beside."""
    beside = path.with_name(f".{path.name}.new")
    try:
        beside.write_bytes(content)
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
    return path
