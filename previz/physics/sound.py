"""How long a room rings, and how much of a voice reaches a microphone straight from the mouth.

A diffuse field in a room of ordinary shape. All of it stops being true where a room is dead (mean
absorption over about 0.3), very long or low, below some 100 Hz in a small room, and nearer to a
source than its own size.
"""

from __future__ import annotations

import math

from previz.physics.checks import positive

SABINE_S_PER_M = 0.161
"""24 ln 10 over the speed of sound: Sabine, "Collected Papers on Acoustics", 1922 (from memory)."""
CRITICAL = 0.057
"""Root of 0.161 / (16 pi): Kuttruff, "Room Acoustics", 5th edition, 2009 (from memory)."""


def reverberation_s(volume_m3: float, absorption_m2: float) -> float:
    """Time in which sound falls by 60 dB: T = 0.161 V / A, with A as an equivalent open area.

    Sabine, "Collected Papers on Acoustics", 1922 (from memory). The air's own absorption is left
    out: it counts in halls and over 4 kHz.
    """
    return SABINE_S_PER_M * positive("volume_m3", volume_m3) / positive("A", absorption_m2)


def absorption_for_m2(volume_m3: float, wanted_s: float) -> float:
    """The equivalent open area that gives such a time: Sabine's law the other way round.

    Sabine, "Collected Papers on Acoustics", 1922 (from memory).
    """
    return SABINE_S_PER_M * positive("volume_m3", volume_m3) / positive("wanted_s", wanted_s)


def critical_distance_m(volume_m3: float, time_s: float, directivity: float = 1.0) -> float:
    """Where direct sound and the room's are as strong: 0.057 sqrt(Q V / T).

    Kuttruff, "Room Acoustics", 5th edition, 2009 (from memory). `directivity` Q is that of the
    source times that of a microphone that is turned to it; 1 for both that know no direction.
    """
    source = positive("directivity", directivity) * positive("volume_m3", volume_m3)
    return CRITICAL * math.sqrt(source / positive("time_s", time_s))


def louder_db(distance_m: float, other_m: float) -> float:
    """How much louder direct sound is at a distance than at another: 20 log10 of their ratio.

    Geometry of a small source in the open: the inverse square.
    """
    return 20.0 * math.log10(positive("other_m", other_m) / positive("distance_m", distance_m))


def direct_to_reverberant_db(distance_m: float, critical_m: float) -> float:
    """Direct sound over the room's: 0 at the critical distance, by definition of it."""
    return louder_db(distance_m, critical_m)
