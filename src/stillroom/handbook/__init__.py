"""The published tables, and the process they give for an altitude, gauge and jar."""
