"""What a camera would have to be set to for a face, and how skin stands to the card beside it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from previz.geometry.people.skin import reflectance
from previz.measure.light.light import set_for_lx
from previz.model.meters import Targets
from previz.physics.colour import luminance
from previz.physics.exposure import MID_GREY_REFLECTANCE
from previz.stage.stage import Stage, StageCamera


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
    share = face_lx / 2.0**wanted / set_for_lx(camera)
    return FaceSettings(
        t_number=camera.t_number * math.sqrt(share),
        iso=camera.iso / share,
        shutter_s=camera.shutter_s / share,
        nd_density=max(0.0, camera.nd_density + math.log10(share)),
    )


def skin_over_card(stage: Stage, subject: str | None) -> float | None:
    """Stops by which a person's skin, by its class, is brighter than an 18 % card beside it."""
    if subject is None:
        return None
    skin = float(luminance(reflectance(stage.people[subject].skin)))
    return math.log2(skin / MID_GREY_REFLECTANCE)
