"""Findings between cameras: the line, angle and size, matching settings, the key's side."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from previz.measure.continuity import plan_angle_deg
from previz.measure.findings import GEOMETRY, Finding
from previz.measure.measured import Measured
from previz.measure.roles import guest_of, key_light_of

SAME_SHARE = 0.01
FRONTAL_KEY_DEG = 10.0
"""A key nearer to the lens axis than this lights both sides."""


def pair_findings(measured: Measured) -> Iterator[Finding]:
    """All findings of this kind."""
    yield from _line(measured)
    yield from _jump_cuts(measured)
    yield from _settings(measured)
    yield from _lens_heights(measured)
    yield from _key_side(measured)


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
    rules = measured.scene.rules
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
    names = list(measured.settings)
    first = measured.settings[names[0]]
    for name in names[1:]:
        other = measured.settings[name]
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
    most = measured.scene.rules.lens_to_eye_height_max_cm
    for pair in measured.pairs:
        if abs(100.0 * pair.lens_height_m) > most:
            first, second = pair.cameras
            yield Finding(
                "lens_height_match",
                "note",
                f"cameras.{second}",
                f"the lens of camera {second} is {100.0 * pair.lens_height_m:+.0f} cm from the "
                f"height of camera {first}",
                100.0 * pair.lens_height_m,
                most,
                "cm",
            )


def _key_side(measured: Measured) -> Iterator[Finding]:
    key, guest = key_light_of(measured.scene), guest_of(measured.scene)
    faces = [e for e in measured.stage.emitters if e.layer == key]
    main = next((n for n, c in measured.cameras.items() if c.framing is not None), None)
    if key is None or guest is None or main is None or not faces:
        return
    framing, camera = measured.cameras[main].framing, measured.stage.cameras[main]
    if framing is None or framing.subject != guest or framing.looks_to == "lens":
        return
    from_eyes = faces[0].shape.position_m - measured.stage.people[guest].landmarks["eyes"]
    to_lens = camera.position_m - measured.stage.people[guest].landmarks["eyes"]
    off_deg = plan_angle_deg(from_eyes, to_lens)
    side = "right" if float(np.dot(from_eyes, camera.pose[:3, 0])) > 0.0 else "left"
    if off_deg < FRONTAL_KEY_DEG or side == framing.looks_to:
        return
    yield Finding(
        "key_side",
        "warning",
        f"lights.{key}",
        f"{guest} looks to the {framing.looks_to} of camera {main} and the key comes from the "
        f"{side}: it lights the broad side of the face; bring it round to the {framing.looks_to}",
        off_deg if side == "right" else -off_deg,
        None,
        "deg",
        f"{GEOMETRY}; common practice, no source",
    )
