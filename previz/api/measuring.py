"""Measuring a scene: geometry at once, light by meters that are read once and kept."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from previz.api.opening import OpenScene, open_scene
from previz.api.progress import Progress, Silence
from previz.errors import InputError, Place, Problem
from previz.measure.light.receptors import receptors
from previz.measure.light.spots import Spot
from previz.measure.report import Report, measure_set
from previz.render.backends import path_tracer
from previz.render.readings import Readings, keep_readings, kept_readings, take_readings
from previz.solve.lens import Answer, Wishes
from previz.solve.lens import answers as answer_wishes


def measure(
    path: Path,
    settings: Sequence[str] = (),
    *,
    light: bool = False,
    spots: Sequence[str] = (),
    variant: str | None = None,
    progress: Progress | None = None,
) -> Report:
    """Measure a scene and say what to know of it; with `light`, what meters would read too.

    `spots` are places in frames for the spot meter, as `A:50,40`: InputError for what is none.
    """
    opened = open_scene(path, settings)
    try:
        wanted = [Spot.parse(text) for text in spots]
        readings = read_light(opened, variant, progress or Silence()) if light else None
        return measure_set(opened.stage, opened.scene.rules, opened.scene.targets, readings, wanted)
    except ValueError as error:
        raise InputError([Problem(Place(path), str(error))]) from error


def read_light(opened: OpenScene, variant: str | None, watch: Progress) -> Readings:
    """Light at faces, meters and in small pictures; taken once and kept for other dimmers."""
    held, back_end = receptors(opened.stage), path_tracer(variant, watch.say)
    readings = kept_readings(opened.stage, held, back_end.variant)
    if readings is None:
        watch.start("reading the light", 1 + len(opened.stage.cameras))
        renderer = back_end.load(opened.stage)
        readings = take_readings(renderer, opened.stage, held, watch.advance)
        watch.finish()
        keep_readings(opened.stage, held, back_end.variant, readings)
    return readings


def answers(path: Path, wishes: Wishes, settings: Sequence[str] = ()) -> list[Answer]:
    """Settings of one camera that fulfil wishes. InputError when they mean nothing here."""
    try:
        return answer_wishes(measure(path, settings).measured, wishes)
    except ValueError as error:
        raise InputError([Problem(Place(path), str(error))]) from error
