"""Packages whose modules are imported when they are first used (PEP 562), so that a command starts at once."""

from __future__ import annotations

from collections.abc import Callable, Collection
from importlib import import_module
from types import ModuleType


def submodules(package: str, names: Collection[str]) -> Callable[[str], ModuleType]:
    """
    Return the `__getattr__` of a package: it imports one of these modules when that is first used.

    >>> submodules("stillroom", ["errors"])("errors").__name__
    'stillroom.errors'
    >>> submodules("stillroom", ["errors"])("eros")
    Traceback (most recent call last):
    AttributeError: module 'stillroom' has no attribute 'eros'
    """

    def load(name: str) -> ModuleType:
        if name not in names:
            msg = f"module {package!r} has no attribute {name!r}"
            raise AttributeError(msg)
        return import_module(f"{package}.{name}")

    return load
