"""The version of the planner, of which a plan's mark in a workbook is made."""

from importlib.metadata import version

VERSION = version("stillroom")
