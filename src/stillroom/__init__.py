"""A planner for people who put food up for winter."""

from importlib.metadata import version

__version__ = version("stillroom")
