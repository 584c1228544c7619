"""What holds a plan back, and what one natural unit more would give, found by planning again."""

from stillroom.planning.limits.find import Held, LimitsFound, find_limits
from stillroom.planning.limits.gains import Gain

__all__ = ["Gain", "Held", "LimitsFound", "find_limits"]
