"""A season played through: planned lightly every few days and worked day by day, many times over."""
