"""The light by name, as `previz measure --json` prints it; `report_json` rounds."""

from __future__ import annotations

from dataclasses import asdict, fields
from typing import Any

from previz.measure.light.in_frame import Region
from previz.measure.light.light import FaceLight, LightNumbers
from previz.measure.light.settings import FaceSettings, settings_for_face, skin_over_card
from previz.measure.light.spots import SpotLight
from previz.measure.light.windows import clip_stops, held_windows
from previz.measure.measured import Measured
from previz.physics.exposure import METER_CONSTANT_FLAT, METER_CONSTANT_REFLECTED, ev100
from previz.units import ratio_to_stops

ERROR = "standard error of the total; null: 1 % or less"


def face_json(face: FaceLight) -> dict[str, Any]:
    """Light on one face; lux by light and in total, toward the camera named in `facing`."""
    ratio = face.key_to_fill
    return {
        "facing": face.facing or "ahead",
        "illuminance_lx": dict(face.toward.illuminance_lx),
        "error_pct": face.toward.error_pct,
        "illuminance_lx_by_camera": {n: dict(m.illuminance_lx) for n, m in face.by_camera.items()},
        "error_pct_by_camera": {n: m.error_pct for n, m in face.by_camera.items()},
        "illuminance_lx_ahead": dict(face.ahead.illuminance_lx),
        "error_pct_ahead": face.ahead.error_pct,
        "error_definition": ERROR,
        "key": face.key,
        "fill": list(face.fill),
        "key_to_fill_ratio": ratio,
        "key_to_fill_stops": None if ratio is None else ratio_to_stops(ratio),
        "key_to_fill_definition": "key : fill, each alone, toward the camera",
        "lighting_ratio": face.lighting_ratio,
        "lighting_ratio_definition": "(key + fill) : fill",
        "lit_side_lx": face.lit.total_lx,
        "lit_side_error_pct": face.lit.error_pct,
        "shadow_side_lx": face.shadow.total_lx,
        "shadow_side_error_pct": face.shadow.error_pct,
        "contrast_ratio": face.contrast,
        "hair_light": face.hair,
        "hair_over_key_stops": face.hair_over_key_stops,
        "cct_k": face.ahead.cct_k,
        "duv": face.ahead.duv,
    }


def meters_json(light: LightNumbers) -> dict[str, Any]:
    """The scene's own meters."""
    return {
        name: {
            "illuminance_lx": dict(meter.illuminance_lx),
            "error_pct": meter.error_pct,
            "error_definition": ERROR,
            "cct_k": meter.cct_k,
            "duv": meter.duv,
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
            "stops_over_key": window.over_key_stops,
            "gel_nd": window.gel_nd,
            "gel_nd_to_hold": window.needed_nd,
        }
        for window in held_windows(name, exposure, measured)
    }
    brightest = max((r.stops_over_grey for r in frame.windows.values()), default=None)
    return {
        "subject": exposure.subject,
        "set_for_lx": exposure.set_for_lx,
        "set_for_definition": "by T-number, shutter, ISO and ND",
        "ev100": ev100(camera.t_number, camera.shutter_s, camera.iso),
        "ev100_definition": "by T-number, shutter and ISO; ND is left out",
        "face_stops_over_grey": face,
        "judged_by": exposure.judged_by,
        "judged_stops_over_grey": exposure.judged_stops,
        "judged_definition": "the subject as the first camera on it sees it: by the meter toward "
        "that camera, or from the side by the lit skin in its frame",
        "skin_stops_over_grey": _stops(frame.skin),
        "skin_stops_by_class": skin_over_card(measured.stage, exposure.subject),
        "background_stops_over_grey": _stops(frame.background),
        "background_stops_over_key": _over(frame.background, face),
        "window_stops_over_grey": brightest,
        "window_stops_over_key": None if brightest is None else brightest - (face or 0.0),
        "windows": windows,
        "lamps": {lamp: _region(region, clip) for lamp, region in frame.lamps.items()},
        "clip_stops_over_grey": clip,
        "settings_for_face": _for_face(
            settings_for_face(camera, exposure.judged_lx, measured.targets)
        ),
        "meter_constants": {"C": METER_CONSTANT_FLAT, "K": METER_CONSTANT_REFLECTED},
    }


def _region(region: Region, clip: float) -> dict[str, Any]:
    return {
        "share_pct": region.share_pct,
        "luminance_cd_m2": sum(region.luminance_cd_m2.values()),
        "stops_over_grey": region.stops_over_grey,
        "clipped_pct": region.clipped_pct(clip),
    }


def _stops(region: Region | None) -> float | None:
    return None if region is None else region.stops_over_grey


def _over(region: Region | None, face: float | None) -> float | None:
    if region is None or face is None:
        return None
    return region.stops_over_grey - face


def _for_face(settings: FaceSettings | None) -> dict[str, float | None]:
    if settings is None:
        return dict.fromkeys(field.name for field in fields(FaceSettings))
    return asdict(settings)


def spot_json(read: SpotLight) -> dict[str, Any]:
    """One reading of the spot meter."""
    return {
        "camera": read.spot.camera,
        "from_left_pct": read.spot.from_left_pct,
        "from_top_pct": read.spot.from_top_pct,
        "luminance_cd_m2": dict(read.luminance_cd_m2),
        "stops_over_grey": read.stops_over_grey,
        "thing": read.thing,
    }
