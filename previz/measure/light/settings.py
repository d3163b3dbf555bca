"""What a camera would have to be set to for a face, and how skin stands to the card beside it."""

from __future__ import annotations

from dataclasses import dataclass

from previz.geometry.people.skin import reflectance
from previz.model.meters import Targets
from previz.physics import exposure
from previz.physics.colour import luminance
from previz.stage.stage import Stage, StageCamera
from previz.units import stops_to_ratio


@dataclass(frozen=True)
class FaceSettings:
    """Stop, ISO, exposure time or ND, each changed alone, that put a face right."""

    t_number: float
    iso: float
    shutter_s: float
    nd_density: float


def settings_for_face(
    camera: StageCamera, face_lx: float | None, targets: Targets
) -> FaceSettings | None:
    """What puts the face where the scene wants it; None where it is not lit."""
    if face_lx is None or not face_lx > 0.0:
        return None
    wanted = targets.face.stops_over_grey if targets.face else 0.0
    lux = face_lx / stops_to_ratio(wanted)
    stop, time_s, iso, nd = camera.t_number, camera.shutter_s, camera.iso, camera.nd_density
    return FaceSettings(
        t_number=exposure.stop_for_illuminance(lux, time_s, iso, nd),
        iso=exposure.iso_for_illuminance(lux, stop, time_s, nd),
        shutter_s=exposure.shutter_for_illuminance_s(lux, stop, iso, nd),
        nd_density=max(0.0, exposure.nd_for_illuminance(lux, stop, time_s, iso)),
    )


def skin_over_card(stage: Stage, subject: str | None) -> float | None:
    """Stops by which a person's skin, by its class, is brighter than an 18 % card beside it."""
    if subject is None:
        return None
    return float(exposure.stops_over_grey(luminance(reflectance(stage.people[subject].skin))))
