"""What a grid of samples makes of a pattern finer than itself."""

from __future__ import annotations

import math

from previz.physics.checks import positive

LEAST_SAMPLES = 2.0
"""Samples a period needs. Source: Shannon 1949, "Communication in the Presence of Noise"."""


def samples_per_period(
    period_m: float, distance_m: float, focal_length_mm: float, pitch_mm: float
) -> float:
    """Samples on one period of a pattern that faces the lens.

    period_m         of the pattern, `distance_m` from the lens along its axis
    focal_length_mm  of a thin lens focused on the pattern; the distance must exceed it
    pitch_mm         between samples on the sensor: photosites, or pixels of the picture delivered

    Geometry of the thin lens: the pattern is drawn f / (d - f) times its size. A pattern that turns
    away is finer by the cosine of the turn.
    """
    focal_m = positive("focal_length_mm", focal_length_mm) / 1000.0
    if not distance_m > focal_m:
        raise ValueError(f"distance_m {distance_m!r} must be greater than the focal length")
    drawn_mm = 1000.0 * positive("period_m", period_m) * focal_m / (distance_m - focal_m)
    return drawn_mm / positive("pitch_mm", pitch_mm)


def contrast_left(samples: float) -> float:
    """Share of a sine's contrast that square samples side by side keep, 0 to 1.

    Geometry: the mean of a sine over a sample, in closed form |sinc(1 / samples)|.

    samples  to a period. Lens and low-pass filter take
             more; what is left of a period under two samples shows as moire.
    """
    turn = math.pi / positive("samples", samples)
    return abs(math.sin(turn) / turn)
