"""Findings on the light: exposure of the face, clipping, mixed light, agreement of cameras."""

from __future__ import annotations

import math
from collections.abc import Iterator

from previz.measure.light.light import ExposureLight, FaceLight, LightNumbers, stops_between
from previz.measure.light.windows import clip_stops, held_windows
from previz.measure.measured import Measured
from previz.measure.roles import guest_of
from previz.measure.rules.findings import CATALOGUE, PRACTICE, Finding
from previz.model.meters import Targets
from previz.physics.temperature import cct_from_mired_k, mired_shift
from previz.units import ratio_to_stops

# Where a difference starts to show: common practice, no source.
FACE_WITHIN_STOPS = 0.5
FACE_LOST_STOPS = 2.5
RATIO_WITHIN_STOPS = 0.5
CAMERAS_WITHIN_STOPS = 0.35
WINDOW_CLIPPED_PCT = 10.0
LAMP_CLIPPED_PCT = 50.0
MIXED_MIRED = 40.0
"""Two lights this far apart tint the two sides of a face: 40 mired is 5600 K beside 4600 K. An
estimate."""
WHITE_OFF_MIRED = 20.0
"""A card off by more looks tinted: an estimate."""
METER = "ISO 2720 incident meter, C = 250"


def exposure_findings(measured: Measured, light: LightNumbers) -> Iterator[Finding]:
    """Faces, windows and lamps off their exposure; ratio, colour and white balance of the guest."""
    seen: set[str | None] = set()
    for name, exposure in light.cameras.items():
        # A second camera may well see the shadow side; the face is exposed for the first.
        if exposure.subject not in seen:
            yield from _face(name, exposure, measured.targets)
        seen.add(exposure.subject)
        yield from _windows(name, exposure, measured)
        yield from _lamps(name, exposure, measured)
    yield from _cameras(light)
    guest = guest_of(measured.stage)
    if guest is not None:
        yield from _ratio(guest, light.faces[guest], measured.targets)
        yield from _mixed(guest, light.faces[guest])
        yield from _white(guest, light.faces[guest], measured)


def _face(name: str, exposure: ExposureLight, targets: Targets) -> Iterator[Finding]:
    stops = exposure.judged_stops
    if stops is None or exposure.subject is None:
        return
    wanted = targets.face.stops_over_grey if targets.face else 0.0
    off = stops - wanted
    if abs(off) <= FACE_WITHIN_STOPS:
        return
    side, cure = ("under", "open up, raise the ISO or add light") if off < 0.0 else (
        "over", "stop down, lower the ISO, add ND or dim",
    )  # fmt: skip
    yield Finding(
        "face_exposure",
        "fault" if abs(off) > FACE_LOST_STOPS else "warning",
        f"cameras.{name}",
        f"{_lit(name, exposure)}, "
        f"which is set for {exposure.set_for_lx:.0f} lx: {abs(off):.1f} stops {side} what is "
        f"wanted; {cure}",
        stops,
        wanted,
        "stops",
        f"{METER}; the half stop: {PRACTICE}",
    )


def _lit(name: str, exposure: ExposureLight) -> str:
    if exposure.from_skin:
        return (
            f"the lit skin of {exposure.subject} is as in {exposure.judged_lx:.0f} lx in the frame "
            f"of camera {name}"
        )
    return f"the face of {exposure.subject} gets {exposure.face_lx:.0f} lx toward camera {name}"


def _windows(name: str, exposure: ExposureLight, measured: Measured) -> Iterator[Finding]:
    clip = clip_stops(measured, name)
    for window in held_windows(name, exposure, measured):
        if window.clipped_pct < WINDOW_CLIPPED_PCT:
            continue
        cure = "a little more ND would hold it"
        if window.more_nd:
            cure = f"ND {window.needed_nd:g} on it would hold it"
        yield Finding(
            "window_clipped",
            "warning",
            f"openings.{window.name}",
            f"{window.clipped_pct:.0f} % of {window.name} clips in camera {name}, its mean "
            f"{window.over_key_stops:+z.1f} stops over the key; {cure}",
            window.region.stops_over_grey,
            clip,
            "stops",
            CATALOGUE,
        )


def _lamps(name: str, exposure: ExposureLight, measured: Measured) -> Iterator[Finding]:
    clip = clip_stops(measured, name)
    for lamp, region in exposure.frame.lamps.items():
        share = region.clipped_pct(clip)
        placed = measured.stage.lights.get(lamp)
        if placed is not None and placed.practical and share >= LAMP_CLIPPED_PCT:
            yield Finding(
                "lamp_clipped",
                "note",
                f"lights.{lamp}",
                f"the shade of {lamp} clips in camera {name} over {share:.0f} % of it: dim it by "
                f"{region.stops_over_grey - clip + 1.0:.1f} stops",
                region.stops_over_grey,
                clip,
                "stops",
                CATALOGUE,
            )


def _cameras(light: LightNumbers) -> Iterator[Finding]:
    names = list(light.cameras)
    for name in names[1:]:
        first, other = light.cameras[names[0]], light.cameras[name]
        brighter = stops_between(first.set_for_lx, other.set_for_lx)
        if first.subject is None or first.subject != other.subject or brighter is None:
            continue
        if abs(brighter) > CAMERAS_WITHIN_STOPS:
            yield Finding(
                "exposure_match",
                "warning",
                f"cameras.{name}",
                f"camera {name} is set for {other.set_for_lx:.0f} lx and camera {names[0]} for "
                f"{first.set_for_lx:.0f} lx: the face of {first.subject} is "
                f"{abs(brighter):.1f} stops {'brighter' if brighter > 0.0 else 'darker'} in {name}",
                brighter,
                math.copysign(CAMERAS_WITHIN_STOPS, brighter),
                "stops",
            )


def _ratio(guest: str, face: FaceLight, targets: Targets) -> Iterator[Finding]:
    ratio = face.key_to_fill
    wanted = targets.key_to_fill or (targets.lighting_ratio or 1.0) - 1.0
    if ratio is None or not wanted > 0.0:
        return
    off = ratio_to_stops(ratio / wanted)
    if abs(off) > RATIO_WITHIN_STOPS:
        yield Finding(
            "key_to_fill",
            "warning",
            f"people.{guest}",
            f"key to fill on {guest} is {ratio:.1f} : 1 and should be {wanted:.1f} : 1, "
            f"{abs(off):.1f} stops off; previz balance says which dimmers give it",
            ratio,
            wanted,
            "ratio",
            "the scene's targets",
        )


def _mixed(guest: str, face: FaceLight) -> Iterator[Finding]:
    if len(face.mired) < 2:
        return
    coolest = min(face.mired, key=lambda name: face.mired[name])
    warmest = max(face.mired, key=lambda name: face.mired[name])
    apart = face.mired[warmest] - face.mired[coolest]
    cool, warm = (cct_from_mired_k(face.mired[name]) for name in (coolest, warmest))
    if apart <= MIXED_MIRED:
        return
    yield Finding(
        "mixed_light",
        "warning",
        f"people.{guest}",
        f"the face of {guest} gets {cool:.0f} K from {coolest} and {warm:.0f} K from {warmest}, "
        f"{apart:.0f} mired apart: gel one, set the other, or mean it",
        apart,
        MIXED_MIRED,
        "mired",
    )


def _white(guest: str, face: FaceLight, measured: Measured) -> Iterator[Finding]:
    set_k = measured.stage.white_cct_k
    if set_k is None or face.ahead.cct_k is None:
        return
    off = mired_shift(face.ahead.cct_k, set_k)
    if abs(off) > WHITE_OFF_MIRED:
        yield Finding(
            "white_balance",
            "warning",
            "exposure.white_balance",
            f"the light on {guest} is {face.ahead.cct_k:.0f} K and the cameras are set to "
            f"{set_k:.0f} K: a grey card comes out {'warm' if off < 0.0 else 'cool'} by "
            f"{abs(off):.0f} mired; balance on a card",
            off,
            math.copysign(WHITE_OFF_MIRED, off),
            "mired",
        )
