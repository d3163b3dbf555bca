"""The oval of the face that a headscarf leaves open."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array


def outside_oval(p: Array, middle: Array, chin: Array) -> Array:
    """Distance outside the oval of the face that a scarf leaves open; points at rest (n, 3).

    middle  between the eyes, `chin`: at rest
    """
    top, bottom = middle[2] + 0.052, chin[2] - 0.004
    centre, half = 0.5 * (top + bottom), 0.5 * (top - bottom)
    wide = 0.67 * half
    x, z = p[:, 0] / wide, (p[:, 2] - centre) / half
    ring = (np.hypot(x, z) - 1.0) * wide
    behind = np.clip((p[:, 1] - middle[1] - 0.055) / 0.02, 0.0, 3.0) * 0.03
    return np.asarray(ring + behind)
