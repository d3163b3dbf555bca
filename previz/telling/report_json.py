"""The report on a scene under the names other tools rely on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from previz.measure.camera.framing import FramingNumbers
from previz.measure.measured import CameraNumbers
from previz.measure.report import Report
from previz.solve.lens import Answer
from previz.telling.light_json import exposure_json, face_json, meters_json, spot_json
from previz.telling.power_json import power_json
from previz.telling.quantities import told
from previz.telling.sound import sound_json


def report_json(report: Report) -> dict[str, Any]:
    """As printed by `previz measure --json`. None stands for infinite or not there.

    Each number is rounded as its row in `quantities` says; LookupError for one without a row.
    """
    found: dict[str, Any] = told(report_tree(report))
    return found


def report_tree(report: Report) -> dict[str, Any]:
    """The same before any rounding; what is infinite is still there."""
    m = report.measured
    return {
        "cameras": {
            name: _camera(numbers)
            | {
                "catchlights": [asdict(one) for one in m.catchlights.get(name, ())],
                "spectacles": [asdict(veil) for veil in report.spectacles.get(name, ())],
            }
            for name, numbers in m.cameras.items()
        },
        "people": {
            name: {
                **asdict(person),
                **(face_json(report.light.faces[name]) if report.light else {}),
            }
            for name, person in m.people.items()
        },
        **(
            {
                "meters": meters_json(report.light),
                "exposure": exposure_json(m, report.light),
                "spots": [spot_json(spot) for spot in report.spots],
            }
            if report.light
            else {}
        ),
        "continuity": {
            "line": None if m.line is None else asdict(m.line),
            "pairs": [asdict(pair) for pair in m.pairs],
        },
        "power": power_json(m.power),
        "storage": asdict(m.storage),
        "sound": sound_json(m.sound),
        "findings": [asdict(finding) for finding in report.findings],
    }


def _camera(numbers: CameraNumbers) -> dict[str, Any]:
    return {
        **asdict(numbers.optics),
        **(_frame(numbers.framing) if numbers.framing else {}),
        "position_m": numbers.position_m.tolist(),
        "aim_m": numbers.aim_m.tolist(),
        "in_frame_pct": dict(numbers.in_frame),
        "aisle_m": numbers.aisle_m,
    }


def _frame(framing: FramingNumbers) -> dict[str, Any]:
    box = framing.subject_box
    return {
        "subject": framing.subject,
        "shot_size": framing.shot_size,
        "headroom_pct": framing.headroom_pct,
        "eye_height_pct": framing.eye_height_pct,
        "eye_from_left_pct": framing.eye_from_left_pct,
        "look_room_pct": framing.look_room_pct,
        "looks_to": framing.looks_to,
        "subject_height_pct": framing.subject_height_pct,
        "subject_box_pct": None if box is None else asdict(box),
        "head_height_pct": framing.head_height_pct,
        "head_box_pct": asdict(framing.head),
        "eyeline_yaw_deg": framing.eyeline.yaw_deg,
        "eyeline_pitch_deg": framing.eyeline.pitch_deg,
        "tilt_deg": framing.tilt_deg,
        "horizon_deg": framing.horizon_deg,
        "joints_cut": list(framing.joints_cut),
        "head_in_action_safe": framing.action_safe,
        "head_in_graphics_safe": framing.graphics_safe,
        "crops": {name: asdict(crop) for name, crop in framing.crops.items()},
    }


def answers_json(answers: Iterable[Answer]) -> list[dict[str, Any]]:
    """Settings that give what was wanted, as `previz measure --want-... --json` prints them."""
    return [told(asdict(answer), "answers") for answer in answers]
