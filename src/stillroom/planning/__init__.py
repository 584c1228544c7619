"""
The mathematics: what is decided, what is obeyed and what is aimed at. The only room that knows a solver.

Read `decisions`, then `rules` (the list RULES, in reading order), then `aims` (the list AIMS), then `solve`.
"""
