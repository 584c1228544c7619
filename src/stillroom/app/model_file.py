"""The file of the model that `plan --model` writes: its name is checked first, and no other file is written over."""

from __future__ import annotations

from pathlib import Path

from stillroom.app.files import why_not
from stillroom.errors import CommandWrong, CouldNotWrite
from stillroom.household.records import Household

OURS, LOOKED_AT = b"stillroom", 200
"""What is in the first bytes of every model file of ours: the name of the model."""


def refuse_model_name(path: Path) -> None:
    """Raise CommandWrong when the name ends in neither .lp nor .mps."""
    if path.suffix.lower() not in (".lp", ".mps"):
        msg = f"{path.name} should end in .mps or .lp, as in --model kitchen.mps"
        raise CommandWrong(msg)


def write_model(household: Household, path: Path) -> None:
    """Write the model that a plan solves first. Raises CouldNotWrite, and leaves a file that is no model as it is."""
    from stillroom.planning.model_file import write_first_model  # the solver is slow to import

    try:
        if path.exists():
            with path.open("rb") as file:
                is_ours = OURS in file.read(LOOKED_AT)
            if not is_ours:
                msg = f"{path} exists and is not a model of this program; name another file, or move it away"
                raise CouldNotWrite(msg)
        write_first_model(household, path)
    except OSError as error:
        msg = f"the model could not be written to {path}: {why_not(error)}"
        raise CouldNotWrite(msg) from error
