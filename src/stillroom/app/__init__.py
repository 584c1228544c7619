"""Use cases: a workbook read, planned, asked and written; a module is imported when it is first used."""

from typing import TYPE_CHECKING

from stillroom.lazy import submodules

__all__ = ["adopt", "batch", "bottlenecks", "bought", "catch_up", "day", "entries", "evening", "files", "fit_day"]
__all__ += ["frames", "hedge", "journal", "less", "overview", "own_log", "parallel", "plan", "print", "season"]
__all__ += ["suppose", "why", "winter", "write_plan"]

if TYPE_CHECKING:
    from stillroom.app import (
        adopt,
        batch,
        bottlenecks,
        bought,
        catch_up,
        day,
        entries,
        evening,
        files,
        fit_day,
        frames,
        hedge,
        journal,
        less,
        overview,
        own_log,
        parallel,
        plan,
        print,
        season,
        suppose,
        why,
        winter,
        write_plan,
    )
else:
    __getattr__ = submodules(__name__, __all__)
