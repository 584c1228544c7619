"""
The mathematics: what is decided, what is obeyed and what is aimed at. The only room that knows a solver.

Read `variables`, then `constraints` (the list RULES, in reading order), then `objectives` (the list AIMS), then
`solve`.
"""
