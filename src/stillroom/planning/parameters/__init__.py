"""
The index sets, and the parameters that are known before the solve: `Parameters` has them all.

    p in preserves    preserves that may be planned, by name
    c in crops        crops; freezable: those that may be frozen whole or are in the freezer
    t in periods      days planned in detail (singles), then weeks; T is the last one
    j in containers, l in lids, g in pantry, e in equipment
    n in targets      lines of the winter list
    b in segments     the four quarters of a target, or one segment where targets are not filled evenly
    i in fixes        fixed lines; i in last_lines: lines of the last plan
"""

from stillroom.planning.parameters.bounds import Parameters
from stillroom.planning.parameters.fixed import Fix

__all__ = ["Fix", "Parameters"]
