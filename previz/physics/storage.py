"""How much a day's recording weighs. 1 GB is 10^9 bytes."""

from __future__ import annotations

from previz.physics.checks import not_negative


def gb_per_hour(rate_mbit_s: float) -> float:
    """Gigabytes an hour at a bit rate in megabits a second: x 3600 / 8 / 1000.

    Definition of the units (IEC 80000-13, number from memory). A codec that varies its rate
    writes less.
    """
    return not_negative("rate_mbit_s", rate_mbit_s) * 3600.0 / 8.0 / 1000.0
