"""What holds a plan back, and what one natural unit more would give, found by planning again."""

from stillroom.planning.bottlenecks.search import begun_ahead, find_bottlenecks

__all__ = ["begun_ahead", "find_bottlenecks"]
