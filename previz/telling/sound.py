"""Sound as it can be told on paper: lines for people, names for JSON; `quantities` rounds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from previz.measure.sound.microphones import BoomNumbers, Microphone, SoundNumbers
from previz.telling.numbers import fixed, metres, per_cent, signed

SEEN_PCT = 1.0
"""A smaller shadow is not told of: an estimate."""


def sound_json(sound: SoundNumbers) -> dict[str, Any]:
    """As printed by `--json`; None for what the scene does not have."""
    room, boom, clip = sound.room, sound.boom, sound.clip
    return {
        "volume_m3": room and room.volume_m3,
        "absorption_m2": room and room.speech_absorption_m2,
        "reverberation_s": room and {f"{hz}_hz": s for hz, s in room.reverberation_s.items()},
        "speech_reverberation_s": room and room.speech_s,
        "boom": boom and _boom_json(boom),
        "lavalier": clip and asdict(clip),
        "noises": dict(sound.noises),
    }


def _boom_json(boom: BoomNumbers) -> dict[str, Any]:
    return {
        **asdict(boom.microphone),
        "under_lavalier_db": boom.under_clip_db,
        "shadow_pct": dict(boom.shadow_pct),
        "clearance": {name: asdict(gap) for name, gap in boom.clearance.items()},
    }


def sound_lines(sound: SoundNumbers) -> Iterator[str]:
    """A few lines for people, with an empty one before them; none where nothing is recorded."""
    if not sound.recorded:
        return
    yield ""
    yield "Sound"
    if sound.room is not None:
        yield (
            f"  room: {fixed(sound.room.volume_m3)} m3, rings for {fixed(sound.room.speech_s, 1)} "
            "s at speech (Sabine, an estimate from its surfaces)"
        )
    if sound.boom is not None:
        yield from _boom_lines(sound.boom)
    if sound.clip is not None:
        yield f"  lavalier: {_heard(sound.clip)}"


def _boom_lines(boom: BoomNumbers) -> Iterator[str]:
    louder = ""
    if boom.under_clip_db is not None:
        louder = f", {fixed(boom.under_clip_db)} dB under the lavalier"
    yield f"  boom: {_heard(boom.microphone)}{louder}"
    for name, gap in boom.clearance.items():
        where = "over" if gap.clearance_cm >= 0.0 else "inside"
        yield (
            f"  boom and camera {name}: {fixed(abs(gap.clearance_cm))} cm {where} the frame's "
            f"upper edge, {per_cent(abs(gap.clearance_pct))} of its height"
        )
    shaded = {light: share for light, share in boom.shadow_pct.items() if share >= SEEN_PCT}
    if shaded:
        said = ", ".join(f"{light} {per_cent(share)}" for light, share in shaded.items())
        yield f"  boom before a light, at most: {said}"


def _heard(microphone: Microphone) -> str:
    text = f"{metres(microphone.distance_m)} from the mouth of {microphone.person}"
    over_db = microphone.direct_to_reverberant_db
    if over_db is None:
        return text
    return f"{text}, voice {signed(over_db, 0)} dB over the room"
