"""Use cases: a workbook read, planned, asked and written; a module is imported when it is first used."""

from typing import TYPE_CHECKING

from stillroom.lazy import submodules

__all__ = ["answers", "batch", "day", "files", "fit_day", "frames", "parallel", "plan"]
__all__ += ["print", "season", "setup", "write_plan", "year"]
__all__ += ["catch_up", "entries", "evening", "journal", "own_log", "taps"]  # in record/
__all__ += ["bottlenecks", "hedge", "less", "suppose", "tonight"]  # in questions/

if TYPE_CHECKING:
    from stillroom.app import (
        answers,
        batch,
        day,
        files,
        fit_day,
        frames,
        parallel,
        plan,
        print,
        season,
        setup,
        write_plan,
        year,
    )
    from stillroom.app.questions import bottlenecks, hedge, less, suppose, tonight
    from stillroom.app.record import catch_up, entries, evening, journal, own_log, taps
else:
    __getattr__ = submodules(__name__, __all__, inside=("questions", "record"))
