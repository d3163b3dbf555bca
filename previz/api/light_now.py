"""The light in a camera's frame as the scene is now, where it is known without rendering.

It is known from a render in the output folder whose set, lenses and places are as now (other
dimmers, colours, gels, ISO and ND are arithmetic), or else from readings that were kept.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from previz.api.kept import kept_in
from previz.api.opening import OpenScene, default_folder
from previz.api.white import white_of
from previz.deliver.manifest import MANIFEST
from previz.develop.exposure import expose, exposure_scale
from previz.errors import MissingError
from previz.measure.light.receptors import receptors
from previz.measure.shown import Grid, light_grid
from previz.physics.colour import luminance
from previz.render.cards import Card
from previz.render.contract import Image
from previz.render.denoise import Denoiser
from previz.render.readings import kept_readings
from previz.render.variants import PREFERENCE

MOST_FOLDERS = 200
"""Looked through for a render; in a larger output folder light is not looked for further."""


def light_now(opened: OpenScene, camera: str, out: Path | None = None) -> Grid | None:
    """Stops over mid grey in a grid over the frame; None where nothing tells without a render.

    out  where results of the scene lie; None: where they go unless the user says
    """
    found = _from_renders(opened, camera, out or default_folder(opened.path))
    return _from_readings(opened, camera) if found is None else found


def _from_renders(opened: OpenScene, camera: str, out: Path) -> Grid | None:
    grids = (_from_render(opened, camera, folder) for folder in _rendered_in(out))
    return next((grid for grid in grids if grid is not None), None)


def _rendered_in(out: Path) -> Iterator[Path]:
    """Folders with a manifest, at most so many, the newest first."""
    there = [file for file, _ in zip(out.rglob(MANIFEST), range(MOST_FOLDERS), strict=False)]
    yield from (f.parent for f in sorted(there, key=lambda f: f.stat().st_mtime, reverse=True))


def _from_render(opened: OpenScene, camera: str, folder: Path) -> Grid | None:
    kept = kept_in(folder, opened, (camera,))
    if kept is None or camera not in kept.frames:
        return None
    try:
        return _grid(opened, camera, kept.light(camera), kept.card())
    except MissingError:  # not whole: as good as none
        return None


def _from_readings(opened: OpenScene, camera: str) -> Grid | None:
    """From the small pictures that meters were read with, on whatever it was that computed them."""
    stage = opened.stage
    held = receptors(stage)
    found = (kept_readings(stage, held, variant) for variant in PREFERENCE)
    readings = next((readings for readings in found if readings is not None), None)
    if readings is None or camera not in readings.pictures:
        return None
    light = readings.pictures[camera]
    beauty = Denoiser().clean(light.beauty, light.albedo, light.normal)
    person = stage.white_card_of
    card = readings.points[f"face/{person}"].by_light if person is not None else {}
    return _grid(opened, camera, beauty, card)


def _grid(opened: OpenScene, camera: str, beauty: Image, card: Card) -> Grid:
    white = white_of(opened.stage, card)
    scale = exposure_scale(opened.stage.cameras[camera])
    return light_grid(np.asarray(luminance(expose(beauty, scale, white)), np.float64))
