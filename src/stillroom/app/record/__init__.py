"""Use cases that write what happened: evenings, weighings, missed days, a household's own log."""
