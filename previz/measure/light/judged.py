"""How much light a camera's subject counts as having: by a meter, or by the skin that it sees.

A flat meter held toward a lens tells how bright a face is that looks that way. A camera that sees
a profile looks at skin which is lit from another side, and the meter toward it reads the shadow:
then the lit skin in its own frame decides. Cameras on one face share one look, so what is right
for the first of them is right for all.
"""

from __future__ import annotations

import math

import numpy as np

from previz.measure.light.in_frame import Region
from previz.measure.light.settings import skin_over_card
from previz.stage.stage import Stage
from previz.units import ratio_to_stops, stops_to_ratio

PROFILE_DEG = 45.0
"""A lens farther round than this from where a face points sees its side: an estimate."""
LIT_FROM, LIT_TO = 0.5, 0.95
"""Of skin as it lies in a frame, by brightness: under it is the shadow side, over it shine. An
estimate."""


def sees_side(stage: Stage, camera: str, subject: str) -> bool:
    """Whether a camera sees a face from so far round that a meter toward it says little."""
    person = stage.people[subject]
    toward = stage.cameras[camera].position_m - person.landmarks["eyes"]
    cosine = float(toward @ person.face_forward) / float(np.linalg.norm(toward))
    return cosine < math.cos(math.radians(PROFILE_DEG))


def lit_skin_stops(skin: Region) -> float:
    """Stops over mid grey of the lit part of the skin in a frame."""
    ordered = np.sort(np.asarray(skin.values))
    low, high = int(LIT_FROM * len(ordered)), math.ceil(LIT_TO * len(ordered))
    return ratio_to_stops(float(np.mean(2.0 ** ordered[low : max(high, low + 1)])))


def judged_lx(
    stage: Stage,
    camera: str,
    subject: str,
    *,
    meter_lx: float,
    lit_side_lx: float,
    set_for_lx: float,
    skin: Region | None,
) -> float:
    """Illuminance (lux) that a face counts as lit by, for setting a camera.

    meter_lx     by the meter held toward the camera
    lit_side_lx  by the one toward the face's lit side, for a profile that is not in the frame
    set_for_lx   what the camera is set for, by which the luminance of its frame is told
    skin         the subject's skin in the frame
    """
    if not sees_side(stage, camera, subject):
        return meter_lx
    over = skin_over_card(stage, subject)
    if skin is None or over is None:
        return lit_side_lx
    return set_for_lx * stops_to_ratio(lit_skin_stops(skin) - over)
