"""The bottlenecks of a plan, and what one unit more of each would add, found by re-solving."""

from stillroom.planning.bottlenecks.search import begun_ahead, find_bottlenecks

__all__ = ["begun_ahead", "find_bottlenecks"]
