"""From light to picture: what the cameras call white, and how a frame is developed."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz.api.opening import OpenScene
from previz.deliver.exposure_sheet import write_exposure_map
from previz.develop.exposure import expose, exposure_scale
from previz.develop.exposure_map import Span, stops_image
from previz.develop.view import develop
from previz.measure.light.receptors import face_point
from previz.measure.light.settings import skin_over_card
from previz.physics.colour import xy_from_rgb
from previz.physics.white import white_xy
from previz.render.contract import Image, Renderer
from previz.stage.stage import Stage, StageCamera

CARD_SAMPLES = 4096
USUAL_WHITE_K = 5600.0

Card = Mapping[str, NDArray[np.float64]]


def card_light(stage: Stage, renderer: Renderer) -> Card:
    """Light by layer (3,) on the card that the cameras are balanced on; empty without one."""
    if stage.white_card_of is None:
        return {}
    person = stage.people[stage.white_card_of]
    point, facing = face_point(person), person.face_forward
    light = renderer.meter(point[None, :], facing[None, :], CARD_SAMPLES)
    return {layer: values[0] for layer, values in light.items()}


def white_of(stage: Stage, card: Card) -> tuple[float, float]:
    """CIE x, y of what the cameras call white: by number, or the light on the card."""
    total = np.sum(list(card.values()), axis=0) if card else np.zeros(3)
    if stage.white_card_of is None or not np.any(total > 0.0):
        return white_xy(stage.white_cct_k or USUAL_WHITE_K)
    x, y = xy_from_rgb(total)
    return float(x), float(y)


def photograph(
    opened: OpenScene, camera: StageCamera, beauty: Image, white: tuple[float, float]
) -> NDArray[np.uint8]:
    """The developed picture (height, width, 3) of light in cd/m2."""
    linear = expose(beauty, exposure_scale(camera), white)
    return develop(linear, opened.scene.look.view, opened.lut)


def map_exposure(path: Path, opened: OpenScene, camera: StageCamera, beauty: Image) -> None:
    """Write the exposure map of a frame, with the sensor's range from its record."""
    record = opened.stage.setups[camera.name].kit.sensor
    clip = record.stops_over_grey
    span = Span(clip, clip - record.dynamic_range_stops)
    title = (
        f"{opened.scene.title}, camera {camera.name}: stops over mid grey at "
        f"T{camera.t_number:.3g}, 1/{1.0 / camera.shutter_s:.4g} s, ISO {camera.iso:g}"
    )
    write_exposure_map(path, stops_image(beauty, camera), span, _skins(opened, camera), title)


def _skins(opened: OpenScene, camera: StageCamera) -> dict[str, float]:
    """Where the skin of the camera's subject falls when the meter at the face says grey."""
    subject = opened.stage.setups[camera.name].subject
    over = skin_over_card(opened.stage, subject)
    return {} if over is None else {f"skin of {subject} when the meter at the face is right": over}
