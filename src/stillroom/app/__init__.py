"""Use cases: a workbook read, planned, asked and written; a module is imported when it is first used."""

from typing import TYPE_CHECKING

from stillroom.lazy import submodules

__all__ = ["adopt", "answers", "batch", "bottlenecks", "bought", "day", "files", "fit_day", "frames", "hedge"]
__all__ += ["journal", "overview", "own_log", "parallel", "plan", "print", "season", "suppose", "why", "winter"]
__all__ += ["write_plan"]

if TYPE_CHECKING:
    from stillroom.app import (
        adopt,
        answers,
        batch,
        bottlenecks,
        bought,
        day,
        files,
        fit_day,
        frames,
        hedge,
        journal,
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
