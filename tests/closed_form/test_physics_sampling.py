"""How fine a pattern a grid of samples can draw."""

from __future__ import annotations

import numpy as np
import pytest

from previz.physics.sampling import contrast_left, samples_per_period


def test_a_stripe_by_hand() -> None:
    # 6 mm at 2.05 m through 50 mm: drawn at 50 / 2000, 0.15 mm; on 0.01 mm photosites, 15.
    assert samples_per_period(0.006, 2.05, 50.0, 0.01) == pytest.approx(15.0)


def test_too_near_for_the_lens() -> None:
    with pytest.raises(ValueError, match="distance_m"):
        samples_per_period(0.006, 0.05, 50.0, 0.01)


@pytest.mark.parametrize("samples", [0.7, 1.0, 1.6, 2.0, 5.0])
def test_contrast_is_that_of_a_sine_averaged_over_squares(samples: float) -> None:
    # The mean over one sample of a sine, its phase such that the mean is greatest.
    x = (np.arange(20_000) + 0.5) / 20_000 - 0.5
    mean = np.abs(np.cos(2.0 * np.pi * x / samples).mean())
    assert contrast_left(samples) == pytest.approx(mean, abs=1e-6)
