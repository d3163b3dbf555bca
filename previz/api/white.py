"""What the cameras call white: by number, or the light on a card before a face."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from previz.measure.light.receptors import face_point
from previz.physics.colour import xy_from_rgb
from previz.physics.white import white_xy
from previz.render.contract import Renderer
from previz.stage.stage import Stage

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


def card_lights(stage: Stage, renderer: Renderer) -> dict[str, Card]:
    """Light by layer (3,) on a card before each person's face."""
    if not stage.people:
        return {}
    people = stage.people.values()
    points = np.array([face_point(person) for person in people])
    facing = np.array([person.face_forward for person in people])
    light = renderer.meter(points, facing, CARD_SAMPLES)
    return {
        name: {layer: values[number] for layer, values in light.items()}
        for number, name in enumerate(stage.people)
    }


def white_of(stage: Stage, card: Card) -> tuple[float, float]:
    """CIE x, y of what the cameras call white: by number, or the light on the card."""
    total = np.sum(list(card.values()), axis=0) if card else np.zeros(3)
    if stage.white_card_of is None or not np.any(total > 0.0):
        return white_xy(stage.white_cct_k or USUAL_WHITE_K)
    x, y = xy_from_rgb(total)
    return float(x), float(y)
