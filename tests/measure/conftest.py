"""A plain room with one guest and one camera, changed by each test as it needs.

Its people are mannequins, with spectacles on whoever wears them; its light is given, not rendered.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from shutil import copy
from typing import Protocol

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.geometry.people import Body, Figure, Pose
from previz.geometry.people.spectacles import spectacles
from previz.measure.light.receptors import receptors
from previz.measure.report import Report, measure_set
from previz.physics.white import white_rgb
from previz.render.contract import LightLayers
from previz.render.metering import Reading
from previz.render.readings import Readings
from previz.scenefile import read_scene
from previz.stage import people
from previz.stage.build import build_stage
from previz.stage.stage import Stage

CATALOG = Catalog.load(Path(__file__).parent / "own_catalogue")
SCAN = Path(__file__).parent / "box_room.obj"
PICTURE_PX = 100


@dataclass(frozen=True)
class Read:
    """What is read of one light.

    lx, cct_k      by every receptor, and how white it is
    cd_m2, columns how bright it shines in every picture, in so many of its 100 columns
    """

    lx: float = 0.0
    cct_k: float = 5600.0
    cd_m2: float = 0.0
    columns: int = PICTURE_PX


class Measure(Protocol):
    """Measures the plain room."""

    def __call__(
        self,
        more: str,
        settings: Sequence[str] = (),
        light: Mapping[str, Mapping[str, float]] | None = None,
    ) -> Report:
        """`more` YAML stands under the plain room's, `settings` (`A.iso=400`) are laid over both.

        `light` is read as it says here, light by light; None: no light is read.
        """


@pytest.fixture
def mannequins(mannequins: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """Mannequins that wear spectacles if their figure does."""
    bare = people.build_person

    def build(figure: Figure, pose: Pose, archive: object = None) -> Body:
        body = bare(figure, pose, archive)
        eyes, ears = (
            np.array([body.landmarks[f"{part}_{side}"] for side in ("left", "right")])
            for part in ("eye", "ear")
        )
        worn = spectacles(eyes, ears, 0.012, np.eye(3)) if figure.spectacles else ()
        return replace(body, pieces=(*body.pieces, *worn))

    monkeypatch.setattr("previz.stage.people.build_person", build)


@pytest.fixture
def measure(tmp_path: Path, mannequins: None, plain: str) -> Measure:
    """Measures the plain room with further blocks of YAML under it."""

    def run(
        more: str,
        settings: Sequence[str] = (),
        light: Mapping[str, Mapping[str, float]] | None = None,
    ) -> Report:
        path = tmp_path / "scene.yaml"
        path.write_text(plain + more, encoding="utf-8")
        copy(SCAN, tmp_path)
        draft = read_scene(path, CATALOG, tuple(settings))
        assert draft.scene is not None and not draft.problems, draft.problems
        stage, problems = build_stage(draft.scene, CATALOG, tmp_path, "", draft.places)
        assert not problems, problems
        readings = None if light is None else readings_of(stage, light)
        return measure_set(stage, draft.scene.rules, draft.scene.targets, readings)

    return run


def readings_of(stage: Stage, light: Mapping[str, Mapping[str, float]]) -> Readings:
    """Readings in which every receptor reads the same of each light, and every camera sees it."""
    read = {name: Read(**given) for name, given in light.items()}  # type: ignore[arg-type]
    by_light = {name: one.lx * white_rgb(one.cct_k) for name, one in read.items()}
    points = {name: Reading(by_light, 0.0) for name in receptors(stage)}
    return Readings(points, {name: _picture(stage, name, read) for name in stage.cameras})


def _picture(stage: Stage, camera: str, read: Mapping[str, Read]) -> LightLayers:
    """Lights side by side from edge to edge; what shines is itself seen, and has an albedo of 1."""
    width, height = stage.cameras[camera].picture_size(PICTURE_PX)
    dark, far = np.zeros((height, width, 3), np.float32), np.full((height, width), 5.0, np.float32)
    albedo, things = dark.copy(), np.zeros((height, width), np.uint16)
    layers = {}
    for name, one in read.items():
        layers[name] = dark.copy()
        if one.cd_m2 > 0.0:
            layers[name][:, : int(one.columns)] = one.cd_m2
            albedo[:], things[:] = 1.0, stage.object_ids.get(f"lights.{name}", 0)
    return LightLayers(layers, albedo, dark, far, things, 1)
