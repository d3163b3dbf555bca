"""Light in a frame: luminance of skin, background, windows and lamps, from a small picture."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.develop.exposure import exposure_scale
from previz.geometry.gear.emitter import EmitterShape
from previz.physics.colour import luminance
from previz.physics.exposure import stops_over_grey
from previz.render.contract import LightLayers
from previz.stage.placed import pane_of
from previz.stage.stage import Array, Emitter, Stage, StageCamera

Mask = NDArray[np.bool_]
SEEN_ALBEDO = 0.97
"""A renderer gives what shines itself an albedo of 1."""
DARKEST = 1e-9
"""What black counts as, over mid grey: an estimate."""
FACE_OVAL = (0.40, 0.52)
"""Half width and half height of the face in heights of the head from chin to crown: an estimate."""
SKIN_SHADE = 0.05
"""Skin darker than this share of its mean is brow, nostril or hair: an estimate."""


@dataclass(frozen=True)
class Region:
    """Part of a frame: its share of it, and its luminance by light and in total, cd/m2."""

    share_pct: float
    luminance_cd_m2: Mapping[str, float]
    stops_over_grey: float
    brightest_stops: float
    values: tuple[float, ...]

    def clipped_pct(self, clip_stops: float) -> float:
        """Share of the region that lies `clip_stops` over mid grey or more, %."""
        values = np.asarray(self.values)
        return 100.0 * float(np.mean(values >= clip_stops)) if len(values) else 0.0


@dataclass(frozen=True)
class FrameLight:
    """What a camera's frame holds. A region that is not in the frame is None or absent."""

    skin: Region | None
    background: Region | None
    windows: Mapping[str, Region]
    lamps: Mapping[str, Region]


def frame_light(
    stage: Stage, camera: StageCamera, light: LightLayers, subject: str | None
) -> FrameLight:
    """Regions of a frame from a picture of any size, un-denoised."""
    masks = _Masks(stage, camera, light)
    look = _Look(light, exposure_scale(camera))
    return FrameLight(
        skin=look.region(masks.skin(subject)) if subject else None,
        background=look.region(masks.background()),
        windows=look.regions({e.layer: masks.window(e) for e in stage.emitters if e.window}),
        lamps=look.regions({e.layer: masks.lamp(e) for e in stage.emitters if not e.window}),
    )


@dataclass(frozen=True, eq=False)
class _Look:
    light: LightLayers
    scale: float

    def region(self, mask: Mask) -> Region | None:
        if not mask.any():
            return None
        by_light = {
            name: float(luminance(image[mask]).mean()) for name, image in self.light.layers.items()
        }
        values = luminance(self.light.beauty[mask]) * self.scale
        stops = stops_over_grey(values, DARKEST)
        return Region(
            share_pct=100.0 * float(mask.mean()),
            luminance_cd_m2=by_light,
            stops_over_grey=float(stops_over_grey(values.mean(), DARKEST)),
            brightest_stops=float(stops.max()),
            values=tuple(float(v) for v in stops),
        )

    def regions(self, masks: Mapping[str, Mask]) -> dict[str, Region]:
        found = {name: self.region(mask) for name, mask in masks.items()}
        return {name: region for name, region in found.items() if region is not None}


class _Masks:
    """Where in a picture things are."""

    def __init__(self, stage: Stage, camera: StageCamera, light: LightLayers) -> None:
        self.stage, self.camera, self.light = stage, camera, light
        self.names = {number: name for name, number in stage.object_ids.items()}
        self.kinds = {thing.name: thing.kind for thing in stage.things}
        height, width = light.objects.shape
        self.rays = _rays(camera, width, height)
        self.shining = light.albedo.min(axis=2) >= SEEN_ALBEDO
        numbers = stage.object_ids
        self.panes = {w: numbers[p] for w in stage.room.panes if (p := pane_of(w)) in numbers}

    def background(self) -> Mask:
        """The set behind: no people, no gear, nothing that shines."""
        wanted = np.zeros(max(self.names, default=0) + 1, bool)
        for number, name in self.names.items():
            wanted[number] = self.kinds[name] in ("room", "furniture") and not name.startswith(
                "people."
            )
        wanted[list(self.panes.values())] = False
        return np.asarray(wanted[self.light.objects] & ~self.shining)

    def skin(self, subject: str) -> Mask:
        """The subject's face: an oval about nose and chin, without brows and hair before it."""
        own = self.light.objects == self.stage.object_ids[f"people.{subject}"]
        person = self.stage.people[subject]
        marks = np.array([person.landmarks[k] for k in ("nose_root", "chin", "head_top", "mouth")])
        height, width = self.light.objects.shape
        (root, chin, top, mouth) = self.camera.project(marks, width, height)
        tall = float(np.hypot(*(top - chin)))
        middle = 0.5 * (root + mouth)
        y, x = np.mgrid[0:height, 0:width] + 0.5
        across, down = FACE_OVAL[0] * tall * 0.8, FACE_OVAL[1] * tall * 0.75
        oval = ((x - middle[0]) / across) ** 2 + ((y - middle[1]) / down) ** 2 <= 1.0
        found = own & oval
        if found.any():
            y709 = luminance(self.light.beauty)
            found &= y709 > SKIN_SHADE * float(y709[found].mean())
        return np.asarray(found)

    def window(self, emitter: Emitter) -> Mask:
        """What is seen in a window, through its hole: its pane, or without one what shines there.

        In the dark a pane stands in the hole and mirrors the room, so that behind it nothing
        shines with an albedo of 1.
        """
        pane = self.panes.get(emitter.layer)
        seen = self.shining if pane is None else self.light.objects == pane
        return np.asarray(seen & _through(self.rays, self.camera, emitter.shape))

    def lamp(self, emitter: Emitter) -> Mask:
        """The emitting face of a lamp of the room that stands in the frame."""
        number = self.stage.object_ids.get(emitter.thing, 0)
        return np.asarray(self.shining & (self.light.objects == number) & (number > 0))


def _rays(camera: StageCamera, width: int, height: int) -> Array:
    """Directions (height, width, 3) through the pixels' centres of a pinhole."""
    x = ((np.arange(width) + 0.5) / width - 0.5) * camera.sensor_width_m / camera.focal_length_m
    y = (0.5 - (np.arange(height) + 0.5) / height) * camera.sensor_height_m / camera.focal_length_m
    local = np.stack(
        [*np.broadcast_arrays(x[None, :], y[:, None]), np.full((height, width), -1.0)], axis=-1
    )
    return np.asarray(local @ camera.pose[:3, :3].T)


def _through(rays: Array, camera: StageCamera, shape: EmitterShape) -> Mask:
    """Which rays from the lens pass through a rectangle."""
    normal, middle = shape.pose[:3, 2], shape.pose[:3, 3]
    slope = rays @ normal
    away = float((middle - camera.position_m) @ normal)
    distance = np.divide(away, slope, out=np.zeros_like(slope), where=slope != 0.0)
    hit = camera.position_m + distance[..., None] * rays - middle
    inside = np.abs(hit @ shape.pose[:3, 0]) <= shape.width_m / 2.0
    inside &= np.abs(hit @ shape.pose[:3, 1]) <= shape.height_m / 2.0
    return np.asarray(inside & (distance > 0.0))
