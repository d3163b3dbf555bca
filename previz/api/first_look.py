"""Cameras on `exposure: auto`: set by the light before anything is made of their frames."""

from __future__ import annotations

from dataclasses import replace

from previz.api.light import read_light
from previz.api.opening import OpenScene
from previz.api.progress import Progress
from previz.measure.light.light import light_numbers
from previz.render.readings import Readings
from previz.solve.exposing import exposed_alone
from previz.telling.first_look import taken_lines


def set_by_light(
    opened: OpenScene, variant: str | None, watch: Progress, readings: Readings | None = None
) -> OpenScene:
    """The scene with its cameras on auto set, which is said; the same scene where none is.

    readings  of its light, if they are there; else they are taken, once, and kept
    """
    if not any(setup.auto for setup in opened.stage.setups.values()):
        return opened
    readings = readings or read_light(opened, variant, watch)
    light = light_numbers(opened.stage, readings)
    stage, taken = exposed_alone(opened.stage, light, opened.scene.targets)
    for line in taken_lines(taken):
        watch.say(line)
    return replace(opened, stage=stage)
