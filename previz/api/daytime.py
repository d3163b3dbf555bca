"""One camera at several hours of the scene's day, on one sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz.api.light import need_meters
from previz.api.opening import OpenScene, Source, default_folder
from previz.api.pictures import developed_before, look_digest
from previz.api.progress import Progress, Silence
from previz.api.session import (
    Rendered,
    RenderOptions,
    Session,
    cameras_wanted,
    opened_with_word,
)
from previz.deliver.frames import read_png
from previz.deliver.hours import sheet_of as hours_sheet_of
from previz.deliver.manifest import read_manifest, write_manifest
from previz.errors import InputError, Place, Problem
from previz.measure.light.receptors import toward_camera
from previz.measure.roles import guest_of
from previz.render.contract import Renderer
from previz.render.metering import Receptor
from previz.render.metering import read as read_meters
from previz.solve.hours import (
    Hour,
    HoursRequest,
    Strip,
    hours_of,
    hours_stage,
    own_moment,
    windows_light,
)
from previz.stage.daylight import environment_of

DRIFT_GOAL = 0.01
"""Relative error of a window's light at the face: 0.015 stop."""


def render_hours(
    source: Source,
    request: HoursRequest,
    options: RenderOptions | None = None,
    progress: Progress | None = None,
) -> tuple[Rendered, Strip]:
    """Render one camera at several hours of the scene's day on a sheet, PNG and PDF.

    The set is loaded once and the white balance taken at the scene's own time. InputError
    when the scene has no place, time or window, or the hours mean nothing; MissingError for a
    back end without meters, since the drift is read on the face.
    """
    options, watch = options or RenderOptions(), progress or Silence()
    opened = opened_with_word(source, options, watch)
    wanted = (request.camera,) if request.camera else ()
    name = cameras_wanted(opened, replace(options, cameras=wanted))[0]
    person, planned = _planned(opened, request, name)
    folder = options.out or default_folder(opened.path) / "hours"
    session = _session(opened, name, planned, replace(options, out=folder), watch)
    stage = session.opened.stage
    need_meters(session.back_end)
    loaded, face = (
        session.renderer,
        toward_camera(opened.stage.people[person], opened.stage.cameras[name]),
    )
    own = windows_light(stage, _on_face(loaded, face))
    windows = {}
    for hour in planned:
        environment = environment_of(hour.scene)
        session.renderer = loaded.under(environment)
        lit = replace(stage, environment=environment)
        windows[hour.camera] = windows_light(lit, _on_face(session.renderer, face))
        session.frame(hour.camera)
    strip = Strip(name, person, own_moment(opened.scene), own, tuple(planned), windows)
    sheet = hours_sheet_of(
        strip, session.pictures(), opened.scene.title, session.foot(), session.cautions()
    )
    session.sheet(f"hours_{name}", sheet)
    return session.finish(), strip


def frames_of_hours(
    opened: OpenScene, request: HoursRequest, options: RenderOptions, watch: Progress
) -> tuple[tuple[Hour, ...], dict[str, NDArray[np.uint8]], bool]:
    """Hours, their frames by the names of their cameras, and whether they had to be rendered.

    No meter is read, so nobody has to sit there. What an earlier run left in `options.out` is
    taken if set, size and quality are the same. ValueError where the hours mean nothing.
    """
    assert request.camera is not None
    folder = Path(options.out or default_folder(opened.path) / "hours")
    camera = request.camera
    planned = hours_of(opened.scene, camera, request.start, request.end, request.every_min)
    names = [hour.camera for hour in planned]
    pictures = developed_before(opened, options, folder, names)
    if pictures is not None:
        return tuple(planned), pictures, False
    session = _session(opened, camera, planned, replace(options, out=folder), watch)
    loaded = session.renderer
    for hour in planned:
        session.renderer = loaded.under(environment_of(hour.scene))
        session.frame(hour.camera)
    manifest = read_manifest(session.finish().folder)
    assert manifest is not None
    write_manifest(folder, replace(manifest, developed=look_digest(opened)))
    pictures = {name: read_png(folder / f"frame_{name}.png") for name in names}
    return tuple(planned), pictures, True


def _session(
    opened: OpenScene, camera: str, planned: Sequence[Hour], options: RenderOptions, watch: Progress
) -> Session:
    """A run on the set with one camera at every hour in place of all."""
    stage = hours_stage(opened.stage, camera, planned)
    return Session(replace(opened, stage=stage), replace(options, keep_light=False), watch)


def _planned(opened: OpenScene, request: HoursRequest, camera: str) -> tuple[str, list[Hour]]:
    """On whose face the light is read, and the hours."""
    scene = opened.scene
    person = opened.stage.setups[camera].subject or guest_of(opened.stage)
    try:
        if person is None:
            raise ValueError("no camera is on anybody, so there is no face to read the light on")
        return person, hours_of(scene, camera, request.start, request.end, request.every_min)
    except ValueError as error:
        raise InputError([Problem(Place(opened.path), f"hours: {error}")]) from error


def _on_face(renderer: Renderer, face: Receptor) -> Mapping[str, NDArray[np.float64]]:
    return read_meters(renderer, {"face": face}, DRIFT_GOAL)["face"].by_light
