"""The exposure map: bands by the stop, an order that everybody sees."""

from __future__ import annotations

import numpy as np
import pytest
from oracles.colour import lab_from_rgb

from previz.develop.exposure_map import Span, band_colour, exposure_map, stops_image
from previz.physics.colour import srgb_decode
from previz.stage.placing import looking
from previz.stage.stage import StageCamera

SPAN = Span(clip_stops=6.0, floor_stops=-7.5)


def lab(colour: tuple[int, int, int]) -> np.ndarray:
    return lab_from_rgb(srgb_decode(np.array(colour) / 255.0))


def test_lightness_rises_evenly_with_the_light():
    steps = np.diff([lab(band_colour(band, SPAN))[0] for band in SPAN.bands])
    assert steps.min() > 0.0
    assert steps == pytest.approx(np.full(len(steps), steps.mean()), abs=1.2)


def test_mid_grey_is_neutral_below_is_blue_above_is_yellow():
    assert np.hypot(*lab(band_colour(0, SPAN))[1:]) < 1.5
    assert lab(band_colour(-3, SPAN))[2] < -15.0
    assert lab(band_colour(3, SPAN))[2] > 15.0


def test_neighbouring_bands_are_told_apart_without_red_and_green():
    """Without a* (what red-green deficiencies lose) each step is still five units or more."""
    seen = np.array([lab(band_colour(band, SPAN))[[0, 2]] for band in SPAN.bands])
    assert np.linalg.norm(np.diff(seen, axis=0), axis=1).min() >= 5.0


def test_a_band_reaches_half_a_stop_to_both_sides():
    picture = exposure_map(np.array([[0.49, -0.49, 0.51, 1.49]]), SPAN)
    assert (picture[0, 0] == picture[0, 1]).all()
    assert (picture[0, 2] == picture[0, 3]).all()
    assert (picture[0, 0] != picture[0, 2]).any()


def test_what_clips_is_white_and_what_drowns_is_black_but_for_the_lines():
    clipped = exposure_map(np.full((32, 32), 6.0), SPAN)
    lost = exposure_map(np.full((32, 32), -8.0), SPAN)
    assert (clipped == 255).all(axis=2).mean() == pytest.approx(0.75, abs=0.05)
    assert (lost == 0).all(axis=2).mean() == pytest.approx(0.75, abs=0.05)


def test_a_grey_card_that_the_meter_calls_right_is_at_mid_grey_and_stops_count_from_there():
    """T2.8, 1/50 s, ISO 800: 125 lx (ISO 2720, C = 250), on a card of 18 %."""
    camera = StageCamera(
        "A", looking((0, 0, 1), (0, 1, 1)), 0.036, 0.02025, 0.05, 2.8, 2.8, 2.0, 25.0, 0.02,
        800.0, 0.0,
    )  # fmt: skip
    lux = 250.0 * 2.8**2 / (0.02 * 800.0)
    light = np.full((1, 3, 3), 0.18 * lux / np.pi, np.float32)
    light[0, 1] *= 4.0
    light[0, 2] = 0.0
    assert stops_image(light, camera)[0] == pytest.approx([0.0, 2.0, -30.0], abs=0.03)


def test_lines_rise_where_it_clips_and_fall_where_it_drowns():
    clipped, lost = (exposure_map(np.full((32, 32), s), SPAN)[..., 0] for s in (6.0, -8.0))
    # Along a rising line row and column add up to the same; along a falling one they differ so.
    assert (clipped[1:, :-1] == clipped[:-1, 1:]).all()
    assert not (clipped[1:, 1:] == clipped[:-1, :-1]).all()
    assert (lost[1:, 1:] == lost[:-1, :-1]).all()
    assert not (lost[1:, :-1] == lost[:-1, 1:]).all()
