"""Strands of one head differ, and their mass is still of the colour that was asked for."""

from __future__ import annotations

import numpy as np
import pytest

from previz.geometry.people.hair.tones import PIGMENTS, reflectance, tones_of, white_share

LOCK = np.repeat(np.arange(400), 30)


@pytest.mark.parametrize("name", sorted(PIGMENTS))
def test_the_mean_over_the_strands_is_the_colour_named(name: str) -> None:
    tones = tones_of(name, 30.0, LOCK, 4)
    mean = tones.colour[tones.of].mean(axis=0)
    assert mean == pytest.approx(reflectance(name), rel=0.12)
    assert len(np.unique(tones.of)) >= 2


def test_darker_tones_absorb_more() -> None:
    for name in PIGMENTS:
        tones = tones_of(name, 60.0, LOCK, 4)
        order = np.argsort(tones.colour.mean(axis=1))
        assert (np.diff(tones.absorption.mean(axis=1)[order]) <= 0.0).all()


def test_hair_whitens_with_the_years() -> None:
    shares = [np.mean([white_share(age, seed) for seed in range(40)]) for age in (25, 45, 60, 80)]
    assert shares[0] == 0.0
    assert np.all(np.diff(shares) > 0.0)
    assert shares[-1] < 0.25


def test_a_lock_is_of_about_one_shade() -> None:
    tones = tones_of("brown", 25.0, LOCK, 4)
    within = np.mean([np.std(tones.of[lock == LOCK]) for lock in range(50)])
    assert within < 0.8 * np.std(tones.of)
