"""What the face's muscles do, in words of this program, by the names that the archive has."""

from __future__ import annotations

_MIDDLE = {
    "browInnerUp": "inner_brows_up",
    "cheekPuff": "cheeks_full",
    "jawForward": "jaw_forward",
    "jawOpen": "jaw_down",
    "mouthClose": "lips_meet",
    "mouthFunnel": "lips_rounded",
    "mouthPucker": "lips_drawn_in",
    "mouthRollLower": "lower_lip_in",
    "mouthRollUpper": "upper_lip_in",
    "mouthShrugLower": "lower_lip_pushed_up",
    "mouthShrugUpper": "upper_lip_pushed_up",
}
_SIDED = {
    "browDown": "brow_down",
    "browOuterUp": "outer_brow_up",
    "cheekSquint": "cheek_up",
    "eyeBlink": "lids_shut",
    "eyeLookDown": "lids_lowered",
    "eyeLookUp": "lids_lifted",
    "eyeSquint": "lids_narrowed",
    "eyeWide": "lids_apart",
    "jaw": "jaw_aside",
    "mouth": "mouth_aside",
    "mouthDimple": "lip_corner_in",
    "mouthFrown": "lip_corner_down",
    "mouthLowerDown": "lower_lip_down",
    "mouthPress": "lips_pressed",
    "mouthSmile": "lip_corner_up",
    "mouthStretch": "lip_corner_out",
    "mouthUpperUp": "upper_lip_up",
    "noseSneer": "nostril_up",
}


def muscle_name(archived: str) -> str:
    """`jaw_down`, or `lip_corner_up_left`, of an action's name in the archive.

    Raises KeyError for a name that the archive does not have.
    """
    for side in ("Left", "Right"):
        if archived.endswith(side):
            return f"{_SIDED[archived.removesuffix(side)]}_{side.lower()}"
    return _MIDDLE[archived]
