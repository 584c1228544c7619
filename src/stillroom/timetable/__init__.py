"""A day's loads put on the clock."""
