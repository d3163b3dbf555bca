"""The light for people: faces, cameras, meters, a line or two each."""

from __future__ import annotations

import math
from collections.abc import Iterator

from previz.measure.light.light import TOTAL, ExposureLight, FaceLight, LightNumbers, MeterLight
from previz.measure.light.spots import SpotLight
from previz.measure.light.windows import held_windows
from previz.measure.measured import Measured
from previz.telling.light_json import settings_for_face


def light_lines(measured: Measured, light: LightNumbers) -> Iterator[str]:
    """Everything read of the light, line by line."""
    yield "Light"
    for name, face in light.faces.items():
        yield f"  {name}, meter at the face toward {face.facing or 'straight ahead'}:"
        yield f"    {_by_light(face.toward)}"
        yield from (f"    {line}" for line in _face(face))
    for name, meter in light.meters.items():
        yield f"  meter {name}: {_by_light(meter)}{_colour(meter)}"
    for name in light.cameras:
        yield from _camera(name, measured, light)


def spot_line(read: SpotLight) -> str:
    """One reading of the spot meter."""
    spot, lights = read.spot, read.luminance_cd_m2
    return (
        f"  spot at {spot.from_left_pct:g}, {spot.from_top_pct:g} % of camera {spot.camera} "
        f"({read.thing or 'no thing of the set'}): {lights[TOTAL]:.3g} cd/m2, "
        f"{read.stops_over_grey:+.1f} stops over grey"
    )


def _by_light(meter: MeterLight) -> str:
    """`229 lx: key 181, fill 28, ...`, strongest first."""
    parts = {k: v for k, v in meter.illuminance_lx.items() if k != TOTAL and v >= 0.05}
    ordered = sorted(parts.items(), key=lambda part: -part[1])
    listed = ", ".join(f"{name} {lux(value)}" for name, value in ordered)
    return read_lux(meter) + (f": {listed}" if listed else "")


def _face(face: FaceLight) -> Iterator[str]:
    if face.key_to_fill is not None:
        named = (face.key, face.fill) != ("key", ("fill",))
        lights = f"; key is {face.key}, fill is {' and '.join(face.fill)}" if named else ""
        yield (
            f"key : fill {face.key_to_fill:.1f} : 1 ({math.log2(face.key_to_fill):+.1f} stops), "
            f"(key + fill) : fill {face.lighting_ratio:.1f} : 1{lights}"
        )
    if face.contrast is not None:
        yield (
            f"lit side {read_lux(face.lit)}, shadow side {read_lux(face.shadow)}, "
            f"{face.contrast:.1f} : 1"
        )
    if face.hair_over_key_stops is not None:
        yield f"{face.hair} on the head {face.hair_over_key_stops:+.1f} stops against the key"
    colour = _colour(face.ahead)
    if colour:
        yield f"card held before the face{colour}"


def _camera(name: str, measured: Measured, light: LightNumbers) -> Iterator[str]:
    exposure = light.cameras[name]
    yield f"  camera {name}, set for {lux(exposure.set_for_lx)} lx:"
    over = exposure.face_stops_over_grey
    if over is not None:
        right = settings_for_face(measured.stage.cameras[name], exposure.face_lx, measured.targets)
        yield (
            f"    face of {exposure.subject} {over:+.1f} stops over grey by the meter; "
            f"T{right['t_number']:g} or ISO {right['iso']:g} would put it right"
        )
    yield f"    {', '.join(_falls(exposure))}"
    for window in held_windows(name, exposure, measured):
        yield (
            f"    {window.name} {window.over_key_stops:+.1f} stops over the key with ND "
            f"{window.gel_nd:g}, {window.clipped_pct:.0f} % of it clips; ND {window.needed_nd:g} "
            f"holds it within {window.wanted_stops:+.1f}"
        )


def _falls(exposure: ExposureLight) -> Iterator[str]:
    frame = exposure.frame
    for label, region in (("skin", frame.skin), ("background", frame.background)):
        if region is not None:
            yield f"{label} {region.stops_over_grey:+.1f} stops over grey"
    for lamp, region in frame.lamps.items():
        yield f"{lamp} {region.stops_over_grey:+.1f}"


def _colour(meter: MeterLight) -> str:
    if meter.cct_k is None or meter.duv is None:
        return ""
    tint = "" if abs(meter.duv) < 0.002 else f", {'green' if meter.duv > 0 else 'magenta'}"
    return f": {meter.cct_k:.0f} K, Duv {meter.duv:+.4f}{tint}"


def read_lux(meter: MeterLight) -> str:
    """`229 lx`, with its standard error where that is over 1 %: `229 lx (error 3.1 %)`."""
    error_pct = meter.error_pct
    return f"{lux(meter.total_lx)} lx" + (f" (error {error_pct:.1f} %)" if error_pct else "")


def lux(value: float) -> str:
    """Lux as people say them: whole above 10."""
    return f"{value:.0f}" if value >= 10.0 else f"{value:.1f}"
