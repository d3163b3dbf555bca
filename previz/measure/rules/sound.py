"""Findings on sound: a boom too far, near the frame or in the light, a room that rings, noise.

A set without a microphone says nothing of sound.
"""

from __future__ import annotations

from collections.abc import Iterator

from previz.measure.measured import Measured
from previz.measure.rules.findings import CATALOGUE, GEOMETRY, PRACTICE, Finding
from previz.measure.sound.microphones import BoomNumbers
from previz.measure.sound.room import RoomSound
from previz.physics.sound import absorption_for_m2
from previz.scenefile.wording import listed

BOOM_FAR_M = 0.8
"""A boom is held as near as the frame lets it; farther, the room comes with the voice: common
practice, no source."""
FRAME_CM = 5.0
"""Less than this over the frame, and a boom dips in: common practice, no source."""
SHADOW_PCT = 25.0
"""Share of a light's face hidden from a place on the face that shows as a shadow: 0.4 stop of that
light, an estimate."""
RINGS_S = 0.6
"""A longer time is heard as a room round a voice: common practice, no source."""
CLOTH = 0.62
"""Share that thick cloth in folds swallows at 500 and 1000 Hz: from memory."""
SABINE = (
    'Sabine, "Collected Papers on Acoustics", 1922 (from memory); absorption from the catalogue'
)


def sound_findings(measured: Measured) -> Iterator[Finding]:
    """What of the sound will not do, or needs a hand before the first take."""
    found = measured.sound
    if not found.recorded:
        return
    if found.boom is not None:
        yield from _boom(found.boom)
    if found.room is not None and found.room.speech_s > RINGS_S:
        yield _rings(found.room)
    yield from _noisy(measured)


def _boom(boom: BoomNumbers) -> Iterator[Finding]:
    microphone = boom.microphone
    # Distances are compared as they are told, in whole centimetres.
    if round(microphone.distance_m, 2) > BOOM_FAR_M:
        yield Finding(
            "boom_far",
            "warning",
            "sound.boom",
            f"the boom is {100 * microphone.distance_m:.0f} cm from the mouth of "
            f"{microphone.person}: bring it to {100 * BOOM_FAR_M:.0f} cm or nearer, just over the "
            "frame",
            microphone.distance_m,
            BOOM_FAR_M,
            "m",
            PRACTICE,
        )
    for name, gap in boom.clearance.items():
        if gap.clearance_cm >= 0.0 and round(gap.clearance_cm) < FRAME_CM:
            yield Finding(
                "boom_near_frame",
                "warning",
                f"cameras.{name}",
                f"the microphone hangs {gap.clearance_cm:.0f} cm over the frame of camera {name}: "
                f"raise it to {FRAME_CM:.0f} cm, or it dips in",
                gap.clearance_cm,
                FRAME_CM,
                "cm",
                PRACTICE,
            )
    for light, share in boom.shadow_pct.items():
        if share >= SHADOW_PCT:
            yield Finding(
                "boom_shadow",
                "warning",
                "sound.boom",
                f"the boom stands in the way of {light}: a place on the face of "
                f"{microphone.person} loses {share:.0f} % of that light; bring the pole in from "
                "the other side, or from behind",
                share,
                SHADOW_PCT,
                "%",
                GEOMETRY,
            )


def _rings(room: RoomSound) -> Finding:
    more_m2 = absorption_for_m2(room.volume_m3, RINGS_S) - room.speech_absorption_m2
    cloth_m2 = more_m2 / CLOTH
    return Finding(
        "room_rings",
        "note",
        "room",
        f"the room rings for about {room.speech_s:.1f} s, {RINGS_S:g} s is dry: {cloth_m2:.0f} m2 "
        "of thick cloth, folded and off the walls, or blankets on the floor out of frame bring it "
        "down; clap and listen",
        room.speech_s,
        RINGS_S,
        "s",
        SABINE,
    )


def _noisy(measured: Measured) -> Iterator[Finding]:
    """Once for all that makes noise, by what is to be done about it."""
    cures: dict[str, list[str]] = {}
    for name, cure in measured.sound.noises.items():
        cures.setdefault(cure, []).append(name)
    if cures:
        said = "; ".join(f"{listed(names, 'and')}: {cure}" for cure, names in cures.items())
        yield Finding("noise", "note", "sound", f"the microphones hear {said}", source=CATALOGUE)
