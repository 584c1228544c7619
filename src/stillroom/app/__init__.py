"""Use cases: a workbook read, planned, asked and written; a module is imported when it is first used."""

from typing import TYPE_CHECKING

from stillroom.lazy import submodules

__all__ = ["adopt", "answers", "batch", "bottlenecks", "bought", "catch_up", "day", "entries", "evening", "files"]
__all__ += ["fit_day", "frames", "hedge", "journal", "less", "merge", "overview", "own_log", "parallel", "plan"]
__all__ += ["print", "review", "season", "suppose", "tonight", "why", "winter", "write_plan"]

if TYPE_CHECKING:
    from stillroom.app import (
        adopt,
        answers,
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
        merge,
        overview,
        own_log,
        parallel,
        plan,
        print,
        review,
        season,
        suppose,
        tonight,
        why,
        winter,
        write_plan,
    )
else:
    __getattr__ = submodules(__name__, __all__)
