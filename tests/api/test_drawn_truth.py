"""What is drawn of a shipped scene, held against what is traced: matt, and by a pinhole."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
import pytest
from numpy.typing import NDArray

from previz import api
from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.render.backends import open_back_end
from previz.render.bake.kept import Baked
from previz.render.bake.lighting import kept_light
from previz.render.contract import LightLayers, Renderer, RenderSettings
from previz.render.names import RASTER
from previz.render.parts import PERSON
from previz.stage.stage import Stage

SIZE, SAMPLES = (320, 180), 64
MATT = {"roughness": 1.0, "refractive_index": 1.0, "metallic": 0.0, "relief_mm": 0.0}
"""What drawing leaves out, gloss and relief, is taken from both."""


@dataclass(frozen=True, eq=False)
class Both:
    """A stage, its pictures by both back ends, its bake, and the path tracer's renderer."""

    stage: Stage
    drawn: LightLayers
    traced: LightLayers
    baked: Baked
    tracer: Renderer


@pytest.fixture(scope="module")
def both() -> Iterator[Both]:
    stage = api.open_scene("scenes/first_light").stage
    stage = replace(
        stage,
        materials={
            name: material if material.clear else material.model_copy(update=MATT)
            for name, material in stage.materials.items()
        },
        cameras={"A": replace(stage.cameras["A"], f_number=200.0)},
    )
    settings = RenderSettings(*SIZE, SAMPLES)
    drawing = open_back_end(name=RASTER).load(stage).expose("A", settings)
    drawing.advance(1)
    back_end = open_back_end()
    tracer = back_end.load(stage)
    tracing = tracer.expose("A", settings)
    tracing.advance(SAMPLES)
    baked = kept_light(stage, back_end.variant)
    assert baked is not None
    yield Both(stage, drawing.light(), tracing.light(), baked, tracer)


def luminance(image: NDArray[np.float32]) -> NDArray[np.float64]:
    return np.asarray(image @ LUMINANCE_WEIGHTS, float)


def away_from_edges(light: LightLayers) -> NDArray[np.bool_]:
    """Pixels whose neighbours show the same thing within 2 % of its distance."""
    inside = np.zeros(light.objects.shape, bool)
    inside[1:-1, 1:-1] = True
    for step in (-1, 1):
        for axis in (0, 1):
            inside &= np.roll(light.objects, step, axis) == light.objects
            with np.errstate(invalid="ignore"):  # nothing is infinitely far
                apart = np.abs(np.roll(light.depth, step, axis) - light.depth)
            inside &= ~(apart > 0.02 * light.depth)
    return inside


def test_every_pixel_shows_the_same_thing_as_far_away(both: Both) -> None:
    inside = away_from_edges(both.traced)
    assert inside.mean() > 0.8
    assert np.mean(both.drawn.objects[inside] == both.traced.objects[inside]) > 0.995
    off = np.abs(both.drawn.depth - both.traced.depth)[inside] / both.traced.depth[inside]
    # People have fewer triangles, and ribbons for strands: some millimetres at two metres.
    assert np.mean(off < 0.005) > 0.99
    assert np.median(off) < 1e-5


def test_the_picture_is_as_bright_as_the_traced_one_light_by_light(both: Both) -> None:
    """Within 4 %: the traced mean has an error of 0.2 %; a bake reads each lamp within 2 %, and
    knows bounced light by places of 20 cm."""
    assert set(both.drawn.layers) == set(both.traced.layers) == set(both.stage.layers)
    for layer, image in both.drawn.layers.items():
        assert np.isfinite(image).all() and image.min() >= 0.0
        mean = luminance(both.traced.layers[layer]).mean()
        assert luminance(image).mean() == pytest.approx(mean, rel=0.04), layer
    for image in (both.drawn.albedo, both.drawn.normal, both.drawn.depth):
        assert not np.isnan(image).any()
    total = luminance(both.drawn.beauty)
    blocks = [
        luminance(light.beauty).reshape(6, 30, 8, 40).mean(axis=(1, 3))
        for light in (both.drawn, both.traced)
    ]
    assert total.min() >= 0.0
    assert np.median(np.abs(blocks[0] / blocks[1] - 1.0)) < 0.05


def test_light_on_a_face_is_what_meters_read_there(both: Both) -> None:
    """Within 3 % of all light, over all points of a face; meters are held at those points."""
    net, lit = both.baked.lit.surfaces, both.baked.lit
    person = next(iter(both.stage.people.values()))
    owner = next(thing.name for thing in both.stage.things if thing.kind == PERSON)
    number = both.stage.object_ids[owner]
    skin = np.array([kind.thing == number and not kind.hair for kind in net.table])
    corners = np.unique(net.faces[skin[net.kinds]])
    near = np.linalg.norm(net.places[corners] - person.landmarks["nose_tip"], axis=1) < 0.09
    chosen = corners[near & (net.facings[corners] @ person.face_forward > 0.7)]
    _, first = np.unique(lit.receptor[chosen], return_index=True)
    chosen = chosen[first][::4]
    assert len(chosen) > 100
    ahead = net.places[chosen].astype(float) + 4e-4 * net.facings[chosen]
    read: Mapping[str, NDArray[np.float64]] = both.tracer.meter(
        ahead, net.facings[chosen].astype(float), 256
    )
    total = sum(luminance(light).mean() for light in read.values())
    for place, layer in enumerate(lit.layers):
        found = luminance(lit.light[lit.receptor[chosen], place]).mean()
        right = luminance(read[layer]).mean()
        assert found == pytest.approx(right, abs=0.03 * total), layer
    all_lights = luminance(lit.light[lit.receptor[chosen]].sum(axis=1)).mean()
    assert all_lights == pytest.approx(total, rel=0.03)
