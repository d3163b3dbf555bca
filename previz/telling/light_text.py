"""The light for people: faces, cameras, meters, a line or two each."""

from __future__ import annotations

from collections.abc import Iterator

from previz.measure.light.light import TOTAL, ExposureLight, FaceLight, LightNumbers, MeterLight
from previz.measure.light.settings import settings_for_face
from previz.measure.light.spots import SpotLight
from previz.measure.light.windows import held_windows
from previz.measure.measured import Measured
from previz.physics.exposure import marked_iso
from previz.telling.numbers import (
    kelvin,
    luminance,
    lux,
    per_cent,
    plain,
    ratio,
    signed,
    stops,
)
from previz.units import ratio_to_stops

ALIKE_STOPS = 0.17
"""Cameras nearer than this are set alike: half of a third of a stop, an estimate."""


def light_lines(measured: Measured, light: LightNumbers) -> Iterator[str]:
    """Everything read of the light, line by line."""
    yield "Light"
    for name, face in light.faces.items():
        yield f"  {name}, meter at the face toward {face.facing or 'straight ahead'}:"
        yield from (f"    {line}" for line in face_light_lines(face))
    for name, meter in light.meters.items():
        yield f"  meter {name}: {_by_light(meter)}{_colour(meter)}"
    for name, exposure in light.cameras.items():
        yield f"  camera {name}, set for {lux(exposure.set_for_lx)} lx:"
        yield from (f"    {line}" for line in camera_light_lines(name, measured, light))


def spot_line(read: SpotLight) -> str:
    """One reading of the spot meter."""
    spot, lights = read.spot, read.luminance_cd_m2
    return (
        f"  spot at {plain(spot.from_left_pct)}, {plain(spot.from_top_pct)} % of "
        f"camera {spot.camera} ({read.thing or 'no thing of the set'}): "
        f"{luminance(lights[TOTAL])}, {stops(read.stops_over_grey)} over grey"
    )


def _by_light(meter: MeterLight) -> str:
    """`229 lx: key 181, fill 28, ...`, strongest first."""
    parts = {k: v for k, v in meter.illuminance_lx.items() if k != TOTAL and v >= 0.05}
    ordered = sorted(parts.items(), key=lambda part: -part[1])
    listed = ", ".join(f"{name} {lux(value)}" for name, value in ordered)
    return read_lux(meter) + (f": {listed}" if listed else "")


def face_light_lines(face: FaceLight) -> Iterator[str]:
    """What meters read at one face: lux by light, ratios, colour."""
    yield _by_light(face.toward)
    if face.key_to_fill is not None and face.lighting_ratio is not None:
        named = (face.key, face.fill) != ("key", ("fill",))
        lights = f"; key is {face.key}, fill is {' and '.join(face.fill)}" if named else ""
        yield (
            f"key : fill {ratio(face.key_to_fill)} ({stops(ratio_to_stops(face.key_to_fill))}), "
            f"(key + fill) : fill {ratio(face.lighting_ratio)}{lights}"
        )
    if face.contrast is not None:
        yield (
            f"lit side {read_lux(face.lit)}, shadow side {read_lux(face.shadow)}, "
            f"{ratio(face.contrast)}"
        )
    if face.hair_over_key_stops is not None:
        yield f"{face.hair} on the head {stops(face.hair_over_key_stops)} against the key"
    colour = _colour(face.ahead)
    if colour:
        yield f"card held before the face{colour}"


def camera_light_lines(name: str, measured: Measured, light: LightNumbers) -> Iterator[str]:
    """Where face, skin, background, lamps and windows fall in one camera's picture."""
    exposure = light.cameras[name]
    over = exposure.face_stops_over_grey
    if over is not None:
        advice = _advice(name, measured, exposure)
        yield f"face of {exposure.subject} {stops(over)} over grey by the meter{advice}"
    yield ", ".join(_falls(exposure))
    for window in held_windows(name, exposure, measured):
        yield (
            f"{window.name} {stops(window.over_key_stops)} over the key with ND "
            f"{plain(window.gel_nd)}, {per_cent(window.clipped_pct)} of it clips; ND "
            f"{plain(window.needed_nd)} holds it within {stops(window.wanted_stops)} over the key"
        )


def _advice(name: str, measured: Measured, exposure: ExposureLight) -> str:
    """What would put the face right, by what the first camera on it sees: one look for all."""
    camera = measured.stage.cameras[name]
    right = settings_for_face(camera, exposure.judged_lx, measured.targets)
    if right is None or exposure.judged_stops is None:
        return ""
    said = f"T{plain(right.t_number, 2)} or ISO {plain(marked_iso(right.iso))} would put it right"
    if abs(ratio_to_stops(right.iso / camera.iso)) < ALIKE_STOPS:
        said = "nothing is to be changed"
    if exposure.judged_by != name:
        return (
            f" toward this lens, the side it sees; all cameras on this face are set as camera "
            f"{exposure.judged_by} sees it: {said}"
        )
    if exposure.from_skin:
        return (
            f" toward this lens, which sees its side; the lit skin in the frame is "
            f"{stops(exposure.judged_stops)} against a card: {said}"
        )
    return f"; {said}"


def _falls(exposure: ExposureLight) -> Iterator[str]:
    frame = exposure.frame
    for label, region in (("skin", frame.skin), ("background", frame.background)):
        if region is not None:
            yield f"{label} {stops(region.stops_over_grey)} over grey"
    for lamp, region in frame.lamps.items():
        yield f"{lamp} {signed(region.stops_over_grey)}"


def _colour(meter: MeterLight) -> str:
    if meter.cct_k is None or meter.duv is None:
        return ""
    tint = "" if abs(meter.duv) < 0.002 else f", {'green' if meter.duv > 0 else 'magenta'}"
    return f": {kelvin(meter.cct_k)}, Duv {signed(meter.duv, 4)}{tint}"


def read_lux(meter: MeterLight) -> str:
    """`229 lx`, with its standard error where that is over 1 %: `229 lx (error 3.1 %)`."""
    error_pct = meter.error_pct
    return f"{lux(meter.total_lx)} lx" + (f" (error {per_cent(error_pct, 1)})" if error_pct else "")
