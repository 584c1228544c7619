"""Pages for the terminal; a module is imported when it is first used."""

from typing import TYPE_CHECKING

from stillroom.lazy import submodules

__all__ = ["bottlenecks", "day", "handbook", "lists", "plan"]
__all__ += ["review", "season", "setup", "stock", "suppose", "today", "year"]

if TYPE_CHECKING:
    from stillroom.reports.terminal import (
        bottlenecks,
        day,
        handbook,
        lists,
        plan,
        review,
        season,
        setup,
        stock,
        suppose,
        today,
        year,
    )
else:
    __getattr__ = submodules(__name__, __all__)
