"""What relighting did to which light."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from previz.physics.colour import luminance
from previz.physics.exposure import floored_stops
from previz.telling.numbers import fixed, stops
from previz.telling.quantities import told

Gains = Mapping[str, NDArray[np.float64]]


def relit_lines(gains: Gains, rendered: Sequence[str], moved: Sequence[str]) -> Iterator[str]:
    """What was done, in sentences.

    gains     by layer, (3,): what it was multiplied by
    rendered  layers that were made anew
    moved     lights whose stand and body the other layers still meet at the old place
    """
    for name, gain in gains.items():
        if not np.allclose(gain, 1.0, rtol=1e-6):
            yield f"{name}: {_gain_text(gain)}"
    for name in rendered:
        yield f"{name}: rendered anew, it has moved, spreads otherwise or was off"
    if moved:
        listed = " and ".join(moved)
        yield f"the other lights still meet the stand and body of {listed} where it was"


def _gain_text(gain: NDArray[np.float64]) -> str:
    if not np.any(gain > 0.0):
        return "off"
    over = float(floored_stops(luminance(gain), 1e-9))
    tinted = float(np.ptp(gain)) > 1e-4 * float(gain.max())
    return stops(over, 2) + (", another colour" if tinted else "")


def relit_json(
    gains: Gains, rendered: Sequence[str], moved: Sequence[str], recombined_s: float, seconds: float
) -> dict[str, Any]:
    """The same by name, with the time the arithmetic took and the time in all."""
    found: dict[str, Any] = told(
        {
            "gains": {name: gain.tolist() for name, gain in gains.items()},
            "rendered": list(rendered),
            "moved": list(moved),
            "recombined_ms": 1000.0 * recombined_s,
            "seconds": seconds,
        }
    )
    return found


def recombined(recombined_s: float) -> str:
    """The time that the arithmetic took."""
    return f"{fixed(1000.0 * recombined_s)} ms"
