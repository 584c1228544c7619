"""Pages for the terminal; a module is imported when it is first used."""

from typing import TYPE_CHECKING

from stillroom.lazy import submodules

__all__ = ["bottlenecks", "day", "evening", "handbook", "lists", "next_year", "plan"]
__all__ += ["review", "season", "setup", "stock", "suppose", "today", "tonight", "winter"]

if TYPE_CHECKING:
    from stillroom.reports.terminal import (
        bottlenecks,
        day,
        evening,
        handbook,
        lists,
        next_year,
        plan,
        review,
        season,
        setup,
        stock,
        suppose,
        today,
        tonight,
        winter,
    )
else:
    __getattr__ = submodules(__name__, __all__)
