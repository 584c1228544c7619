"""What is known before anything is decided; `Parameters` is the whole of it."""

from stillroom.planning.parameters.bounds import Parameters
from stillroom.planning.parameters.fixed import Fix

__all__ = ["Fix", "Parameters"]
