"""What holds a plan back, and what one natural unit more would give, found by planning again."""

from stillroom.planning.limits.find import Held, LimitsFound, begun_ahead, find_limits
from stillroom.planning.limits.gains import Gain

__all__ = ["Gain", "Held", "LimitsFound", "begun_ahead", "find_limits"]
