"""Findings on clothes: fine stripes that a camera draws as moire."""

from __future__ import annotations

from collections.abc import Iterator

from previz.measure.measured import CameraNumbers, Measured
from previz.measure.rules.findings import Finding
from previz.physics.sampling import LEAST_SAMPLES, contrast_left, samples_per_period
from previz.stage.people import STRIPE_M

ROUNDING = 0.005  # what would be told as enough is enough; an estimate
SEEN = 0.10  # contrast below which nobody sees the pattern; an estimate, judged by eye


def cloth_findings(measured: Measured) -> Iterator[Finding]:
    """Clothes that may shimmer, by camera and by person in its frame."""
    for camera, numbers in measured.cameras.items():
        for name, person in measured.stage.people.items():
            if person.striped and numbers.in_frame.get(f"people.{name}", 0.0) > 0.0:
                yield from _moire(camera, numbers, name, measured)


def _moire(camera: str, numbers: CameraNumbers, name: str, measured: Measured) -> Iterator[Finding]:
    placed = measured.stage.cameras[camera]
    distance = placed.axis_distance(measured.stage.people[name].landmarks["chest"])
    o, mode = numbers.optics, numbers.kit.mode
    if distance <= o.focal_length_mm / 1000.0 or not o.near_limit_m <= distance <= o.far_limit_m:
        return
    width_px = min(mode.width_px, measured.stage.programme.width_px)
    samples = samples_per_period(STRIPE_M, distance, o.focal_length_mm, mode.width_mm / width_px)
    if samples >= LEAST_SAMPLES - ROUNDING or contrast_left(samples) < SEEN:
        return
    yield Finding(
        "moire",
        "warning",
        f"cameras.{camera}",
        f"one stripe that {name} wears is {samples:.2f} pixels wide in camera {camera}, under the "
        f"{LEAST_SAMPLES:g} it needs, and may shimmer: choose plain cloth, "
        "frame closer",
        samples,
        LEAST_SAMPLES,
        "pixels",
        "Shannon 1949",
    )
