"""Packages whose modules are imported when they are first used (PEP 562), so that a command starts at once."""

from __future__ import annotations

from collections.abc import Callable, Collection
from importlib import import_module
from importlib.util import find_spec
from types import ModuleType


def submodules(package: str, names: Collection[str], inside: Collection[str] = ()) -> Callable[[str], ModuleType]:
    """
    Return the `__getattr__` of a package: it imports one of these modules when that is first used.

    ``inside``: the packages within it where a module that does not lie in the package itself is looked for.

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
        places = [package, *(f"{package}.{within}" for within in inside)]
        return import_module(next(full for place in places if find_spec(full := f"{place}.{name}")))

    return load
