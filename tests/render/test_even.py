"""Numbers that are spread evenly over the samples of a pixel."""

from __future__ import annotations

import numpy as np
import pytest

from previz.render.backends import open_back_end

COUNT, NAMES = 16, 40


@pytest.fixture(scope="module")
def points() -> np.ndarray:
    """The first points of some sequences at their third decision, (NAMES, COUNT, 2)."""
    open_back_end("llvm_ad_rgb")
    import drjit as dr
    import mitsuba as mi

    from previz.render.pathtracer.even import Even

    number = dr.arange(mi.UInt32, COUNT * NAMES)
    sampler = Even(number % COUNT, mi.sample_tea_32(number // COUNT, mi.UInt32(7))[0])
    sampler.next_2d()
    sampler.next_1d()
    return np.array(sampler.next_2d()).T.reshape(NAMES, COUNT, 2)


@pytest.mark.parametrize("across", [1, 2, 4, 8, 16])
def test_every_cut_of_the_square_has_one_point_in_each_part(points, across):
    """What a (0, 2)-sequence is, for its first 16 points: Niederreiter 1987, from memory."""
    down = COUNT // across
    part = np.floor(points * [across, down]).astype(int)
    numbers = np.sort(part[..., 0] * down + part[..., 1], axis=1)
    np.testing.assert_array_equal(numbers, np.tile(np.arange(COUNT), (NAMES, 1)))


def test_points_of_different_pixels_lie_anywhere(points):
    """By chance from pixel to pixel: a mean of 40 is off by at most 4 of its deviations."""
    assert points.min() >= 0.0
    assert points.max() < 1.0
    first = points[:, 0]
    np.testing.assert_allclose(first.mean(axis=0), 0.5, atol=4.0 * np.sqrt(1.0 / 12.0 / NAMES))
    assert len(np.unique(first[:, 0])) == NAMES
