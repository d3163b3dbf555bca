"""Shapes that are built once: as the builders of the same names, from the cache if it has them.

The same thing of the same measures at the same place is read instead of built. What is small
is built as fast as it is read, and is not kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace
from typing import Any, get_args

import numpy as np
from numpy.typing import ArrayLike

from previz import cache as store
from previz.geometry import furniture, gear
from previz.geometry import room as rooms
from previz.geometry.gear.camera import CameraShape, TripodShape
from previz.geometry.gear.emitter import EmitterKind, EmitterShape
from previz.geometry.gear.lamp_heads import HeadShape
from previz.geometry.gear.lights import LightGear
from previz.geometry.gear.panels import PanelShape
from previz.geometry.gear.sound import MicrophoneShape
from previz.geometry.gear.stands import StandShape
from previz.geometry.kept import Arrays, arrays_of, code, kept_pieces, pieces_of
from previz.geometry.openings import OpeningShape
from previz.geometry.piece import Piece
from previz.geometry.room import BuiltRoom, RoomShape
from previz.memory import remembered

MOST = {"furniture": 256, "rooms": 32, "lights": 96, "gear": 64}
"""How many of each kind are kept: those of a dozen scenes."""
KINDS = get_args(EmitterKind)
MEASURES = tuple(f.name for f in fields(EmitterShape) if f.name not in ("kind", "pose"))


def build_furniture(shape: str, **parameters: Any) -> tuple[Piece, ...]:
    """As `furniture.build_furniture`."""
    key = (shape, *sorted(parameters.items()))

    def build() -> tuple[Piece, ...]:
        return furniture.build_furniture(shape, **parameters)

    return kept_pieces("furniture", MOST["furniture"], key, build)


def emitter_of(shape: str, **parameters: Any) -> EmitterShape | None:
    """As `furniture.emitter_of`, which shapes a whole lamp to find its glowing middle."""
    key = ("emitter", shape, repr(sorted(parameters.items())))
    return remembered(key, lambda: furniture.emitter_of(shape, **parameters))


def build_room(shape: RoomShape, openings: Sequence[OpeningShape] = ()) -> BuiltRoom:
    """As `room.build_room`."""
    key = (_plain(shape.corners_m), replace(shape, corners_m=()), tuple(openings))

    def build() -> BuiltRoom:
        walls, portals = rooms.plan_room(shape, openings)
        # Few points, but it takes long to cut them out.
        pieces = kept_pieces(
            "rooms",
            MOST["rooms"],
            key,
            lambda: rooms.room_pieces(shape, openings, walls),
            least_points=0,
        )
        return BuiltRoom(pieces, portals, walls)

    return remembered(("room", repr(key)), build)


def build_camera(
    camera: CameraShape, pupil_m: ArrayLike, aim_m: ArrayLike, tripod: TripodShape | None = None
) -> tuple[Piece, ...]:
    """As `gear.build_camera`."""
    key = ("camera", camera, _plain(pupil_m), _plain(aim_m), tripod)

    def build() -> tuple[Piece, ...]:
        return gear.build_camera(camera, pupil_m, aim_m, tripod)

    return kept_pieces("gear", MOST["gear"], key, build)


def build_boom_microphone(
    mic: MicrophoneShape,
    tip_m: ArrayLike,
    aim_m: ArrayLike,
    base_m: ArrayLike,
    stand: StandShape | None = None,
) -> tuple[Piece, ...]:
    """As `gear.build_boom_microphone`."""
    key = ("boom", mic, _plain(tip_m), _plain(aim_m), _plain(base_m), stand)

    def build() -> tuple[Piece, ...]:
        return gear.build_boom_microphone(mic, tip_m, aim_m, base_m, stand)

    return kept_pieces("gear", MOST["gear"], key, build)


def build_panel(
    panel: PanelShape, position_m: ArrayLike, aim_m: ArrayLike, stand: StandShape | None = None
) -> tuple[Piece, ...]:
    """As `gear.build_panel`."""
    key = ("panel", panel, _plain(position_m), _plain(aim_m), stand)

    def build() -> tuple[Piece, ...]:
        return gear.build_panel(panel, position_m, aim_m, stand)

    return kept_pieces("gear", MOST["gear"], key, build)


def build_light(
    head: HeadShape,
    position_m: ArrayLike,
    aim_m: ArrayLike,
    stand: StandShape | None = None,
    roll_rad: float = 0.0,
) -> LightGear:
    """As `gear.build_light`."""
    key = store.key_of((), code(), head, _plain(position_m), _plain(aim_m), stand, roll_rad)

    def read_or_build() -> LightGear:
        arrays = store.load("lights", key)
        if arrays is not None:
            return LightGear(pieces_of(arrays), _emitter(arrays))
        built = gear.build_light(head, position_m, aim_m, stand, roll_rad)
        store.keep("lights", key, _arrays(built), MOST["lights"])
        return built

    return remembered(("lights", key), read_or_build)


def _arrays(built: LightGear) -> Arrays:
    face = built.emitter
    return {
        **arrays_of(built.pieces),
        "emitter_kind": np.array(KINDS.index(face.kind)),
        "emitter_pose": face.pose,
        "emitter_measures": np.array([getattr(face, name) for name in MEASURES]),
    }


def _emitter(arrays: Arrays) -> EmitterShape:
    measures = dict(zip(MEASURES, arrays["emitter_measures"].tolist(), strict=True))
    return EmitterShape(KINDS[int(arrays["emitter_kind"])], arrays["emitter_pose"], **measures)


def _plain(numbers: ArrayLike) -> object:
    """An array as lists, whose repr leaves nothing out."""
    return np.asarray(numbers, float).tolist()
