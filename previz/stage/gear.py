"""Cameras on their tripods and microphones on their booms, as other cameras see them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from previz.geometry.gear.camera import CameraShape, TripodShape
from previz.geometry.gear.sound import MicrophoneShape, boom_axes, build_lavalier
from previz.geometry.gear.stands import StandShape
from previz.geometry.once import build_boom_microphone, build_camera
from previz.geometry.piece import Piece
from previz.memory import remembered
from previz.model.sound import Boom, Sound
from previz.stage.kit import CameraSetup
from previz.stage.placed import StageBoom, StageSound
from previz.stage.stage import Array, StageCamera, StagePerson, Thing
from previz.stage.standing import standing
from previz.units import mm_to_m

LOWEST_TRIPOD_M = 0.55
"""Lens height on the shortest legs: an estimate."""
MICROPHONE = MicrophoneShape(cover="foam")


def camera_gear(setup: CameraSetup, placed: StageCamera) -> list[Thing]:
    """The camera, its lens and tripod; hidden from the camera itself."""
    if setup.support == "none":
        return []
    lens = setup.kit.lens
    shape = CameraShape(
        lens_length_m=mm_to_m(lens.length_mm), lens_diameter_m=mm_to_m(lens.diameter_mm)
    )
    stands = not setup.held and placed.position_m[2] >= LOWEST_TRIPOD_M
    pieces = build_camera(
        shape,
        placed.position_m,
        placed.position_m + placed.forward,
        TripodShape() if stands else None,
    )
    return [standing(f"cameras.{placed.name}", "gear", pieces, owner=placed.name)]


def place_sound(
    sound: Sound, people: Mapping[str, StagePerson], noises: Mapping[str, str]
) -> StageSound:
    """Where the microphones are: a boom hangs before the face, over the head, a clip on a chest."""
    boom, wearer = sound.boom, sound.lavalier
    return StageSound(
        boom=None if boom is None else _placed_boom(boom, people[boom.over]),
        wearer=wearer,
        clip_m=None if wearer is None else people[wearer].landmarks["lavalier"],
        noises=noises,
    )


def _placed_boom(boom: Boom, person: StagePerson) -> StageBoom:
    ahead = np.append(person.face_forward[:2], 0.0)
    ahead /= np.linalg.norm(ahead)
    tip = person.landmarks["head_top"] + boom.ahead_m * ahead + [0.0, 0.0, boom.above_head_m]
    mouth = person.landmarks["mouth"]
    return StageBoom(boom.over, boom_axes(MICROPHONE, tip, mouth, boom.stand_at_m))


def sound_gear(sound: StageSound, people: Mapping[str, StagePerson]) -> list[Thing]:
    """Boom and lavalier microphones."""
    things = []
    if sound.boom is not None:
        things.append(_boom(sound.boom, people[sound.boom.over]))
    if sound.wearer is not None and sound.clip_m is not None:
        forward = np.append(people[sound.wearer].face_forward[:2], 0.0)
        things.append(standing("sound.lavalier", "gear", _clip(sound.clip_m, forward)))
    return things


def _boom(boom: StageBoom, person: StagePerson) -> Thing:
    """The microphone points at the mouth."""
    pieces = build_boom_microphone(
        MICROPHONE,
        boom.axes.tip,
        person.landmarks["mouth"],
        boom.axes.cradle[:2],
        StandShape(kind="light", sandbag=True),
    )
    return standing("sound.boom", "gear", pieces)


def _clip(at_m: Array, forward: Array) -> tuple[Piece, ...]:
    key = ("clip", at_m.tobytes(), forward.tobytes())
    return remembered(key, lambda: build_lavalier(at_m, forward))
