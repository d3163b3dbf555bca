"""Things of the trade that stand in the room: lights, cameras, sound, grip.

Everything is built in the world, feet on z = 0. Emitting surfaces are described by `EmitterShape`
and never drawn. Each maker gives a tuple of pieces (a light: `LightGear`).
"""

from __future__ import annotations

from previz.geometry.gear.camera import CameraShape, TripodShape, build_camera, build_tripod
from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.gear.grip import (
    MonitorShape,
    build_apple_boxes,
    build_cable,
    build_grey_card,
    build_monitor,
    build_sandbag,
)
from previz.geometry.gear.lamp_heads import (
    BulbHead,
    FresnelHead,
    HeadShape,
    LanternHead,
    PanelHead,
    SoftboxHead,
    TubeHead,
)
from previz.geometry.gear.lights import LightGear, build_light
from previz.geometry.gear.panels import PanelShape, build_panel
from previz.geometry.gear.sound import (
    MicrophoneShape,
    build_boom_microphone,
    build_lavalier,
    build_microphone,
)
from previz.geometry.gear.stands import StandShape, build_stand

__all__ = [
    "BulbHead",
    "CameraShape",
    "EmitterShape",
    "FresnelHead",
    "HeadShape",
    "LanternHead",
    "LightGear",
    "MicrophoneShape",
    "MonitorShape",
    "PanelHead",
    "PanelShape",
    "SoftboxHead",
    "StandShape",
    "TripodShape",
    "TubeHead",
    "build_apple_boxes",
    "build_boom_microphone",
    "build_cable",
    "build_camera",
    "build_grey_card",
    "build_lavalier",
    "build_light",
    "build_microphone",
    "build_monitor",
    "build_panel",
    "build_sandbag",
    "build_stand",
    "build_tripod",
]
