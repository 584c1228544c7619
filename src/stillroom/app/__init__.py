"""Use cases: a workbook read, planned, asked and written; a module is imported when it is first used."""

from typing import TYPE_CHECKING

from stillroom.lazy import submodules

__all__ = ["adopt", "answers", "batch", "day", "files", "fit_day", "frames", "merge", "overview", "parallel", "plan"]
__all__ += ["next_year", "print", "review", "season", "winter", "write_plan"]
__all__ += ["bought", "catch_up", "entries", "evening", "journal", "own_log", "taps"]  # in record/
__all__ += ["bottlenecks", "hedge", "less", "suppose", "tonight"]  # in questions/

if TYPE_CHECKING:
    from stillroom.app import (
        adopt,
        answers,
        batch,
        day,
        files,
        fit_day,
        frames,
        merge,
        next_year,
        overview,
        parallel,
        plan,
        print,
        review,
        season,
        winter,
        write_plan,
    )
    from stillroom.app.questions import bottlenecks, hedge, less, suppose, tonight
    from stillroom.app.record import bought, catch_up, entries, evening, journal, own_log, taps
else:
    __getattr__ = submodules(__name__, __all__, inside=("questions", "record"))
