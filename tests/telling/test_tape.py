"""Lengths and angles as a crew reads them."""

import math

import pytest

from previz.telling.tape import angle, feet, glance, scale_words, slope, stop, tape


@pytest.mark.parametrize(
    ("value_m", "said"),
    [
        (0.0, "0′ 0″"),
        (0.0254, "0′ 1″"),
        (0.0032, "0′ 0⅛″"),
        (0.3048, "1′ 0″"),
        (0.3047, "1′ 0″"),
        (2.3495, "7′ 8½″"),
        (2.35, "7′ 8½″"),
        (1.2192 - 0.0032, "3′ 11⅞″"),
        (-0.3048, "−1′ 0″"),
    ],
)
def test_feet_and_inches(value_m, said):
    assert feet(value_m, 8) == said


def test_lengths():
    assert (tape(1.23456, "metres"), glance(1.23456, "metres")) == ("1.235 m", "1.23 m")
    assert (tape(1.0, "feet"), glance(1.0, "feet")) == ("3′ 3⅜″", "3′ 3¼″")


def test_angles():
    assert angle(math.radians(33.25)) in ("33.2°", "33.3°")
    assert (slope(math.radians(-12.34)), slope(math.radians(5))) == ("12.3° down", "5.0° up")
    assert slope(1e-5) == "level"


@pytest.mark.parametrize(
    ("scale", "said"),
    [(12, "1″ = 1′ (1:12)"), (16, "¾″ = 1′ (1:16)"), (48, "¼″ = 1′ (1:48)"),
     (96, "⅛″ = 1′ (1:96)"), (192, "1:192"), (50, "1:50")],
)  # fmt: skip
def test_scales_in_feet(scale, said):
    assert scale_words(scale, "feet") == said
    assert scale_words(scale, "metres") == f"1:{scale}"


def test_stops():
    assert (stop(2.8), stop(4.0)) == ("f/2.8", "f/4")
