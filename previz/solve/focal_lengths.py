"""Which focal lengths are worth holding beside one that was chosen."""

from __future__ import annotations

from previz.stage.kit import CameraSetup

USUAL_MM = (14, 18, 21, 25, 28, 35, 40, 50, 65, 75, 85, 100, 135, 200)
"""Focal lengths of sets of lenses (common practice, no source)."""
APART = 1.25
"""Nearer than by this factor one sees no difference worth a picture: an estimate."""


def beside(setup: CameraSetup) -> tuple[float, ...]:
    """A shorter one, the one that is set, and a longer one, as marked on the lens, mm.

    Of a zoom only what it has: then there may be two.
    """
    own = setup.focal_length_mm
    low, high = setup.kit.lens.focal_length_mm if setup.kit.lens.is_zoom else (0.0, float("inf"))
    shorter = [mm for mm in (low, *USUAL_MM) if low <= mm and 0.0 < mm <= own / APART]
    longer = [mm for mm in (*USUAL_MM, high) if mm <= high and own * APART <= mm < float("inf")]
    return tuple(float(mm) for mm in (*shorter[-1:], own, *longer[:1]))
