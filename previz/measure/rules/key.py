"""Findings on the guest's face: the side the key comes from, lights mirrored in the eyes.

The key belongs on the side of the face away from the B camera. B is farther round the guest
than A and so sees most of one cheek; a key from across the guest's look leaves that cheek in
shade, which models the face. Whoever films from the interviewer's one side of the line has all
cameras on one side of the look, so what is right for B is right for A; with one camera, A decides.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from previz.measure.measured import Measured
from previz.measure.roles import guest_of, interviewer_of, key_light_of
from previz.measure.rules.findings import GEOMETRY, PRACTICE, Finding
from previz.stage.stage import Array

FRONTAL_KEY_DEG = 10.0
"""A key nearer to the guest's look than this lights both sides alike: an estimate."""
FRONTAL_CAMERA_DEG = 5.0
"""A camera nearer to the look than this sees both sides alike: an estimate."""


def key_findings(measured: Measured) -> Iterator[Finding]:
    """The key on the wrong side of the guest's face, and eyes without a light in them."""
    yield from _key_side(measured)
    yield from _no_catchlight(measured)


def round_look_deg(look: Array, towards: Array) -> float:
    """Angle in plan from a look to a direction; positive to the looker's left."""
    turn = math.atan2(float(towards[1]), float(towards[0])) - math.atan2(
        float(look[1]), float(look[0])
    )
    return math.degrees(math.remainder(turn, 2.0 * math.pi))


def _key_side(measured: Measured) -> Iterator[Finding]:
    stage = measured.stage
    guest, key = guest_of(stage), key_light_of(stage)
    if measured.rules.key_side == "any" or guest is None or key is None:
        return
    camera = _judge(measured, guest)
    faces = [emitter for emitter in stage.emitters if emitter.layer == key]
    if camera is None or not faces:
        return
    person = stage.people[guest]
    eyes = person.landmarks["eyes"]
    lens_deg = round_look_deg(person.gaze, stage.cameras[camera].position_m - eyes)
    key_deg = round_look_deg(person.gaze, faces[0].shape.position_m - eyes)
    if abs(key_deg) < FRONTAL_KEY_DEG or key_deg * lens_deg < 0.0:
        return
    side, other = ("left", "right") if key_deg > 0.0 else ("right", "left")
    yield Finding(
        "key_side",
        "warning",
        f"lights.{key}",
        f"{key} comes from {guest}'s {side}, where camera {camera} stands: the cheek that {camera} "
        f"sees most of is lit flat; bring it round to {guest}'s {other}, away from {camera}, or "
        "set rules.key_side to any",
        abs(key_deg),
        FRONTAL_KEY_DEG,
        "deg",
        f"{GEOMETRY}; {PRACTICE}",
    )


def _judge(measured: Measured, guest: str) -> str | None:
    """The camera whose side counts: B, else A; None where no side is right.

    That is with the line crossed (another finding), when no camera sees the guest from a side,
    and when the partner is filmed as well, for then one light serves several faces.
    """
    stage = measured.stage
    subjects = {name: setup.subject for name, setup in stage.setups.items()}
    if interviewer_of(stage) in subjects.values() and interviewer_of(stage) is not None:
        return None
    person = stage.people[guest]
    sides = {}
    for name in (n for n, subject in subjects.items() if subject == guest):
        from_eyes = stage.cameras[name].position_m - person.landmarks["eyes"]
        angle_deg = round_look_deg(person.gaze, from_eyes)
        if abs(angle_deg) >= FRONTAL_CAMERA_DEG:
            sides[name] = angle_deg > 0.0
    if measured.line is not None and len(set(sides.values())) > 1:
        return None
    return "B" if "B" in sides else next(iter(list(sides)[1:2] or sides), None)


def _no_catchlight(measured: Measured) -> Iterator[Finding]:
    for name, found in measured.catchlights.items():
        if found and not any(light.visible for light in found):
            subject = measured.stage.setups[name].subject
            yield Finding(
                "no_catchlight",
                "note",
                f"cameras.{name}",
                f"camera {name} sees no light mirrored in {subject}'s eyes, which makes them dull: "
                "bring a light lower or nearer to this lens",
                0.0,
                1.0,
                "",
                f"{GEOMETRY}; {PRACTICE}",
            )
