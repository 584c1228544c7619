"""
The plan for a harvest nobody can be sure of: today and tomorrow decided once, later days for each season.

Read `cases` (the three seasons in one programme), then `objectives` (every aim over the seasons), then `solve`.
"""
