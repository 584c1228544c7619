"""The published tables, and what they say for this altitude, gauge and jar."""
