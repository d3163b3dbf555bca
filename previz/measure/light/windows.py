"""Windows against the key: how far over it, what clips, and the ND that holds them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from previz.measure.light.in_frame import Region
from previz.measure.light.light import ExposureLight
from previz.measure.measured import Measured
from previz.model.meters import Targets
from previz.physics.exposure import nd_density_for_stops

ND_STEP = 0.3
"""Sheets of ND come in whole stops: common practice, no source."""


@dataclass(frozen=True)
class HeldWindow:
    """One window in one camera's frame.

    over_key_stops  its mean over a grey card in the face's light
    wanted_stops    the most that may come to
    gel_nd          density of the ND on it
    more_nd         density that would hold it, over what is there, in sheets of 0.3
    """

    name: str
    region: Region
    over_key_stops: float
    wanted_stops: float
    clipped_pct: float
    gel_nd: float
    more_nd: float

    @property
    def needed_nd(self) -> float:
        """Density in all that holds it."""
        return self.gel_nd + self.more_nd


def held_windows(camera: str, exposure: ExposureLight, measured: Measured) -> Iterator[HeldWindow]:
    """Every window in a camera's frame."""
    clip, face = clip_stops(measured, camera), exposure.face_stops_over_grey or 0.0
    wanted = wanted_window_stops(measured.targets, clip)
    for name, region in exposure.frame.windows.items():
        over = region.stops_over_grey - face
        yield HeldWindow(
            name=name,
            region=region,
            over_key_stops=over,
            wanted_stops=wanted,
            clipped_pct=region.clipped_pct(clip),
            gel_nd=measured.stage.room.openings[name].gel_nd,
            more_nd=nd_to_hold(over, wanted),
        )


def clip_stops(measured: Measured, camera: str) -> float:
    """Stops over mid grey at which a camera's sensor clips, as its record says."""
    return measured.cameras[camera].kit.sensor.stops_over_grey


def nd_to_hold(stops_over_key: float, wanted_stops: float) -> float:
    """Density of ND, in sheets of 0.3, that brings a window down to `wanted_stops` over the key."""
    over = stops_over_key - wanted_stops
    if over <= 0.0:
        return 0.0
    return round(math.ceil(nd_density_for_stops(over) / ND_STEP - 0.05) * ND_STEP, 1)


def wanted_window_stops(targets: Targets, clip: float) -> float:
    """How far a window may be over the key: as the scene wants, else a stop under clipping."""
    return targets.window.stops_over_key if targets.window else clip - 1.0
