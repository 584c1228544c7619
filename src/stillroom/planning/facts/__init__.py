"""What is known before anything is decided; `Facts` is the whole of it."""

from stillroom.planning.facts.bounds import Facts
from stillroom.planning.facts.hand import Fix

__all__ = ["Facts", "Fix"]
