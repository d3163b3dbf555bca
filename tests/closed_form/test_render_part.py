"""Part of a frame, rendered alone: its pixels are those of the whole frame."""

from __future__ import annotations

import numpy as np
import pytest

from previz.render.contract import Ability, RenderSettings
from previz.render.part import Part

SIZE, PART = (64, 36), Part(18, 7, 23, 12)
SAMPLES = 16


@pytest.mark.needs(Ability.LIGHT_LAYERS, Ability.BOUNCES)
def test_a_part_alone_is_the_part_of_the_whole(back_end, make_stage, kit):
    """The very same where paths are numbered through the whole frame, or nothing is by chance."""
    floor = kit.box("floor", (4.0, 4.0, 0.1), (0.0, 1.0, -0.6))
    block = kit.box("block", (0.4, 0.3, 0.5), (0.1, 1.6, -0.3))
    lamps = [
        kit.rectangle_light(name, kit.facing((x, 0.6, 1.2), (-x, 0.4, -1.2)), 900.0, 0.3, 0.3)
        for name, x in (("left", -0.9), ("right", 0.9))
    ]
    view = kit.camera((0.0, 0.0, 0.0), (0.0, 1.6, -0.3), focal_length_m=0.03, f_number=2.0)
    renderer = back_end.load(make_stage([floor, block], lamps, view))

    def light(only: Part | None):
        settings = RenderSettings(*SIZE, SAMPLES, only=only)
        exposing = renderer.expose("A", settings)
        exposing.advance(SAMPLES // 2)
        gone_on = renderer.expose("A", settings)
        gone_on.restore(exposing.state())
        gone_on.advance(SAMPLES // 2)
        return gone_on.light()

    whole, alone = light(None), light(PART)
    assert alone.beauty.shape == (PART.height_px, PART.width_px, 3)
    np.testing.assert_array_equal(alone.objects, PART.of(whole.objects))
    assert len(np.unique(alone.objects)) > 1, "an edge lies in it"
    np.testing.assert_allclose(alone.depth, PART.of(whole.depth), rtol=1e-5)
    exactly = {Ability.ONE_PASS, Ability.NOISELESS} & set(back_end.abilities)
    for name, image in whole.layers.items():
        expected = PART.of(image)
        assert expected.std() > 0.02 * expected.mean() > 0.0
        if exactly:
            np.testing.assert_allclose(alone.layers[name], expected, rtol=2e-5, atol=1e-6)
        else:
            assert alone.layers[name].mean() == pytest.approx(expected.mean(), rel=0.03)
    if exactly:
        np.testing.assert_allclose(alone.albedo, PART.of(whole.albedo), atol=1e-5)
        np.testing.assert_allclose(alone.normal, PART.of(whole.normal), atol=1e-5)
