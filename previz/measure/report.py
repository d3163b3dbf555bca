"""The report on a scene: numbers under the names other tools rely on, and findings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any, Protocol

from previz.catalog import Catalog
from previz.measure.catchlights import catchlights_json
from previz.measure.continuity import Line, Pair
from previz.measure.darkness import darkness_findings
from previz.measure.findings import Finding, in_order
from previz.measure.framing import FramingNumbers
from previz.measure.light import LightNumbers, light_numbers
from previz.measure.light_json import exposure_json, face_json, meters_json
from previz.measure.measured import CameraNumbers, Measured, measure
from previz.measure.numbers import rounded
from previz.measure.optics import OpticsNumbers
from previz.measure.power import power_json
from previz.measure.rules_cloth import cloth_findings
from previz.measure.rules_exposure import exposure_findings
from previz.measure.rules_floor import floor_findings
from previz.measure.rules_frame import frame_findings
from previz.measure.rules_key import key_findings
from previz.measure.rules_lens import lens_findings
from previz.measure.rules_lights import light_findings
from previz.measure.rules_pair import pair_findings
from previz.measure.rules_power import power_findings
from previz.measure.rules_safety import safety_findings
from previz.measure.rules_spectacles import spectacle_findings, spectacle_veils
from previz.measure.spectacles import Veil, veils_json
from previz.measure.spots import Spot, SpotLight, read_spot
from previz.model.scene import Scene
from previz.physics import storage
from previz.render.readings import Readings
from previz.stage.stage import Array, Stage

DIGITS = 4


class Opened(Protocol):
    """A scene with its stage, as `api.open_scene` gives it."""

    @property
    def scene(self) -> Scene:
        """The scene, with every place in numbers."""

    @property
    def stage(self) -> Stage:
        """Its stage."""

    @property
    def catalog(self) -> Catalog:
        """The catalogue it was built from."""


@dataclass(frozen=True, eq=False)
class Report:
    """What was measured, and what to know of it; faults first. `light` None: not read.

    `spectacles`, by camera: lights mirrored in lenses; `spots`: what was asked to be read.
    """

    measured: Measured
    findings: tuple[Finding, ...]
    light: LightNumbers | None = None
    spectacles: Mapping[str, tuple[Veil, ...]] = field(default_factory=dict)
    spots: tuple[SpotLight, ...] = ()

    @property
    def has_fault(self) -> bool:
        """Whether any finding is a fault."""
        return any(finding.severity == "fault" for finding in self.findings)

    def as_json(self) -> dict[str, Any]:
        """As printed by `previz measure --json`. None stands for infinite or not there."""
        m = self.measured
        return {
            "cameras": {
                name: camera_json(numbers)
                | {
                    "catchlights": catchlights_json(m.catchlights.get(name, ())),
                    "spectacles": veils_json(self.spectacles.get(name, ())),
                }
                for name, numbers in m.cameras.items()
            },
            "people": {
                name: {
                    **{key: _number(value) for key, value in asdict(person).items()},
                    **(face_json(self.light.faces[name]) if self.light else {}),
                }
                for name, person in m.people.items()
            },
            **(
                {
                    "meters": meters_json(self.light),
                    "exposure": exposure_json(m, self.light),
                    "spots": [spot.as_json() for spot in self.spots],
                }
                if self.light
                else {}
            ),
            "continuity": {
                "line": _line_json(m.line),
                "pairs": [_pair_json(pair) for pair in m.pairs],
            },
            "power": power_json(m.power),
            "storage": storage_json(m.scene),
            "findings": [finding.as_json() for finding in self.findings],
        }


def measure_scene(
    opened: Opened, readings: Readings | None = None, spots: Sequence[Spot] = ()
) -> Report:
    """Measure and judge a scene; its light, and `spots` of it, where it was read. Renders nothing.

    ValueError for a spot in a camera that is not there.
    """
    measured = measure(opened.scene, opened.stage, opened.catalog)
    veils = spectacle_veils(opened.stage)
    findings = [
        *darkness_findings(opened.scene, opened.stage),
        *frame_findings(measured),
        *pair_findings(measured),
        *lens_findings(measured),
        *cloth_findings(measured),
        *floor_findings(measured),
        *key_findings(measured),
        *light_findings(measured),
        *power_findings(measured),
        *safety_findings(measured),
        *spectacle_findings(measured, veils),
    ]
    light, read = None, []
    if readings is not None:
        read = [read_spot(spot, opened.stage, readings) for spot in spots]
        light = light_numbers(opened.scene, opened.stage, readings)
        findings += exposure_findings(measured, light)
    return Report(measured, in_order(findings), light, veils, tuple(read))


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


def storage_json(scene: Scene) -> dict[str, float]:
    """Decimal gigabytes: of all cameras in an hour, and over the hours recorded."""
    per_hour = storage.gb_per_hour(scene.recording.rate_mbit_s) * len(scene.cameras)
    return {
        "gb_per_hour": round(per_hour, 2),
        "gb_total": round(per_hour * scene.recording.hours, 2),
    }


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
