"""What is known before anything is decided; `Facts` is the whole of it."""

from stillroom.planning.parameters.bounds import Facts
from stillroom.planning.parameters.fixed import Fix

__all__ = ["Facts", "Fix"]
