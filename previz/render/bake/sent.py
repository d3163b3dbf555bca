"""Light that surfaces send to each other: what every place gets from all others, solved at once.

Rays from each place say which places it sees and how much of their light those send back. Light is
even over a place for this, so a few dozen rays serve as well as hundreds of whole paths.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

F32 = NDArray[np.float32]

SETTLED = 1e-4
"""Change from one bounce to the next, as a share of all light, at which no more are counted."""
MOST_BOUNCES = 60
MOST_SENT = 0.95
"""Share of the light about it that a place can be sent back: no paint is whiter."""


@dataclass(frozen=True, eq=False)
class Sent:
    """What n places get of the light of each other, by colour: sparse (n, n) matrices."""

    shares: tuple[Any, Any, Any]

    @classmethod
    def of(cls, of: NDArray[np.int64], by: NDArray[np.int64], share: F32, count: int) -> Sent:
        """From single rays: place `of` gets `share` (rays, 3) of the light of place `by`."""
        from scipy.sparse import csr_array  # noqa: PLC0415 - only who bakes needs it

        def matrix(values: F32) -> Any:
            # Chance may give a sheet more than there is: light would never end.
            all_of = np.bincount(of, values, minlength=count)
            fit = np.minimum(1.0, MOST_SENT / np.maximum(all_of, 1e-12)).astype(np.float32)
            return csr_array((values * fit[of], (of, by)), shape=(count, count))

        red, green, blue = (matrix(share[:, channel]) for channel in range(3))
        return cls((red, green, blue))

    def bounced(self, straight: F32) -> F32:
        """Light (n, layers, 3) that arrives at places after one bounce or more, lux.

        straight  (n, layers, 3) what arrives without
        """
        total = np.zeros_like(straight)
        for channel, matrix in enumerate(self.shares):
            light = np.ascontiguousarray(straight[:, :, channel], np.float32)
            step = matrix @ light
            for _ in range(MOST_BOUNCES):
                total[:, :, channel] += step
                if step.sum() <= SETTLED * (light.sum() + 1e-30):
                    break
                step = matrix @ step
        return total
