"""Simulation of a season: random harvests, a household's days, and how likely each target is met."""
