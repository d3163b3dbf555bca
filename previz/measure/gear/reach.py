"""Windows with film on them, and what is out of reach from the floor."""

from __future__ import annotations

from previz.model.room import Opening

REACH_M = 2.0
"""What is higher than this is out of reach from the floor (common practice, no source)."""


def has_film(opening: Opening) -> bool:
    """Whether gel or ND film goes on an opening."""
    return bool(opening.gels) or opening.gel_nd > 0.0


def out_of_reach(opening: Opening) -> bool:
    """Whether its top is reached from a ladder alone."""
    return opening.sill_m + opening.height_m > REACH_M
