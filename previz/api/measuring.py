"""Measuring a scene: geometry at once, light by meters that are read once and kept."""

from __future__ import annotations

from collections.abc import Sequence

from previz.api.opening import OpenScene, Source, opened_from
from previz.api.progress import Progress, Silence
from previz.errors import InputError, Place, Problem
from previz.measure.light.spots import Spot
from previz.measure.measured import measure
from previz.measure.report import Report, measure_set
from previz.render.readings import Readings
from previz.solve.lens import Answer, Wishes
from previz.solve.lens import answers as answer_wishes


def check_scene(source: Source, settings: Sequence[str] = ()) -> Report:
    """Measure a scene without its light and say what to know of it; nothing is rendered."""
    return measure_scene(source, settings)


def measure_scene(
    source: Source,
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
    opened, watch = opened_from(source, settings), progress or Silence()
    try:
        wanted = [Spot.parse(text) for text in spots]
        readings = _read(opened, variant, watch) if light else None
        if readings is not None:
            opened = _set_by_light(opened, variant, watch, readings)
        return measure_set(opened.stage, opened.scene.rules, opened.scene.targets, readings, wanted)
    except ValueError as error:
        raise InputError([Problem(Place(opened.path), str(error))]) from error


def _read(opened: OpenScene, variant: str | None, watch: Progress) -> Readings:
    from previz.api.light import read_light  # noqa: PLC0415 - a renderer is loaded for this only

    return read_light(opened, variant, watch)


def _set_by_light(
    opened: OpenScene, variant: str | None, watch: Progress, readings: Readings
) -> OpenScene:
    from previz.api.first_look import set_by_light  # noqa: PLC0415 - loads a renderer as well

    return set_by_light(opened, variant, watch, readings)


def answers(source: Source, wishes: Wishes, settings: Sequence[str] = ()) -> list[Answer]:
    """Settings of one camera that fulfil wishes. InputError when they mean nothing here."""
    opened = opened_from(source, settings)
    try:
        scene = opened.scene
        return answer_wishes(measure(opened.stage, scene.rules, scene.targets), wishes)
    except ValueError as error:
        raise InputError([Problem(Place(opened.path), str(error))]) from error
