"""
Two-stage stochastic planning: today and tomorrow are decided once, later days for each harvest scenario.

Read `scenarios` (the scenarios in one model), then `solve` (the objectives over the scenarios).
"""
