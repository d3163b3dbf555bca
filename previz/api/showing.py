"""Writes down what is shown to somebody: frames by digest, with the numbers of each."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz.api.opening import OpenScene
from previz.deliver.files import write_text
from previz.measure.camera.framing import FramingNumbers
from previz.measure.measured import CameraNumbers
from previz.measure.shown import framing_facts, light_grid, picture_settings
from previz.model.showing import (
    FrameFacts,
    LightGrid,
    Showing,
    ShownFrame,
    ShownScene,
    showing_id,
)
from previz.physics.colour import luminance
from previz.stage.shown import shown_digests
from previz.telling.numbers import rounded
from previz.version import version

FOLDER = "shown"
TIME = "%Y-%m-%dT%H:%M:%S.%fZ"


@dataclass(frozen=True, eq=False)
class FrameSeen:
    """One frame: its PNG, its exposed scene-linear light (height, width, 3), what was measured."""

    png: Path
    linear: NDArray[np.float32]
    numbers: CameraNumbers


def showing_of(
    title: str, scenes: Mapping[str, tuple[OpenScene, Mapping[str, FrameSeen]]]
) -> Showing:
    """What is shown of scenes by name: for each the open scene and its frames by camera."""
    told = tuple(_scene(name, opened, frames) for name, (opened, frames) in scenes.items())
    written_at = datetime.now(UTC).strftime(TIME)
    return Showing(
        id=showing_id(told), previz=version(), title=title, written_at=written_at, scenes=told
    )


def write_showing(showing: Showing, scene_folder: Path) -> Path:
    """Keep a showing beside a scene, as `shown/<ID>.json`."""
    path = scene_folder / FOLDER / f"{showing.id}.json"
    write_text(path, showing.model_dump_json() + "\n", beside_scene=True)
    return path


def _scene(name: str, opened: OpenScene, frames: Mapping[str, FrameSeen]) -> ShownScene:
    digests = shown_digests(opened.stage, opened.scene.look, opened.lut)
    settings = picture_settings(opened.scene)
    told = tuple(
        ShownFrame(
            camera=camera,
            shown=digests[camera],
            sha256=hashlib.sha256(frame.png.read_bytes()).hexdigest(),
            width_px=frame.linear.shape[1],
            height_px=frame.linear.shape[0],
            facts=FrameFacts(
                framing=dict(_framing(frame.numbers.framing)),
                light=LightGrid(grid=_light(frame.linear)),
                settings=settings,
            ),
        )
        for camera, frame in frames.items()
    )
    return ShownScene(name=name, title=opened.scene.title, digest=opened.digest, frames=told)


def _framing(framing: FramingNumbers | None) -> Iterator[tuple[str, float]]:
    for name, value in framing_facts(framing).items():
        told = rounded(value, 2)
        if told is not None:
            yield name, told


def _light(linear: NDArray[np.float32]) -> tuple[tuple[float, ...], ...]:
    grid = light_grid(np.asarray(luminance(linear), float))
    return tuple(tuple(rounded(float(cell), 2) or 0.0 for cell in row) for row in grid)
