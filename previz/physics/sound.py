"""How loud at the microphone: distance, several sources, and the room's own sound."""

from __future__ import annotations

import math
from collections.abc import Iterable

from previz.physics.checks import positive


def level_change_db(from_m: float, to_m: float) -> float:
    """Change of level of a small source in the free field from one distance to another.

    -20 log10(to / from), -6.02 dB for twice as far. In a room it stops being true beyond the
    critical distance, and nearer than a few mouth widths.
    """
    return -20.0 * math.log10(positive("to_m", to_m) / positive("from_m", from_m))


def sum_levels_db(levels_db: Iterable[float]) -> float:
    """Level of several unrelated sources together; -inf for none."""
    power = sum(math.pow(10.0, level / 10.0) for level in levels_db)
    return 10.0 * math.log10(power) if power > 0.0 else -math.inf


def reverberation_time_s(volume_m3: float, absorption_m2: float) -> float:
    """Sabine's time for a decay by 60 dB: 0.161 V / A, A the summed area times absorption.

    Fair for live rooms; too long where the mean absorption is above about 0.2.
    """
    return 0.161 * positive("volume_m3", volume_m3) / positive("absorption_m2", absorption_m2)


def critical_distance_m(
    volume_m3: float, reverberation_time_s: float, directivity: float = 1.0
) -> float:
    """Distance at which the room is as loud as the voice: 0.057 sqrt(Q V / T).

    `directivity` Q multiplies source and microphone: 1 for an omni on a source alike all round,
    3 for an ideal cardioid on axis. Diffuse-field theory (Kuttruff, Room Acoustics; from memory).
    """
    ratio = positive("volume_m3", volume_m3) / positive(
        "reverberation_time_s", reverberation_time_s
    )
    return 0.057 * math.sqrt(positive("directivity", directivity) * ratio)
