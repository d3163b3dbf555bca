"""Findings between cameras: the line, angle and size, matching settings."""

from __future__ import annotations

from collections.abc import Iterator

from previz.measure.measured import Measured
from previz.measure.rules.findings import Finding

SAME_SHARE = 0.01


def pair_findings(measured: Measured) -> Iterator[Finding]:
    """The line crossed, cuts that jump, settings and lens heights that differ."""
    yield from _line(measured)
    yield from _jump_cuts(measured)
    yield from _settings(measured)
    yield from _lens_heights(measured)


def _line(measured: Measured) -> Iterator[Finding]:
    line = measured.line
    if line is None:
        return
    sided = {name: side for name, side in line.sides.items() if side != "on_line"}
    if not sided:
        return
    first, right_side = next(iter(sided.items()))
    for name, side in sided.items():
        if side != right_side:
            yield Finding(
                "line_crossed",
                "fault",
                f"cameras.{name}",
                f"camera {name} is across the line from {line.guest} to {line.interviewer} (camera "
                f"{first} is on the {right_side}): {line.guest} would look the other way after the "
                "cut; bring it to the same side",
            )


def _jump_cuts(measured: Measured) -> Iterator[Finding]:
    rules = measured.rules
    for pair in measured.pairs:
        if pair.angle_deg >= rules.camera_angle_min_deg or pair.size_ratio >= rules.size_change_min:
            continue
        first, second = pair.cameras
        yield Finding(
            "jump_cut",
            "warning",
            f"cameras.{second}",
            f"cameras {first} and {second} are {pair.angle_deg:.0f} degrees apart round "
            f"{pair.subject} at nearly the same size: a cut between them jumps; move one to "
            f"{rules.camera_angle_min_deg:.0f} degrees or change its size",
            pair.angle_deg,
            rules.camera_angle_min_deg,
            "deg",
        )


def _settings(measured: Measured) -> Iterator[Finding]:
    cameras = measured.stage.cameras
    names = list(cameras)
    first = cameras[names[0]]
    for name in names[1:]:
        other = cameras[name]
        if other.fps == first.fps and abs(other.shutter_s / first.shutter_s - 1.0) > SAME_SHARE:
            yield Finding(
                "shutter_match",
                "warning",
                f"cameras.{name}",
                f"camera {name} exposes 1/{1.0 / other.shutter_s:.4g} s and camera {names[0]} "
                f"1/{1.0 / first.shutter_s:.4g} s: movement looks different; set them alike",
                1.0 / other.shutter_s,
                1.0 / first.shutter_s,
                "1/s",
            )
        if abs(other.iso / first.iso - 1.0) > SAME_SHARE:
            yield Finding(
                "iso_match",
                "note",
                f"cameras.{name}",
                f"camera {name} is at ISO {other.iso:g} and camera {names[0]} at {first.iso:g}: "
                "noise will differ",
                other.iso,
                first.iso,
                "ISO",
            )


def _lens_heights(measured: Measured) -> Iterator[Finding]:
    most = measured.rules.lens_to_eye_height_max_cm
    for pair in measured.pairs:
        if abs(100.0 * pair.lens_height_m) > most:
            first, second = pair.cameras
            yield Finding(
                "lens_height_match",
                "note",
                f"cameras.{second}",
                f"the lens of camera {second} is {abs(100.0 * pair.lens_height_m):.0f} cm "
                f"{'higher' if pair.lens_height_m > 0.0 else 'lower'} than that of camera {first}: "
                "set them alike, or mean it",
                100.0 * pair.lens_height_m,
                most,
                "cm",
            )
