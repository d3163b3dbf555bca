"""Where a posed body has its eyes, shoulders, hands: the points a ruler or a camera asks for."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.figure import Strands
from previz.geometry.people.gaze import Gaze
from previz.geometry.people.landmarks import find_landmarks
from previz.geometry.people.posture import Posed
from previz.geometry.people.shape import RestBody
from previz.geometry.people.skeleton import apply


def named_points(
    rest: RestBody, posed: Posed, gaze: Gaze, moved: Array, strands: Strands | None
) -> dict[str, Array]:
    """Named points (3,) of the posed body `moved` (V, 3), metres in the person's frame."""
    marks = find_landmarks(rest.data)
    left, right = gaze.centres
    found = {
        "eye_left": left,
        "eye_right": right,
        "eyes": 0.5 * (left + right),
        "head_top": moved[marks.head_top],
        "chin": moved[marks.chin],
        "nose_tip": moved[marks.nose_tip],
        "nose_root": moved[marks.nose_root],
        "ear_left": moved[marks.ear[0]],
        "ear_right": moved[marks.ear[1]],
        "mouth": 0.5 * (moved[marks.mouth_upper] + moved[marks.mouth_lower]),
        "shoulder_left": moved[marks.acromion[0]],
        "shoulder_right": moved[marks.acromion[1]],
    }
    found["hair_top"] = found["head_top"]
    if strands is not None:
        tips = strands.points.reshape(-1, 3)
        found["hair_top"] = tips[int(np.argmax(tips[:, 2]))]
    joints = {"elbow": "lowerarm01", "wrist": "wrist", "hip": "upperleg01", "knee": "lowerleg01"}
    joints["ankle"] = "foot"
    for name, joint in joints.items():
        for side, letter in (("left", "L"), ("right", "R")):
            found[f"{name}_{side}"] = _joint(rest, posed, f"{joint}.{letter}")
    found["neck"] = _joint(rest, posed, "neck02")
    found["chest"] = _joint(rest, posed, "spine01")
    found["waist"] = _joint(rest, posed, "spine04")
    return {name: np.asarray(point, dtype=np.float64) for name, point in found.items()}


def _joint(rest: RestBody, posed: Posed, name: str) -> Array:
    j = rest.data.joint(name)
    return apply(posed.transforms[j], rest.joints[j])
