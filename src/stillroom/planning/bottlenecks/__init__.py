"""What holds a plan back, and what one natural unit more would give, found by planning again."""

from stillroom.planning.bottlenecks.gains import Gain
from stillroom.planning.bottlenecks.search import Held, LimitsFound, begun_ahead, find_limits

__all__ = ["Gain", "Held", "LimitsFound", "begun_ahead", "find_limits"]
