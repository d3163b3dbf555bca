"""The light by name, as `previz measure --json` prints it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from previz.geometry.people.skin import reflectance
from previz.measure.light.catchlights import Catchlight
from previz.measure.light.in_frame import Region
from previz.measure.light.light import FaceLight, LightNumbers, MeterLight, set_for_lx
from previz.measure.light.spectacles import Veil
from previz.measure.light.windows import clip_stops, held_windows
from previz.measure.measured import Measured
from previz.model.meters import Targets
from previz.physics.colour import luminance
from previz.physics.exposure import (
    METER_CONSTANT_FLAT,
    METER_CONSTANT_REFLECTED,
    MID_GREY_REFLECTANCE,
    ev100,
)
from previz.stage.stage import Stage, StageCamera
from previz.telling.numbers import rounded

ERROR = "standard error of the total; null: 1 % or less"


def face_json(face: FaceLight) -> dict[str, Any]:
    """Light on one face; lux by light and in total, toward the camera named in `facing`."""
    ratio = face.key_to_fill
    return {
        "facing": face.facing or "ahead",
        "illuminance_lx": _lux(face.toward),
        "error_pct": rounded(face.toward.error_pct, 1),
        "illuminance_lx_by_camera": {name: _lux(m) for name, m in face.by_camera.items()},
        "error_pct_by_camera": {n: rounded(m.error_pct, 1) for n, m in face.by_camera.items()},
        "illuminance_lx_ahead": _lux(face.ahead),
        "error_pct_ahead": rounded(face.ahead.error_pct, 1),
        "error_definition": ERROR,
        "key": face.key,
        "fill": list(face.fill),
        "key_to_fill_ratio": rounded(ratio),
        "key_to_fill_stops": None if ratio is None else rounded(math.log2(ratio)),
        "key_to_fill_definition": "key : fill, each alone, toward the camera",
        "lighting_ratio": rounded(face.lighting_ratio),
        "lighting_ratio_definition": "(key + fill) : fill",
        "lit_side_lx": rounded(face.lit.total_lx, 1),
        "lit_side_error_pct": rounded(face.lit.error_pct, 1),
        "shadow_side_lx": rounded(face.shadow.total_lx, 1),
        "shadow_side_error_pct": rounded(face.shadow.error_pct, 1),
        "contrast_ratio": rounded(face.contrast),
        "hair_light": face.hair,
        "hair_over_key_stops": rounded(face.hair_over_key_stops),
        "cct_k": rounded(face.ahead.cct_k, 0),
        "duv": rounded(face.ahead.duv, 4),
    }


def meters_json(light: LightNumbers) -> dict[str, Any]:
    """The scene's own meters."""
    return {
        name: {
            "illuminance_lx": _lux(meter),
            "error_pct": rounded(meter.error_pct, 1),
            "error_definition": ERROR,
            "cct_k": rounded(meter.cct_k, 0),
            "duv": rounded(meter.duv, 4),
        }
        for name, meter in light.meters.items()
    }


def exposure_json(measured: Measured, light: LightNumbers) -> dict[str, Any]:
    """What each camera is set for, and where face, background, windows and lamps fall."""
    return {name: _camera(name, measured, light) for name in light.cameras}


def _camera(name: str, measured: Measured, light: LightNumbers) -> dict[str, Any]:
    exposure, camera = light.cameras[name], measured.stage.cameras[name]
    clip, face = clip_stops(measured, name), exposure.face_stops_over_grey
    frame = exposure.frame
    windows = {
        window.name: {
            **_region(window.region, clip),
            "stops_over_key": rounded(window.over_key_stops),
            "gel_nd": window.gel_nd,
            "gel_nd_to_hold": round(window.needed_nd, 2),
        }
        for window in held_windows(name, exposure, measured)
    }
    brightest = max((r.stops_over_grey for r in frame.windows.values()), default=None)
    return {
        "subject": exposure.subject,
        "set_for_lx": rounded(exposure.set_for_lx, 1),
        "set_for_definition": "by T-number, shutter, ISO and ND",
        "ev100": rounded(ev100(camera.t_number, camera.shutter_s, camera.iso)),
        "ev100_definition": "by T-number, shutter and ISO; ND is left out",
        "face_stops_over_grey": rounded(face),
        "skin_stops_over_grey": _stops(frame.skin),
        "skin_stops_by_class": rounded(skin_over_card(measured.stage, exposure.subject)),
        "background_stops_over_grey": _stops(frame.background),
        "background_stops_over_key": _over(frame.background, face),
        "window_stops_over_grey": rounded(brightest),
        "window_stops_over_key": rounded(None if brightest is None else brightest - (face or 0.0)),
        "windows": windows,
        "lamps": {lamp: _region(region, clip) for lamp, region in frame.lamps.items()},
        "clip_stops_over_grey": clip,
        "settings_for_face": settings_for_face(camera, exposure.face_lx, measured.targets),
        "meter_constants": {"C": METER_CONSTANT_FLAT, "K": METER_CONSTANT_REFLECTED},
    }


def skin_over_card(stage: Stage, subject: str | None) -> float | None:
    """Stops by which a person's skin, by its class, is brighter than an 18 % card beside it."""
    if subject is None:
        return None
    return math.log2(
        float(luminance(reflectance(stage.people[subject].skin))) / MID_GREY_REFLECTANCE
    )


def settings_for_face(
    camera: StageCamera, face_lx: float | None, targets: Targets
) -> dict[str, float | None]:
    """Stop, ISO, shutter or ND, each alone, that put the face where the scene wants it."""
    if face_lx is None or not face_lx > 0.0:
        return {"t_number": None, "iso": None, "shutter_s": None, "nd_density": None}
    wanted = targets.face.stops_over_grey if targets.face else 0.0
    share = face_lx / 2.0**wanted / set_for_lx(camera)
    return {
        "t_number": rounded(camera.t_number * math.sqrt(share), 2),
        "iso": rounded(camera.iso / share, 0),
        "shutter_s": rounded(camera.shutter_s / share, 5),
        "nd_density": rounded(max(0.0, camera.nd_density + math.log10(share)), 2),
    }


def _region(region: Region, clip: float) -> dict[str, Any]:
    return {
        "share_pct": rounded(region.share_pct),
        "luminance_cd_m2": rounded(sum(region.luminance_cd_m2.values()), 1),
        "stops_over_grey": rounded(region.stops_over_grey),
        "clipped_pct": rounded(region.clipped_pct(clip), 1),
    }


def _stops(region: Region | None) -> float | None:
    return None if region is None else rounded(region.stops_over_grey)


def _over(region: Region | None, face: float | None) -> float | None:
    if region is None or face is None:
        return None
    return rounded(region.stops_over_grey - face)


def _lux(meter: MeterLight) -> dict[str, float]:
    return {name: round(value, 2) for name, value in meter.illuminance_lx.items()}


def catchlights_json(found: Iterable[Catchlight]) -> list[dict[str, Any]]:
    """As printed by `--json`."""
    return [
        {k: rounded(v) if isinstance(v, float) else v for k, v in asdict(one).items()}
        for one in found
    ]


def veils_json(found: Iterable[Veil]) -> list[dict[str, Any]]:
    """As printed by `--json`."""
    return [
        {k: rounded(v) if isinstance(v, float) else v for k, v in asdict(veil).items()}
        for veil in found
    ]
