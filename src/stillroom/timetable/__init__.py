"""A timetable of each day's loads."""
