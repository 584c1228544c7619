"""
The mathematical model and its solution; the only package that imports a solver.

Read `variables`, then `constraints` (the list CONSTRAINTS, in reading order), then `objectives` (the list OBJECTIVES),
then `solve`.
"""
