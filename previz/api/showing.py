"""Writes down what is shown to somebody: frames by digest, with the numbers of each."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from previz.api.opening import OpenScene
from previz.deliver.files import write_text
from previz.measure.camera.framing import FramingNumbers
from previz.measure.measured import CameraNumbers
from previz.model.showing import (
    FrameFacts,
    LightGrid,
    Setting,
    Showing,
    ShownFrame,
    ShownScene,
    showing_id,
)
from previz.physics.colour import luminance
from previz.physics.exposure import stops_over_grey
from previz.stage.shown import shown_digests
from previz.telling.numbers import rounded
from previz.version import version

ROWS, COLUMNS = 9, 16
FOLDER = "shown"
WORDS_ALONE = ("title", "notes", "pitch", "rules", "targets", "meters", "moves")
"""Keys of a scene that no picture rests on."""


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
    return Showing(id=showing_id(told), previz=version(), title=title, scenes=told)


def write_showing(showing: Showing, scene_folder: Path) -> Path:
    """Keep a showing beside a scene, as `shown/<ID>.json`."""
    path = scene_folder / FOLDER / f"{showing.id}.json"
    write_text(path, showing.model_dump_json() + "\n")
    return path


def _scene(name: str, opened: OpenScene, frames: Mapping[str, FrameSeen]) -> ShownScene:
    digests = shown_digests(opened.stage, opened.scene.look, opened.lut)
    settings = dict(settings_of(opened))
    told = tuple(
        ShownFrame(
            camera=camera,
            shown=digests[camera],
            sha256=hashlib.sha256(frame.png.read_bytes()).hexdigest(),
            width_px=frame.linear.shape[1],
            height_px=frame.linear.shape[0],
            facts=FrameFacts(
                framing=dict(_framing(frame.numbers.framing)),
                light=LightGrid(grid=light_grid(frame.linear)),
                settings=settings,
            ),
        )
        for camera, frame in frames.items()
    )
    return ShownScene(name=name, title=opened.scene.title, digest=opened.digest, frames=told)


def _framing(framing: FramingNumbers | None) -> Iterator[tuple[str, float]]:
    """Where the person lies in the frame, % of it from the left and the top."""
    if framing is None:
        return
    box = framing.subject_box
    for name, value in (
        ("head_top_pct", framing.headroom_pct),
        ("eyes_pct", framing.eye_height_pct),
        ("eyes_from_left_pct", framing.eye_from_left_pct),
        ("chin_pct", framing.head.chin_pct),
        ("head_height_pct", framing.head_height_pct),
        ("look_room_pct", framing.look_room_pct),
        ("subject_left_pct", None if box is None else box.left_pct),
        ("subject_right_pct", None if box is None else box.right_pct),
        ("subject_top_pct", None if box is None else box.top_pct),
        ("subject_bottom_pct", None if box is None else box.bottom_pct),
    ):
        told = rounded(value, 2)
        if told is not None:
            yield name, told


def light_grid(linear: NDArray[np.float32]) -> tuple[tuple[float, ...], ...]:
    """Mean stops over mid grey in each cell of exposed scene-linear light (height, width, 3)."""
    stops = stops_over_grey(np.asarray(luminance(linear), float))
    rows = np.array_split(stops, ROWS, axis=0)
    cells = [[part.mean() for part in np.array_split(row, COLUMNS, axis=1)] for row in rows]
    return tuple(tuple(rounded(float(cell), 2) or 0.0 for cell in row) for row in cells)


def settings_of(opened: OpenScene) -> Iterator[tuple[str, Setting]]:
    """The scene's values that bear on pictures, by dotted path, but for what is left unsaid."""
    given = opened.scene.model_dump(mode="json", exclude_none=True, exclude=set(WORDS_ALONE))
    yield from _flat("", given)


def _flat(path: str, value: Any) -> Iterator[tuple[str, Setting]]:
    if isinstance(value, dict):
        parts = ((f"{path}.{key}" if path else key, part) for key, part in value.items())
    elif isinstance(value, list):
        parts = ((f"{path}.{number}", part) for number, part in enumerate(value))
    else:
        yield path, value
        return
    for name, part in parts:
        yield from _flat(name, part)
