"""The report on a scene under the names other tools rely on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from previz.measure.camera.framing import FramingNumbers
from previz.measure.camera.optics import OpticsNumbers
from previz.measure.continuity.line import Line
from previz.measure.continuity.pairs import Pair
from previz.measure.gear.storage import Storage
from previz.measure.measured import CameraNumbers
from previz.measure.report import Report
from previz.measure.rules.findings import Finding
from previz.stage.stage import Array
from previz.telling.light_json import (
    catchlights_json,
    exposure_json,
    face_json,
    meters_json,
    veils_json,
)
from previz.telling.numbers import rounded
from previz.telling.power_json import power_json

DIGITS = 4


def report_json(report: Report) -> dict[str, Any]:
    """As printed by `previz measure --json`. None stands for infinite or not there."""
    m = report.measured
    return {
        "cameras": {
            name: camera_json(numbers)
            | {
                "catchlights": catchlights_json(m.catchlights.get(name, ())),
                "spectacles": veils_json(report.spectacles.get(name, ())),
            }
            for name, numbers in m.cameras.items()
        },
        "people": {
            name: {
                **{key: _number(value) for key, value in asdict(person).items()},
                **(face_json(report.light.faces[name]) if report.light else {}),
            }
            for name, person in m.people.items()
        },
        **(
            {
                "meters": meters_json(report.light),
                "exposure": exposure_json(m, report.light),
                "spots": [spot.as_json() for spot in report.spots],
            }
            if report.light
            else {}
        ),
        "continuity": {
            "line": _line_json(m.line),
            "pairs": [_pair_json(pair) for pair in m.pairs],
        },
        "power": power_json(m.power),
        "storage": storage_json(m.storage),
        "findings": [finding_json(finding) for finding in report.findings],
    }


def camera_json(numbers: CameraNumbers) -> dict[str, Any]:
    """One camera's numbers by name."""
    return {
        **optics_json(numbers.optics),
        **(framing_json(numbers.framing) if numbers.framing else {}),
        "position_m": _point(numbers.position_m),
        "aim_m": _point(numbers.aim_m),
        "in_frame_pct": {name: _number(share) for name, share in numbers.in_frame.items()},
        "aisle_m": _number(numbers.aisle_m),
    }


def optics_json(optics: OpticsNumbers) -> dict[str, Any]:
    """The lens by name; `stops` are light won (positive) and lost."""
    found = asdict(optics)
    stops = found.pop("stops")
    numbers = {key: _number(value) for key, value in found.items()}
    return {**numbers, "stops": {key: _number(value) for key, value in stops.items()}}


def framing_json(framing: FramingNumbers) -> dict[str, Any]:
    """The frame by name."""
    box = framing.subject_box
    return {
        "subject": framing.subject,
        "shot_size": framing.shot_size,
        "headroom_pct": _number(framing.headroom_pct),
        "eye_height_pct": _number(framing.eye_height_pct),
        "eye_from_left_pct": _number(framing.eye_from_left_pct),
        "look_room_pct": _number(framing.look_room_pct),
        "looks_to": framing.looks_to,
        "subject_height_pct": _number(framing.subject_height_pct),
        "subject_box_pct": None if box is None else _rounded(asdict(box)),
        "head_height_pct": _number(framing.head_height_pct),
        "head_box_pct": _rounded(asdict(framing.head)),
        "eyeline_yaw_deg": _number(framing.eyeline.yaw_deg),
        "eyeline_pitch_deg": _number(framing.eyeline.pitch_deg),
        "tilt_deg": _number(framing.tilt_deg),
        "horizon_deg": _number(framing.horizon_deg),
        "joints_cut": list(framing.joints_cut),
        "head_in_action_safe": framing.action_safe,
        "head_in_graphics_safe": framing.graphics_safe,
        "crops": {name: _rounded(asdict(crop)) for name, crop in framing.crops.items()},
    }


def storage_json(found: Storage) -> dict[str, float]:
    """Decimal gigabytes."""
    return {name: round(value, 2) for name, value in asdict(found).items()}


def _line_json(line: Line | None) -> dict[str, Any] | None:
    return None if line is None else asdict(line)


def _pair_json(pair: Pair) -> dict[str, Any]:
    return {**_rounded(asdict(pair)), "cameras": list(pair.cameras)}


def _rounded(values: Mapping[str, Any]) -> dict[str, Any]:
    return {k: _number(v) if isinstance(v, float) else v for k, v in values.items()}


def _number(value: float | None) -> float | None:
    return rounded(value, DIGITS)


def _point(point: Array) -> list[float]:
    return [round(float(value), DIGITS) + 0.0 for value in point]


def finding_json(finding: Finding) -> dict[str, Any]:
    """One finding; numbers rounded, infinite ones None."""
    found = asdict(finding)
    for key in ("value", "limit"):
        found[key] = rounded(found[key])
    return found
