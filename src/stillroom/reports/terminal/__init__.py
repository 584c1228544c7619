"""Pages for the terminal; a module is imported when it is first used."""

from typing import TYPE_CHECKING

from stillroom.lazy import submodules

__all__ = ["bottlenecks", "day", "evening", "handbook", "layout", "lists", "merge", "next_year", "plan", "refused"]
__all__ += ["review", "season", "setup", "stock", "suppose", "today", "tonight", "why", "winter"]

if TYPE_CHECKING:
    from stillroom.reports.terminal import (
        bottlenecks,
        day,
        evening,
        handbook,
        layout,
        lists,
        merge,
        next_year,
        plan,
        refused,
        review,
        season,
        setup,
        stock,
        suppose,
        today,
        tonight,
        why,
        winter,
    )
else:
    __getattr__ = submodules(__name__, __all__)
