"""What holds a plan back, and what one natural unit more would give, found by planning again."""

from stillroom.planning.bottlenecks.gains import Gain
from stillroom.planning.bottlenecks.search import BottleneckGain, BottlenecksFound, begun_ahead, find_bottlenecks

__all__ = ["BottlenecksFound", "Gain", "BottleneckGain", "begun_ahead", "find_bottlenecks"]
