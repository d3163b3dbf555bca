"""Light on cards before people's faces: what cameras are balanced on."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from previz.render.contract import Renderer
from previz.stage.stage import Stage, StagePerson

Card = Mapping[str, NDArray[np.float64]]

AHEAD_M = 0.02
"""A meter is held just before the nose, so that the face does not shade it: common practice, no
source."""
CARD_SAMPLES = 4096


def face_point(person: StagePerson) -> NDArray[np.float64]:
    """Where a meter is held before a face, (3,)."""
    return np.asarray(person.landmarks["nose_tip"] + AHEAD_M * person.face_forward)


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
