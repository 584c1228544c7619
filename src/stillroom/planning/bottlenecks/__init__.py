"""The bottlenecks of a plan, and what one unit more of each would add, found by re-solving."""

from stillroom.planning.bottlenecks.gains import Gain
from stillroom.planning.bottlenecks.search import BottleneckGain, BottlenecksFound, begun_ahead, find_bottlenecks

__all__ = ["BottleneckGain", "BottlenecksFound", "Gain", "begun_ahead", "find_bottlenecks"]
